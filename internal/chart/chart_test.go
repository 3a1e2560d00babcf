package chart

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestTicks(t *testing.T) {
	for _, r := range []struct {
		lo, hi float64
		n      int
		first  float64
		step   float64
		dec    int
	}{
		{0, 10, 5, 0, 2, 0}, {-1, 1, 4, -1, 0.5, 1}, {0.13, 0.19, 3, 0.14, 0.02, 2}, {0, 4321, 5, 0, 1000, 0},
	} {
		at, dec := Ticks(r.lo, r.hi, r.n)
		if math.Abs(at[0]-r.first) > 1e-9 || math.Abs(at[1]-at[0]-r.step) > 1e-9 || dec != r.dec {
			t.Errorf("Ticks(%g, %g, %d) = %v, %d decimals", r.lo, r.hi, r.n, at, dec)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-1e6, 1e6).Draw(t, "lo")
		hi := lo + rapid.Float64Range(1e-3, 1e6).Draw(t, "width")
		n := rapid.IntRange(2, 12).Draw(t, "n")
		at, _ := Ticks(lo, hi, n)
		if len(at) < 1 || len(at) > n+2 {
			t.Fatalf("%d ticks for %d", len(at), n)
		}
		for _, v := range at {
			if v < lo-1e-6*(hi-lo) || v > hi+1e-6*(hi-lo) {
				t.Fatalf("tick %g outside [%g, %g]", v, lo, hi)
			}
		}
	})
}

// Hostile data and words still give well-formed, repeatable SVG without NaN.
func TestSVG(t *testing.T) {
	c := Chart{
		Title: `<script>alert("x")</script> & co`, X: Axis{Label: "distance, m"}, Y: Axis{Label: "height, m"}, Ground: true, Equal: true,
		Series: []Series{
			{Name: "a", X: []float64{0, 1, math.NaN(), 3}, Y: []float64{0, 1, 2, math.Inf(1)}},
			{Name: "b", Kind: Band, X: []float64{0, 1}, Y: []float64{0, 1}, Y2: []float64{1, 2}},
			{Name: "c", Kind: Dots, X: []float64{1}, Y: []float64{1}, Ink: 2, Fail: true}, {},
		},
	}
	out := c.SVG(600, 400)
	d := xml.NewDecoder(bytes.NewReader(out))
	for {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
	}
	if s := string(out); strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || strings.Contains(s, "<script") {
		t.Error("unclean SVG")
	}
	if !bytes.Equal(out, c.SVG(600, 400)) {
		t.Error("not repeatable")
	}
}
