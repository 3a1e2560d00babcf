// Package mend says what a repair does: the mass it adds, the strength it
// gives back by published rules of glued laps and scarfs, with the doubt of
// such rules stated, the drag of its scar, and the load to hold before the
// next flight. It decides nothing that a proof load does not confirm.
//
// Lengths in m, stresses in Pa, masses in kg, angles in rad. A share of
// strength is of the undamaged member, never counted above 1.
package mend

import (
	"fmt"
	"math"

	"fledge/internal/cite"
)

// Glue is an adhesive's mean shear strength on clean, roughened stock.
type Glue struct {
	Name      string
	Low, High float64 // the published range
	G         float64 // shear modulus; 0: an epoxy's, 1 GPa
	Refs      []cite.Ref
}

// Member is the thing that broke: a strip of width 1 and thickness T in its
// main direction, or a thin tube.
type Member struct {
	Material string
	E        float64
	Strength float64 // tension
	Shear    float64 // of the material itself, 0 when not known
	T        float64 // thickness of skin or wall
	Doubt    float64 // one sigma over mean of Strength
	Wood     bool
}

// Kind is a way to join.
type Kind string

// The joints.
const (
	Butt   Kind = "butt"   // faces glued, nothing over it
	Lap    Kind = "lap"    // one strap over the break, or one end over the other
	Double Kind = "double" // a strap on both sides
	Scarf  Kind = "scarf"  // cut at a slope
	Sleeve Kind = "sleeve" // a tube over or in a tube
)

// Kinds lists the joints.
func Kinds() []Kind { return []Kind{Butt, Lap, Double, Scarf, Sleeve} }

// Joint is a repair of a member.
type Joint struct {
	Kind   Kind
	Length float64 // overlap on each side of the break
	Slope  float64 // of a scarf: run over rise, 8 for 1 in 8
	Film   float64 // of glue; 0: 0.2 mm
	Strap  Member  // what lies over it; zero: the member's own stuff
	Prep   float64 // share of the glue's strength that the surface gives; 0: Roughened
}

// Surface preparation, as a share of the published strength (engineering
// judgement, to be overruled by a proof load).
const (
	Roughened = 0.7 // sanded, wiped, cured warm, by an amateur
	Smooth    = 0.3 // oily or smooth laminate, moulded skin
)

// Share is a share of strength with its 90 % interval.
type Share struct{ Value, Low, High float64 }

// Strength is what a joint gives back.
type Strength struct {
	Regained  Share
	GlueAlone Share   // share that the glue could carry, above 1 when the member breaks first
	Peak      float64 // largest over mean shear stress in the glue, elastic
	Governs   string  // what breaks first
	Say       []string
	Refs      []cite.Ref
}

// ShearLag is Volkersen's stress of a lap: omega (1/m) and the largest shear
// stress over the mean, at the end of the softer side. length is the overlap,
// g and film the glue's shear modulus and thickness; e1 t1 is the member (the
// inner one of a double lap), e2 t2 the strap (each of two when double).
//
//	single: ω² = G/h (1/E1t1 + 1/E2t2)      double: ω² = G/h (2/E1t1 + 1/E2t2)
//	τmax/τmean = ωl/2 (coth ωl/2 + |r| tanh ωl/2),  r = (n E2t2 - E1t1)/(n E2t2 + E1t1), n straps
//
// Elastic, no bending, no peel. The double form is that printed by Shigley.
func ShearLag(length, g, film, e1, t1, e2, t2 float64, double bool) (omega, peak float64) {
	n := 1.0
	if double {
		n = 2
	}
	omega = math.Sqrt(g / film * (n/(e1*t1) + 1/(e2*t2)))
	x := omega * length / 2
	r := math.Abs(n*e2*t2-e1*t1) / (n*e2*t2 + e1*t1)
	if x < 1e-6 {
		return omega, 1
	}
	return omega, x * (1/math.Tanh(x) + r*math.Tanh(x))
}

// LapBending is Goland and Reissner's factor k of a single lap of equal
// members: the bending moment at the end of the overlap is k·P·t/2, so that
// the member's edge is stressed σ(1 + 3k). length is the whole overlap, nu
// Poisson's ratio. k goes from 1 (unloaded) to 1/(1+2√2) = 0.261 (long, high
// load).
func LapBending(sigma, e, nu, t, length float64) float64 {
	x := math.Sqrt(3*(1-nu*nu)/2*sigma/e) / t * length / 2
	return 1 / (1 + 2*math.Sqrt2*math.Tanh(x))
}

// ScarfStress is shear and normal stress in the glue of a scarf of slope n
// (run over rise) under a stress of 1 in the member: n/(1+n²), 1/(1+n²):
// uniform for like members (Hart-Smith).
func ScarfStress(n float64) (shear, normal float64) { return n / (1 + n*n), 1 / (1 + n*n) }

// woodScarf is the joint factor of plain scarfs in wood: share of the clear
// wood's strength in tension.
var woodScarf = []struct{ slope, share float64 }{{5, 0.65}, {8, 0.80}, {10, 0.85}, {12, 0.90}}

// WoodScarf is the published joint factor of a plain scarf in wood at slope n
// (run over rise), linear between the rows of USDA TB-1069 (1 in 5: 0.65,
// 8: 0.80, 10: 0.85, 12: 0.90). Steeper than 1 in 5 there is no row: ok is
// false. Flatter than 1 in 12 it stays 0.90.
func WoodScarf(n float64) (share float64, ok bool) {
	if !(n >= woodScarf[0].slope) {
		return 0, false
	}
	for i := 1; i < len(woodScarf); i++ {
		a, b := woodScarf[i-1], woodScarf[i]
		if n <= b.slope {
			return a.share + (b.share-a.share)*(n-a.slope)/(b.slope-a.slope), true
		}
	}
	return woodScarf[len(woodScarf)-1].share, true
}

// Steepest scarf that the wood splices of AC 43.13-1B allow: 1 in 10.
const SteepestScarf = 10

// Of is the strength that a joint gives back to a member. The doubt spans the
// published range of the glue, the elastic peak against a mean stress that
// has evened out, and the member's own spread.
func Of(m Member, j Joint, g Glue) (Strength, error) {
	if !(m.T > 0) || !(m.E > 0) || !(m.Strength > 0) || !(g.Low > 0) || g.High < g.Low {
		return Strength{}, fmt.Errorf("a joint needs a thickness, a material and a glue")
	}
	film, mod, prep := j.Film, g.G, j.Prep
	if film == 0 {
		film = 0.2e-3
	}
	if mod == 0 {
		mod = 1e9
	}
	if prep == 0 {
		prep = Roughened
	}
	strap := j.Strap
	if strap.T == 0 {
		strap = m
	}
	out := Strength{Peak: 1, Refs: append([]cite.Ref(nil), g.Refs...)}
	var lo, hi float64 // share that the glue carries
	weak := math.Inf(1)
	switch j.Kind {
	case Butt:
		lo, hi = 0.3*prep*g.Low/m.Strength, prep*g.High/m.Strength
		out.Say = append(out.Say, "a butt joint carries by the glue's tension alone, which is no better than its shear and suffers from peel: put a strap over it")
	case Lap, Double:
		if !(j.Length > 0) {
			return Strength{}, fmt.Errorf("a lap needs its overlap on each side")
		}
		double := j.Kind == Double
		n := 1.0
		if double {
			n = 2
		}
		_, out.Peak = ShearLag(j.Length, mod, film, m.E, m.T, strap.E, strap.T, double)
		carry := n * j.Length / (m.Strength * m.T) // share for a mean stress of 1
		lo, hi = prep*g.Low*carry/out.Peak, prep*g.High*carry
		weak = n * strap.T * strap.Strength / (m.T * m.Strength)
		out.Refs = append(out.Refs, cite.Volkersen.At("equal and unequal members", cite.Memory), cite.ShigleyLap.At("double lap", cite.Memory))
		if !double {
			k := LapBending(m.Strength, m.E, 0.3, m.T, 2*j.Length)
			bend := 1 / (1 + 3*k)
			weak = math.Min(weak, bend*math.Max(1, strap.T/m.T))
			out.Refs = append(out.Refs, cite.GolandLap.At("bending factor", cite.Memory))
			out.Say = append(out.Say, fmt.Sprintf("a strap on one side bends the member at its end: %.1f times the plain stress where nothing stops it bending; foam or a rib under it does", 1+3*k))
		}
		if r := j.Length / m.T; r < 30 {
			out.Say = append(out.Say, fmt.Sprintf("the overlap is %.0f times the thickness on each side; %s", r, map[bool]string{true: "30 is usual for a strap on both sides", false: "80 is usual for a strap on one side"}[double]))
			out.Refs = append(out.Refs, cite.HartSmith.At("overlap 30 t double, 80 t single", cite.Memory))
		}
	case Scarf:
		if !(j.Slope >= 1) {
			return Strength{}, fmt.Errorf("a scarf needs its slope, run over rise: 10 for 1 in 10")
		}
		tau, _ := ScarfStress(j.Slope)
		lo, hi = prep*g.Low/(tau*m.Strength), prep*g.High/(tau*m.Strength)
		if m.Wood {
			if m.Shear > 0 { // wood glue holds as well as the wood shears
				lo, hi = math.Min(lo, 0.8*m.Shear/(tau*m.Strength)), math.Min(hi, 1.2*m.Shear/(tau*m.Strength))
			}
			share, ok := WoodScarf(j.Slope)
			if !ok {
				share = lo
				out.Say = append(out.Say, "no published factor for a scarf steeper than 1 in 5")
			}
			weak = share
			out.Refs = append(out.Refs, cite.Bulletin.At("plain scarf", cite.Memory), cite.AC4313Wood.At("slope 1 in 10 to 1 in 12", cite.Memory))
		}
		if j.Slope < SteepestScarf {
			out.Say = append(out.Say, fmt.Sprintf("1 in %.3g is steeper than the 1 in 10 that aircraft practice asks of wood", j.Slope))
		}
	case Sleeve:
		if !(j.Length > 0) {
			return Strength{}, fmt.Errorf("a sleeve needs its overlap on each side")
		}
		// In bending the wall carries N = σ t at the top: the glue line under it
		// sees N/l, whatever the radius.
		_, out.Peak = ShearLag(j.Length, mod, film, m.E, m.T, strap.E, strap.T, false)
		carry := j.Length / (m.Strength * m.T)
		lo, hi = prep*g.Low*carry/out.Peak, prep*g.High*carry
		weak = strap.T * strap.Strength / (m.T * m.Strength)
		out.Refs = append(out.Refs, cite.Volkersen.At("wall against sleeve", cite.Memory), cite.Ours.At("thin tube in bending: shear flow of the wall over the overlap", cite.Derived))
	default:
		return Strength{}, fmt.Errorf("no joint is called %q", j.Kind)
	}
	out.GlueAlone = Share{math.Sqrt(lo * hi), lo, hi}
	spread := 1.645 * math.Hypot(m.Doubt, 0.1) // the member's own, and the fit of the parts
	cap := math.Min(1, weak)
	r := Share{math.Min(cap, out.GlueAlone.Value), math.Min(cap*math.Max(0, 1-spread), lo), math.Min(1, math.Min(cap*(1+spread), hi))}
	r.Low, r.High = math.Min(r.Low, r.Value), math.Max(r.High, r.Value)
	out.Regained = r
	switch {
	case out.GlueAlone.Value < cap:
		out.Governs = "the glue line"
	case weak < 1 && j.Kind == Scarf:
		out.Governs = "the scarfed wood"
	case weak < 1:
		out.Governs = "the strap or the member's edge beside it"
	default:
		out.Governs = "the member beside the joint"
	}
	return out, nil
}

// Added is the mass that a joint adds: strap, and a film of glue with half
// as much again squeezed out. width is the length of the seam (the
// circumference of a tube). One sigma is 30 %: who glues, knows.
func Added(m Member, j Joint, width, density float64) (mass, sigma float64) {
	const glue = 1150 // epoxy, kg/m³
	film := j.Film
	if film == 0 {
		film = 0.2e-3
	}
	strap := j.Strap.T
	if strap == 0 {
		strap = m.T
	}
	area := width * m.T
	switch j.Kind {
	case Lap, Sleeve:
		area = 2 * j.Length * width
		mass = area * strap * density
	case Double:
		area = 4 * j.Length * width
		mass = area * strap * density
	case Scarf:
		area = width * m.T * math.Hypot(1, j.Slope)
	}
	mass += area * film * glue * 1.5
	return mass, 0.3 * mass
}

// Scar is a patch in the wind.
type Scar struct {
	Height, Width float64 // above the skin; across the flow
	Behind        float64 // from the leading edge or the nose
	Chord         float64 // from there to the end of the surface
	Speed, Nu     float64
	Laminar       float64 // share of the chord that was laminar before; 0: none lost
}

// Drag is the drag area (m²) a scar adds, with its 90 % interval: a ridge of
// drag coefficient 0.6 to 1.2 within a turbulent boundary layer (1/7 power,
// δ = 0.37 x Re^-1/5; mean dynamic pressure over the height 7/9 (h/δ)^(2/7)),
// and the laminar run that it trips, over its width and the wedge of ±10°
// behind. Valid for Height well below Chord; accuracy a factor of two.
func (s Scar) Drag() (Share, error) {
	if !(s.Height >= 0) || !(s.Width > 0) || !(s.Behind > 0) || !(s.Speed > 0) || !(s.Nu > 0) {
		return Share{}, fmt.Errorf("a scar needs its width, its place behind the edge, speed and air")
	}
	delta := 0.37 * s.Behind * math.Pow(s.Speed*s.Behind/s.Nu, -0.2)
	h := s.Height
	q := 7.0 / 9 * h
	if h < delta {
		q *= math.Pow(h/delta, 2.0/7)
	} else {
		q = 7.0/9*delta + (h - delta)
	}
	ridge := s.Width * q
	trip := 0.0
	if end := s.Laminar * s.Chord; end > s.Behind {
		run := end - s.Behind
		wide := s.Width + run*math.Tan(10*math.Pi/180)
		lam := plate(end, s.Speed, s.Nu, true) - plate(s.Behind, s.Speed, s.Nu, true)
		tur := plate(end, s.Speed, s.Nu, false) - plate(s.Behind, s.Speed, s.Nu, false)
		trip = wide * math.Max(0, tur-lam)
	}
	mid := 0.85*ridge + trip
	return Share{mid, 0.5 * mid, 2 * mid}, nil
}

// plate is drag over q and width of one side of a plate of length x.
func plate(x, v, nu float64, laminar bool) float64 {
	re := v * x / nu
	if laminar {
		return 1.328 / math.Sqrt(re) * x
	}
	return 0.074 / math.Pow(re, 0.2) * x
}
