package prop

import (
	"fmt"
	"math"
	"os"
	"sort"
	"testing"
)

func TestCombos(t *testing.T) {
	if os.Getenv("COMBO") == "" {
		t.Skip()
	}
	ps := loadTested(t)
	var codes []string
	for c := range ps {
		codes = append(codes, c)
	}
	sort.Strings(codes)
	type cfg struct {
		name string
		o    Options
		th   float64 // multiplies default thickness
	}
	cfgs := []cfg{{"base", Options{}, 1}}
	for _, kk := range [][4]float64{{}} {
		fmt.Println(kk)
		for _, cf := range cfgs {
			fmt.Printf("== %s %v\n", cf.name, cf.th)
			var mean [5]float64
			n := 0.0
			for _, c := range codes {
				p := ps[c]
				b := loadBlade(t, c, p.d, p.blades)
				if b == nil {
					continue
				}
				b.Thick = nil
				for _, x := range b.X {
					b.Thick = append(b.Thick, cf.th*math.Min(0.12+(0.085-0.12)*(x-0.3)/0.7, 0.16))
				}
				r := New(b, cf.o)
				var st, adv, re [5]float64
				for i := range p.rpm {
					om := p.rpm[i] / 60 * 2 * math.Pi
					l := r.At(p.j[i]*p.rpm[i]/60*p.d, om, lab)
					a := &adv
					if p.j[i] == 0 {
						a = &st
					}
					a[0] += l.CT - p.ct[i]
					a[1] += l.CP - p.cp[i]
					a[2] += p.ct[i]
					a[3] += p.cp[i]
					_ = re
				}
				fmt.Printf("   %-20s st CT %+5.1f CP %+5.1f | adv CT %+5.1f CP %+5.1f\n", c, 100*st[0]/st[2], 100*st[1]/st[3], 100*adv[0]/adv[2], 100*adv[1]/adv[3])
				for k, v := range []float64{st[0] / st[2], st[1] / st[3], adv[0] / adv[2], adv[1] / adv[3]} {
					mean[k] += v
				}
				n++
			}
			fmt.Printf("   mean st CT %+5.1f CP %+5.1f | adv CT %+5.1f CP %+5.1f\n", 100*mean[0]/n, 100*mean[1]/n, 100*mean[2]/n, 100*mean[3]/n)
		}
	}
}
