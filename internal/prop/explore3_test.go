package prop

import (
	"fmt"
	"math"
	"os"
	"testing"
)

func TestFamilies(t *testing.T) {
	if os.Getenv("FAM") == "" {
		t.Skip()
	}
	ps := loadTested(t)
	for _, c := range []struct {
		code string
		d, p float64
		b    int
		st   string
	}{{"apcsp_7.0x6.0_B2", 7, 6, 2, "sport"}, {"apcff_4.2x4.0_B2", 4.2, 4, 2, "thin"}, {"da4002_5.0x3.75_B2", 5, 3.75, 2, "sport"}, {"da4002_5.0x1.58_B2", 5, 1.58, 2, "sport"}, {"da4022_9.0x6.75_B2", 9, 6.75, 2, "slow"}, {"da4022_9.0x6.75_B3", 9, 6.75, 3, "slow"}, {"da4002_9.0x6.75_B2", 9, 6.75, 2, "sport"}, {"nr640_9x5.68_B2", 9, 5.68, 2, "thin"}} {
		p := ps[c.code]
		b, _ := Family(c.d*.0254, c.p*.0254, c.b, c.st)
		r := New(b, Options{})
		var a [2][4]float64
		top := 0.0
		for i := range p.rpm {
			om := p.rpm[i] / 60 * 2 * math.Pi
			l := r.At(p.j[i]*p.rpm[i]/60*p.d, om, lab)
			k := 1
			if p.j[i] == 0 {
				k = 0
			} else {
				top = math.Max(top, p.rpm[i])
			}
			a[k][0] += l.CT - p.ct[i]
			a[k][1] += l.CP - p.cp[i]
			a[k][2] += p.ct[i]
			a[k][3] += p.cp[i]
		}
		fmt.Printf("%-20s %s st CT %+5.1f CP %+5.1f | adv CT %+5.1f CP %+5.1f J0 %.3f\n", c.code, c.st, 100*a[0][0]/a[0][2], 100*a[0][1]/a[0][3], 100*a[1][0]/a[1][2], 100*a[1][1]/a[1][3], zeroThrust(r, top))
	}
	for _, c := range []struct {
		b  int
		p  float64
		ct float64
	}{{3, 4, .146}, {3, 4.5, .167}, {2, 4, .127}, {4, 4, .194}, {2, 4.5, .148}} {
		b, _ := Family(.127, c.p*.0254, c.b, "sport")
		r := New(b, Options{})
		l := r.At(0, 17500*2*math.Pi/60, lab)
		l2 := r.At(0, 14000*2*math.Pi/60, lab)
		fmt.Printf("%d %.1f CT %.4f %.4f want %.4f CP %.4f\n", c.b, c.p, l.CT, l2.CT, c.ct, l.CP)
	}
}
