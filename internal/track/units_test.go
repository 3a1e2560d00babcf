package track

import "testing"

// Every unit offered for a column is one that is read, of the channel's kind.
func TestColumnUnits(t *testing.T) {
	n := 0
	for _, c := range Channels() {
		for _, u := range ColumnUnits(c) {
			n++
			if got, ok := csvUnits[u.Unit]; u.Unit != "" && (!ok || got.k != chKind[c] || got.f != u.Factor) {
				t.Errorf("%s in %q: %v", c, u.Unit, u)
			}
			if u.Factor == 0 {
				t.Errorf("%s in %q: no factor", c, u.Unit)
			}
		}
	}
	if n < 40 {
		t.Errorf("only %d units", n)
	}
}
