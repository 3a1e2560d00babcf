package fit

import (
	"fmt"
	"math"
	"sort"

	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Wire gives area (m²) and resistance (Ω/m) of a gauge: passed in, because
// wires belong to another room.
type Wire func(gauge int) (area, ohm float64)

// Route is the length of a lead over its way points, with a slack share and
// a tail at each end for soldering or plugging.
func Route(way []r3.Vec, slack, tail float64) float64 {
	var l float64
	for i := 1; i < len(way); i++ {
		l += r3.Norm(r3.Sub(way[i], way[i-1]))
	}
	return l*(1+slack) + 2*tail
}

// Crosses says whether a route's straight pieces pass through a solid (a
// spar, say). It names the first piece, -1 when none.
func Crosses(way []r3.Vec, s Solid) int {
	lo, hi := axes(r3.Sub(s.At, r3.Scale(0.5, s.Size))), axes(r3.Add(s.At, r3.Scale(0.5, s.Size)))
	for i := 1; i < len(way); i++ {
		p, d := axes(way[i-1]), axes(r3.Sub(way[i], way[i-1]))
		t0, t1 := 0.0, 1.0
		for k := range 3 {
			if d[k] == 0 {
				if p[k] <= lo[k] || p[k] >= hi[k] {
					t0, t1 = 1, 0
				}
				continue
			}
			a, b := (lo[k]-p[k])/d[k], (hi[k]-p[k])/d[k]
			if a > b {
				a, b = b, a
			}
			t0, t1 = math.Max(t0, a), math.Min(t1, b)
		}
		if t0 < t1 {
			return i - 1
		}
	}
	return -1
}

// Lead is one line of the harness list.
type Lead struct {
	Name, From, To string
	Wires, Gauge   int
	Length         float64 // cut length, m
	Mass           float64 // kg, copper and insulation, all wires
	Current        float64 // A, in one wire; 0: signal
	Drop           float64 // V, there and back for a pair
	Bend           float64 // least radius, m
	Solder         string  // before or after it goes in
}

// massPerMetre adds to the copper silicone or PVC of 0.5 mm wall at 1250 kg/m³.
func massPerMetre(area float64) float64 {
	r := math.Sqrt(area / math.Pi)
	return 8960*area + 1250*math.Pi*((r+0.5e-3)*(r+0.5e-3)-r*r)
}

// MakeLead computes one lead: n wires of a gauge along a way.
func MakeLead(name, from, to string, way []r3.Vec, n, gauge int, current float64, w Wire) Lead {
	const slack, tail = 0.10, 0.015
	l := Lead{Name: name, From: from, To: to, Wires: n, Gauge: gauge, Length: Route(way, slack, tail), Current: current}
	area, ohm := w(gauge)
	l.Mass = float64(n) * massPerMetre(area) * l.Length
	l.Drop = 2 * ohm * l.Length * current
	d := 2*math.Sqrt(area/math.Pi) + 1e-3
	if n > 1 { // a bundle bends as one: ten times its diameter
		l.Bend = 10 * d * math.Sqrt(float64(n)) * 1.15
	} else {
		l.Bend = 3 * d
	}
	l.Solder = "either way"
	if n >= 2 && l.Length > 0.25 {
		l.Solder = "after it is drawn through: the plug passes no rib"
	}
	return l
}

// Harness is the list of leads between the parts of an aircraft: pack to
// controller, controller to motor, controller and servos to the receiver, video.
// Leads run square: along the body, then across, then up. current is the
// largest at the pack.
func Harness(ac *craft.Aircraft, current float64, w Wire) []Lead {
	byKind := map[string][]craft.Part{}
	for _, p := range ac.Parts {
		byKind[p.Kind] = append(byKind[p.Kind], p)
	}
	way := func(a, b r3.Vec) []r3.Vec {
		return []r3.Vec{a, {X: b.X, Y: a.Y, Z: a.Z}, {X: b.X, Y: b.Y, Z: a.Z}, b}
	}
	var out []Lead
	join := func(name, ka, kb string, n, gauge int, i float64) {
		for _, a := range byKind[ka] {
			for _, b := range byKind[kb] {
				out = append(out, MakeLead(name, a.Name, b.Name, way(a.At, b.At), n, gauge, i, w))
				break // to the first of its kind
			}
		}
	}
	main := ac.Power.Wiring.Gauge
	if main == 0 {
		main = 14
	}
	join("main lead", "battery", "controller", 2, main, current)
	join("motor lead", "controller", "motor", 3, main+2, current)
	join("throttle lead", "controller", "receiver", 3, 26, 0)
	join("servo lead", "servo", "receiver", 3, 26, 0.25)
	join("camera lead", "camera", "video transmitter", 3, 28, 0.3)
	join("video supply", "video transmitter", "battery", 2, 24, 0.6)
	join("autopilot lead", "autopilot", "receiver", 4, 28, 0.2)
	sort.SliceStable(out, func(i, j int) bool { return out[i].Length > out[j].Length })
	return out
}

// Keep is a distance that two kinds of part should keep, with its reason.
// All common practice, no source.
type Keep struct {
	A, B  string // part kinds
	Least float64
	Why   string
}

// Keeps are the usual distances.
var Keeps = []Keep{
	{"receiver", "video transmitter", 0.10, "the transmitter deafens the receiver beside it"},
	{"receiver", "controller", 0.05, "the controller's switching reaches the receiver"},
	{"receiver", "motor", 0.05, "motor and its leads spark and switch"},
	{"autopilot", "video transmitter", 0.06, "the satellite receiver inside hears the transmitter's harmonics"},
	{"autopilot", "controller", 0.08, "the compass inside reads the battery lead's field"},
	{"autopilot", "motor", 0.10, "the motor's magnets turn the compass"},
	{"antenna", "battery", 0.03, "a pack beside an antenna shades and detunes it"},
	{"antenna", "motor", 0.05, "metal beside an antenna shades it"},
	{"antenna", "video transmitter", 0.05, "two transmitters and receivers side by side block one another"},
}

// LeadField is the magnetic flux density, T, at distance d of a lead pair a
// spacing s apart that carries current i (d well above s): μ0 i s/(2π d²); a
// single lead (s = 0) μ0 i/(2π d).
func LeadField(i, d, s float64) float64 {
	if s == 0 {
		return 2e-7 * i / d
	}
	return 2e-7 * i * s / (d * d)
}

// CompassError is the heading error, rad, that a horizontal field b makes at
// worst in an earth's field of horizontal strength h (about 20 µT in mid latitudes).
func CompassError(b, h float64) float64 { return math.Asin(math.Min(1, b/h)) }

// Turning says which way the motor must turn, seen on its shaft, for a
// propeller's hand: Right is clockwise seen from behind the aeroplane.
func Turning(place string, right bool) (string, bool) {
	hand := map[bool]string{true: "right-hand", false: "left-hand"}[right]
	clockwise := right
	switch place {
	case "pusher": // the shaft looks aft, as the viewer behind sees it
	case "tractor":
		clockwise = !right // seen from the front
	default:
		return "", false
	}
	way := "counter-clockwise"
	if clockwise {
		way = "clockwise"
	}
	return fmt.Sprintf("a %s propeller on a %s: the motor turns %s looking at its shaft; the lettering of the blade faces forward", hand, place, way), true
}

// Order is the order of assembly: the parts farthest from the opening first.
func Order(list []Solid, opening r3.Vec) []Solid {
	out := append([]Solid(nil), list...)
	sort.SliceStable(out, func(i, j int) bool {
		return r3.Norm(r3.Sub(out[i].At, opening)) > r3.Norm(r3.Sub(out[j].At, opening))
	})
	return out
}
