package section

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// CoordError says why a coordinate file can't be used and where.
type CoordError struct {
	Name string // as given by the caller
	Line int    // 1-based; 0 when the whole file is meant
	Msg  string
	Hint string
}

// Error prints "name:line: message (hint)".
func (e *CoordError) Error() string {
	at := e.Name
	if e.Line > 0 {
		at += ":" + strconv.Itoa(e.Line)
	}
	if e.Hint == "" {
		return at + ": " + e.Msg
	}
	return at + ": " + e.Msg + " (" + e.Hint + ")"
}

// Limits of a coordinate file. Our choice: 1 MB and 5000 points are far
// above any drawing, 8 points the least that hold a nose and two sides.
const (
	maxCoordBytes  = 1 << 20
	maxCoordPoints = 5000
	minCoordPoints = 8
	keepPoints     = 600 // more are thinned: closer than the panels by far
)

// ownScale reports whether the points are neither over a chord of 1 nor of
// 100, as tables of sections are.
func ownScale(pts []mark) bool {
	low, high := pts[0].x, pts[0].x
	for _, p := range pts {
		low, high = math.Min(low, p.x), math.Max(high, p.x)
	}
	c := high - low
	return math.Abs(c-1) > 0.02 && math.Abs(c-100) > 2
}

// columnNames reports whether a head line only names the columns.
func columnNames(s string) bool {
	n := 0
	for _, w := range strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch w {
		case "x", "y", "z", "c", "mm", "px":
			n++
		default:
			return false
		}
	}
	return n > 1
}

type mark struct {
	x, y float64
	line int
}

// FromCoordinates reads a section from text with two numbers a line, x aft
// and y up, in any one unit. Lines before the first pair, empty lines and
// lines starting with # are skipped; numbers may be parted by blanks, tabs,
// commas or semicolons. The points may run round the section from the
// trailing edge either way, or be given as two lists from nose to trailing
// edge (with or without a line of two counts). Notices tell, in order, what
// was repaired: scale, direction, duplicates, gaps, thinning. The error is a
// [*CoordError] with the line.
//
// The chord runs from x = 0 to 1. Coordinates already within 2 % of that
// keep the file's own chord line, which is what published angles refer to;
// others are moved, scaled and turned so that the nose is at the origin and
// the middle of the trailing edge at (1, 0).
func FromCoordinates(name string, text []byte) (*Shape, []string, error) {
	fail := func(line int, hint, format string, a ...any) (*Shape, []string, error) {
		return nil, nil, &CoordError{name, line, fmt.Sprintf(format, a...), hint}
	}
	if len(text) > maxCoordBytes {
		return fail(0, "a section needs a few kB", "%d bytes are too many for a coordinate file", len(text))
	}
	if !utf8.Valid(text) && bytes.IndexByte(text, 0) >= 0 {
		return fail(0, "give a text file with two numbers a line", "not a text file")
	}
	pts, title, err := scan(name, text)
	if err != nil {
		return nil, nil, err
	}
	var notes []string
	note := func(format string, a ...any) { notes = append(notes, fmt.Sprintf(format, a...)) }

	pts = dropCounts(pts)
	if len(pts) < minCoordPoints {
		return fail(0, "give at least 8 points; 60 or more make a good section", "%d points are too few", len(pts))
	}
	pts, joined := joinLists(pts)
	if joined {
		note("two lists from nose to trailing edge joined into one")
	}
	before := len(pts)
	pts = dropRepeats(pts)
	if d := before - len(pts); d > 0 {
		note("%s dropped", count(d, "repeated point"))
	}
	if len(pts) < minCoordPoints {
		return fail(0, "give at least 8 different points", "%d different points are too few", len(pts))
	}
	traced := ownScale(pts)
	if pts, err = orient(name, pts, note); err != nil {
		return nil, nil, err
	}
	if moved := uncross(pts); moved > 0 {
		note("the sides cross by up to %.2g %% of chord at the trailing edge: closed there", moved*100)
	}
	if err := wellFormed(name, pts); err != nil {
		return nil, nil, err
	}
	if err := whole(name, pts); err != nil {
		return nil, nil, err
	}
	ends := [2]int{min(pts[0].line, pts[len(pts)-1].line), max(pts[0].line, pts[len(pts)-1].line)}
	if len(pts) > keepPoints {
		n := len(pts)
		pts = thin(pts)
		note("%d points thinned to %d", n, len(pts))
	}
	coarse := checkSpacing(pts, note)
	x, y := make([]float64, len(pts)), make([]float64, len(pts))
	for i, p := range pts {
		x[i], y[i] = p.x, p.y
	}
	label := name
	if title != "" && !columnNames(title) {
		label = title
	}
	s := newShape(label, x, y)
	s.coarse = coarse
	t, _ := s.Thickness()
	switch {
	case !(t >= 0.005):
		return fail(0, "a plate of no thickness has no boundary layer to compute; give its real thickness", "thickness %.2f %% of chord is too small", math.Max(t*100, 0))
	case t > 0.6:
		return fail(0, "is this a wing section?", "thickness %.3g %% of chord is too large", t*100)
	}
	if gap, _ := s.TrailingEdge(); gap > 0.02 {
		note("blunt trailing edge, %.2g %% of chord: its base drag is outside the model's calibration", gap*100)
		if meet := meetAt(pts); meet < 1.5 {
			note("the sides, carried on straight, would meet at %.0f %% of this chord: if the section is not cut off there, the last points before line %d and after line %d are missing", meet*100, ends[0], ends[1])
		}
	}
	if traced {
		note("at a scale of its own, so drawn or traced by hand: results carry a wider doubt")
		s.coarse = true
		if c, _ := s.Camber(); c < -0.005 {
			note("the mean line lies below the chord: a picture counts its rows downwards; if this was traced from one, it stands on its head (turn the sign of the second column)")
		}
	}
	if coarse && len(pts) < 40 {
		// A spline through few points waves; points on it in between give
		// later steps a smooth shape to work on.
		r := s.rebuild(s.name, func(_, half, mean float64) (float64, float64) { return math.Max(half, 0), mean })
		r.coarse = true
		s = r
	}
	return s, notes, nil
}

// scan collects the pairs with their lines, and the first line that is none.
func scan(name string, text []byte) (pts []mark, title string, err error) {
	line := 0
	for len(text) > 0 {
		line++
		row := text
		if k := bytes.IndexAny(text, "\n\r"); k >= 0 {
			row = text[:k]
			skip := 1
			if text[k] == '\r' && k+1 < len(text) && text[k+1] == '\n' {
				skip = 2
			}
			text = text[k+skip:]
		} else {
			text = nil
		}
		s := strings.TrimSpace(strings.TrimPrefix(string(row), "\ufeff"))
		if s == "" || s[0] == '#' {
			continue
		}
		cells := strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\t' || r == ',' || r == ';' })
		var v [2]float64
		good := len(cells) == 2
		for i := 0; good && i < 2; i++ {
			f, e := strconv.ParseFloat(cells[i], 64)
			v[i], good = f, e == nil
		}
		if !good {
			if len(pts) == 0 { // header
				if title == "" {
					title = clip(s)
				}
				continue
			}
			return nil, "", &CoordError{name, line, fmt.Sprintf("%q is not a pair of numbers", clip(s)), "two numbers a line, x and y"}
		}
		if math.IsNaN(v[0]+v[1]) || math.Abs(v[0]) > 1e6 || math.Abs(v[1]) > 1e6 {
			return nil, "", &CoordError{name, line, fmt.Sprintf("%q is outside any section", clip(s)), "finite coordinates below a million"}
		}
		if len(pts) >= maxCoordPoints {
			return nil, "", &CoordError{name, line, fmt.Sprintf("more than %d points", maxCoordPoints), "thin the file out"}
		}
		pts = append(pts, mark{v[0], v[1], line})
	}
	if len(pts) == 0 {
		return nil, "", &CoordError{name, 0, "no coordinates", "two numbers a line, x and y"}
	}
	return pts, title, nil
}

func clip(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' {
			return -1
		}
		return r
	}, s)
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// dropCounts removes a leading pair that counts the points of two lists.
func dropCounts(p []mark) []mark {
	if len(p) < 3 {
		return p
	}
	a, b := p[0].x, p[0].y
	if a == math.Trunc(a) && b == math.Trunc(b) && a > 2 && b > 2 && int(a+b) == len(p)-1 {
		return p[1:]
	}
	return p
}

// joinLists turns two lists from nose to trailing edge into one loop.
func joinLists(p []mark) ([]mark, bool) {
	lo, hi := p[0].x, p[0].x
	for _, q := range p {
		lo, hi = math.Min(lo, q.x), math.Max(hi, q.x)
	}
	span := hi - lo
	if p[0].x > lo+0.1*span {
		return p, false
	}
	// First list ends where x falls back from the trailing edge to the nose.
	for i := 1; i < len(p); i++ {
		if p[i-1].x > hi-0.1*span && p[i].x < lo+0.1*span {
			out := make([]mark, 0, len(p))
			for j := i - 1; j >= 0; j-- {
				out = append(out, p[j])
			}
			return append(out, p[i:]...), true
		}
	}
	// One loop that starts at the nose: start it at the trailing edge.
	k := 0
	for i := range p {
		if p[i].x > p[k].x {
			k = i
		}
	}
	if k == 0 || k == len(p)-1 {
		return p, false
	}
	// Two points at the trailing edge: the loop is cut between them.
	if k+1 < len(p) && p[k+1].x > hi-1e-6*span {
		k++
	}
	out := append([]mark(nil), p[k:]...)
	return append(out, p[:k]...), true
}

// dropRepeats removes points equal to their predecessor (1e-7 of the span),
// and those so close to it beside the gaps on both sides (a hundredth, and a
// thousandth of the span) that a spline through all would turn between them.
func dropRepeats(p []mark) []mark {
	lo, hi := p[0].x, p[0].x
	for _, q := range p {
		lo, hi = math.Min(lo, q.x), math.Max(hi, q.x)
	}
	gap := func(a, b mark) float64 { return math.Hypot(a.x-b.x, a.y-b.y) }
	eps, near := 1e-7*(hi-lo), 1e-3*(hi-lo)
	out := p[:1:1]
	for i, q := range p[1:] {
		n := len(out)
		d := gap(out[n-1], q)
		if d <= eps {
			continue
		}
		if d < near && (n < 2 || d < 0.01*gap(out[n-2], out[n-1])) && (i+2 >= len(p) || d < 0.01*gap(q, p[i+2])) {
			continue
		}
		out = append(out, q)
	}
	return out
}

// orient scales to unit chord and lets the points run over the upper side
// first.
func orient(name string, p []mark, note func(string, ...any)) ([]mark, error) {
	n := len(p)
	lo, hi := p[0], p[0]
	for _, q := range p {
		if q.x < lo.x {
			lo = q
		}
		if q.x > hi.x {
			hi = q
		}
	}
	if hi.x-lo.x < 1e-9 {
		return nil, &CoordError{name, lo.line, "all points have the same x", "x runs along the chord"}
	}
	te := mark{x: (p[0].x + p[n-1].x) / 2, y: (p[0].y + p[n-1].y) / 2}
	if te.x < lo.x+0.9*(hi.x-lo.x) {
		hint := "go round the section from the trailing edge, or give two lists from nose to trailing edge"
		if low, high := span(p, func(q mark) float64 { return q.y }); high-low > 2*(hi.x-lo.x) {
			hint = "the columns look swapped: x, along the chord, comes first"
		}
		return nil, &CoordError{name, p[n-1].line, "the points don't start and end at the trailing edge", hint}
	}
	// Signed area tells the direction.
	area := 0.0
	for i := range p {
		q := p[(i+1)%n]
		area += p[i].x*q.y - q.x*p[i].y
	}
	if area < 0 {
		for i, j := 0, n-1; i < j; i, j = i+1, j-1 {
			p[i], p[j] = p[j], p[i]
		}
		note("points ran over the lower side first: turned round")
	}
	if math.Abs(lo.x) < 0.02 && math.Abs(te.x-1) < 0.02 && math.Abs(te.y) < 0.02 {
		return p, nil
	}
	nose := lo
	for _, q := range p { // farthest from the trailing edge
		if math.Hypot(q.x-te.x, q.y-te.y) > math.Hypot(nose.x-te.x, nose.y-te.y) {
			nose = q
		}
	}
	chord := math.Hypot(te.x-nose.x, te.y-nose.y)
	cs, sn := (te.x-nose.x)/chord, (te.y-nose.y)/chord
	for i, q := range p {
		dx, dy := (q.x-nose.x)/chord, (q.y-nose.y)/chord
		p[i].x, p[i].y = dx*cs+dy*sn, -dx*sn+dy*cs
	}
	said := fmt.Sprintf("scaled by %.4g to unit chord", 1/chord)
	if turn := -math.Atan2(sn, cs) * 180 / math.Pi; math.Abs(turn) >= 0.005 {
		said = fmt.Sprintf("turned by %.2f degrees and ", turn) + said
	}
	if math.Hypot(nose.x, nose.y) > 1e-4*chord {
		said = strings.Replace("moved, "+said, ", scaled", " and scaled", 1)
	}
	note("%s", said)
	return p, nil
}

// span is the least and the largest of a coordinate.
func span(p []mark, of func(mark) float64) (low, high float64) {
	low, high = of(p[0]), of(p[0])
	for _, q := range p {
		low, high = math.Min(low, of(q)), math.Max(high, of(q))
	}
	return low, high
}

func count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}

// whole refuses an outline of which a piece is missing: a side that ends
// before the other (by a fiftieth of the chord), and a straight face at the
// front behind which the sides still open, as where the nose is cut away. A
// plate's square front is none.
func whole(name string, p []mark) error {
	n := len(p)
	if d := p[0].x - p[n-1].x; math.Abs(d) > 0.02 {
		short, side, other := p[0], "upper", "lower"
		if d > 0 {
			short, side, other = p[n-1], other, side
		}
		return &CoordError{name, short.line, fmt.Sprintf("the %s side ends %.0f %% of the chord before the %s one", side, math.Abs(d)*100, other), "its last points, up to the trailing edge, are missing"}
	}
	low, high := span(p, func(q mark) float64 { return q.y })
	for i := 1; i+2 < n; i++ {
		a, b := p[i], p[i+1]
		face := math.Hypot(a.x-b.x, a.y-b.y)
		if math.Max(a.x, b.x) > 0.15 || face < 0.025 || face < 0.25*(high-low) || math.Abs(a.x-b.x) > 0.3*face {
			continue
		}
		opening := math.Atan2(p[i-1].y-a.y, p[i-1].x-a.x) - math.Atan2(p[i+2].y-b.y, p[i+2].x-b.x)
		if opening > 10*math.Pi/180 {
			return &CoordError{name, max(a.line, b.line), fmt.Sprintf("the nose is missing: from line %d to line %d the outline jumps straight over %.0f %% of the chord", min(a.line, b.line), max(a.line, b.line), face*100),
				"give the points round the leading edge"}
		}
	}
	return nil
}

// meetAt is where the sides' last pieces, carried on straight, meet, in
// chords; infinite where they do not come together.
func meetAt(p []mark) float64 {
	n := len(p)
	slope := func(a, b mark) float64 { return (a.y - b.y) / math.Max(a.x-b.x, 1e-9) }
	closing := slope(p[n-1], p[n-2]) - slope(p[0], p[1])
	if closing <= 1e-6 {
		return math.Inf(1)
	}
	return (p[0].x+p[n-1].x)/2 + (p[0].y-p[n-1].y)/closing
}

// wellFormed refuses sides that double back or cross, and points that stand
// off their neighbours.
func wellFormed(name string, p []mark) error {
	n := len(p)
	k := 0
	for i := range p {
		if p[i].x < p[k].x {
			k = i
		}
	}
	if k < 2 || k > n-3 {
		return &CoordError{name, p[k].line, "one of the sides has fewer than 3 points", "give both sides"}
	}
	for i := 1; i < n; i++ {
		back := p[i].x - p[i-1].x
		if i > k {
			back = -back
		}
		// Noses may bulge; further aft a step back is a point out of order.
		if p[i].x > 0.05 && back > 0.002 && p[i].x < 0.995 && p[i-1].x < 0.995 {
			return &CoordError{name, p[i].line, "the surface doubles back", "a point is out of order"}
		}
		if back > 0.05 {
			return &CoordError{name, p[i].line, "the surface doubles back", "a point is out of order"}
		}
	}
	for i := 1; i+1 < n; i++ {
		a, q, b := p[i-1], p[i], p[i+1]
		if q.x < 0.05 || q.x > 0.97 {
			continue
		}
		turn := math.Abs(math.Remainder(math.Atan2(b.y-q.y, b.x-q.x)-math.Atan2(q.y-a.y, q.x-a.x), 2*math.Pi))
		off := math.Abs((b.x-a.x)*(q.y-a.y)-(b.y-a.y)*(q.x-a.x)) / math.Max(math.Hypot(b.x-a.x, b.y-a.y), 1e-9)
		if turn > math.Pi/2 && off > 0.02 {
			return &CoordError{name, q.line, fmt.Sprintf("the point stands %.0f %% of chord off its neighbours", off*100), "a digit or a sign is wrong there"}
		}
	}
	// The sides may touch, but not change places, at points that both share.
	thick := make([]float64, k)
	sum := 0.0
	for i := 1; i < k; i++ {
		for j := k + 1; j < n; j++ {
			a, b := p[j-1], p[j]
			if (p[i].x-a.x)*(p[i].x-b.x) <= 0 && a.x != b.x {
				thick[i] = p[i].y - (a.y + (b.y-a.y)*(p[i].x-a.x)/(b.x-a.x))
				break
			}
		}
		sum += thick[i]
	}
	for i := 1; i < k; i++ {
		if p[i].x > 0.05 && p[i].x < 0.97 && thick[i]*sum < -0.0015*math.Abs(sum) {
			return &CoordError{name, p[i].line, "the outline crosses itself", "upper and lower side may touch only at the trailing edge"}
		}
	}
	for i := 0; i+1 < n; i++ {
		ax, bx := math.Min(p[i].x, p[i+1].x), math.Max(p[i].x, p[i+1].x)
		ay, by := math.Min(p[i].y, p[i+1].y), math.Max(p[i].y, p[i+1].y)
		for j := i + 2; j+1 < n; j++ {
			if math.Min(p[j].x, p[j+1].x) > bx || math.Max(p[j].x, p[j+1].x) < ax ||
				math.Min(p[j].y, p[j+1].y) > by || math.Max(p[j].y, p[j+1].y) < ay {
				continue
			}
			if i == 0 && j+2 == n && math.Hypot(p[0].x-p[n-1].x, p[0].y-p[n-1].y) < 1e-9 {
				continue
			}
			if crosses(p[i], p[i+1], p[j], p[j+1]) {
				return &CoordError{name, p[j+1].line, fmt.Sprintf("the outline crosses itself (with line %d)", p[i+1].line), "upper and lower side may touch only at the trailing edge"}
			}
		}
	}
	return nil
}

// uncross closes sides that cross by a hair (below 0.15 % of chord) on the
// last tenth, as rounded or scaled coordinates do, and returns by how much.
func uncross(p []mark) (worst float64) {
	n := len(p)
	other := func(q mark, up bool) (y float64, ok bool) {
		for i := 1; i < n; i++ {
			a, b := p[i-1], p[i]
			if up == (b.x > a.x) && a.x > 0.8 && b.x > 0.8 && (q.x-a.x)*(q.x-b.x) <= 0 && a.x != b.x {
				return a.y + (b.y-a.y)*(q.x-a.x)/(b.x-a.x), true
			}
		}
		return 0, false
	}
	// Ends apart by no more than the printed digits are one point.
	if a, b := &p[0], &p[n-1]; math.Hypot(a.x-b.x, a.y-b.y) < 5e-5 {
		a.x, a.y = (a.x+b.x)/2, (a.y+b.y)/2
		b.x, b.y = a.x, a.y
	}
	fixed := append([]mark(nil), p...)
	for i, q := range p {
		if q.x < 0.9 {
			continue
		}
		up := i < n/2
		y, ok := other(q, up)
		if over := y - q.y; ok && up && over > 0 || ok && !up && over < 0 {
			worst = math.Max(worst, math.Abs(over))
			fixed[i].y = (y + q.y) / 2
		}
	}
	if worst >= 0.0015 {
		return 0
	}
	copy(p, fixed)
	return worst
}

func crosses(a, b, c, d mark) bool {
	side := func(p, q, r mark) float64 { return (q.x-p.x)*(r.y-p.y) - (q.y-p.y)*(r.x-p.x) }
	const eps = 1e-13
	s1, s2, s3, s4 := side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
	return s1*s2 < -eps*eps && s3*s4 < -eps*eps
}

// thin keeps at most keepPoints, even in the turning of the surface.
func thin(p []mark) []mark {
	n := len(p)
	w := make([]float64, n)
	for i := 1; i < n; i++ {
		step := math.Hypot(p[i].x-p[i-1].x, p[i].y-p[i-1].y)
		turn := 0.0
		if i+1 < n {
			a := math.Atan2(p[i].y-p[i-1].y, p[i].x-p[i-1].x)
			b := math.Atan2(p[i+1].y-p[i].y, p[i+1].x-p[i].x)
			turn = math.Abs(math.Remainder(b-a, 2*math.Pi))
		}
		w[i] = w[i-1] + step + math.Min(turn, 4*step/0.01)
	}
	out := []mark{p[0]}
	next := w[n-1] / keepPoints
	for i := 1; i < n-1; i++ {
		if w[i] >= next {
			out = append(out, p[i])
			next += w[n-1] / keepPoints
			if w[i] > next {
				next = w[i]
			}
		}
	}
	return append(out, p[n-1])
}

// checkSpacing notes wide gaps and kinks and reports whether the nose is
// thinly covered.
func checkSpacing(p []mark, note func(string, ...any)) (coarse bool) {
	wide, at, near := 0.0, 0, 0
	for i := 1; i < len(p); i++ {
		if d := math.Hypot(p[i].x-p[i-1].x, p[i].y-p[i-1].y); d > wide {
			wide, at = d, p[i].line
		}
		if p[i].x < 0.05 {
			near++
		}
	}
	if wide > 0.12 {
		note("points up to %.0f %% of chord apart (line %d): filled in by a spline", wide*100, at)
		coarse = true
	}
	if near < 5 {
		note("%s on the first 5 %% of chord: the nose is the spline's guess", count(near, "point"))
		coarse = true
	}
	return coarse
}
