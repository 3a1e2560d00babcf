package main

import (
	"math"
	"testing"
	"time"

	"github.com/google/pprof/profile"
)

func TestParse(t *testing.T) {
	got := parse("goos: linux\nBenchmarkEval/v-tail/alpha3-2  \t 100\t 328.2 ns/op\t 26.2 ns-sincos\t 0 B/op\nBenchmarkOne 7 2.5 ms-own 1 ns/op\nok x 1s\n")
	for _, r := range []struct {
		name, unit string
		want       float64
	}{{"Eval/v-tail/alpha3", "ns/op", 328.2}, {"Eval/v-tail/alpha3", "ns-sincos", 26.2}, {"One", "ms-own", 2.5}} {
		if v := got[r.name][r.unit]; v != r.want {
			t.Errorf("%s %s: %g, want %g", r.name, r.unit, v, r.want)
		}
	}
	if len(got) != 2 {
		t.Errorf("%d benchmarks read, want 2", len(got))
	}
}

func TestExponent(t *testing.T) {
	size, took := []float64{10, 30, 90, 200}, make([]float64, 4)
	for _, e := range []float64{0, 1, 2.5} {
		for i, n := range size {
			took[i] = 3e-5 * math.Pow(n, e)
		}
		if got := exponent(size, took); math.Abs(got-e) > 1e-12 {
			t.Errorf("exponent %g, want %g", got, e)
		}
	}
}

// A sample belongs to the innermost room on its stack.
func TestInnermost(t *testing.T) {
	stack := func(names ...string) *profile.Sample {
		s := &profile.Sample{}
		for _, n := range names {
			s.Location = append(s.Location, &profile.Location{Line: []profile.Line{{Function: &profile.Function{Name: n}}}})
		}
		return s
	}
	for want, s := range map[string]*profile.Sample{
		"num":         stack("math.Sin", "fledge/internal/num.(*ODE).Step", "fledge/internal/launch.Run", "main.main"),
		"the runtime": stack("runtime.gcDrain", "runtime.systemstack"),
	} {
		if got := innermost(s); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	x := 0.0
	shares, all, err := profiled(func() error {
		for end := time.Now().Add(60 * time.Millisecond); time.Now().Before(end); {
			x += math.Sqrt(x + 1)
		}
		return nil
	})
	sum := time.Duration(0)
	for _, s := range shares {
		sum += s.time
	}
	if err != nil || sum != all {
		t.Errorf("%v: shares of %v in all %v", err, sum, all)
	}
}

// A build with many parts more is one that can be read.
func TestWithParts(t *testing.T) {
	rows := len(withParts([]byte("a: 1\nparts:\n  - {name: x}\n"), 3))
	if rows < 200 {
		t.Errorf("%d bytes", rows)
	}
}

// A statement is run as often as the smallest block around it.
func TestWithin(t *testing.T) {
	all, err := blocks("mode: count\na/b.go:1.10,9.2 3 7\na/b.go:3.4,5.6 1 2\na/b.go:20.1,21.1 1 0\n")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct {
		at   [2]int
		want float64
	}{{[2]int{1, 9}, 0}, {[2]int{1, 10}, 7}, {[2]int{4, 1}, 2}, {[2]int{5, 6}, 7}, {[2]int{20, 5}, 0}} {
		if got := within(all["a/b.go"], r.at); got != r.want {
			t.Errorf("%v: %g runs, want %g", r.at, got, r.want)
		}
	}
	if _, err := blocks("a/b.go:1.x 3\n"); err == nil {
		t.Error("a torn profile was read")
	}
}
