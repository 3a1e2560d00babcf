package assess

import (
	"context"
	"testing"

	"fledge/internal/control"
	"fledge/internal/strength"
)

// A pack that cannot carry the drive: its cells sag under the cut-off at full
// throttle, which is a finding, and no time flat out is promised of it. A pack
// that sags there only when it is half empty is flown flat out until then.
func TestSag(t *testing.T) {
	run := func(cell string) (strength.Result, Numbers) {
		ac := example(t, "tern.yaml", "power.battery.cell_resistance="+cell)
		c, err := NewChain(ac)
		if err != nil {
			t.Fatal(err)
		}
		r, err := c.Run(context.Background(), Options{Launches: 8, Draws: 16, Scope: Loading, NoHeat: true})
		if err != nil {
			t.Fatal(err)
		}
		d := c.Nominal()
		for _, s := range strength.Assess(ac, c.Loads(r)) {
			if s.ID == "current.cells" {
				return s, c.Numbers(&d)
			}
		}
		t.Fatal("no word on the voltage of the cells")
		panic("")
	}
	good, whole := run("4 mohm")
	if good.Status != control.Pass || !(good.Value > 3.7 && good.Value < 4.1) {
		t.Errorf("4 mohm a cell: %s, %.2f V", good.Status, good.Value)
	}
	_, some := run("14 mohm")
	if a, b := whole[FastEndurance].V, some[FastEndurance].V; !(b > 0 && b < 0.8*a) {
		t.Errorf("flat out %.0f s with good cells, %.0f s with tired ones", a, b)
	}
	bad, none := run("60 mohm")
	if bad.Status != control.Fail || !(bad.Value < 3.2) || none[FastEndurance].V != 0 {
		t.Errorf("60 mohm a cell: %s, %.2f V, flat out %.0f s", bad.Status, bad.Value, none[FastEndurance].V)
	}
}
