package tune

import (
	"math"
	"testing"
)

func lesson() Lesson {
	return Lesson{Aeroplane: "Tern", Factors: Set{
		{Name: "drag", Component: "a", Value: 1.1, Sigma: 0.05}, {Name: "thrust", Component: "p", Value: 0.9, Sigma: 0.02}, {Name: "kv", Component: "m", Value: 1, Sigma: 0.01},
	}, Corr: [][]float64{{1, 0.8, -0.3}, {0.8, 1, 0.1}, {-0.3, 0.1, 1}}}
}

func TestRoot(t *testing.T) {
	corr := lesson().Corr
	l, ok := Root(corr)
	if !ok {
		t.Fatal("no root")
	}
	for i := range corr {
		for j := range corr {
			s := 0.0
			for k := range corr {
				s += l[i][k] * l[j][k]
			}
			if math.Abs(s-corr[i][j]) > 1e-14 {
				t.Errorf("L Lᵀ at %d, %d is %g, not %g", i, j, s, corr[i][j])
			}
		}
	}
	if _, ok := Root([][]float64{{1, 0.9, 0.9}, {0.9, 1, -0.9}, {0.9, -0.9, 1}}); ok {
		t.Error("correlations that cannot be have a root")
	}
	if l, ok := Root([][]float64{{1, 1}, {1, 1}}); !ok || l[1][1] != 0 {
		t.Errorf("two factors that are one: %v %v", l, ok)
	}
}

func TestCheck(t *testing.T) {
	good := lesson()
	if why := good.Check(); why != "" {
		t.Error(why)
	}
	for name, spoil := range map[string]func(*Lesson){
		"no name":      func(l *Lesson) { l.Factors[0].Name = "" },
		"twice":        func(l *Lesson) { l.Factors[1].Name = "drag" },
		"not a number": func(l *Lesson) { l.Factors[0].Value = math.NaN() },
		"below zero":   func(l *Lesson) { l.Factors[0].Value = -1 },
		"spread":       func(l *Lesson) { l.Factors[0].Sigma = -1 },
		"one row less": func(l *Lesson) { l.Corr = l.Corr[:2] },
		"lopsided":     func(l *Lesson) { l.Corr[0][1] = 0.7 },
		"beyond one":   func(l *Lesson) { l.Corr[0][1], l.Corr[1][0] = 1.1, 1.1 },
	} {
		l := lesson()
		spoil(&l)
		if l.Check() == "" {
			t.Errorf("%s: taken", name)
		}
	}
}

// TestHash: every number that acts on a result is in it, and nothing else.
func TestHash(t *testing.T) {
	base := Hash([]Lesson{lesson()})
	if Hash(nil) != "" || Hash([]Lesson{{}}) != "" || base == "" {
		t.Errorf("hash of nothing %q, of a lesson %q", Hash(nil), base)
	}
	words := lesson()
	words.Say, words.Factors[0].Why = "3 runs", "glides"
	if Hash([]Lesson{words}) != base {
		t.Error("words change the hash")
	}
	for name, change := range map[string]func(*Lesson){
		"value": func(l *Lesson) { l.Factors[0].Value = math.Nextafter(1.1, 2) }, "spread": func(l *Lesson) { l.Factors[0].Sigma *= 2 },
		"correlation": func(l *Lesson) { l.Corr[0][1], l.Corr[1][0] = 0.5, 0.5 }, "component": func(l *Lesson) { l.Factors[0].Component = "b" },
	} {
		l := lesson()
		change(&l)
		if Hash([]Lesson{l}) == base {
			t.Errorf("another %s, the same hash", name)
		}
	}
}

func TestOnly(t *testing.T) {
	l := lesson()
	got := l.Only(func(f *Factor) bool { return f.Name != "thrust" })
	if len(got.Factors) != 2 || got.Rho(0, 1) != -0.3 || got.Rho(1, 1) != 1 || len(l.Factors) != 3 {
		t.Errorf("%+v", got)
	}
}

func TestChange(t *testing.T) {
	for _, c := range []struct {
		f    Factor
		want string
	}{
		{Factor{Value: 1.16, Sigma: 0.06}, "+16 % ± 12 %"}, {Factor{Value: 0.967, Sigma: 0.031}, "-3.3 % ± 6.2 %"}, {Factor{Value: 0.0031, Sigma: 0.001, Shift: true}, "+0.0031 ± 0.0020"},
	} {
		if got := c.f.Change(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
