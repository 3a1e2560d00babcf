package fit

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/cite"
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
	Ends           string  // connector
	Solder         string  // before or after it goes in, with the reason
	Given          bool    // its way is the build's; else square from part to part
	Way            []r3.Vec
	Area           float64 // copper of one wire, m²
}

// massPerMetre adds to the copper silicone or PVC of 0.5 mm wall at 1250 kg/m³.
func massPerMetre(area float64) float64 {
	r := wireRadius(area)
	return 8960*area + 1250*math.Pi*((r+0.5e-3)*(r+0.5e-3)-r*r)
}

func wireRadius(area float64) float64 { return math.Sqrt(area / math.Pi) }

// usual slack of a way, and tail at each end for plug or solder: our choice.
const (
	usualSlack = 0.10
	usualTail  = 0.015
)

// MakeLead computes one lead: n wires of a gauge along a way.
func MakeLead(name, from, to string, way []r3.Vec, n, gauge int, current float64, w Wire) Lead {
	return makeLead(name, from, to, way, n, gauge, current, usualSlack, w)
}

func makeLead(name, from, to string, way []r3.Vec, n, gauge int, current, slack float64, w Wire) Lead {
	l := Lead{Name: name, From: from, To: to, Wires: n, Gauge: gauge, Length: Route(way, slack, usualTail), Current: current, Way: way}
	area, ohm := w(gauge)
	l.Area = area
	l.Mass = float64(n) * massPerMetre(area) * l.Length
	l.Drop = 2 * ohm * l.Length * current
	d := 2*wireRadius(area) + 1e-3
	if n > 1 { // a bundle bends as one: ten times its diameter
		l.Bend = 10 * d * math.Sqrt(float64(n)) * 1.15
	} else {
		l.Bend = 3 * d
	}
	l.Ends = Ends(current, n)
	l.Solder = "either way"
	if n >= 2 && l.Length > 0.25 {
		l.Solder = "after it is drawn through: the plug passes no rib"
	}
	return l
}

// Ends is the usual connector for a current (common practice, no source): pin
// header to 3 A, bullets of 2, 3.5 and 4 mm to 20, 45 and 65 A.
func Ends(current float64, wires int) string {
	switch {
	case current <= 3:
		return fmt.Sprintf("%d-pin header", max(2, wires))
	case current <= 20:
		return "2 mm bullets"
	case current <= 45:
		return "3.5 mm bullets"
	case current <= 65:
		return "4 mm bullets"
	}
	return "6 mm bullets"
}

// Harness is the list of leads between the parts of an aircraft: pack to
// controller, controller to motor, controller and servos to the receiver, video.
// Leads run as the build routes them, else square: along the body, then
// across, then up. current is the largest at the pack.
func Harness(ac *craft.Aircraft, current float64, w Wire) []Lead {
	byKind := map[string][]craft.Part{}
	for _, p := range ac.Parts {
		byKind[p.Kind] = append(byKind[p.Kind], p)
	}
	way := func(a, b r3.Vec) []r3.Vec {
		return []r3.Vec{a, {X: b.X, Y: a.Y, Z: a.Z}, {X: b.X, Y: b.Y, Z: a.Z}, b}
	}
	out := given(ac, current, w)
	routed := map[[2]string]bool{}
	for _, l := range out {
		routed[[2]string{l.From, l.To}], routed[[2]string{l.To, l.From}] = true, true
	}
	join := func(name, ka, kb string, n, gauge int, i float64) {
		for k := range byKind[ka] {
			a := &byKind[ka][k]
			for j := range byKind[kb] {
				if b := &byKind[kb][j]; !routed[[2]string{Called(a), Called(b)}] {
					out = append(out, MakeLead(name, Called(a), Called(b), way(a.At, b.At), n, gauge, i, w))
				}
				break // to the first of its kind
			}
		}
	}
	for _, u := range usualLeads(ac, current) {
		join(u.name, u.from, u.to, u.wires, u.gauge, u.current)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Length > out[j].Length })
	return out
}

// usualLead is a lead between two kinds of part.
type usualLead struct {
	name, from, to string
	wires, gauge   int
	current        float64
}

func usualLeads(ac *craft.Aircraft, current float64) []usualLead {
	main := ac.Power.Wiring.Gauge
	if main == 0 {
		main = 14
	}
	servo := 0.25 // mean of one at work: common practice, no source
	return []usualLead{
		{"main lead", "battery", "controller", 2, main, current},
		{"motor lead", "controller", "motor", 3, main + 2, current},
		{"throttle lead", "controller", "receiver", 3, 26, 0},
		{"servo lead", "servo", "receiver", 3, 26, servo},
		{"camera lead", "camera", "video transmitter", 3, 28, 0.3},
		{"video supply", "video transmitter", "battery", 2, 24, 0.6},
		{"autopilot lead", "autopilot", "receiver", 4, 28, 0.2},
		{"satellite lead", "satellite receiver", "autopilot", 4, 28, 0.05},
		{"compass lead", "compass", "autopilot", 4, 28, 0.02},
	}
}

// given makes the leads the build routes; those of mirrored parts twice.
func given(ac *craft.Aircraft, current float64, w Wire) []Lead {
	var out []Lead
	find := func(name string, twin bool) *craft.Part {
		for i := range ac.Parts {
			if ac.Parts[i].Name == name && ac.Parts[i].Twin == twin {
				return &ac.Parts[i]
			}
		}
		return nil
	}
	for i := range ac.Inside.Routes {
		r := &ac.Inside.Routes[i]
		for _, left := range []bool{false, true} {
			a, b := find(r.From, false), find(r.To, false)
			if a == nil || b == nil {
				continue
			}
			side := 1.0
			if left {
				ta, tb := find(r.From, true), find(r.To, true)
				if ta == nil && tb == nil {
					continue
				}
				side = -1
				if ta != nil {
					a = ta
				}
				if tb != nil {
					b = tb
				}
			}
			n, gauge, amps, name, slack := r.Wires, r.Gauge, r.Current, r.Lead, r.Slack
			for _, u := range usualLeads(ac, current) {
				if u.from == a.Kind && u.to == b.Kind || u.from == b.Kind && u.to == a.Kind {
					if n == 0 {
						n = u.wires
					}
					if gauge < 0 {
						gauge = u.gauge
					}
					if amps == 0 {
						amps = u.current
					}
					if name == "" {
						name = u.name
					}
				}
			}
			if n == 0 {
				n = 2
			}
			if gauge < 0 {
				gauge = 26
			}
			if name == "" {
				name = "lead"
			}
			if slack < 0 {
				slack = usualSlack
			}
			way := []r3.Vec{a.At}
			for _, v := range r.Via {
				way = append(way, r3.Vec{X: v.X, Y: side * v.Y, Z: v.Z})
			}
			way = append(way, b.At)
			l := makeLead(name, Called(a), Called(b), way, n, gauge, amps, slack, w)
			l.Given = true
			if r.Ends != "" {
				l.Ends = r.Ends
			}
			if r.Bend > 0 {
				l.Bend = r.Bend
			}
			switch {
			case r.Plug > 0 && r.Hole > 0 && r.Plug > r.Hole:
				l.Solder = fmt.Sprintf("after it is drawn through: a plug of %.0f mm passes no hole of %.0f mm", r.Plug*1e3, r.Hole*1e3)
			case r.Plug > 0 && r.Hole > 0:
				l.Solder = fmt.Sprintf("before it goes in: the plug of %.0f mm passes the hole of %.0f mm", r.Plug*1e3, r.Hole*1e3)
			}
			out = append(out, l)
		}
	}
	return out
}

// harness lists the leads and judges those whose way is given: through no
// spar or frame, no sharper than they bend.
func (sh *Sheet) harness(ac *craft.Aircraft, g Given) {
	sh.Harness = Harness(ac, g.Current, g.Wire)
	for i := range sh.Harness {
		l := &sh.Harness[i]
		if !l.Given {
			continue
		}
		r := Result{ID: "route." + l.From + "." + l.To, Label: fmt.Sprintf("way of the %s, %s to %s", l.Name, l.From, l.To), Room: math.NaN(), Because: fmt.Sprintf("%.0f mm, past nothing solid.", (l.Length-2*usualTail)*1e3)}
		at := l.Way[0]
		for _, s := range ac.Inside.Solids {
			b := Solid{s.Name, s.At, s.Size}
			k := Crosses(l.Way, b)
			if k < 0 {
				continue
			}
			at = s.At
			r.Status = Fail
			push, axis := detour(l.Way[k], l.Way[k+1], b)
			over := math.Abs(push)
			r.Room = -over
			r.Because = fmt.Sprintf("Its piece %d, from x %.0f, y %.0f, z %.0f mm, goes through %s.", k+1, l.Way[k].X*1e3, l.Way[k].Y*1e3, l.Way[k].Z*1e3, s.Name)
			r.Cures = append(r.Cures, Cure{What: fmt.Sprintf("lead it round %s: a corner there %.0f mm %s", s.Name, math.Ceil(over*1e3), wayWord(axis, push)), By: over},
				Cure{What: "or a hole through " + s.Name + " at its middle height", Weakens: s.Name + ": no hole in a cap or a tube, at most a third of the height in a web (our choice), and an edge sealed"})
		}
		if tight, where := sharp(l.Way, l.Bend); r.Status == Pass && tight > 0 {
			r.Status, r.Room, at = Fail, -tight, l.Way[where]
			r.Because = fmt.Sprintf("Its corner %d asks for %.0f mm more straight run than there is, to bend no sharper than %.0f mm.", where, tight*1e3, l.Bend*1e3)
			r.Cures = []Cure{{What: fmt.Sprintf("set its corners farther apart, by %.0f mm in all beside corner %d", math.Ceil(tight*1e3), where), By: tight}, {What: "split the bundle: single wires bend three times as sharp"}}
			r.Refs = []cite.Ref{cite.AS50881.At("bend radii", cite.Memory)}
		}
		r.At = &at
		sh.add(r)
	}
}

// wayWord says which way a push along an axis goes.
func wayWord(axis int, push float64) string {
	w := [3][2]string{{"aft", "forward"}, {"to the right", "to the left"}, {"up", "down"}}[axis]
	if push < 0 {
		return w[1]
	}
	return w[0]
}

// detour is the least push, and along which axis, that takes a straight piece
// past a solid.
func detour(a, b r3.Vec, s Solid) (push float64, axis int) {
	lo, hi := axes(r3.Sub(s.At, r3.Scale(0.5, s.Size))), axes(r3.Add(s.At, r3.Scale(0.5, s.Size)))
	p, q := axes(a), axes(b)
	push = math.Inf(1)
	for k := range 3 {
		from, to := math.Min(p[k], q[k]), math.Max(p[k], q[k])
		if d := hi[k] - from; d > 0 && d < math.Abs(push) {
			push, axis = d, k
		}
		if d := to - lo[k]; d > 0 && d < math.Abs(push) {
			push, axis = -d, k
		}
	}
	return push, axis
}

// sharp is by how much the straight pieces of a way are too short for its
// bends: each corner of turn t takes r tan(t/2) of both its pieces. 0: none.
func sharp(way []r3.Vec, radius float64) (short float64, where int) {
	take := make([]float64, len(way))
	var way2 []r3.Vec
	for _, p := range way { // pieces of no length are no pieces
		if len(way2) == 0 || r3.Norm(r3.Sub(p, way2[len(way2)-1])) > 1e-6 {
			way2 = append(way2, p)
		}
	}
	for i := 1; i+1 < len(way2); i++ {
		a, b := r3.Unit(r3.Sub(way2[i], way2[i-1])), r3.Unit(r3.Sub(way2[i+1], way2[i]))
		t := math.Acos(math.Max(-1, math.Min(1, r3.Dot(a, b))))
		take[i] = radius * math.Tan(math.Min(t, 3.1)/2)
	}
	for i := 1; i < len(way2); i++ {
		if s := take[i-1] + take[i] - r3.Norm(r3.Sub(way2[i], way2[i-1])); s > short {
			short, where = s, i
			if take[i] < take[i-1] {
				where = i - 1
			}
		}
	}
	return short, where
}

// wayGap is the least distance of a way to a box, sampled every millimetre.
func wayGap(way []r3.Vec, s Solid) float64 {
	best := math.Inf(1)
	for i := 1; i < len(way); i++ {
		d := r3.Sub(way[i], way[i-1])
		n := int(r3.Norm(d)*1000) + 1
		for k := 0; k <= n; k++ {
			p := r3.Add(way[i-1], r3.Scale(float64(k)/float64(n), d))
			best = math.Min(best, Gap(Solid{At: p}, s))
		}
	}
	return best
}

// leadKeep is a distance that parts of a kind keep from a lead.
type leadKeep struct {
	lead, kind string
	least      float64 // m; a compass's follows from the current
	why        string
}

// keptFrom is the distance that a part keeps from a lead it is not an end of.
func keptFrom(l *Lead, q *placed) (leadKeep, bool) {
	if l.From == q.solid.Name || l.To == q.solid.Name {
		return leadKeep{}, false
	}
	for _, k := range leadKeeps {
		if strings.HasPrefix(l.Name, k.lead) && q.part.Kind == k.kind {
			if k.kind == "compass" {
				_, k.least = compassKeep(l)
			}
			return k, true
		}
	}
	return leadKeep{}, false
}

// leadKeeps are these distances (common practice, no source).
var leadKeeps = []leadKeep{
	{"motor lead", "receiver", 0.03, "the motor's leads switch hard and reach the receiver"},
	{"motor lead", "satellite receiver", 0.05, "the motor's leads switch hard; satellites are faint"},
	{"main lead", "compass", 0, ""},
	{"motor lead", "compass", 0, ""},
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
	{"satellite receiver", "video transmitter", 0.10, "the transmitter's harmonics drown the satellites"},
	{"satellite receiver", "controller", 0.05, "the controller's switching drowns the satellites"},
	{"compass", "motor", 0.10, "the motor's magnets turn the compass"},
	{"compass", "controller", 0.08, "the battery lead's field turns the compass"},
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
