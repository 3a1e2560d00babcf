package section

import (
	"fmt"
	"os"
	"testing"
)

func TestDbg(t *testing.T) {
	if os.Getenv("SECTION_COMPARE") == "" {
		t.Skip()
	}
	tot := 0
	for _, fl := range []float64{-.2, -.1, 0, .1, .2} {
		sh := must(t, "2409")
		if fl != 0 {
			sh = sh.WithFlap(0.75, fl)
		}
		o := newOutline(sh.opened(builtEdge), 100)
		for _, re := range []float64{3e4, 6.5e4, 1.25e5, 2.5e5, 5e5, 1.1e6} {
			s := &solver{o: o, f: flow{re, 8.15}, trip: [2]float64{1, 1}, brief: true}
			p := blank(sh, Condition{Re: re}, degrees(-20, 20, 1))
			s.sweep(t.Context(), sh, p.Points)
			line := ""
			for _, q := range p.Points {
				c := "-"
				if q.Status == OK {
					c = "o"
				} else if q.Status == NotConverged {
					c = "X"
					tot++
				}
				line += c
			}
			fmt.Printf("%5.2f %8.0f %s\n", fl, re, line)
		}
	}
	fmt.Println(tot)
}
