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

// A grid shows each cell's number, crosses out what is not there, never
// rounds a share up to the limit, and draws the heavy line round the cells
// that reach it.
func TestGrid(t *testing.T) {
	g := &Grid{X: []float64{1, 2, 3}, Y: []float64{10, 20}, Z: [][]float64{{0, 0.899, 0.9}, {math.NaN(), 0.5, 1}}, Limit: 0.9}
	c := Chart{Title: "odds", Grid: g, Series: []Series{{Kind: Dots, X: []float64{2}, Y: []float64{15}}}}
	out := string(c.SVG(600, 400))
	for _, want := range []string{">0<", ">89<", ">90<", ">50<", ">100<"} {
		if !strings.Contains(out, want) {
			t.Errorf("%s is not shown", want)
		}
	}
	if strings.Contains(out, "NaN") {
		t.Error("NaN in the SVG")
	}
	// two cells one above the other: six sides
	if n := strings.Count(out, `stroke-width="2.2"`); n != 6 {
		t.Errorf("%d heavy sides, 6 are", n)
	}
	for _, e := range []struct {
		at   []float64
		want []float64
	}{{nil, []float64{0, 1}}, {[]float64{3}, []float64{2.5, 3.5}}, {[]float64{1, 2, 4}, []float64{0.5, 1.5, 3, 5}}} {
		got := edges(e.at)
		for i := range e.want {
			if math.Abs(got[i]-e.want[i]) > 1e-12 {
				t.Errorf("edges of %v: %v", e.at, got)
			}
		}
	}
}

// Names of failures that end on the ground stand below it, each on its own line.
func TestFailuresNamed(t *testing.T) {
	c := Chart{Ground: true, Series: []Series{
		{Name: "first", Kind: Thin, Fail: true, X: []float64{0, 5}, Y: []float64{1, 0}},
		{Name: "second", Kind: Thin, Fail: true, X: []float64{0, 5.1}, Y: []float64{1, 0}},
	}}
	if _, _, y0, _ := c.bounds(); y0 >= -0.1 {
		t.Errorf("no room below the ground: %g", y0)
	}
	out := string(c.SVG(600, 400))
	if strings.Count(out, ">first<") != 1 || strings.Count(out, ">second<") != 1 {
		t.Error("a failure is not named once")
	}
}

func TestNamedRows(t *testing.T) {
	c := Chart{Y: Axis{Min: -2.5, Max: 0.5, Names: []string{"air", "a much longer name than the rest", "wing"}},
		Series: []Series{{Kind: Dots, X: []float64{-1, 0, 1}, Y: []float64{0, -1, -2}}}}
	got := string(c.SVG(600, 200))
	for _, n := range c.Y.Names {
		if strings.Count(got, ">"+n+"<") != 1 {
			t.Errorf("%q is not named once", n)
		}
	}
	if strings.Contains(got, ">-2<") {
		t.Error("numbers stand beside the names")
	}
	if narrow, wide := (Axis{}).margin(), c.Y.margin(); wide <= narrow {
		t.Errorf("margin %v for long names, %v for none", wide, narrow)
	}
}
