package paper

import (
	"fmt"
	"testing"

	"fledge/internal/report"
)

// A short table is not torn by the end of a column; a long one repeats its head
// where it goes on, and leaves no single row behind.
func TestTablesAtTheEndOfAColumn(t *testing.T) {
	const high = 4.0
	make := func(rows int) *report.Table {
		out := &report.Table{Head: []string{"what", "is"}}
		for i := range rows {
			out.Rows = append(out.Rows, []string{fmt.Sprint("row ", i), "x"})
		}
		return out
	}
	for _, n := range []int{1, 2, whole, whole + 1, 30} {
		b := table(make(n))
		if len(b) != n+1 || !b[0].keep || b[n].keep {
			t.Fatalf("%d rows: %d blocks", n, len(b))
		}
		for i := range b[1:n] {
			k := i + 1
			if want := n <= whole || k == 1 || k == n-1; b[k].keep != want {
				t.Errorf("%d rows: row %d stays with the next: %v", n, k, b[k].keep)
			}
		}
		// flow with blocks of one height: count what is set in each column
		heads, rows := []int{0, 0, 0, 0}, []int{0, 0, 0, 0}
		col := 0
		count := func(i int, list []int) block {
			return block{keep: b[i].keep, lay: func(_ *ink, x, _, _ float64, put bool) float64 {
				if put {
					col = int(x)
					list[col]++
				}
				return high
			}}
		}
		head := count(0, heads)
		set := []block{{lay: func(*ink, float64, float64, float64, bool) float64 { return 3 * high }}, head}
		for i := 1; i <= n; i++ {
			r := count(i, rows)
			if b[i].head != nil {
				r.head = &head
			}
			set = append(set, r)
		}
		k := &ink{}
		cols := []column{{0, 0, 1, 12 * high}, {1, 0, 1, 12 * high}, {2, 0, 1, 12 * high}, {3, 0, 1, 12 * high}}
		if got := k.flow(cols, set, true); got != len(set) {
			t.Fatalf("%d rows: %d of %d set", n, got, len(set))
		}
		sum := 0
		for c := range rows {
			sum += rows[c]
			if rows[c] > 0 && heads[c] != 1 || rows[c] == 1 && n > 1 {
				t.Errorf("%d rows: column %d has %d rows under %d heads", n, c, rows[c], heads[c])
			}
			if heads[c]+rows[c] > 12 {
				t.Errorf("%d rows: column %d overflows", n, c)
			}
		}
		if sum != n {
			t.Errorf("%d rows: %d set", n, sum)
		}
	}
}
