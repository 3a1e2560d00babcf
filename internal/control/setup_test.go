package control

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// A linear aeroplane whose trim is known in closed form.
func linear(v0 float64) (Airframe, func(v, n float64) (alpha, pitch float64)) {
	const (
		rho, s, c, b   = 1.225, 0.2, 0.16, 1.2
		cl0, cla, cld  = 0.1, 4.5, -0.8
		cm0, cma, cmd  = 0.02, -0.5, 0.6
		cmq            = -3.0
		clp, clr, mass = -0.42, 0.25, 1.0
	)
	air := func(f Flow) (r3.Vec, r3.Vec, bool) {
		q := 0.5 * rho * f.V * f.V
		l := q * s * (cl0 + cla*f.Alpha + cld*f.Pitch)
		sin, cos := math.Sincos(f.Alpha)
		m := q * s * c * (cm0 + cma*f.Alpha + cmd*f.Pitch + cmq*f.Q*c/(2*f.V))
		roll := q * s * b * (clp*f.P*b/(2*f.V) + clr*f.Roll)
		return r3.Vec{X: l * sin, Z: -l * cos}, r3.Vec{X: roll, Y: m}, f.Alpha < 0.25
	}
	return air, func(v, n float64) (float64, float64) {
		q := 0.5 * rho * v * v
		cl := n * mass * gravity / (q * s)
		m := cm0 + cmq*(n-1)*gravity/v*c/(2*v)
		det := cla*cmd - cld*cma
		return ((cl-cl0)*cmd + cld*m) / det, (-cla*m - cma*(cl-cl0)) / det
	}
}

func TestLevelTrim(t *testing.T) {
	air, exact := linear(0)
	for _, v := range []float64{12, 20, 45, 60} {
		for _, n := range []float64{1, 3} {
			a, d := exact(v, n)
			got := Level(air, gravity, v, n)
			if a >= 0.25 {
				if got.Why == "" {
					t.Errorf("v %g n %g: trimmed beyond the stall", v, n)
				}
				continue
			}
			if got.Why != "" || math.Abs(got.Alpha-a) > 1e-8 || math.Abs(got.Pitch-d) > 1e-8 {
				t.Errorf("v %g n %g: %+v, want %g %g", v, n, got, a, d)
			}
		}
	}
	d, ok := RollThrow(air, 30, 0.03, 2)
	if want := 0.42 * 2 * 1.2 / (2 * 30) / 0.25; !ok || math.Abs(d-want) > 1e-9 {
		t.Errorf("roll throw %g, want %g", d, want)
	}
	dead := func(Flow) (r3.Vec, r3.Vec, bool) { return r3.Vec{}, r3.Vec{}, true }
	if got := Level(dead, 10, 20, 1); got.Why == "" {
		t.Error("trimmed a thing without aerodynamics")
	}
	if _, ok := RollThrow(dead, 20, 0, 1); ok {
		t.Error("rolled a thing without ailerons")
	}
	if got := Level(nil, 10, 20, 1); got.Why == "" {
		t.Error("trimmed nothing")
	}
}

func TestMixLaws(t *testing.T) {
	elevon := Mix{Pitch: Throws{Trim: 3 * deg, Up: 12 * deg, Down: 10 * deg}, Roll: Throws{Up: 9 * deg, Down: 9 * deg}}
	s := elevon.Surfaces(1, 1, 0)
	if math.Abs(s.Right-24*deg) > 1e-12 || math.Abs(s.Left-6*deg) > 1e-12 {
		t.Errorf("elevons up and right: %v", s)
	}
	up, down := elevon.Extremes()
	if math.Abs(up-24*deg) > 1e-12 || math.Abs(down-16*deg) > 1e-12 {
		t.Errorf("extremes %g %g", up/deg, down/deg)
	}
	// Nose right on a V-tail above the body: right panel down, left panel up.
	v := Mix{Pitch: Throws{Up: 10 * deg, Down: 10 * deg}, Yaw: Throws{Up: 8 * deg, Down: 8 * deg}, YawSign: -1}
	if s := v.Surfaces(0, 0, 1); s.Right != -8*deg || s.Left != 8*deg {
		t.Errorf("v-tail nose right: %v", s)
	}
	if n := len(elevon.Table()); n != 7 {
		t.Errorf("%d rows", n)
	}
	rapid.Check(t, func(t *rapid.T) {
		p, r := rapid.Float64Range(-1, 1).Draw(t, "p"), rapid.Float64Range(-1, 1).Draw(t, "r")
		a, b := elevon.Surfaces(p, r, 0), elevon.Surfaces(p, -r, 0)
		if math.Abs(a.Right-b.Left) > 1e-15 || math.Abs(a.Left-b.Right) > 1e-15 {
			t.Errorf("mirror: %v %v", a, b)
		}
	})
	if a, b, over := Shares(12*deg, 9*deg, 20*deg); math.Abs(a-0.6) > 1e-12 || math.Abs(b-0.45) > 1e-12 || math.Abs(over-0.05) > 1e-12 {
		t.Errorf("shares %g %g over %g", a, b, over)
	}
}

func TestHeightsBack(t *testing.T) {
	c := 36e-3
	h := func(d float64) float64 { return EdgeHeight(c, d*deg) }
	f, ok := Reading{Chord: c, Sigma: 0.3e-3, RightUp: h(15), RightMid: h(4), RightDown: h(-4), LeftUp: h(13), LeftMid: h(2), LeftDown: h(-6)}.Read()
	if !ok || math.Abs(f.Reflex-3*deg) > 1e-12 || math.Abs(f.Uneven-2*deg) > 1e-12 || math.Abs(f.RightUp-11*deg) > 1e-12 || math.Abs(f.LeftDown-8*deg) > 1e-12 {
		t.Errorf("%+v", f)
	}
	if f.Sigma < 0.3/36 || f.Sigma > 0.35/36 {
		t.Errorf("sigma %g", f.Sigma)
	}
	if _, _, ok := FromHeight(c, 40e-3, 0); ok {
		t.Error("a trailing edge higher than its chord is long")
	}
	if _, ok := (Reading{}).Read(); ok {
		t.Error("a reading without a chord")
	}
}

func TestHome(t *testing.T) {
	if r := LoiterRadius(20, 45*deg); math.Abs(r-400/gravity) > 1e-12 {
		t.Error(r)
	}
	if b := LoiterBank(20, LoiterRadius(20, 0.5)); math.Abs(b-0.5) > 1e-12 {
		t.Error(b)
	}
	if !math.IsNaN(LoiterRadius(20, 2)) {
		t.Error("a turn on its back")
	}
	h, ok := PlanHome(14, 12, 40*deg, 5, 0)
	if !ok || h.StallMargin < 1.3-1e-9 || h.Radius <= 5 || len(h.Say) != 3 {
		t.Errorf("%+v", h)
	}
	if _, ok := PlanHome(0, 0, 1, 1, 1); ok {
		t.Error("a plan without a speed")
	}
}
