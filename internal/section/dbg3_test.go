package section

import (
	"fmt"
	"testing"
)

func TestDbg3(t *testing.T) {
	s := newSolver(must(t, "0012").opened(builtEdge), Condition{Re: 3e6}.filled())
	p := newCouple(s.o)
	p.set(3*deg, s.f, s.trip)
	p.begin()
	for it := range 25 {
		r := p.newton()
		fmt.Printf("%d rms %.2g tr %.4f %.4f relax %.2g worst %d kind %d stag %d\n", it, r, p.tran[0], p.tran[1], p.relax, p.worst, p.kind[p.worst], p.stag)
	}
	for i := 0; i < p.n; i++ {
		s := p.st[i]
		if i > 40 && i < 130 {
			fmt.Printf("%3d x %.4f u %.4f th %.6f H %.3f c %.4f k %d Rth %.0f | %.2g %.2g %.2g %.2g\n", i, p.o.x[i], s.u, s.th, s.m/s.u/s.th, s.c, p.kind[i], s.u*s.th*p.re, p.dc[i], p.dt[i]/s.th, p.dm[i]/s.m, p.du[i])
		}
	}
}
