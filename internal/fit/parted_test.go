package fit

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/craft"
)

// Two parts in one place are parted by the smallest move that meets nothing
// else and stays within what may be moved; where there is none the words stand
// alone.
func TestParted(t *testing.T) {
	box := func(name string, x, z float64) craft.Part {
		at := r3.Vec{X: x, Z: z}
		return craft.Part{Name: name, Kind: "other", Mass: 0.05, At: at, MinAt: at, MaxAt: at, Size: r3.Vec{X: 0.06, Y: 0.03, Z: 0.02}, SizeKnown: true}
	}
	ac := &craft.Aircraft{Parts: []craft.Part{box("pack", 0.20, 0), box("controller", 0.205, 0.001)}}
	find := func() Result {
		for _, r := range Assess(ac, Given{}).Results {
			if strings.HasPrefix(r.ID, "clash.") {
				return r
			}
		}
		return Result{}
	}
	r := find()
	if r.Status != Fail || len(r.Cures) != 1 || len(r.Cures[0].Set) != 1 {
		t.Fatalf("two boxes in one place: %+v", r)
	}
	// 19 mm in height part them; a millimetre less does not.
	if c := r.Cures[0]; !strings.HasSuffix(c.Set[0], ".at.z=20 mm") && !strings.HasSuffix(c.Set[0], ".at.z=-19 mm") || r.First() != c.What+` (--set "`+c.Set[0]+`")` {
		t.Errorf("the smallest move: %+v", c)
	}
	// A lid above and a floor below: along x it goes.
	ac.Inside.Solids = []craft.SolidBlock{
		{Name: "lid", At: r3.Vec{X: 0.2, Z: 0.03}, Size: r3.Vec{X: 0.5, Y: 0.1, Z: 0.03}}, {Name: "floor", At: r3.Vec{X: 0.2, Z: -0.03}, Size: r3.Vec{X: 0.5, Y: 0.1, Z: 0.03}},
	}
	if r := find(); !strings.Contains(r.Cures[0].Set[0], ".at.x=") {
		t.Errorf("between lid and floor: %+v", r.Cures)
	}
}

// Parts nearer than is usual: the smallest move, which part, which way and how
// far, that keeps every other distance, the bay and the range it may move in.
func TestApart(t *testing.T) {
	box := func(name, kind string, x float64) craft.Part {
		at := r3.Vec{X: x}
		return craft.Part{Name: name, Kind: kind, Mass: 0.02, At: at, MinAt: at, MaxAt: at, Size: r3.Vec{X: 0.04, Y: 0.02, Z: 0.01}, SizeKnown: true}
	}
	// 60 mm between receiver and transmitter, 100 are usual: 40 are missing.
	ac := &craft.Aircraft{Parts: []craft.Part{box("receiver", "receiver", 0.30), box("picture sender", "video transmitter", 0.40)}}
	find := func() Result {
		for _, r := range Assess(ac, Given{}).Results {
			if strings.HasPrefix(r.ID, "apart.receiver.picture") {
				return r
			}
		}
		return Result{}
	}
	for _, k := range []struct {
		what string
		do   func()
		want string // the --set string; "" when no single move does
		say  string
	}{
		{"free on both sides", func() {}, "parts.receiver.at.x=260 mm", "move receiver 40 mm forward to x = 260 mm"},
		{"a controller 85 mm ahead of it, 50 are usual: the sender moves", func() { ac.Parts = append(ac.Parts, box("esc", "controller", 0.175)) }, "parts.picture sender.at.x=440 mm", "move picture sender 40 mm aft to x = 440 mm"},
		{"the sender may move by 20 mm only, the receiver not at all forward", func() {
			ac.Parts[1].MinAt.X, ac.Parts[1].MaxAt.X = 0.38, 0.42
			ac.Parts[0].MinAt.X, ac.Parts[0].MaxAt.X = 0.30, 0.32
			floor := craft.SolidBlock{Name: "floor", At: r3.Vec{X: 0.3, Z: -0.02}, Size: r3.Vec{X: 1, Y: 0.1, Z: 0.02}}
			lid := craft.SolidBlock{Name: "lid", At: r3.Vec{X: 0.3, Z: 0.02}, Size: r3.Vec{X: 1, Y: 0.1, Z: 0.02}}
			ac.Inside.Solids = []craft.SolidBlock{floor, lid}
		}, "", "move them apart by 40 mm: no move of one of them alone finds the room"},
	} {
		k.do()
		r := find()
		if r.Status != Fail || len(r.Cures) != 1 || strings.Join(r.Cures[0].Set, " ") != k.want || !strings.HasPrefix(r.Cures[0].What, k.say) {
			t.Fatalf("%s: %+v", k.what, r)
		}
		if k.want == "" {
			continue
		}
		// Done, it stands as far as is usual, and nothing else is nearer.
		n := 0
		if strings.Contains(k.want, "sender") {
			n = 1
		}
		was := ac.Parts[n]
		ac.Parts[n].At.X += map[int]float64{0: -0.04, 1: 0.04}[n]
		for _, r := range Assess(ac, Given{}).Results {
			if strings.HasPrefix(r.ID, "apart.") && r.Status != Pass {
				t.Errorf("%s: after the move %+v", k.what, r)
			}
		}
		ac.Parts[n] = was
	}
}
