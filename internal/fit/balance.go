package fit

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Checked is the finished aeroplane on the scales against its parts list.
type Checked struct {
	Weighing                  // what the scales say
	Listed, ListedX, ListedY  float64
	ListedSigma, ListedXSigma float64
	ListedYSigma              float64
	Height, HeightSigma       float64 // of the balance point, by tilting; NaN when not tilted
	HeightWhy                 string
	Share                     float64 // weighed over listed, less one
	ShareSigma                float64
	Wrong                     bool    // by more than 20 %: one of the two is wrong
	Missing                   float64 // mass that the list lacks (negative: has too much), kg
	MissingAt                 float64 // where it sits if it is one thing, x; NaN when nothing tells
	MissingSigma              float64
	MissingAtSigma            float64 // NaN with MissingAt
	Without                   []string
	FlightX, FlightXSigma     float64 // weighed, with what was off put back by the list
	FlightMass                float64
	FlightMassSigma           float64
}

// MassDoubt is the standard deviation of total mass and of the balance point's
// x and y from the inputs of the parts, and of the three moments of inertia.
type MassDoubt struct {
	Mass          float64
	CG            r3.Vec
	Inertia       [3]float64
	LargestShare  float64
	LargestDoubt  string
	LargestHow    string
	largestSquare float64
}

// DoubtOf propagates the parts' doubts, one at a time, to mass properties.
func DoubtOf(ac *craft.Aircraft) MassDoubt {
	var d MassDoubt
	base := ac.Mass
	var x2 float64
	for i := range ac.Inputs {
		in := &ac.Inputs[i]
		if in.Kind != craft.Ignorance || !strings.HasPrefix(in.Path, "parts.") && in.Path != "power.propeller.mass" {
			continue
		}
		m := ac.Vary([]int{i}, []float64{in.Nominal + in.Sigma}).Mass
		d.Mass += sq(m.Total - base.Total)
		dx := sq(m.CG.X - base.CG.X)
		x2 += dx
		if dx > d.largestSquare {
			d.largestSquare, d.LargestDoubt, d.LargestHow = dx, in.Label, in.How
		}
		d.CG.Y += sq(m.CG.Y - base.CG.Y)
		d.CG.Z += sq(m.CG.Z - base.CG.Z)
		for k := range 3 {
			d.Inertia[k] += sq(m.Inertia[k][k] - base.Inertia[k][k])
		}
	}
	if x2 > 0 {
		d.LargestShare = d.largestSquare / x2
	}
	d.Mass, d.CG = math.Sqrt(d.Mass), r3.Vec{X: math.Sqrt(x2), Y: math.Sqrt(d.CG.Y), Z: math.Sqrt(d.CG.Z)}
	for k := range 3 {
		d.Inertia[k] = math.Sqrt(d.Inertia[k])
	}
	return d
}

func scalesOf(list []craft.Scale) []Scale {
	var out []Scale
	for _, s := range list {
		out = append(out, Scale{At: s.At, Reading: s.Reads, Sigma: s.Sigma, PlaceSigma: s.PlaceSigma})
	}
	return out
}

// Check compares what the scales showed with the parts list; ok is false when
// nothing was weighed.
func Check(ac *craft.Aircraft) (c Checked, ok bool) {
	w := &ac.Weighing
	if len(w.Scales) == 0 {
		return c, false
	}
	off := map[string]bool{}
	for _, n := range w.Without {
		off[n] = true
	}
	c.Without = w.Without
	bare := ac.Without(func(p *craft.Part) bool { return off[p.Name] })
	d := DoubtOf(bare)
	c.Weighing = Weigh(scalesOf(w.Scales))
	c.Listed, c.ListedX, c.ListedY = bare.Mass.Total, bare.Mass.CG.X, bare.Mass.CG.Y
	c.ListedSigma, c.ListedXSigma, c.ListedYSigma = d.Mass, d.CG.X, d.CG.Y
	c.Height, c.HeightWhy = math.NaN(), "it was not tilted"
	c.MissingAt, c.MissingAtSigma = math.NaN(), math.NaN()
	if c.Why != "" {
		return c, true
	}
	if len(w.Tilted) > 0 {
		c.Height, c.HeightSigma, c.HeightWhy = TiltHeight(c.Weighing, scalesOf(w.Tilted), w.NoseUp)
	}
	c.Share, c.Wrong = Disagreement(c.Mass, c.Listed)
	c.ShareSigma = (1 + c.Share) * math.Hypot(c.MassSigma/c.Mass, c.ListedSigma/c.Listed)
	c.Missing, c.MissingSigma = c.Mass-c.Listed, math.Hypot(c.MassSigma, c.ListedSigma)
	if math.Abs(c.Missing) > 2*c.MissingSigma {
		at := (c.Mass*c.CG.X - c.Listed*c.ListedX) / c.Missing
		c.MissingAt = at
		c.MissingAtSigma = math.Sqrt(sq(c.Mass*c.Sigma.X)+sq(c.Listed*c.ListedXSigma)+sq((c.CG.X-at)*c.MassSigma)+sq((c.ListedX-at)*c.ListedSigma)) / math.Abs(c.Missing)
	}
	// Put back what was off.
	m, mx := c.Mass, c.Mass*c.CG.X
	for i := range ac.Parts {
		if p := &ac.Parts[i]; off[p.Name] {
			m += p.Mass
			mx += p.Mass * p.At.X
		}
	}
	c.FlightMass, c.FlightX = m, mx/m
	back := ac.Without(func(p *craft.Part) bool { return !off[p.Name] })
	if len(off) == 0 {
		c.FlightMassSigma, c.FlightXSigma = c.MassSigma, c.Sigma.X
		return c, true
	}
	b := DoubtOf(back)
	c.FlightMassSigma = math.Hypot(c.MassSigma, b.Mass)
	c.FlightXSigma = math.Sqrt(sq(c.Sigma.X*c.Mass)+sq((c.CG.X-c.FlightX)*c.MassSigma)+sq(b.CG.X*back.Mass.Total)+sq((back.Mass.CG.X-c.FlightX)*b.Mass)) / m
	return c, true
}

// SwingCheck is one swing test against the parts list.
type SwingCheck struct {
	About    string
	Swing    // measured, kg m²
	Computed float64
	Sigma2   float64 // of the computed
	Lines    int
	Apart    float64 // measured over computed, less one
	Agrees   bool    // within two standard deviations of both
}

var aboutAxis = map[string]int{"roll": 0, "pitch": 1, "yaw": 2}

// Swings works out every swing test of the build.
func Swings(ac *craft.Aircraft) []SwingCheck {
	var out []SwingCheck
	d := DoubtOf(ac)
	for _, s := range ac.Weighing.Swings {
		t := Timing{M: s.Mass.Value, SM: s.Mass.Sigma, L: s.Length.Value, SL: s.Length.Sigma, R: s.Radius.Value, SR: s.Radius.Sigma, T: s.Period.Value, ST: s.Period.Sigma}
		plate := Swing{}
		if s.HasPlate {
			p := t
			p.M, p.SM, p.T, p.ST = s.PlateMass.Value, s.PlateMass.Sigma, s.PlatePeriod.Value, s.PlatePeriod.Sigma
			plate = Bifilar(p)
		}
		if t.M == 0 {
			t.M, t.SM = ac.Mass.Total+s.PlateMass.Value, math.Hypot(d.Mass, s.PlateMass.Sigma)
		}
		k := aboutAxis[s.About]
		c := SwingCheck{About: s.About, Swing: Trifilar(t, plate), Computed: ac.Mass.Inertia[k][k], Sigma2: d.Inertia[k], Lines: s.Lines}
		c.Apart = c.Inertia/c.Computed - 1
		c.Agrees = math.Abs(c.Inertia-c.Computed) <= 2*math.Hypot(c.Sigma, math.Max(c.Sigma2, 0.1*c.Computed))
		out = append(out, c)
	}
	return out
}

// Period is the period, s, that a body of inertia i and mass m swings with on
// parallel lines of length l at radius r.
func Period(i, m, l, r float64) float64 {
	return 2 * math.Pi / r * math.Sqrt(i*l/(m*gravity))
}

// Share is ballast at one place.
type Share struct {
	Spot Spot
	Mass float64
}

// Spread is the least ballast in all, spread over places that hold so much
// each (most 0: no limit), that brings the balance of m from cg to target: the
// longest lever is filled first, which for a moment to be made up is the least
// mass. why says why not.
func Spread(m, cg, target float64, spots []Spot, most []float64) (list []Share, why string) {
	if len(spots) == 0 {
		return nil, "there is no place for ballast"
	}
	need := m * (cg - target) // to be made up by Σ b (target - x)
	if math.IsNaN(need) || math.IsInf(need, 0) || !(m > 0) {
		return nil, "no mass or place to balance"
	}
	order := make([]int, len(spots))
	for i := range order {
		order[i] = i
	}
	lever := func(i int) float64 { return math.Copysign(1, need) * (target - spots[i].X) }
	sort.SliceStable(order, func(a, b int) bool { return lever(order[a]) > lever(order[b]) })
	left := math.Abs(need)
	if left < 1e-12 {
		return nil, ""
	}
	for _, i := range order {
		if lever(i) < 1e-6 {
			break
		}
		b := left / lever(i)
		if most[i] > 0 && b > most[i] {
			b = most[i]
		}
		list = append(list, Share{spots[i], b})
		if left -= b * lever(i); left < 1e-12*math.Abs(need) {
			return list, ""
		}
	}
	if len(list) == 0 {
		return nil, "ballast there moves the balance the wrong way, or not at all: choose a place on the other side of the wanted balance point"
	}
	got := math.Abs(need) - left
	return list, fmt.Sprintf("the places hold too little: they bring it %.0f %% of the way", 100*got/math.Abs(need))
}

// Lateral is the side ballast, kg, at a place y that takes the balance point
// of m back from y0 to the middle; negative y0: it goes on the right.
func Lateral(m, y0, y float64) float64 { return math.Abs(m * y0 / y) }

// MostSide is how far the balance point may lie off the middle, share of the
// half span: our choice; at usual speeds a few degrees of aileron hold it.
const MostSide = 0.01
