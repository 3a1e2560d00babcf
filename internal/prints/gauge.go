package prints

import (
	"math"
	"strings"

	"fledge/internal/section"
)

// Gauge is a reflex gauge: it clips on the wing over the leading edge, its arm
// lies along the top of the wing and shows where the trailing edge belongs.
type Gauge struct {
	Shape *section.Shape // of the wing at the station, control at zero
	Chord float64        // m
	Hinge float64        // share of the chord
	Angle float64        // wanted, rad, trailing edge up positive
	Thick float64        // of the plate, m
	Lean  float64        // x a metre of plate: the sweep of the leading edge, see [Plate]
	Lines []string       // words on it: two lines at most
}

const (
	gaugeClear = 0.15e-3 // between plastic and skin
	gaugeNip   = 0.7e-3  // the lips close by this much at most
	gaugeBand  = 13e-3   // of plate above the wing, for the words
	gaugeJaw   = 9e-3    // ahead of and below it
)

// Outline is the gauge seen from the side: x aft from the leading edge, y up,
// m; edge is where the trailing edge touches its tip. The error says why there
// is none.
func (g Gauge) Outline() (r Region, edge Pt, err error) {
	if !(g.Hinge >= 0.3 && g.Hinge <= 0.97) {
		return r, edge, bad("a hinge at %.0f %% of the chord leaves nothing to clip on", 100*g.Hinge)
	}
	if !(math.Abs(g.Angle) <= 45*math.Pi/180) {
		return r, edge, bad("an angle of %.0f degrees is no neutral setting", g.Angle*180/math.Pi)
	}
	if !(g.Chord >= 0.02 && g.Chord <= 2) {
		return r, edge, bad("a chord of %.0f mm", g.Chord*1e3)
	}
	sh := g.Shape.WithoutFlap()
	bent := sh
	if math.Abs(g.Angle) > 1e-6 {
		bent = sh.WithFlap(g.Hinge, -g.Angle)
	}
	// The lower lip: behind the thickest place, no more than the nip thinner.
	t, thickest := sh.Thickness()
	lip := math.Min(g.Hinge-0.05, 0.9)
	for lip > thickest+0.05 && (t-(sh.Upper(lip)-sh.Lower(lip)))*g.Chord > gaugeNip {
		lip -= 0.005
	}
	lip = math.Max(math.Min(lip, g.Hinge-0.03), 0.15)
	xs, ys := bent.Repanel(240)
	nose := 0
	for i, x := range xs {
		if x < xs[nose] {
			nose = i
		}
	}
	var inner []Pt // from the trailing edge over the top, round the nose, to the lip
	n := len(xs)
	for i := range xs {
		if i > nose && xs[i] > lip {
			break
		}
		a, b := max(0, i-1), min(n-1, i+1)
		dx, dy := xs[b]-xs[a], ys[b]-ys[a]
		l := math.Hypot(dx, dy)
		// The points run against the clock seen with x to the right: outside is to their right.
		inner = append(inner, Pt{xs[i]*g.Chord + gaugeClear*dy/l, ys[i]*g.Chord - gaugeClear*dx/l})
	}
	inner = thinned(inner, 8e-6)
	top, low, front := math.Inf(-1), math.Inf(1), math.Inf(1)
	for _, p := range inner {
		top, low, front = math.Max(top, p.Y), math.Min(low, p.Y), math.Min(front, p.X)
	}
	edge = inner[0]
	last := inner[len(inner)-1]
	top += gaugeBand
	low -= gaugeJaw * 0.8
	front -= gaugeJaw
	const cut = 3e-3
	out := append([]Pt(nil), inner...)
	out = append(out,
		Pt{last.X, low + cut}, Pt{last.X - cut, low}, Pt{front + cut, low}, Pt{front, low + cut},
		Pt{front, top - cut}, Pt{front + cut, top}, Pt{edge.X - cut, top}, Pt{edge.X, top - cut})
	return Region{Outer: out}, edge, nil
}

// thinned leaves out points that lie within tol of the line through what is
// kept (Ramer 1972, Douglas and Peucker 1973).
func thinned(p []Pt, tol float64) []Pt {
	if len(p) < 3 {
		return p
	}
	a, b := p[0], p[len(p)-1]
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	far, at := 0.0, 0
	for i, q := range p[1 : len(p)-1] {
		d := math.Hypot(q.X-a.X, q.Y-a.Y)
		if l > 0 {
			d = math.Abs((b.X-a.X)*(q.Y-a.Y)-(b.Y-a.Y)*(q.X-a.X)) / l
		}
		if d > far {
			far, at = d, i+1
		}
	}
	if far <= tol {
		return []Pt{a, b}
	}
	left := thinned(p[:at+1], tol)
	return append(left[:len(left)-1:len(left)-1], thinned(p[at:], tol)...)
}

// Plate is the gauge as a plate with its words; missing lists letters there is
// no stroke for, short the lines that had to be cut.
func (g Gauge) Plate(name string, notes []string) (p Plate, missing []rune, short []string, err error) {
	r, edge, err := g.Outline()
	if err != nil {
		return p, nil, nil, err
	}
	p = Plate{Name: name, Notes: notes, Base: r, Thick: g.Thick, Proud: 0.6e-3, Lean: g.Lean}
	low, high := bounds(r.Outer)
	x0, x1 := low.X+4.5e-3, edge.X-4.5e-3
	p.Raised, missing, short = wordsIn(g.Lines, x0, high.Y-1.6e-3, x1-x0, 4.2e-3, 2.6e-3)
	return p, missing, short, nil
}

func bounds(ring []Pt) (low, high Pt) {
	low, high = Pt{math.Inf(1), math.Inf(1)}, Pt{math.Inf(-1), math.Inf(-1)}
	for _, p := range ring {
		low.X, low.Y = math.Min(low.X, p.X), math.Min(low.Y, p.Y)
		high.X, high.Y = math.Max(high.X, p.X), math.Max(high.Y, p.Y)
	}
	return low, high
}

// wordsIn sets lines downwards from the upper left corner (x, y), letters of
// height most or, where a line is too long, smaller, down to least; beyond that
// it is cut with two dots.
func wordsIn(lines []string, x, y, w, most, least float64) (out []Region, missing []rune, short []string) {
	for _, l := range lines {
		h := most
		_, wide, _ := Letters(l, 0, 0, h)
		if wide > w {
			h = math.Max(least, most*w/wide*0.999)
		}
		text := l
		for r := []rune(l); len(r) > 1; r = r[:len(r)-1] {
			if _, wide, _ := Letters(text, 0, 0, h); wide <= w {
				break
			}
			text = strings.TrimRight(string(r[:len(r)-1]), " ") + ".."
		}
		if text != l {
			short = append(short, l)
		}
		set, _, none := Letters(text, x, y-h, h)
		out = append(out, set...)
		for _, r := range none {
			if !strings.ContainsRune(string(missing), r) {
				missing = append(missing, r)
			}
		}
		y -= most * 1.35
	}
	return out, missing, short
}
