package learn

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"

	"fledge/internal/assess"
	"fledge/internal/craft"
)

// Kind is what a reading is of.
type Kind string

// The kinds of readings. Each says what the model is asked.
const (
	LevelSpeed Kind = "level speed"     // true airspeed that lasts in level flight at a throttle, m/s
	LevelRevs  Kind = "level revs"      // rad/s in that flight
	LevelAmps  Kind = "level current"   // A in that flight
	GlideSink  Kind = "glide"           // sink in m/s at airspeed At, motor off, at constant speed
	Stall      Kind = "stall speed"     // slowest level flight, m/s
	Trim       Kind = "trim"            // share of pitch stick that holds level flight at airspeed At
	Attitude   Kind = "angle of attack" // rad in level flight at airspeed At
	BenchRevs  Kind = "bench revs"      // rad/s at Row's volts and throttle
	BenchAmps  Kind = "bench current"   // A
	BenchPull  Kind = "bench pull"      // N
	CordPull   Kind = "cord pull"       // N at stretch At
	Release    Kind = "release speed"   // airspeed as it leaves hook or hand, m/s
	RingAngle  Kind = "ring angle"      // tilt of the hook at which the hanging ring slides, rad
	PackOhms   Kind = "pack resistance" // whole pack without its leads, ohm
)

// trait is what is known of a kind beforehand.
type trait struct {
	unit string
	// off is the share by which the model itself may be off for all readings
	// of the kind, one standard deviation (for trim and angle: absolute).
	off     float64
	offWhy  string
	least   float64 // relative doubt below which no reading of the kind is believed
	needsAt bool
}

// traits by kind. The shares are our reading of how far the models here miss
// in the comparisons of docs/accuracy.md when their own factors are right.
var traits = map[Kind]trait{
	LevelSpeed: {"m/s", 0.010, "steadiness, thrust line, propeller in the wake", 0.002, false},
	LevelRevs:  {"rad/s", 0.010, "the propeller's table over advance ratio", 0.002, false},
	LevelAmps:  {"A", 0.020, "pack state in flight", 0.005, false},
	GlideSink:  {"m/s", 0.030, "drag of the stopped propeller, lift of the air", 0.005, true},
	Stall:      {"m/s", 0.020, "slowing down as it stalls", 0.005, false},
	Trim:       {"1", 0.02, "slop and twist under load", 0.002, true},
	Attitude:   {"rad", 0.5 * math.Pi / 180, "datum line against the picture", 0.001, true},
	BenchRevs:  {"rad/s", 0.010, "winding and magnets warm up", 0.001, false},
	BenchAmps:  {"A", 0.015, "winding and magnets warm up", 0.002, false},
	BenchPull:  {"N", 0.020, "walls, own wash, the mount in the way", 0.003, false},
	CordPull:   {"N", 0.020, "warmth and rest of the rubber", 0.003, true},
	Release:    {"m/s", 0.030, "published launch models meet measured speeds within 4 to 9 %", 0.005, false},
	RingAngle:  {"rad", 0.05, "the hook's own wear and wet", 0.01, false},
	PackOhms:   {"ohm", 0.05, "warmth and charge at the reading", 0.005, false},
}

// additive kinds are off by an absolute amount.
func additive(k Kind) bool { return k == Trim || k == Attitude }

// Reading is one number read of this aeroplane or of a part of it.
type Reading struct {
	Kind       Kind
	Value, SD  float64 // SI
	At         float64 // airspeed, or stretch of the cord; see Kind
	Throttle   float64 // of level flight; 0 counts as 1 (a motor that was off is no level speed)
	Rho        float64 // kg/m³ of the air it was read in; 0: that of the build's day
	Stretch    float64 // of the bungee at a release; 0: as the build says
	Row        craft.BenchRow
	From       string // "flight 3", "bench row 2", "typed": for people
	Print      string // fingerprint of the source; readings of one flight share it
	Suspicious string // why it should not be used at all; "" when it may
}

// Key names the reading for people and orders it: the same reading has the
// same key.
func (r *Reading) Key() string {
	s := string(r.Kind)
	if traits[r.Kind].needsAt {
		u := "m/s"
		if r.Kind == CordPull {
			u = "m"
		}
		s += fmt.Sprintf(" at %.4g %s", r.At, u)
	}
	if r.Throttle > 0 && r.Throttle < 1 {
		s += fmt.Sprintf(" at %.0f %% throttle", 100*r.Throttle)
	}
	if r.From != "" {
		s += " of " + r.From
	}
	return s
}

// full is the key with every number that acts, for an order that is total.
func (r *Reading) full() string {
	return fmt.Sprintf("%s|%x %x %x %x %x %v", r.Key(), math.Float64bits(r.At), math.Float64bits(r.Throttle), math.Float64bits(r.Rho), math.Float64bits(r.Stretch), math.Float64bits(r.SD), r.Row)
}

// Sorted is the readings in the order that does not hang on who gave them.
func Sorted(list []Reading) []Reading {
	out := slices.Clone(list)
	slices.SortStableFunc(out, func(a, b Reading) int {
		return cmp.Or(cmp.Compare(a.full(), b.full()), cmp.Compare(a.Value, b.Value))
	})
	return out
}

// Fingerprint of anything that was read.
func Fingerprint(kind string, v ...any) string {
	h := sha256.Sum256(fmt.Append(nil, v...))
	return kind + " " + hex.EncodeToString(h[:8])
}

// BenchReadings are those of the build's own bench rows.
func BenchReadings(ac *craft.Aircraft) []Reading {
	var out []Reading
	for i, row := range ac.Power.Bench {
		out = append(out, OfRow(row, fmt.Sprintf("bench row %d", i+1), ac.BenchPrint())...)
	}
	return out
}

// LeaveOut marks what is off in bench rows that the others contradict: three
// readings of one wrong row would else stand together against the rest.
func LeaveOut(rows []Reading, off []assess.BenchOff) {
	for _, o := range off {
		from := fmt.Sprintf("bench row %d", o.Row+1)
		for i := range rows {
			r := &rows[i]
			if r.From != from {
				continue
			}
			if r.Kind == BenchRevs && o.Revs || r.Kind == BenchAmps && o.Amps || r.Kind == BenchPull && o.Pull {
				r.Suspicious = o.Say
			}
		}
	}
}

// The doubts of a bench row's readings that state none, relative: tachometer,
// wattmeter, luggage scale. Common practice, no source.
const (
	rowRevs = 0.005
	rowAmps = 0.025
	rowPull = 0.025
)

// OfRow takes a bench row apart. At part throttle the duty is not known from
// the stick: the revs (or, without them, the current) are spent on it.
func OfRow(row craft.BenchRow, from, print string) []Reading {
	var out []Reading
	part := row.Throttle > 0 && row.Throttle < 0.97
	add := func(k Kind, v, rel float64) {
		if v > 0 {
			out = append(out, Reading{Kind: k, Value: v, SD: rel * v, Row: row, From: from, Print: print})
		}
	}
	if !part {
		add(BenchRevs, row.Omega, rowRevs)
	}
	if !part || row.Omega > 0 {
		add(BenchAmps, row.Amps, rowAmps)
	}
	if !part || row.Omega > 0 || row.Amps > 0 {
		add(BenchPull, row.Pull, rowPull)
	}
	return out
}

// Unit is the SI unit of the reading.
func (r *Reading) Unit() string { return traits[r.Kind].unit }
