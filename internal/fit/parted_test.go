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
	if r.Status != Fail || len(r.Cures) != 1 || r.Cures[0].Set == "" {
		t.Fatalf("two boxes in one place: %+v", r)
	}
	// 19 mm in height part them; a millimetre less does not.
	if c := r.Cures[0]; !strings.HasSuffix(c.Set, ".at.z=20 mm") && !strings.HasSuffix(c.Set, ".at.z=-19 mm") || r.First() != c.What+` (--set "`+c.Set+`")` {
		t.Errorf("the smallest move: %+v", c)
	}
	// A lid above and a floor below: along x it goes.
	ac.Inside.Solids = []craft.SolidBlock{
		{Name: "lid", At: r3.Vec{X: 0.2, Z: 0.03}, Size: r3.Vec{X: 0.5, Y: 0.1, Z: 0.03}}, {Name: "floor", At: r3.Vec{X: 0.2, Z: -0.03}, Size: r3.Vec{X: 0.5, Y: 0.1, Z: 0.03}},
	}
	if r := find(); !strings.Contains(r.Cures[0].Set, ".at.x=") {
		t.Errorf("between lid and floor: %+v", r.Cures)
	}
}
