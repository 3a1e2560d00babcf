package control

import (
	"math"
	"strings"
	"testing"

	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// A linkage without a place is the square, skewed one.
func TestLinkageOfSquare(t *testing.T) {
	l := craft.Linkage{Arm: 9e-3, Horn: 12e-3, Rod: 40e-3}
	f := Flap{Sweep: 20 * deg}
	k, assumed, st := LinkageOf(&l, f)
	if assumed || st != OK {
		t.Fatal(assumed, st)
	}
	x := math.Sqrt(40e-3*40e-3 - 3e-3*3e-3)
	want := Skewed(9e-3, 12e-3, x, 0, 20*deg, 40e-3)
	for _, th := range []float64{-0.6, -0.2, 0.3, 0.7} {
		a, s1 := k.At(th)
		b, s2 := want.At(th)
		if s1 != OK || s2 != OK || math.Abs(a.Delta-b.Delta) > 1e-12 {
			t.Errorf("at %g: %g, want %g", th, a.Delta, b.Delta)
		}
	}
	// The build's skew takes the sweep's place.
	l.Place = craft.Linked{Skew: 0, Skewed: true}
	k, _, _ = LinkageOf(&l, f)
	a, _ := k.At(0.5)
	b, _ := Square(9e-3, 12e-3, 40e-3).Linkage().At(0.5)
	if math.Abs(a.Delta-b.Delta) > 1e-12 {
		t.Errorf("unskewed: %g, want %g", a.Delta, b.Delta)
	}
	// Reach and rod that do not fit the drawing turn the neutral.
	l.Place.Reach = 41e-3
	k, _, st = LinkageOf(&l, f)
	if n, _ := k.Neutral(); st != OK || math.Abs(n.Delta) < 1*deg || math.Abs(r3.Norm(r3.Sub(n.HornPin, n.ArmPin))-40e-3) > 1e-12 {
		t.Errorf("neutral %+v", n)
	}
}

// Whatever the place, the rod keeps its length and the pins their circles.
func TestLinkageOfLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		l := craft.Linkage{Arm: f(4e-3, 20e-3, "arm"), Horn: f(4e-3, 20e-3, "horn"), Rod: f(30e-3, 200e-3, "rod")}
		l.Place = craft.Linked{ArmLean: f(-0.5, 0.5, "lean"), HornLean: f(-0.5, 0.5, "horn lean"), Drop: f(-15e-3, 15e-3, "drop"), Aside: f(-15e-3, 15e-3, "aside"), Skew: f(-0.6, 0.6, "skew"), Skewed: true}
		k, _, st := LinkageOf(&l, Flap{})
		if st != OK {
			return
		}
		for _, th := range []float64{-0.4, 0, 0.4} {
			p, st := k.At(th)
			if st != OK {
				continue
			}
			if d := r3.Norm(r3.Sub(p.HornPin, p.ArmPin)); math.Abs(d-l.Rod) > 1e-9 {
				t.Fatalf("rod %g, want %g", d, l.Rod)
			}
			if d := r3.Norm(r3.Sub(p.HornPin, k.Hinge)); math.Abs(d-l.Horn) > 1e-9 {
				t.Fatalf("horn %g, want %g", d, l.Horn)
			}
			if th == 0 && math.Abs(p.Delta) > 1e-9 {
				t.Fatalf("edge at neutral %g", p.Delta)
			}
		}
	})
}

func TestBench(t *testing.T) {
	air, _ := linear(0)
	ac := swift()
	l := &ac.Linkages[0]
	l.Pulse = craft.Pulse{Centre: 1520e-6, PerRad: 9e-6 * 180 / math.Pi, Step: 2e-6}
	l.Skin = craft.Skin{Above: 10e-3, Below: 6e-3}
	l.HolePlay, l.ServoPlay = 0.1e-3, 0.5*deg
	ac.Surfaces[0].Controls[0].Heights = craft.Heights{Chord: 30e-3, Sigma: 0.25e-3, RightUp: 6e-3, RightMid: 2e-3, RightDown: -3e-3, LeftUp: 5e-3, LeftMid: 1e-3, LeftDown: -4e-3}
	sh := Assess(ac, air, Wish{StallSpeed: 11})
	cs := &sh.Controls[0]
	if !cs.PulseGiven || cs.Stops[0].Pulse <= 1520e-6 {
		t.Errorf("midpoint %g", cs.Stops[0].Pulse)
	}
	if !(cs.Ends[0] < cs.Stops[0].Pulse && cs.Stops[0].Pulse < cs.Ends[1]) {
		t.Errorf("ends %v", cs.Ends)
	}
	// The arm's hole at its highest is 8 mm over the shaft, the rod 1.5 mm
	// thick, the horn 11 mm: ahead of no slot the rod fouls.
	if !cs.RoomKnown || cs.Room > 10e-3-11e-3 {
		t.Errorf("room %g", cs.Room)
	}
	if result(t, sh, "setup.clearance.elevon").Status != Fail {
		t.Error("a rod through the skin passes")
	}
	if want := 2*0.1e-3/11e-3 + 0.5*deg*cs.Neutral.Ratio; math.Abs(cs.Play-want) > 1e-12 || cs.PlayMeasured {
		t.Errorf("play %g, want %g", cs.Play, want)
	}
	f := cs.Found
	if cs.FoundState != "both sides" || math.Abs(f.Reflex-(math.Asin(2./30)+math.Asin(1./30))/2) > 1e-12 || !(f.RollAsked > 0) {
		t.Errorf("found %+v", f)
	}
	if len(cs.Shares) != 2 || !(cs.Shares[0].Share > 0) {
		t.Errorf("shares %+v", cs.Shares)
	}
	if len(sh.Lost) != 1 || sh.LostSticks[1] != 0.1 || !(sh.LostSticks[0] > -1) {
		t.Errorf("lost %+v %+v", sh.LostSticks, sh.Lost)
	}
	// A servo set deeper with a slot ahead of the horn clears.
	l.Skin.Slot = 5e-3
	if cs := Assess(ac, air, Wish{StallSpeed: 11}).Controls[0]; cs.Room < 0 {
		t.Errorf("room with a slot %g", cs.Room)
	}
	// Return home keeps the loiter radius and is not sent to the circuit's end.
	ac.Flight.Radius, ac.Flight.Loiter = 400, 0
	if h := Assess(ac, air, Wish{StallSpeed: 11}).Home; h.Radius > 200 || h.Speed != 22 {
		t.Errorf("home %+v", h)
	}
	ac.Flight.Home = craft.Home{Link: "straight down", Picture: "return home", Height: 120}
	ac.Parts = nil
	sh = Assess(ac, air, Wish{StallSpeed: 11})
	if sh.LostSticks[0] != 1 || sh.Home.Height != 120 || !strings.Contains(sh.Failsafe[1].Why, "no autopilot") {
		t.Errorf("%v %+v", sh.LostSticks, sh.Failsafe)
	}
}
