package section

import (
	"fmt"
	"testing"
)

func TestDbg3(t *testing.T) {
	for _, c := range []struct {
		fl, re, a float64
	}{{0, 1.25e5, -3}, {0, 1.25e5, 6}, {.1, 1.25e5, 3}, {.2, 65000, -2}, {-.2, 5e5, 8}, {0.1, 1.1e6, 3},{0,5e5,0},{0,5e5,-1}} {
		sh := must(t, "2409")
		if c.fl != 0 {
			sh = sh.WithFlap(0.75, c.fl)
		}
		for _, np := range []int{100, 160} {
			o := newOutline(sh.opened(builtEdge), np)
			s := &solver{o: o, f: flow{c.re, 8.15}, trip: [2]float64{1, 1}}
			p := newCouple(s.o)
			p.set(c.a*deg, s.f, s.trip)
			p.begin()
			fmt.Println("case", c, np)
			line := ""
			for it := range 30 {
				r := p.newton()
				line += fmt.Sprintf(" %.0e/%d,%.3f,%.3f,%.1f", r, p.worst, p.tran[0], p.tran[1], p.relax)
				if r < 2e-5 {
					line += "OK"
					break
				}
				_ = it
			}
			fmt.Println(line)
		}
	}
}
