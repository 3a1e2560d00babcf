package section

import (
	"fmt"
	"math"
	"testing"
)

func TestTry(t *testing.T) {
	for _, f := range []string{"aerodynamics-sd7003-coordinates.csv"} {
		sh := refShape(t, f)
		for _, re := range []float64{6.1e4, 1e5, 2e5, 3e5, 4e5} {
			s := newSolver(sh, Condition{Re: re}.filled())
			for _, dir := range []float64{1, -1} {
				var p *couple
				last := 0.0
				fails := 0
				for a := 0.0; math.Abs(a) < 19; a += dir {
					var q *couple
					if p == nil {
						q = s.start(a * deg)
					} else {
						q = s.from(p, last, a*deg, 2)
					}
					if q == nil {
						fmt.Printf("Re %g a %g fail\n", re, a)
						fails++
						if fails > 3 {
							break
						}
						continue
					}
					p, last = q, a*deg
					pt := q.result(a * deg)
					fmt.Printf("Re %g a %5.1f cl %.4f cm %.4f cd %.5f up %.3f low %.3f\n", re, a, pt.Cl, pt.Cm, pt.Cd, pt.Upper.Transition, pt.Lower.Transition)
				}
			}
		}
	}
}
