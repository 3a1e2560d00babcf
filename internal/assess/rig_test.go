package assess

import (
	"context"
	"math"
	"testing"
)

// TestRig compares the quick judgement of a changed linkage with a full run.
func TestRig(t *testing.T) {
	c := chainOf(t, "tern.yaml")
	opt := Options{Seed: 1, Draws: 24, Workers: 2, NoLaunch: true, NoFit: true}
	base, err := c.Run(context.Background(), opt)
	if err != nil {
		t.Fatal(err)
	}
	turned := 0
	for i := range c.Aircraft.Knobs {
		k := &c.Aircraft.Knobs[i]
		if k.Path != "linkages.ruddervator.arm" && k.Path != "parts.battery.at.x" {
			continue
		}
		turned++
		ac, ok := c.Aircraft.Turn(k.Path, k.Value*0.9)
		if !ok {
			t.Fatalf("%s does not turn", k.Path)
		}
		rig := k.Path != "parts.battery.at.x"
		if c.Rigged(ac) != rig {
			t.Errorf("%s: rigged alike: %v, want %v", k.Path, !rig, rig)
		}
		if !rig {
			continue
		}
		n, err := c.For(ac)
		if err != nil {
			t.Fatal(err)
		}
		quick := n.Rig(base)
		full, err := n.Run(context.Background(), opt)
		if err != nil {
			t.Fatal(err)
		}
		if len(quick.Strength) != len(full.Strength) {
			t.Fatalf("%d results, %d in full", len(quick.Strength), len(full.Strength))
		}
		for j, q := range quick.Strength {
			f := full.Strength[j]
			if d := math.Abs(q.Value - f.Value); q.ID != f.ID || d > 1e-3*math.Abs(f.Value)+1e-9 {
				t.Errorf("%s: %v quickly, %s: %v in full", q.ID, q.Value, f.ID, f.Value)
			}
		}
	}
	if turned != 2 {
		t.Errorf("%d knobs turned", turned)
	}
}
