package section

import (
	"fmt"
	"math"
	"os"
	"sort"
	"testing"

	"fledge/internal/check"
)

// run is one measured sweep.
type run struct {
	re            float64
	alpha, cl, cd []float64
	low, high, cm []float64
	up            int // points of the rising sweep
}

func runs(t testing.TB, file, kind string) []run {
	var out []run
	last := ""
	group := func(re float64) string { return fmt.Sprintf("%.1g", re) }
	for _, r := range check.CSV(t, check.RefFile(file)) {
		if r["kind"] != kind {
			continue
		}
		re := check.Number(t, r, "Re")
		key := group(re)
		if kind == "lift" {
			key = r["run"]
		}
		if key != last {
			out = append(out, run{re: re})
			last = key
		}
		q := &out[len(out)-1]
		q.alpha = append(q.alpha, check.Number(t, r, "alpha_deg"))
		q.cl = append(q.cl, check.Number(t, r, "cl"))
		if kind == "drag" {
			q.cd = append(q.cd, check.Number(t, r, "cd"))
			q.low = append(q.low, check.Number(t, r, "cd_min"))
			q.high = append(q.high, check.Number(t, r, "cd_max"))
		}
	}
	for i := range out {
		q := &out[i]
		for q.up = 1; q.up < len(q.alpha) && q.alpha[q.up] > q.alpha[q.up-1]-1; q.up++ {
		}
	}
	return out
}

func degrees(from, to, step float64) []float64 {
	var out []float64
	for a := from; a <= to+1e-9; a += step {
		out = append(out, a*deg)
	}
	return out
}

// interpolate in the rising part of a polar.
func lookup(x, y []float64, at float64) float64 {
	for i := 1; i < len(x); i++ {
		if (at-x[i-1])*(at-x[i]) <= 0 && x[i] != x[i-1] {
			return y[i-1] + (y[i]-y[i-1])*(at-x[i-1])/(x[i]-x[i-1])
		}
	}
	return math.NaN()
}

func TestCompare(t *testing.T) {
	if os.Getenv("SECTION_COMPARE") == "" {
		t.Skip()
	}
	for _, f := range []string{"clarky", "sd7003"} {
		sh := refShape(t, "aerodynamics-"+f+"-coordinates.csv")
		for _, r := range runs(t, "aerodynamics-"+f+"-polars.csv", "drag") {
			p := Solve(sh, Condition{Re: r.re}, degrees(-6, 18, 1))
			var al, cl, cd []float64
			n := 0
			for _, q := range p.Points {
				if q.Status == OK && q.Alpha <= p.AlphaMax+0.01 {
					al, cl, cd = append(al, q.Alpha), append(cl, q.Cl), append(cd, q.Cd)
				}
				if q.Status == OK {
					n++
				}
			}
			sum, worst, k, bias := 0.0, 0.0, 0.0, 0.0
			line := ""
			for i := range r.cl {
				c := lookup(cl, cd, r.cl[i])
				if r.cl[i] < -0.01 || r.cl[i] > 1.1 {
					continue
				}
				e := c/r.cd[i] - 1
				line += fmt.Sprintf(" %.2f:%+.0f", r.cl[i], e*100)
				if math.IsNaN(e) {
					continue
				}
				sum += math.Abs(e)
				bias += e
				k++
				worst = math.Max(worst, math.Abs(e))
			}
			// lift
			var lr run
			for _, q := range runs(t, "aerodynamics-"+f+"-polars.csv", "lift") {
				if math.Abs(q.re/r.re-1) < 0.05 {
					lr = q
				}
			}
			ml, mw := 0.0, 0.0
			mx, ma := 0.0, 0.0
			cnt := 0.0
			for i := range lr.up {
				if lr.cl[i] > mx {
					mx, ma = lr.cl[i], lr.alpha[i]
				}
				if lr.alpha[i] > -4 && lr.alpha[i] < 8 {
					d := lookup(al, cl, lr.alpha[i]*deg) - lr.cl[i]
					ml += d
					cnt++
					if math.Abs(d) > math.Abs(mw) {
						mw = d
					}
				}
			}
			fmt.Printf("%s %.0f conv %d/%d cd mean %.1f%% bias %+.1f worst %.0f | cl bias %+.3f worst %+.3f | clmax %.3f@%.1f meas %.3f@%.1f |%s\n", f, r.re, n, len(p.Points), sum/k*100, bias/k*100, worst*100, ml/cnt, mw, p.ClMax, p.AlphaMax/deg, mx, ma, line)
		}
	}
	_ = sort.Float64s
}
