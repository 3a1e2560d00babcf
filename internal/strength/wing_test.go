package strength

import (
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

// Slices against the exact uniform beam and the published wing.
func TestHalfUniform(t *testing.T) {
	h := goland.Uniform(40)
	b, tw := h.Still(3)
	eb, et := goland.Still()
	if math.Abs(b/eb-1) > 1e-3 || math.Abs(tw/et-1) > 1e-3 {
		t.Errorf("still %g %g, exact %g %g", b, tw, eb, et)
	}
	st := h.Solve(3, Options{Fastest: 300})
	f, ok := st.Flutter()
	if !ok {
		t.Fatalf("%+v", st)
	}
	check.Row{Topic: "flutter", Name: "Goland wing in 40 slices, published speed", Unit: "m/s", Source: cite.Goland1945.At("flutter of the uniform wing", cite.Seen)}.Near(t, f.V, 137.2, check.Model(0.02, "strip theory in different modes"))
	ex, _ := goland.Solve(3, Options{Fastest: 300}).Flutter()
	if math.Abs(f.V/ex.V-1) > 2e-3 || math.Abs(f.Omega/ex.Omega-1) > 2e-3 {
		t.Errorf("slices %+v, exact modes %+v", f, ex)
	}
	if d := DivergenceSpeed(goland.GJ, goland.Rho, 0.08*goland.Chord, goland.Chord, goland.Span, 2*math.Pi); math.Abs(st.Divergence/d-1) > 0.005 {
		t.Errorf("divergence %g, closed form %g", st.Divergence, d)
	}
	// Tuned to other frequencies it has them.
	b, tw = h.Tuned(10, 30, 3).Still(3)
	if math.Abs(b/(20*math.Pi)-1) > 1e-9 || math.Abs(tw/(60*math.Pi)-1) > 1e-9 {
		t.Errorf("tuned to %g %g", b/(2*math.Pi), tw/(2*math.Pi))
	}
}

// A very short stiff-in-plan wing with a flap all along reduces to the flap on
// its spring beside wing modes: in still air the flap's own frequency shows, and
// a stiff linkage gives back the wing without one.
func TestHalfFlap(t *testing.T) {
	w := Cantilever{Span: 0.5, Chord: 0.18, Axis: 0.35, Mass: 0.44, PerSpan: 0.45, Inertia: 0.45 * 0.09 * 0.09 * 0.25, EI: 20, GJ: 6, Rho: 1.225}
	plain, ok := w.Uniform(20).Solve(2, Options{Damping: 0.02, Fastest: 200}).Flutter()
	if !ok {
		t.Fatal("no flutter to compare with")
	}
	h := w.Uniform(20)
	h.KBeta = 1e5
	for i := range h.Slices {
		if h.Slices[i].Y > 0.2 {
			h.Slices[i].Flap, h.Slices[i].IBeta, h.Slices[i].SBeta = 0.22, 1.2e-5, 4e-4
		}
	}
	stiff, ok := h.Solve(2, Options{Damping: 0.02, Fastest: 200}).Flutter()
	if !ok || math.Abs(stiff.V/plain.V-1) > 0.01 {
		t.Errorf("stiff linkage %g, no flap %g", stiff.V, plain.V)
	}
	h.KBeta = 0.3 * 1.2e-5 * math.Pow(2*math.Pi*30, 2)
	soft, ok := h.Solve(2, Options{Damping: 0.02, Fastest: 200}).Flutter()
	if !ok || !(soft.V < 0.8*plain.V) {
		t.Errorf("a soft linkage should bring it down: %g, %g", soft.V, plain.V)
	}
	for name, change := range map[string]func(*Half){
		"no stiffness": func(h *Half) { h.Slices[3].GJ = 0 }, "loose control": func(h *Half) { h.KBeta = 0 },
		"hinge outside": func(h *Half) { h.Slices[15].Flap = 1.2 }, "no slices": func(h *Half) { h.Slices = nil },
		"not a number": func(h *Half) { h.Slices[0].PerSpan = math.NaN() },
	} {
		bad := h
		bad.Slices = append([]Slice(nil), h.Slices...)
		change(&bad)
		if st := bad.Solve(2, Options{}); st.Outcome != Unsound {
			t.Errorf("%s: %+v", name, st)
		}
	}
}
