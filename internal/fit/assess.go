package fit

import (
	"fmt"
	"math"

	"fledge/internal/cite"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Judgement is what a finding of this room says.
type Judgement uint8

const (
	// Pass: it fits.
	Pass Judgement = iota
	// Fail: it does not, by Miss.
	Fail
	// Unknown: a size is missing.
	Unknown
)

// Result is one finding: Room is the clearance left, m, negative when it
// fouls; Least what is asked.
type Result struct {
	ID, Label   string
	Room, Least float64
	Status      Judgement
	Because     string
	Cures       []Cure
	Refs        []cite.Ref
}

// Wall is the skin and padding taken off the body's outside, m: our choice.
const Wall = 1.5e-3

// Sheet is the fit of a whole aircraft.
type Sheet struct {
	Results []Result
	Harness []Lead
	Turn    string // which way the motor turns; "" for a glider
}

// inside are the kinds of part that belong inside the body.
var inside = map[string]bool{"battery": true, "controller": true, "receiver": true, "autopilot": true, "video transmitter": true, "ballast": true}

// Assess checks an aircraft's parts: inside the body's shell, no two in the
// same place, distances kept, and lists its harness. Only parts with a given
// size are judged; the body's sections are taken as ellipses, so a box-shaped
// body has more room than it says.
func Assess(ac *craft.Aircraft, current float64, w Wire) *Sheet {
	sh := &Sheet{}
	var shell []Section
	for _, b := range ac.Body {
		shell = append(shell, Section{b.X, b.Z, b.Width, b.Height})
	}
	var solids []Solid
	kind := map[string]string{}
	sized := map[string]bool{}
	for _, p := range ac.Parts {
		name := p.Name
		if p.Twin {
			name += " (left)"
		}
		kind[name] = p.Kind
		s := Solid{name, p.At, p.Size}
		solid := p.SizeKnown && p.Size.X > 0 && p.Size.Y > 0 && p.Size.Z > 0
		sized[name] = solid
		if p.Kind == "structure" || p.Kind == "propeller" || p.Kind == "wiring" || p.Kind == "repair" {
			continue
		}
		if !solid {
			s.Size = r3.Vec{}
		}
		solids = append(solids, s)
		if !inside[p.Kind] || len(shell) < 2 {
			continue
		}
		r := Result{ID: "inside." + name, Label: name + " inside the body"}
		if !solid {
			r.Status, r.Because = Unknown, "Its size is not given."
			sh.Results = append(sh.Results, r)
			continue
		}
		if s.At.Y != 0 && math.Abs(s.At.Y)-s.Size.Y/2 > maxWidth(shell)/2 {
			continue // in the wing
		}
		miss, at, _ := InShell(s, shell, Wall)
		r.Room = -miss
		if miss > 0 {
			r.Status = Fail
			r.Because = fmt.Sprintf("A corner at x %.0f, y %.0f, z %.0f mm stands %.1f mm out of the body (elliptic sections, %.1f mm of wall and padding).", at.X*1e3, at.Y*1e3, at.Z*1e3, miss*1e3, Wall*1e3)
			r.Cures = cures(s, p, shell, miss)
		} else {
			r.Because = fmt.Sprintf("%.1f mm of room at its tightest corner.", -miss*1e3)
		}
		sh.Results = append(sh.Results, r)
	}
	var bodies []Solid
	for _, s := range solids {
		if sized[s.Name] {
			bodies = append(bodies, s)
		}
	}
	for _, c := range Clashes(bodies) {
		sh.Results = append(sh.Results, Result{
			ID: "clash." + c.A + "." + c.B, Label: c.A + " and " + c.B + " in one place", Room: -c.By, Status: Fail,
			Because: fmt.Sprintf("Their boxes overlap; %.1f mm along %s parts them.", c.By*1e3, [3]string{"x", "y", "z"}[c.Axis]),
			Cures:   []Cure{{What: fmt.Sprintf("move one of them along %s", [3]string{"x", "y", "z"}[c.Axis]), By: c.By}},
		})
	}
	for i := range solids {
		for j := range solids {
			for _, k := range Keeps {
				if i == j || kind[solids[i].Name] != k.A || kind[solids[j].Name] != k.B {
					continue
				}
				g := Gap(solids[i], solids[j])
				r := Result{
					ID: "apart." + solids[i].Name + "." + solids[j].Name, Label: "distance of " + solids[i].Name + " and " + solids[j].Name, Room: g - k.Least, Least: k.Least,
					Because: fmt.Sprintf("%.0f mm apart; %.0f mm is usual: %s.", g*1e3, k.Least*1e3, k.Why), Refs: []cite.Ref{cite.Common.At("distances", cite.Practice)},
				}
				if g < k.Least {
					r.Status = Fail
					r.Cures = []Cure{{What: "move them apart", By: k.Least - g}}
				}
				sh.Results = append(sh.Results, r)
			}
		}
	}
	if w != nil {
		sh.Harness = Harness(ac, current, w)
	}
	sh.Turn, _ = Turning(ac.Power.Place, ac.Power.Propeller.Right)
	return sh
}

func maxWidth(shell []Section) float64 {
	w := 0.0
	for _, s := range shell {
		w = math.Max(w, s.Width)
	}
	return w
}

// cures looks for the smallest change that puts a part inside: a shift along
// x within its room to move, the same lying another way, less of its size.
func cures(s Solid, p craft.Part, shell []Section, miss float64) []Cure {
	var out []Cure
	const step = 1e-3
	best := math.Inf(1)
	if p.MaxAt.X > p.MinAt.X {
		for x := p.MinAt.X; x <= p.MaxAt.X+1e-9; x += step {
			t := s
			t.At.X = x
			if m, _, ok := InShell(t, shell, Wall); ok && m <= 0 && math.Abs(x-s.At.X) < math.Abs(best) {
				best = x - s.At.X
			}
		}
		if !math.IsInf(best, 1) {
			out = append(out, Cure{What: fmt.Sprintf("move %s to x = %.0f mm", p.Name, (s.At.X+best)*1e3), By: math.Abs(best)})
		}
	}
	a := axes(s.Size)
	for _, o := range orders[1:] {
		t := s
		t.Size = r3.Vec{X: a[o[0]], Y: a[o[1]], Z: a[o[2]]}
		if m, _, ok := InShell(t, shell, Wall); ok && m <= 0 {
			out = append(out, Cure{What: fmt.Sprintf("turn %s: %.0f mm along, %.0f mm across, %.0f mm high", p.Name, t.Size.X*1e3, t.Size.Y*1e3, t.Size.Z*1e3)})
			break
		}
	}
	out = append(out, Cure{What: "open or bulge the body there", By: miss, Weakens: "the shell: a cut needs a frame or a doubler round it"})
	return out
}
