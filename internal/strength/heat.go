package strength

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/cite"
	"fledge/internal/control"
)

// Warmth is how warm one part of the drive gets at full throttle, K: as the
// power room computed it. Sigma is the relative doubt of its rise.
type Warmth struct {
	Part          string // "winding", "magnets", "controller", "battery"
	Start         float64
	After, Steady float64 // after the burst; in the end, +Inf when it runs away
	Sigma         float64
	Standing      float64 // s to the limit held at full throttle on the ground; +Inf never, NaN not known
}

// Lumped is one body that a heat (W) warms through a heat resistance (K/W)
// against a heat capacity (J/K).
type Lumped struct{ Heat, Resistance, Capacity float64 }

// Rise is how far it is above the air after t seconds, K:
// Q R (1 - exp(-t/RC)).
func (b Lumped) Rise(t float64) float64 {
	return b.Heat * b.Resistance * -math.Expm1(-t/(b.Resistance*b.Capacity))
}

// Until is the time, s, to a rise; +Inf when it is never reached, 0 when the
// rise is not positive.
func (b Lumped) Until(rise float64) float64 {
	end := b.Heat * b.Resistance
	if !(rise > 0) {
		return 0
	}
	if !(end > rise) {
		return math.Inf(1)
	}
	return -b.Resistance * b.Capacity * math.Log1p(-rise/end)
}

// A pair of small plugs, pins and shells: 12 K/W to the air and the leads,
// 5 J/K (10 g of brass and nylon); our choice, good to half.
const (
	plugResistance = 12.0
	plugCapacity   = 5.0
	plugDoubt      = 0.5
)

const (
	zero = 273.15
	z90  = 1.6448536269514722 // half width of a 90 % interval in standard deviations
)

// parts names the warm parts, with the limit's id and what is done.
var parts = []struct{ part, id, label, how string }{
	{"winding", "heat.motor_winding", "motor's winding", "less throttle or shorter bursts, a propeller of less pitch or diameter, a larger motor, cooling air"},
	{"magnets", "heat.motor_magnets", "motor's magnets", "less throttle or shorter bursts, a propeller of less pitch or diameter, a larger motor or one with magnets for more heat, cooling air"},
	{"controller", "heat.controller", "controller", "moving air over it, shorter bursts, a larger controller"},
	{"battery", "heat.battery", "battery", "shorter bursts, a pack of less resistance, air around it"},
}

// reach says when a part is at its limit, with its doubt: the rise may be
// larger or smaller by the factor k, and the part warms as one body does.
func reach(at string, b Lumped, rise, k float64) string {
	with := func(f float64) float64 { c := b; c.Heat *= f; return c.Until(rise) }
	mid, soon, late := with(1), with(k), with(1/k)
	switch {
	case math.IsInf(soon, 1):
		return at + " is never reached"
	case math.IsInf(mid, 1):
		return fmt.Sprintf("%s is not reached (at worst after %s)", at, seconds(soon))
	}
	return fmt.Sprintf("%s is reached after %s (%s to %s)", at, seconds(mid), seconds(soon), seconds(late))
}

func seconds(t float64) string {
	switch {
	case math.IsInf(t, 1):
		return "never"
	case t > 600:
		return fmt.Sprintf("%.0f min", t/60)
	case t < 1:
		return "under a second"
	}
	return fmt.Sprintf("%.0f s", t)
}

// warm judges the temperatures of motor, controller and battery.
func (a *assessor) warm() {
	l := &a.l
	for _, k := range parts {
		for _, w := range l.Heat {
			if w.Part != k.part {
				continue
			}
			rise := w.After - w.Start
			f := math.Exp(z90 * w.Sigma)
			// One body with the same rise after the burst and in the end.
			b := Lumped{Heat: w.Steady - w.Start, Resistance: 1, Capacity: 1e9}
			if x := rise / b.Heat; x > 0 && x < 1 {
				b.Capacity = -l.BurstTime / math.Log1p(-x)
			}
			r := Result{
				ID: k.id, Label: fmt.Sprintf("temperature of the %s after %.0f s of full throttle", k.label, l.BurstTime), Unit: "degC",
				Value: w.After - zero, Sigma: w.Sigma * math.Abs(rise), Min: nan, Max: limit(k.id), How: k.how,
				// What motor's wire and magnets stand is not known from outside:
				// a limit of the plain grades holds nobody on the ground.
				Safety: k.part == "controller" || k.part == "battery",
				Ends:   [2]float64{w.Start - zero + math.Min(rise/f, rise*f), w.Start - zero + math.Max(rise/f, rise*f)}, // it may cool
				Refs:   []cite.Ref{cite.Common.At("heat resistances of small parts in the slipstream", cite.Practice), control.Find(Limits, k.id).Ref},
			}
			top := limit(k.id) + zero - w.Start
			at := "standing"
			if l.TopSpeed > 0 {
				at = fmt.Sprintf("level at %.0f m/s", l.TopSpeed)
			}
			settle, never := "settles", "never settles"
			if strings.HasSuffix(k.label, "magnets") {
				settle, never = "settle", "never settle"
			}
			r.Because = fmt.Sprintf("At full throttle, %s, the %s %s at %.0f °C", at, k.label, settle, w.Steady-zero)
			if math.IsInf(w.Steady, 1) {
				r.Because = fmt.Sprintf("At full throttle, %s, the %s %s: copper that warms loses more", at, k.label, never)
				b.Heat = 10 * math.Max(rise, top) // what matters is the beginning
				if x := rise / b.Heat; x > 0 && x < 1 {
					b.Capacity = -l.BurstTime / math.Log1p(-x)
				}
			}
			r.Because += "; " + reach(fmt.Sprintf("%.0f °C", limit(k.id)), b, top, f) + "."
			switch {
			case math.IsInf(w.Standing, 1):
				r.Because += " Nor standing."
			case known(w.Standing):
				r.Because += fmt.Sprintf(" Held standing, after about %s.", seconds(w.Standing))
			}
			a.add(r)
		}
	}
}

func known(x float64) bool { return !math.IsNaN(x) }

// plugs judges the temperature of the connectors.
func (a *assessor) plugs() {
	l := &a.l
	ohm, i := a.ac.Power.Wiring.Connector, l.MaxCurrent
	if !(ohm > 0) {
		return
	}
	heat := i * i * ohm
	b := Lumped{heat, plugResistance, plugCapacity}
	air := l.Temperature - zero
	rise := b.Rise(l.BurstTime)
	rel := math.Hypot(plugDoubt, math.Hypot(0.3, 2*l.CurrentSigma/i))
	f := math.Exp(z90 * rel)
	top := limit("connector")
	a.add(Result{
		ID: "connector", Label: fmt.Sprintf("temperature of the connectors after %.0f s at the largest current", l.BurstTime), Unit: "degC",
		Value: air + rise, Sigma: rel * rise, Ends: [2]float64{air + rise/f, air + rise*f}, Min: nan, Max: top, Safety: true,
		Because: fmt.Sprintf("%.1f mΩ at %.0f A lose %.2f V and %.1f W. Kept up it settles at %.0f °C; %s. A worn or half-soldered pair has several times that resistance.",
			ohm*1e3, i, ohm*i, heat, air+heat*plugResistance, reach(fmt.Sprintf("%.0f °C", top), b, top-air, f)),
		How: "larger or fewer connectors, clean pins, less current; feel them after a burst", Refs: []cite.Ref{control.Find(Limits, "connector").Ref},
	})
}
