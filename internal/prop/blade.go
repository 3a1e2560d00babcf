// Package prop computes propellers by blade elements and momentum: thrust and
// torque at any forward airspeed and speed of rotation, from standing still
// to windmilling, from the blade's geometry, from a family default, or from
// measured coefficients.
//
// Each element is solved for one unknown, its inflow angle, in a bracket that
// always holds a solution (Ning 2014, with a propeller's signs), with
// Prandtl's tip and hub factors and swirl. Blade sections are a generic
// low-Reynolds-number section over the full circle of angles ([Generic]).
//
// Conventions: n in rev/s, J = V/(nD), CT = T/(rho n² D⁴), CP = P/(rho n³ D⁵),
// angles in rad from the plane of rotation, radii over tip radius.
package prop

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"fledge/internal/diag"
)

// Blade is the geometry of a propeller.
type Blade struct {
	Diameter float64 // m
	Blades   int
	X        []float64 // radius over tip radius, rising, 0.02..1
	Chord    []float64 // over tip radius
	Beta     []float64 // angle of the chord line from the plane of rotation, rad
	Thick    []float64 // thickness over chord; nil: 0.125 at 0.3 falling to 0.095 at the tip
	Zero     []float64 // angle of zero lift of the sections (rad, usually negative); nil: that of the generic section
	Pitch    float64   // nominal pitch, m; 0 when not known
	Style    string    // family, "" when from a file
	Mass     float64   // of the whole propeller, kg; 0 when not known
}

// At interpolates chord, pitch angle and thickness at radius x, linearly and
// held at the ends.
func (b *Blade) At(x float64) (chord, beta, thick float64) {
	i := sort.SearchFloat64s(b.X, x)
	thick = defaultThickness(x)
	switch {
	case i == 0:
		if b.Thick != nil {
			thick = b.Thick[0]
		}
		return b.Chord[0], b.Beta[0], thick
	case i == len(b.X):
		i--
		if b.Thick != nil {
			thick = b.Thick[i]
		}
		return b.Chord[i], b.Beta[i], thick
	}
	t := (x - b.X[i-1]) / (b.X[i] - b.X[i-1])
	mix := func(v []float64) float64 { return v[i-1] + t*(v[i]-v[i-1]) }
	if b.Thick != nil {
		thick = mix(b.Thick)
	}
	return mix(b.Chord), mix(b.Beta), thick
}

// PitchRatio is the pitch over diameter: the nominal one, or where that is not
// known the helix of the chord line at three quarters of the radius.
func (b *Blade) PitchRatio() float64 {
	if b.Pitch > 0 && b.Diameter > 0 {
		return b.Pitch / b.Diameter
	}
	_, beta, _ := b.At(0.75)
	return 0.75 * math.Pi * math.Tan(beta)
}

// zero is the angle by which the sections' zero lift lies below the generic
// one's at radius x.
func (b *Blade) zero(x float64) float64 {
	if b.Zero == nil {
		return 0
	}
	i := min(max(sort.SearchFloat64s(b.X, x), 1), len(b.X)-1)
	t := math.Min(math.Max((x-b.X[i-1])/(b.X[i]-b.X[i-1]), 0), 1)
	return GenericZero - (b.Zero[i-1] + t*(b.Zero[i]-b.Zero[i-1]))
}

// defaultThickness is what moulded and printed small blades have.
func defaultThickness(x float64) float64 {
	return math.Min(0.125+(0.095-0.125)*(x-0.3)/0.7, 0.16)
}

// Check reports what is impossible in a blade, without places in a text.
func (b *Blade) Check() diag.List {
	var l diag.List
	bad := func(code, format string, args ...any) { l.Errorf(code, diag.Span{}, format, args...) }
	if !(b.Diameter > 0.01 && b.Diameter < 5) {
		bad("propeller-diameter", "a propeller of %g m diameter is outside 0.01 to 5 m", b.Diameter)
	}
	if b.Blades < 1 || b.Blades > 12 {
		bad("propeller-blades", "%d blades are outside 1 to 12", b.Blades)
	}
	n := len(b.X)
	if n < 2 || len(b.Chord) != n || len(b.Beta) != n || (b.Thick != nil && len(b.Thick) != n) || (b.Zero != nil && len(b.Zero) != n) {
		bad("blade-stations", "a blade needs at least two stations, each with chord and angle")
		return l
	}
	for i := range n {
		if !(b.X[i] >= 0.02 && b.X[i] <= 1.0001) || (i > 0 && !(b.X[i] > b.X[i-1])) {
			bad("blade-radius", "station %d: the radii must rise within 0.02 and 1", i+1)
			return l
		}
		if !((b.Chord[i] > 0 || b.Chord[i] == 0 && i == n-1) && b.Chord[i] < 1) { // a blade may end in a point
			bad("blade-chord", "station %d: chord over radius %g is outside 0 to 1", i+1, b.Chord[i])
		}
		if !(b.Beta[i] > -45*deg && b.Beta[i] < 90*deg) {
			bad("blade-angle", "station %d: blade angle %.4g deg is outside -45 to 90", i+1, b.Beta[i]/deg)
		}
		if b.Thick != nil && !(b.Thick[i] > 0.01 && b.Thick[i] < 0.6) {
			bad("blade-thickness", "station %d: thickness over chord %g is outside 0.01 to 0.6", i+1, b.Thick[i])
		}
	}
	for i, z := range b.Zero {
		if !(math.Abs(z) < 15*deg) {
			bad("blade-zero-lift", "station %d: zero lift at %.4g deg is outside -15 to 15", i+1, z/deg)
		}
	}
	if n > 1 && b.X[n-1] < 0.9 {
		bad("blade-tip", "the last station is at %g of the radius; the tip is missing", b.X[n-1])
	}
	return l
}

// readRows reads a comma-separated table with named columns: '#' comments,
// any column order, further columns ignored. Columns in want must be there;
// optional ones come as NaN where missing.
func readRows(name string, text []byte, want, optional []string) (rows [][]float64, lines []int, l diag.List) {
	at := func(line, col int) diag.Span { return diag.Span{File: name, Line: line, Col: col} }
	if len(text) > 4<<20 {
		l.Errorf("csv-size", at(0, 0), "a propeller table of %d bytes is too long (4 MiB at most)", len(text))
		return nil, nil, l
	}
	r := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(text), "\ufeff")))
	r.Comment = '#'
	r.FieldsPerRecord = -1
	r.TrimLeadingSpace = true
	var index []int
	all := append(append([]string{}, want...), optional...)
	for {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			var pe *csv.ParseError
			if errors.As(err, &pe) {
				l.Errorf("csv", at(pe.Line, pe.Column), "not a comma-separated table: %v", pe.Err)
			} else {
				l.Errorf("csv", at(0, 0), "not a comma-separated table: %v", err)
			}
			return nil, nil, l
		}
		line, _ := r.FieldPos(0)
		if index == nil {
			index = make([]int, len(all))
			for i, w := range all {
				index[i] = -1
				for j, h := range rec {
					if strings.EqualFold(strings.TrimSpace(h), w) {
						index[i] = j
					}
				}
				if index[i] < 0 && i < len(want) {
					l.Add(diag.Diagnostic{
						Severity: diag.Error, Code: "csv-column", Span: at(line, 1),
						Message: fmt.Sprintf("column %q is missing", w), Hint: "the first line names the columns: " + strings.Join(want, ","),
					})
				}
			}
			if l.HasErrors() {
				return nil, nil, l
			}
			continue
		}
		row := make([]float64, len(all))
		for i, j := range index {
			row[i] = math.NaN()
			if j < 0 {
				continue
			}
			if j >= len(rec) {
				l.Errorf("csv-cells", at(line, 1), "the row has %d cells; column %q is missing", len(rec), all[i])
				break
			}
			v, err := strconv.ParseFloat(strings.TrimSpace(rec[j]), 64)
			_, col := r.FieldPos(j)
			if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
				l.Errorf("csv-number", at(line, col), "%q is not a number", rec[j])
				continue
			}
			row[i] = v
		}
		rows = append(rows, row)
		lines = append(lines, line)
		if len(l) > 50 {
			break
		}
	}
	if index == nil {
		l.Add(diag.Diagnostic{
			Severity: diag.Error, Code: "csv-empty", Span: at(1, 1), Message: "the table is empty",
			Hint: "the first line names the columns: " + strings.Join(want, ","),
		})
	}
	return rows, lines, l
}

// ReadBlade reads a blade geometry: columns r_over_R, c_over_R, beta_deg and,
// if there, t_over_c and zero_lift_deg (the sections' angle of zero lift
// against the line of beta_deg, for who knows the section). Without it the
// generic section's stands for blades whose angles were read from photographs,
// which are some degrees steeper than the chord line (TestSilhouettes). name is
// the file's name for messages. Stations may be in any order. On errors the
// blade is nil.
func ReadBlade(name string, text []byte, diameter float64, blades int) (*Blade, diag.List) {
	rows, lines, l := readRows(name, text, []string{"r_over_R", "c_over_R", "beta_deg"}, []string{"t_over_c", "zero_lift_deg"})
	if l.HasErrors() {
		return nil, l
	}
	order := make([]int, len(rows))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return rows[order[i]][0] < rows[order[j]][0] })
	b := &Blade{Diameter: diameter, Blades: blades}
	thick, zero := len(rows) > 0, len(rows) > 0
	for k, i := range order {
		row := rows[i]
		at := diag.Span{File: name, Line: lines[i], Col: 1}
		if k > 0 && row[0] == rows[order[k-1]][0] {
			l.Errorf("blade-radius", at, "the radius %g stands twice", row[0])
		}
		if !(row[0] >= 0.02 && row[0] <= 1.0001) {
			l.Errorf("blade-radius", at, "r_over_R %g is outside 0.02 to 1", row[0])
		}
		if !((row[1] > 0 || row[1] == 0 && k == len(order)-1) && row[1] < 1) {
			l.Errorf("blade-chord", at, "c_over_R %g is outside 0 to 1", row[1])
		}
		if !(row[2] > -45 && row[2] < 90) {
			l.Errorf("blade-angle", at, "beta_deg %g is outside -45 to 90", row[2])
		}
		thick = thick && !math.IsNaN(row[3])
		zero = zero && !math.IsNaN(row[4])
		b.X = append(b.X, row[0])
		b.Chord = append(b.Chord, row[1])
		b.Beta = append(b.Beta, row[2]*deg)
		b.Thick = append(b.Thick, row[3])
		b.Zero = append(b.Zero, row[4]*deg)
	}
	if !thick {
		b.Thick = nil
	}
	if !zero {
		b.Zero = nil
	}
	if l.HasErrors() {
		return nil, l
	}
	for _, d := range b.Check() {
		d.Span = diag.Span{File: name, Line: 1, Col: 1}
		l.Add(d)
	}
	if l.HasErrors() {
		return nil, l
	}
	if most := slices.Max(b.Beta); math.Abs(most) < 3*deg {
		l.Add(diag.Diagnostic{
			Severity: diag.Warning, Code: "blade-angle", Span: diag.Span{File: name, Line: 1, Col: 1},
			Message: fmt.Sprintf("the steepest blade angle is %.2g deg: such a propeller hardly pulls", most/deg), Hint: "beta_deg is in degrees, between chord line and plane of rotation",
		})
	}
	if l.HasErrors() {
		return nil, l
	}
	return b, l
}

// face is the angle between the flat face, on which nominal pitch is read,
// and the chord line of a Clark-Y-like section of 10 to 12 %.
const face = 1.9 * deg

// multiBlade is the chord of moulded blades on three- and more-bladed hubs
// over that of two-bladed ones of the family: at 4 inch pitch the bench has
// CT three over two blades 1.10 to 1.15 where equal blades give 1.35.
const multiBlade = 0.82

// familyX are the stations of a family blade.
var familyX = []float64{0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 0.98, 1}

// families: chord over radius at familyX, and thickness at 0.3 and 1.
var families = map[string]struct {
	chord     []float64
	root, tip float64
	washHub   float64 // pitch at 0.15 over nominal
}{
	"sport":   {[]float64{.130, .135, .150, .161, .164, .160, .151, .144, .135, .124, .108, .084, .058, .020}, .13, .09, 0.8},
	"thin":    {[]float64{.135, .155, .182, .196, .197, .187, .169, .157, .143, .127, .107, .080, .055, .020}, .11, .08, 0.8},
	"slow":    {[]float64{.140, .175, .225, .246, .250, .240, .218, .203, .184, .162, .136, .102, .070, .025}, .09, .06, 0.75},
	"folding": {[]float64{.090, .120, .170, .192, .194, .186, .170, .158, .144, .127, .107, .080, .055, .020}, .12, .08, 0.8},
}

// Styles lists the families.
func Styles() []string { return []string{"sport", "thin", "slow", "folding"} }

// Family makes a blade from diameter x pitch (m), blade count and style ("":
// sport). Chord by style, helical pitch read on the blade's face (the chord
// line stands 1.9 deg steeper), washed out towards the hub. Doubt (1 sigma):
// CT 10 %, CP 12 %, advance ratio of zero thrust 4 %. Nil with a diagnostic
// where the numbers make no propeller, zero pitch included.
func Family(diameter, pitch float64, blades int, style string) (*Blade, diag.List) {
	var l diag.List
	if style == "" {
		style = "sport"
	}
	f, ok := families[style]
	if !ok {
		l.Add(diag.Diagnostic{Severity: diag.Error, Code: "propeller-style", Message: fmt.Sprintf("no propeller style %q", style), Hint: "one of " + strings.Join(Styles(), ", ")})
		return nil, l
	}
	if !(pitch > 0) || math.IsInf(pitch, 0) {
		l.Add(diag.Diagnostic{Severity: diag.Error, Code: "propeller-pitch", Message: fmt.Sprintf("a propeller of %g m pitch does not pull", pitch), Hint: "the second number on the blade, in inches"})
		return nil, l
	}
	if diameter > 0 && (pitch/diameter < 0.15 || pitch/diameter > 2.2) {
		l.Add(diag.Diagnostic{Severity: diag.Error, Code: "propeller-pitch", Message: fmt.Sprintf("pitch over diameter %.3g is outside 0.15 to 2.2", pitch/diameter), Hint: "diameter x pitch, as on the blade"})
		return nil, l
	}
	b := &Blade{Diameter: diameter, Blades: blades, Pitch: pitch, Style: style}
	narrow := 1.0
	if blades > 2 {
		narrow = multiBlade
	}
	for i, x := range familyX {
		p := pitch
		if x < 0.5 {
			p *= 1 - (1-f.washHub)*(0.5-x)/0.35
		}
		b.X = append(b.X, x)
		b.Chord = append(b.Chord, f.chord[i]*narrow)
		b.Beta = append(b.Beta, math.Atan(p/(math.Pi*diameter*x))+face)
		b.Thick = append(b.Thick, math.Min(f.root+(f.tip-f.root)*(x-0.3)/0.7, 0.2))
	}
	l = append(l, b.Check()...)
	if l.HasErrors() {
		return nil, l
	}
	return b, l
}

// Inertia is the moment of inertia about the axis (kg m²) of a propeller of
// that mass, its blades taken as rods from the axis: m D²/12; a hub that
// holds a quarter of the mass of a family blade is inside the doubt (20 %).
func Inertia(mass, diameter float64) float64 { return mass * diameter * diameter / 12 }

// BladePass is the blade-pass frequency (Hz) at omega (rad/s).
func BladePass(blades int, omega float64) float64 { return float64(blades) * omega / (2 * math.Pi) }
