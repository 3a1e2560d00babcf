package section

import (
	"fmt"
	"testing"
)

func TestDbg(t *testing.T) {
	sh := refShape(t, "aerodynamics-sd7003-coordinates.csv")
	for _, np := range []int{120, 160, 240, 320} {
		p := Solve(sh, Condition{Re: 2.02e5, Panels: np}, degrees(0, 14, 1))
		for _, q := range p.Points {
			if q.Alpha > 7.5*deg {
				fmt.Printf("%d a %.0f cl %.4f cd %.5f tr %.4f bub %.4f %.4f sep %.3f %s\n", np, q.Alpha/deg, q.Cl, q.Cd, q.Upper.Transition, q.Upper.BubbleFrom, q.Upper.BubbleTo, q.Upper.Separation, q.Status)
			}
		}
	}
	s := newSolver(sh.opened(builtEdge), Condition{Re: 2.02e5}.filled())
	p := s.reach(s.start(2*deg), 2*deg, 9*deg)
	for i := p.stag; i > 0; i-- {
		s := p.st[i]
		if i > 30 {
			fmt.Printf("%3d x %.4f u %.4f th %.6f H %.3f c %.4f k %d Rth %.0f\n", i, p.o.x[i], s.u, s.th, s.m/s.u/s.th, s.c, p.kind[i], s.u*s.th*p.re)
		}
	}
}
