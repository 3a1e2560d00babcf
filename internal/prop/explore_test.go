package prop

import (
	"fmt"
	"math"
	"os"
	"sort"
	"testing"
)

// wrapped generic: shift alpha, scale slope and drag.
type tweak struct{ da, sl, kd, kd2 float64 }

func (w tweak) At(a, re, m, t float64) (float64, float64) {
	cl, cd := Generic.At(a+w.da*deg, re, m, t)
	x := math.Abs(a) / deg
	f := 1.0
	if x > 20 {
		f = math.Max(0, 1-(x-20)/10)
	}
	cl *= 1 + (w.sl-1)*f
	cd *= 1 + (w.kd-1)*f
	cd += w.kd2 * f * math.Max(0, cl-0.6) * math.Max(0, cl-0.6)
	return cl, cd
}

func TestTweak(t *testing.T) {
	if os.Getenv("TWEAK") == "" {
		t.Skip()
	}
	ps := loadTested(t)
	var codes []string
	for c := range ps {
		codes = append(codes, c)
	}
	sort.Strings(codes)
	for _, c := range codes {
		p := ps[c]
		b := loadBlade(t, c, p.d, p.blades)
		if b == nil {
			continue
		}
		cost := func(w tweak) (float64, float64, float64) {
			r := New(b, Options{Section: w, Elements: 16})
			s, ect, ecp, at, ap := 0.0, 0.0, 0.0, 0.0, 0.0
			for i := range p.rpm {
				if i%3 != 0 && p.j[i] > 0 {
					continue
				}
				om := p.rpm[i] / 60 * 2 * math.Pi
				l := r.At(p.j[i]*p.rpm[i]/60*p.d, om, lab)
				s += math.Pow((l.CT-p.ct[i])/0.1, 2) + math.Pow((l.CP-p.cp[i])/0.07, 2)
				ect += math.Abs(l.CT - p.ct[i])
				ecp += math.Abs(l.CP - p.cp[i])
				at += math.Abs(p.ct[i])
				ap += p.cp[i]
			}
			return s, ect / at, ecp / ap
		}
		w := tweak{0, 1, 1, 0}
		step := []float64{1, 0.1, 0.3, 0.2}
		best, _, _ := cost(w)
		for it := 0; it < 30; it++ {
			imp := false
			for k := 0; k < 4; k++ {
				for _, sg := range []float64{1, -1} {
					z := w
					switch k {
					case 0:
						z.da += sg * step[0]
					case 1:
						z.sl += sg * step[1]
					case 2:
						z.kd += sg * step[2]
					case 3:
						z.kd2 += sg * step[3]
					}
					if cc, _, _ := cost(z); cc < best {
						best, w, imp = cc, z, true
					}
				}
			}
			if !imp {
				for k := range step {
					step[k] /= 2
				}
			}
		}
		_, a, bb := cost(w)
		fmt.Printf("%-20s da %+.2f slope %.2f kd %.2f kd2 %.2f  CT %.1f%% CP %.1f%%\n", c, w.da, w.sl, w.kd, w.kd2, 100*a, 100*bb)
	}
}
