package section

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"sort"
	"strconv"
	"strings"
)

// measuredColumns are the accepted names of the columns; the first of each
// list is the proper one.
var measuredColumns = map[string]string{
	"re": "re", "reynolds": "re",
	"alpha_deg": "alpha", "alpha": "alpha",
	"cl": "cl", "cd": "cd",
	"cm": "cm", "cm_c4": "cm",
	"ch":       "ch",
	"flap_deg": "flap",
}

// maxMeasured bounds the rows of a measured polar.
const maxMeasured = 20000

// FromMeasured reads measured polars from CSV text and returns them as a
// table to use in place of a computed one. Lines starting with # are
// comments, the first other line names the columns: re, alpha_deg, cl and cd
// are needed, cm, ch and flap_deg optional. Angles are degrees. Rows may come
// in any order; at each Reynolds number and flap angle at least four angles
// must span 4 degrees, and each flap angle needs the same Reynolds numbers.
// Repeated angles (a sweep up and down) are averaged. Beyond the measured
// angles the flat-plate law of sh (nil: a 10 % thick section) takes over.
// The error is a [*CoordError] with the line.
func FromMeasured(name string, text []byte, sh *Shape, aspectRatio float64) (*Table, error) {
	fail := func(line int, hint, format string, a ...any) (*Table, error) {
		return nil, &CoordError{name, line, fmt.Sprintf(format, a...), hint}
	}
	const hint = "columns: re,alpha_deg,cl,cd and optionally cm,ch,flap_deg"
	if len(text) > 4<<20 {
		return fail(0, "a polar needs a few kB", "%d bytes are too many", len(text))
	}
	type row struct {
		re, flap float64
		p        Point
		line     int
	}
	var rows []row
	var cols []string
	for k, raw := range bytes.Split(text, []byte("\n")) {
		line := strings.TrimSpace(strings.TrimPrefix(string(raw), "\ufeff"))
		if line == "" || line[0] == '#' {
			continue
		}
		cells := strings.FieldsFunc(line, func(r rune) bool { return r == ',' || r == ';' || r == '\t' })
		if cols == nil {
			seen := map[string]bool{}
			for _, c := range cells {
				n := measuredColumns[strings.ToLower(strings.TrimSpace(c))]
				if n != "" && seen[n] {
					return fail(k+1, hint, "column %q stands twice", clip(c))
				}
				seen[n] = true
				cols = append(cols, n)
			}
			for _, need := range []string{"re", "alpha", "cl", "cd"} {
				if !seen[need] {
					return fail(k+1, hint, "no column for %s", need)
				}
			}
			continue
		}
		if len(cells) != len(cols) {
			return fail(k+1, hint, "%d cells, the head has %d", len(cells), len(cols))
		}
		if len(rows) >= maxMeasured {
			return fail(k+1, "thin the file out", "more than %d rows", maxMeasured)
		}
		r := row{line: k + 1}
		r.p.Status = OK
		for i, c := range cells {
			if cols[i] == "" {
				continue
			}
			v, err := strconv.ParseFloat(strings.TrimSpace(c), 64)
			if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
				return fail(k+1, "a number in each cell", "%q is not a number", clip(c))
			}
			switch cols[i] {
			case "re":
				if !(v >= 1e3 && v <= 1e9) {
					return fail(k+1, "the number itself, 200000 for 2e5", "Reynolds number %g", v)
				}
				r.re = v
			case "alpha":
				if math.Abs(v) > 180 {
					return fail(k+1, "degrees", "angle %g", v)
				}
				r.p.Alpha = v * math.Pi / 180
			case "flap":
				if math.Abs(v) > 60 {
					return fail(k+1, "degrees", "flap angle %g", v)
				}
				r.flap = v * math.Pi / 180
			case "cl":
				if math.Abs(v) > 5 {
					return fail(k+1, "coefficients, not forces", "lift coefficient %g", v)
				}
				r.p.Cl = v
			case "cd":
				if !(v > 0 && v < 4) {
					return fail(k+1, "coefficients, positive", "drag coefficient %g", v)
				}
				r.p.Cd = v
			case "cm":
				r.p.Cm = v
			case "ch":
				r.p.Ch = v
			}
		}
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		return fail(0, hint, "no rows")
	}
	// Reynolds numbers within 3 % belong to one polar.
	sort.SliceStable(rows, func(i, j int) bool {
		a, b := rows[i], rows[j]
		if a.flap != b.flap {
			return a.flap < b.flap
		}
		return a.re < b.re
	})
	groups := map[float64][][]row{}
	var flaps []float64
	for _, r := range rows {
		g := groups[r.flap]
		if g == nil {
			flaps = append(flaps, r.flap)
		}
		if n := len(g); n > 0 && r.re <= 1.03*g[n-1][0].re {
			g[n-1] = append(g[n-1], r)
		} else {
			g = append(g, []row{r})
		}
		groups[r.flap] = g
	}
	var re []float64
	for _, g := range groups[flaps[0]] {
		re = append(re, g[0].re)
	}
	t := newTable(name, re, flaps)
	sum := sha256.Sum256(text)
	t.key = "measured " + hex.EncodeToString(sum[:16])
	plate := Plate{Normal90: 1.8, Friction: 0.02}
	if sh != nil {
		plate = PlateFor(sh, aspectRatio)
		t.key += " " + sh.Hash()
	}
	plate.AspectRatio = aspectRatio
	for fi, f := range flaps {
		if len(groups[f]) != len(re) {
			return fail(groups[f][0][0].line, "measure the same Reynolds numbers at each flap angle", "flap %g degrees has %d Reynolds numbers, the first has %d", f*180/math.Pi, len(groups[f]), len(re))
		}
		for ri, g := range groups[f] {
			if r := g[0].re / re[ri]; r > 1.1 || r < 0.9 {
				return fail(g[0].line, "measure the same Reynolds numbers at each flap angle", "Reynolds number %g where the first flap angle has %g", g[0].re, re[ri])
			}
			sort.SliceStable(g, func(i, j int) bool { return g[i].p.Alpha < g[j].p.Alpha })
			var pts []Point
			count := 0.0
			for _, r := range g {
				if n := len(pts); n > 0 && r.p.Alpha-pts[n-1].Alpha < 0.15*math.Pi/180 {
					q := &pts[n-1]
					w := 1 / (count + 1)
					q.Cl += w * (r.p.Cl - q.Cl)
					q.Cd += w * (r.p.Cd - q.Cd)
					q.Cm += w * (r.p.Cm - q.Cm)
					q.Ch += w * (r.p.Ch - q.Ch)
					count++
					continue
				}
				pts = append(pts, r.p)
				count = 1
			}
			if len(pts) < 4 || pts[len(pts)-1].Alpha-pts[0].Alpha < 4*math.Pi/180 {
				return fail(g[0].line, "at least four angles over 4 degrees", "too few angles at Reynolds number %g", g[0].re)
			}
			p := Polar{Points: pts}
			p.peaks()
			col := fi*len(re) + ri
			t.column(col, pts, plate, measuredCode)
			t.top[col] = Peak{p.ClMax, p.AlphaMax, p.MaxStatus}
			t.low[col] = Peak{p.ClMin, p.AlphaMin, p.MinStatus}
			for _, q := range []*Peak{&t.top[col], &t.low[col]} {
				if math.IsNaN(q.Cl) { // the sweep ended before: its last point
					e := pts[len(pts)-1]
					if q == &t.low[col] {
						e = pts[0]
					}
					q.Cl, q.Alpha = e.Cl, e.Alpha
				}
			}
		}
	}
	return t, nil
}
