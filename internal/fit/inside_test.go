package fit

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func mm(x, y, z float64) r3.Vec { return r3.Scale(1e-3, r3.Vec{X: x, Y: y, Z: z}) }

// bay is a body with one bay of each kind: a box, a shell, the thickness of a wing.
func house() *craft.Aircraft {
	ac := &craft.Aircraft{
		Surfaces: []craft.Surface{{Name: "wing", Mirrored: true}},
		Inside: craft.Inside{Clearance: 1e-3, Wall: 1e-3, Bays: []craft.Bay{
			{Name: "box", Kind: craft.BoxBay, Box: craft.Box{At: mm(100, 0, 0), Size: mm(100, 50, 40)}, Surface: -1},
			{Name: "pod", Kind: craft.ShellBay, Surface: -1, Sections: []craft.BodyStation{{X: 0.2, Width: 0.06, Height: 0.06}, {X: 0.4, Width: 0.06, Height: 0.06}}},
			{Name: "pocket", Kind: craft.SurfaceBay, Surface: 0, Y: 0.3, Wide: 0.04, From: 0.3, To: 0.36},
		}},
		Ref: craft.Reference{Span: 1},
	}
	ac.Parts = []craft.Part{{Name: "shell", Kind: "structure", Mass: 0.2}}
	return ac
}

// flatSkin is a wing 12 mm thick whose middle is at z 20 mm.
func flatSkin(_ int, y, x float64) (float64, float64, bool) {
	return 0.014, 0.026, x > 0.2 && x < 0.45 && y < 0.5
}

func in(ac *craft.Aircraft, bay string, kind string, at, size r3.Vec) map[string]Result {
	ac.Parts = append(ac.Parts[:1:1], craft.Part{Name: "thing", Kind: kind, Mass: 0.02, At: at, Size: size, SizeKnown: true, MinAt: at, MaxAt: at, Bay: bay})
	out := map[string]Result{}
	for _, r := range Assess(ac, Given{Skin: flatSkin}).Results {
		out[r.ID] = r
	}
	return out
}

func TestBays(t *testing.T) {
	for _, c := range []struct {
		bay      string
		at, size r3.Vec
		room     float64 // mm
	}{
		{"box", mm(100, 0, 0), mm(98, 48, 38), 0},            // with its clearance it just fills it
		{"box", mm(100, 0, 0), mm(90, 48, 38), 0},            // tightest side counts
		{"box", mm(103, 0, 0), mm(90, 40, 30), 1},            // off the middle
		{"box", mm(100, 0, 0), mm(110, 40, 30), -6},          // too long by 6 each end, clearance kept
		{"pod", mm(300, 0, 0), mm(50, 40, 40), 29 - 28.2843}, // corner of a square in a circle
		{"pod", mm(390, 0, 0), mm(50, 10, 10), -15},          // out of its end
		{"pocket", mm(330, 300, 20), mm(23, 24, 8), 0},       // 12 - 2 skin - 2 clearance
		{"pocket", mm(330, -300, 20), mm(23, 24, 8), 0},      // the left half alike
		{"pocket", mm(330, 300, 20), mm(23, 24, 10), -1},     // thicker: misses by 1 each side
		{"pocket", mm(330, 300, 20), mm(66, 24, 6), -4},      // too long for from..to
		{"pocket", mm(330, 300, 20), mm(20, 44, 6), -3},      // too wide
		{"pocket", mm(440, 300, 20), mm(40, 24, 6), -6},      // off the chord
	} {
		r, ok := in(house(), c.bay, "servo", c.at, c.size)["inside.thing"]
		if !ok {
			t.Fatalf("%s: not judged", c.bay)
		}
		if c.at.X == 0.44 { // hangs out of the wing: it fails, by whatever
			if r.Status != Fail {
				t.Errorf("off the chord: %+v", r)
			}
			continue
		}
		if math.Abs(r.Room*1e3-c.room) > 1e-3 {
			t.Errorf("%s %v: room %.4f mm, want %.4f: %s", c.bay, c.size, r.Room*1e3, c.room, r.Because)
		}
		if r.Status == Fail && (len(r.Cures) == 0 || r.Cures[len(r.Cures)-1].Weakens == "") {
			t.Errorf("a bare no: %+v", r)
		}
	}
	// A cylinder fits where its box does not.
	ac := house()
	ac.Parts = append(ac.Parts, craft.Part{Name: "can", Kind: "motor", At: mm(300, 0, 0), Size: mm(40, 56, 56), SizeKnown: true, Bay: "pod", Round: 1})
	rs := Assess(ac, Given{}).Results
	if rs[0].ID != "inside.can" || math.Abs(rs[0].Room-1e-3) > 1e-5 {
		t.Errorf("%+v", rs[0])
	}
	ac.Parts[1].Round = 0
	if r := Assess(ac, Given{}).Results[0]; r.Status != Fail {
		t.Errorf("%+v", r)
	}
	// A part larger than the shell: no trick cures it.
	big := in(house(), "box", "battery", mm(100, 0, 0), mm(300, 200, 200))["inside.thing"]
	if big.Status != Fail || len(big.Cures) != 1 || !strings.Contains(big.Cures[0].What, "open the bay") {
		t.Errorf("%+v", big)
	}
	// Doubt: a room smaller than the sizes are known to.
	ac = house()
	ac.Inside.Bays[0].Box.SizeSigma = mm(1, 1, 1)
	if r := in(ac, "box", "battery", mm(100, 0, 0), mm(90, 47, 30))["inside.thing"]; r.Status != Doubtful || len(r.Cures) == 0 {
		t.Errorf("%+v", r)
	}
	// Without sections nothing is made up.
	ac = house()
	ac.Parts = append(ac.Parts, craft.Part{Name: "s", Kind: "servo", At: mm(330, 300, 20), Size: mm(10, 10, 5), SizeKnown: true, Bay: "pocket"})
	if r := Assess(ac, Given{}).Results[0]; r.Status != Unknown {
		t.Errorf("%+v", r)
	}
}

// Relabelling sideways and upright axes of bay and part together changes no room.
func TestBayRelabelled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		b, s := r3.Vec{X: g("a", 0.05, 0.2), Y: g("b", 0.02, 0.1), Z: g("c", 0.02, 0.1)}, r3.Vec{X: g("x", 0.01, 0.2), Y: g("y", 0.01, 0.1), Z: g("z", 0.01, 0.1)}
		d := r3.Vec{X: g("dx", -0.02, 0.02), Y: g("dy", -0.02, 0.02), Z: g("dz", -0.02, 0.02)}
		out := map[float64]bool{}
		first := math.NaN()
		for _, o := range orders {
			turn := func(v r3.Vec) r3.Vec { a := axes(v); return r3.Vec{X: a[o[0]], Y: a[o[1]], Z: a[o[2]]} }
			c := Cavity{bay: &craft.Bay{Kind: craft.BoxBay, Box: craft.Box{Size: turn(b)}}, gap: 1e-3}
			m := c.Stands(Solid{At: turn(d), Size: turn(s)}, 0).Miss
			if math.IsNaN(first) {
				first = m
			}
			if math.Abs(m-first) > 1e-12 {
				t.Errorf("relabelled %v: %g, was %g", o, m, first)
			}
			out[m] = true
		}
		if !(len(out) > 0) {
			t.Error("nothing looked at")
		}
	})
}

func TestEnter(t *testing.T) {
	for _, c := range []struct {
		say               string
		size              r3.Vec
		long, wide, depth float64
		room              float64
		unsure            bool
	}{
		{"straight in, flat", mm(75, 35, 28), 80, 40, 30, 5, false},
		{"too wide by 3", mm(75, 35, 28), 80, 32, 30, -3, false},
		{"end on, deep enough", mm(75, 35, 28), 40, 30, 90, 2, false},
		// t/a = 28/60: 75·0.4667 + 28·0.8844 = 59.76 of 62 mm: tilted.
		{"tilted, sure", mm(75, 35, 28), 60, 40, 62, 2.236, false},
		{"tilted, cannot be told", mm(75, 35, 28), 60, 40, 45, 0, true},
		{"higher than the bay is deep", mm(75, 35, 28), 80, 40, 20, -8, false},
	} {
		e := Enter(c.size, c.long/1e3, c.wide/1e3, c.depth/1e3)
		if math.Abs(e.Room*1e3-c.room) > 0.01 || e.Unsure != c.unsure || e.Say == "" {
			t.Errorf("%s: %.3f mm, unsure %v: %s", c.say, e.Room*1e3, e.Unsure, e.Say)
		}
	}
	// Carver through the hatch: 107 x 34 askew in 100 needs 99.401.
	if e := Enter(mm(107, 34, 20), 0.100, 0.0995, 0.05); e.Room < 0 {
		t.Errorf("%+v", e)
	}
	// A larger hatch or a deeper bay is never worse.
	rapid.Check(t, func(t *rapid.T) {
		g := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		s := r3.Vec{X: g("x", 0.01, 0.1), Y: g("y", 0.01, 0.1), Z: g("z", 0.01, 0.1)}
		a, b, d := g("a", 0.02, 0.12), g("b", 0.02, 0.12), g("d", 0.02, 0.12)
		sure := func(e Entry) bool { return e.Room >= 0 && !e.Unsure }
		if sure(Enter(s, a, b, d)) {
			for _, e := range []Entry{Enter(s, a+0.01, b, d), Enter(s, a, b+0.01, d), Enter(s, a, b, d+0.01), Enter(s, b, a, d)} {
				if !sure(e) {
					t.Errorf("%v goes through %g x %g, depth %g, and not with more: %+v", s, a, b, d, e)
				}
			}
		}
	})
}

func TestHatchAndOrder(t *testing.T) {
	ac := house()
	ac.Inside.Hatches = []craft.Hatch{{Name: "lid", Bay: 0, Side: "top", Long: craft.Length{Value: 0.06}, Wide: craft.Length{Value: 0.03}, At: mm(60, 0, 20)}}
	r := in(ac, "box", "servo", mm(100, 0, 0), mm(50, 20, 20))
	if r["through.thing"].Status != Pass {
		t.Errorf("%+v", r["through.thing"])
	}
	r = in(ac, "box", "servo", mm(100, 0, 0), mm(50, 36, 36))
	if k := r["through.thing"]; k.Status != Fail || len(k.Cures) == 0 || !strings.Contains(k.Cures[0].What+k.Cures[len(k.Cures)-1].What, "hatch lid") {
		t.Errorf("%+v", k)
	}
	// Cutting the lugs cures it.
	ac.Parts = append(ac.Parts[:1:1], craft.Part{Name: "servo", Kind: "servo", At: mm(100, 0, 0), Size: mm(50, 20, 20), Lugs: mm(15, 0, 0), CutLugs: true, SizeKnown: true, Bay: "box"},
		craft.Part{Name: "near", Kind: "receiver", At: mm(62, 0, 10), Size: mm(10, 10, 5), SizeKnown: true, Bay: "box"})
	sh := Assess(ac, Given{})
	for _, k := range sh.Results {
		if k.ID == "through.servo" && (k.Status != Doubtful || !strings.Contains(k.Cures[0].What, "lugs")) {
			t.Errorf("%+v", k)
		}
	}
	if len(sh.Assembly) != 1 || strings.Join(sh.Assembly[0].Parts, ",") != "servo,near" {
		t.Errorf("%+v", sh.Assembly)
	}
}

func TestPlugs(t *testing.T) {
	ac := house()
	part := craft.Part{Name: "esc", Kind: "controller", At: mm(100, 0, 0), Size: mm(60, 30, 12), SizeKnown: true, Bay: "box", Plug: mm(12, 0, 0), Bend: 5e-3}
	ac.Parts = append(ac.Parts, part)
	get := func() Result {
		for _, r := range Assess(ac, Given{}).Results {
			if r.ID == "plug.esc.x" {
				return r
			}
		}
		t.Fatal("no plug judged")
		return Result{}
	}
	// 100 bay, 60 part, 1 clearance: 19 at each end, 17 wanted.
	if r := get(); r.Status != Pass || math.Abs(r.Room-2e-3) > 1e-9 {
		t.Errorf("%+v", r)
	}
	ac.Parts[1].Bend = 9e-3
	if r := get(); r.Status != Fail || math.Abs(r.Room+2e-3) > 1e-9 || len(r.Cures) < 2 {
		t.Errorf("%+v", r)
	}
	// Another part on the only free side.
	ac.Parts[1].Bend = 0
	ac.Parts = append(ac.Parts, craft.Part{Name: "left end", Kind: "other", At: mm(60, 0, 0), Size: mm(10, 20, 20), SizeKnown: true}, craft.Part{Name: "right end", Kind: "other", At: mm(140, 0, 0), Size: mm(10, 20, 20), SizeKnown: true})
	if r := get(); r.Status != Fail || !strings.Contains(r.Because, "stands there") {
		t.Errorf("%+v", r)
	}
}

func TestRoutesGiven(t *testing.T) {
	ac := house()
	ac.Parts = append(ac.Parts,
		craft.Part{Name: "servo", Kind: "servo", At: mm(345, 300, 20)}, craft.Part{Name: "servo", Kind: "servo", At: mm(345, -300, 20), Twin: true},
		craft.Part{Name: "rx", Kind: "receiver", At: mm(250, 0, 20)}, craft.Part{Name: "compass", Kind: "compass", At: mm(200, 0, 0)},
		craft.Part{Name: "pack", Kind: "battery", At: mm(150, 0, 0)}, craft.Part{Name: "esc", Kind: "controller", At: mm(300, 0, 0)})
	ac.Inside.Solids = []craft.SolidBlock{{Name: "spar", Material: "carbon", At: mm(320, 0, 20), Size: mm(9, 900, 9)}}
	ac.Inside.Routes = []craft.Route{{From: "servo", To: "rx", Gauge: -1, Slack: -1, Hole: 6e-3, Plug: 8e-3, Via: []r3.Vec{mm(345, 20, 20)}}}
	got := map[string]Result{}
	look := func() *Sheet {
		sh := Assess(ac, Given{Current: 40, Wire: wires})
		got = map[string]Result{}
		for _, r := range sh.Results {
			got[r.ID] = r
		}
		return sh
	}
	sh := look()
	// Straight through the spar on both sides: said, with the way round it.
	for _, id := range []string{"route.servo.rx", "route.servo (left).rx"} {
		r := got[id]
		if r.Status != Fail || !strings.Contains(r.Because, "spar") || len(r.Cures) != 2 || math.Abs(r.Cures[0].By-4.5e-3) > 1e-9 {
			t.Errorf("%s: %+v", id, r)
		}
	}
	n := 0
	for _, l := range sh.Harness {
		if l.Name == "servo lead" {
			n++
			if !l.Given || !strings.HasPrefix(l.Solder, "after it is drawn through: a plug of 8 mm") || l.Wires != 3 || l.Ends != "3-pin header" {
				t.Errorf("%+v", l)
			}
		}
	}
	if n != 2 {
		t.Errorf("%d servo leads", n)
	}
	// Under the spar it goes.
	ac.Inside.Routes[0].Via = []r3.Vec{mm(345, 20, 8), mm(290, 10, 8)}
	if look(); got["route.servo.rx"].Status != Pass {
		t.Errorf("%+v", got["route.servo.rx"])
	}
	// But not round a corner sharper than it bends.
	ac.Inside.Routes[0].Bend = 0.15
	if look(); got["route.servo.rx"].Status != Fail || len(got["route.servo.rx"].Refs) == 0 {
		t.Errorf("%+v", got["route.servo.rx"])
	}
	// The pack's lead passes the compass: within a hand's breadth it turns it.
	if r := got["apart.compass.main lead"]; r.Status != Fail || len(r.Cures) != 2 {
		t.Errorf("%+v", r)
	}
	ac.Parts[4].At.Z = 0.3
	if look(); got["apart.compass.main lead"].Status != Pass {
		t.Errorf("%+v", got["apart.compass.main lead"])
	}
	// 90 degrees with r = 20 mm takes 20 mm of both pieces.
	if s, _ := sharp([]r3.Vec{{}, mm(30, 0, 0), mm(30, 15, 0)}, 0.02); math.Abs(s-5e-3) > 1e-9 {
		t.Errorf("short by %g", s)
	}
}

func TestClearances(t *testing.T) {
	ac := house()
	ac.Parts = append(ac.Parts, craft.Part{Name: "whip", Kind: "antenna", At: mm(320, 30, 40), Size: mm(2, 2, 30), SizeKnown: true},
		craft.Part{Name: "gps", Kind: "satellite receiver", At: mm(200, 0, 0), Size: mm(20, 20, 5), SizeKnown: true}, craft.Part{Name: "vtx", Kind: "video transmitter", At: mm(260, 0, 0), Size: mm(30, 20, 8), SizeKnown: true})
	ac.Inside.Solids = []craft.SolidBlock{{Name: "spar", Material: "carbon tube", At: mm(320, 0, 20), Size: mm(9, 900, 9)}, {Name: "rib", Material: "balsa", At: mm(300, 30, 20), Size: mm(100, 2, 10)}}
	got := map[string]Result{}
	for _, r := range Assess(ac, Given{}).Results {
		got[r.ID] = r
	}
	if r := got["apart.whip.spar"]; r.Status != Fail {
		t.Errorf("%+v", r)
	}
	if _, ok := got["apart.whip.rib"]; ok {
		t.Error("balsa shades no antenna")
	}
	if r := got["apart.gps.vtx"]; r.Status != Fail || math.Abs(r.Room-(0.035-0.10)) > 1e-9 {
		t.Errorf("%+v", r)
	}
}

func TestMotorDirection(t *testing.T) {
	ac := house()
	ac.Power.Place, ac.Power.Propeller.Right = "pusher", true
	for turns, want := range map[string]Judgement{"clockwise": Pass, "counter-clockwise": Fail} {
		ac.Power.Motor.Turns = turns
		for _, r := range Assess(ac, Given{}).Results {
			if r.ID == "motor-direction" && (r.Status != want || want == Fail && len(r.Cures) == 0) {
				t.Errorf("%s: %+v", turns, r)
			}
		}
	}
}

// A closed pod, by hand: two walls in series and the part's own surface.
func TestPod(t *testing.T) {
	own := cite.Ours.At("p (2/(h A) + t/(k A)) + p/(h a)", cite.Derived)
	// 2 W, wall 0.02 m², 6 mm foam, part 0.004 m², h 10: 2(10 + 8.333) = 36.67 K, and 50 K more.
	a, c := Pod(2, 0.004, 0.02, 0.006, 10)
	check.Row{Topic: "fit", Name: "air in a closed pod over outside", Unit: "K", Source: own}.Near(t, a, 36.667, check.Printed(0.001))
	check.Row{Topic: "fit", Name: "transmitter's case over outside", Unit: "K", Source: own}.Near(t, c, 86.667, check.Printed(0.001))
	if a, c := Pod(0, 0, 0, 0, 10); a != 0 || c != 0 {
		t.Error("no heat, no rise")
	}
	if _, c := Pod(1, 0, 0.02, 0, 10); !math.IsInf(c, 1) {
		t.Error("a part without surface")
	}
	ac := house()
	ac.Inside.Bays[0].Closed = true
	ac.Parts = append(ac.Parts, craft.Part{Name: "vtx", Kind: "video transmitter", At: mm(100, 0, 0), Size: mm(30, 22, 8), SizeKnown: true, Bay: "box", Heat: 3})
	sh := Assess(ac, Given{Air: 293})
	found := false
	for _, r := range sh.Results {
		if r.ID == "heat.vtx" {
			found = true
			if r.Status != Fail || len(r.Cures) != 2 || r.Cures[0].Weakens == "" {
				t.Errorf("%+v", r)
			}
		}
	}
	if !found || len(sh.Heats) != 1 || !(sh.Heats[0].CaseLow < sh.Heats[0].Case && sh.Heats[0].Case < sh.Heats[0].CaseHigh) {
		t.Errorf("%+v", sh.Heats)
	}
}

func TestSpread(t *testing.T) {
	spots := []Spot{{"near", 0.10}, {"far", 0.02}, {"tail", 0.8}}
	// Strength 6.5 with a limit at the far place: 0.6 kg, 165 to 155 mm.
	own := cite.Ours.At("moments about the target", cite.Derived)
	list, why := Spread(0.6, 0.165, 0.155, spots, []float64{0, 0, 0})
	if why != "" || len(list) != 1 || list[0].Spot.Name != "far" {
		t.Fatalf("%+v %s", list, why)
	}
	check.Row{Topic: "weighing", Name: "least ballast among places", Unit: "kg", Source: own}.Near(t, list[0].Mass, 0.04444, check.Printed(1e-5))
	list, why = Spread(0.6, 0.165, 0.155, spots, []float64{0, 0.03, 0})
	if why != "" || len(list) != 2 || list[1].Spot.Name != "near" {
		t.Fatalf("%+v %s", list, why)
	}
	if _, why = Spread(0.6, 0.165, 0.155, spots, []float64{0.001, 0.03, 0}); !strings.Contains(why, "too little") {
		t.Error(why)
	}
	if _, why = Spread(0.6, 0.165, 0.155, spots[2:], []float64{0}); why == "" {
		t.Error("the wrong side")
	}
	if _, why = Spread(0.6, 0.165, 0.155, nil, nil); why == "" {
		t.Error("no place")
	}
	rapid.Check(t, func(t *rapid.T) { // it balances, and no other split is lighter
		g := func(n string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, n) }
		m, cg, target := g("m", 0.2, 2), g("cg", 0.3, 0.4), g("target", 0.2, 0.3)
		s := []Spot{{"a", g("a", 0, 0.15)}, {"b", g("b", 0, 0.15)}}
		most := []float64{g("ma", 0.01, 1), g("mb", 0.01, 1)}
		list, why := Spread(m, cg, target, s, most)
		if why != "" {
			return
		}
		b, bx := 0.0, 0.0
		for _, k := range list {
			b += k.Mass
			bx += k.Mass * k.Spot.X
		}
		if got := (m*cg + bx) / (m + b); math.Abs(got-target) > 1e-9 {
			t.Errorf("balances at %g, want %g", got, target)
		}
		for i := range 21 {
			x := most[0] * float64(i) / 20
			rest := (m*(cg-target) - x*(target-s[0].X)) / (target - s[1].X)
			if rest >= 0 && rest <= most[1] && x+rest < b-1e-9 {
				t.Errorf("%g and %g are lighter than %g", x, rest, b)
			}
		}
	})
}

func TestCheckedOnScales(t *testing.T) {
	ac := &craft.Aircraft{Parts: []craft.Part{
		{Name: "airframe", Kind: "structure", Mass: 0.6, At: r3.Vec{X: 0.4}, Size: mm(500, 100, 50)}, {Name: "battery", Kind: "battery", Mass: 0.2, At: r3.Vec{X: 0.1}, Size: mm(80, 30, 30)},
	}, Ref: craft.Reference{Span: 1}}
	if _, ok := Check(ac); ok {
		t.Error("nothing was weighed")
	}
	ac = ac.Without(func(*craft.Part) bool { return false }) // mass properties made
	ac.Weighing.Scales = []craft.Scale{{At: r3.Vec{X: 0.2}, Reads: 0.470, Sigma: 0.5e-3, PlaceSigma: 0.5e-3}, {At: r3.Vec{X: 0.6}, Reads: 0.350, Sigma: 0.5e-3, PlaceSigma: 0.5e-3}}
	// 820 g at 370.73 mm; the list has 800 g at 325 mm: 20 g at 2.2 m, outside all.
	c, ok := Check(ac)
	if !ok || c.Wrong || math.Abs(c.Missing-0.02) > 1e-9 || math.Abs(c.MissingAt-(0.82*c.CG.X-0.8*0.325)/0.02) > 1e-9 {
		t.Errorf("%+v", c)
	}
	// What is missing and where: as thrown dice have it, list exact, to 5 %.
	stream := rand.New(rand.NewPCG(1, 2))
	var d2, at2 float64
	const n = 4000
	for range n {
		m, x := c.Mass+c.MassSigma*stream.NormFloat64(), c.CG.X+c.Sigma.X*stream.NormFloat64()
		d2 += sq(m - c.Mass)
		at2 += sq((m*x-c.Listed*c.ListedX)/(m-c.Listed) - c.MissingAt)
	}
	if got, want := c.MissingSigma, math.Sqrt(d2/n); math.Abs(got/want-1) > 0.05 {
		t.Errorf("missing ± %g, thrown %g", got, want)
	}
	if got, want := c.MissingAtSigma, math.Sqrt(at2/n); math.Abs(got/want-1) > 0.05 {
		t.Errorf("missing at ± %g, thrown %g", got, want)
	}
	if c.FlightMassSigma != c.MassSigma || c.FlightXSigma != c.Sigma.X {
		t.Errorf("nothing to put back: %+v", c)
	}
	// Without the battery: 600 g at 400 mm, exactly as listed.
	ac.Weighing.Without = []string{"battery"}
	ac.Weighing.Scales[0].Reads, ac.Weighing.Scales[1].Reads = 0.3, 0.3
	c, _ = Check(ac)
	if math.Abs(c.Missing) > 1e-9 || !math.IsNaN(c.MissingAt) || math.Abs(c.FlightX-0.325) > 1e-9 || math.Abs(c.FlightMass-0.8) > 1e-9 {
		t.Errorf("%+v", c)
	}
	// By more than a fifth: one is wrong.
	ac.Weighing.Scales[0].Reads = 0.6
	if c, _ = Check(ac); !c.Wrong || math.Abs(c.Share-0.5) > 1e-9 {
		t.Errorf("%+v", c)
	}
	// A swing that was made from the computed inertia gives it back.
	ac.Weighing.Without = nil
	i := ac.Mass.Inertia[2][2]
	p := Period(i, ac.Mass.Total, 1.5, 0.15)
	ac.Weighing.Swings = []craft.Swing{{About: "yaw", Lines: 2, Length: craft.Length{Value: 1.5}, Radius: craft.Length{Value: 0.15}, Period: craft.Length{Value: p, Sigma: 0.01}, Mass: craft.Length{Value: ac.Mass.Total}}}
	if s := Swings(ac); len(s) != 1 || math.Abs(s[0].Apart) > 1e-9 || !s[0].Agrees || !(s[0].Sigma > 0) {
		t.Errorf("%+v", s)
	}
	// With a plate the plate goes off: both swing together as one.
	pm, pi := 0.3, 0.004
	both := Period(i+pi, ac.Mass.Total+pm, 1.5, 0.15)
	ac.Weighing.Swings[0].Mass = craft.Length{}
	ac.Weighing.Swings[0].HasPlate, ac.Weighing.Swings[0].PlateMass, ac.Weighing.Swings[0].PlatePeriod = true, craft.Length{Value: pm}, craft.Length{Value: Period(pi, pm, 1.5, 0.15)}
	ac.Weighing.Swings[0].Period.Value = both
	if s := Swings(ac); math.Abs(s[0].Apart) > 1e-9 {
		t.Errorf("%+v", s)
	}
}
