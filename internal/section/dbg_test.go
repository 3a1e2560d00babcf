package section

import (
	"fmt"
	"testing"
)

func dump(p *couple) {
	for i := 0; i < p.m; i++ {
		if i%3 != 0 && i > 6 && i < p.n-6 {
			continue
		}
		s := p.st[i]
		x := 0.0
		if i < p.n {
			x = p.o.x[i]
		} else {
			x = p.w.x[i-p.n]
		}
		d := s.m / s.u
		fmt.Printf("%3d x %.4f u %.4f th %.6f d* %.6f H %.3f c %.4f k %d Rth %.0f\n", i, x, s.u, s.th, d, (d-p.dead[i])/s.th, s.c, p.kind[i], s.u*s.th*p.re)
	}
}

func TestDbg(t *testing.T) {
	s := newSolver(must(t, "0012"), Condition{Re: 6e6, TripUpper: 0.02, TripLower: 0.02}.filled())
	p := s.start(10 * deg)
	r := p.result(10 * deg)
	fmt.Println(r.Cl, r.Cd)
	dump(p)
	s = newSolver(refShape(t, "aerodynamics-clarky-coordinates.csv"), Condition{Re: 2e5}.filled())
	p = s.start(4 * deg)
	r = p.result(4 * deg)
	fmt.Println(r.Cl, r.Cd)
	dump(p)
}
