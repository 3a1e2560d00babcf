package app

import (
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/report"
)

// The lattice page's numbers of a cheap draw against those of a full rebuild of
// the drawn aeroplane: each within the named share of half the interval that the
// page gives it, which a shortfall of half an interval widens by an eighth. The
// shape acts on a draw through lift, moment and neutral point; the two that hang
// on where along the span the lift lies are held to their whole half interval,
// which counts that (unmetCnRoll, unmetCYP).
func TestLatticeDrawsAgainstRebuilds(t *testing.T) {
	o, err := Open(Request{Path: "../../examples/tern.yaml"})
	if err != nil {
		t.Fatal(err)
	}
	base := o.Aircraft
	c, err := assess.NewChain(base)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Lattice(t.Context(), Request{Path: "../../examples/tern.yaml", Fast: true})
	if err != nil {
		t.Fatal(err)
	}
	page := a.Body.(report.LatticeJSON)
	v := float64(page.WholeSpeed)
	stream := rand.New(rand.NewPCG(3, 1))
	index := make([]int, len(base.Inputs))
	for i := range index {
		index[i] = i
	}
	for k := range 3 {
		value := make([]float64, len(index))
		for j, i := range index {
			in := base.Inputs[i]
			value[j] = math.Min(in.High, math.Max(in.Low, in.Nominal+0.7*in.Sigma*stream.NormFloat64()))
		}
		d := c.Draw(index, value)
		cheap := lifting(c, &d, c.Aero.Lattice().Derivatives(), v)
		full, err := assess.NewChain(base.With(index, value))
		if err != nil {
			t.Fatal(err)
		}
		f := full.Nominal()
		exact := lifting(full, &f, full.Aero.Lattice().Derivatives(), v)
		near := func(name string, got, want float64, low, high report.Float, share float64) {
			t.Helper()
			if half := float64(high-low) / 2; !(math.Abs(got-want) <= share*half) {
				t.Errorf("draw %d: %s %.5g, rebuilt %.5g: off by %.2f of the half interval %.3g, allowed %.2f", k, name, got, want, math.Abs(got-want)/half, half, share)
			}
		}
		x, y := reflect.ValueOf(cheap.Stability), reflect.ValueOf(exact.Stability)
		keys := map[string]string{"CLAlpha": "cl_alpha", "CmAlpha": "cm_alpha", "CDAlpha": "cd_alpha", "CLQ": "cl_q", "CmQ": "cm_q", "CYBeta": "cy_beta", "ClBeta": "croll_beta", "CnBeta": "cn_beta",
			"CYP": "cy_p", "ClP": "croll_p", "CnP": "cn_p", "CYR": "cy_r", "ClR": "croll_r", "CnR": "cn_r", "CLPitch": "cl_pitch", "CmPitch": "cm_pitch", "ClRoll": "croll_roll", "CnRoll": "cn_roll", "CYYaw": "cy_yaw", "ClYaw": "croll_yaw", "CnYaw": "cn_yaw", "CmAlphaDot": "cm_alpha_rate"}
		for field, key := range keys {
			in, ok := page.WholeSpan[key]
			if !ok {
				t.Fatalf("%s has no interval", key)
			}
			share := 0.5
			if key == "cn_roll" || key == "cy_p" {
				share = 1
			}
			near(key, x.FieldByName(field).Float(), y.FieldByName(field).Float(), in[0], in[1], share)
		}
		near("highest lift", cheap.Stall.CLMax, exact.Stall.CLMax, page.CLMax.Low, page.CLMax.High, 0.5)
		near("drag without lift", cheap.Traits.CD0, exact.Traits.CD0, page.CD0.Low, page.CD0.High, 0.5)
		near("drag by lift squared", cheap.Traits.K, exact.Traits.K, page.K.Low, page.K.High, 0.5)
		for i := range cheap.Spread {
			s := page.Stations[i]
			near("station", cheap.Spread[i].Cl, exact.Spread[i].Cl, s.Interval["cl"][0], s.Interval["cl"][1], 0.5)
			near("parts", cheap.Spread[i].Start, exact.Spread[i].Start, s.Interval["cl_separates"][0], s.Interval["cl_separates"][1], 0.5)
		}
	}
}

// A build so nose-heavy that it cannot be held at the usual speed: the page
// says so and gives the whole's derivatives where it can.
func TestLatticeWhereSheCanBeHeld(t *testing.T) {
	heavy, err := Lattice(t.Context(), Request{Path: "../../examples/swift.yaml", Fast: true, Sets: []string{"parts.camera.mass=250 g"}})
	if err != nil {
		t.Fatal(err)
	}
	page := heavy.Body.(report.LatticeJSON)
	slow := float64(page.Stall.Speed.Value)
	if v := float64(page.WholeSpeed); math.Abs(v/slow-1.3) > 0.01 || len(page.Notes) == 0 {
		t.Errorf("slowest %.1f m/s, the whole at %.1f m/s, notes %q", slow, v, page.Notes)
	}
	if alone, whole := float64(page.Derivatives["cl_alpha"]), float64(page.Whole["cl_alpha"]); math.Abs(whole/alone-1) > 0.2 {
		t.Errorf("lift slope of the whole %.2f, of the lattice %.2f", whole, alone)
	}
}
