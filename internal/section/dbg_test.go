package section

import (
	"fmt"
	"os"
	"testing"
	"time"
)

func TestDbg(t *testing.T) {
	if os.Getenv("SECTION_COMPARE") == "" {
		t.Skip()
	}
	for _, np := range []int{100, 160} {
		total, fails, iters := 0, 0, 0
		t0 := time.Now()
		for _, f := range []string{"sd7003", "clarky", "0012", "23112", "4409"} {
			var sh *Shape
			if len(f) > 5 {
				sh = refShape(t, "aerodynamics-"+f+"-coordinates.csv")
			} else {
				sh = must(t, f)
			}
			fmt.Print(f)
			for _, re := range []float64{5e4, 2e5, 8e5, 3e6} {
				Iterations = 0
				p := Solve(sh, Condition{Re: re, Panels: np}, degrees(-6, 14, 1))
				bad := 0
				list := ""
				for _, q := range p.Points {
					total++
					if q.Status != OK {
						bad++
						list += fmt.Sprintf(" %.0f", q.Alpha/deg)
					}
				}
				fails += bad
				iters += Iterations
				fmt.Printf(" | %g bad %d it %d (%s)", re, bad, Iterations/len(p.Points), list)
			}
			fmt.Println()
		}
		fmt.Println("SUM", np, total, "fails", fails, "iterations", iters, time.Since(t0))
	}
}
