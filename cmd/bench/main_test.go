package main

import "testing"

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
