package section

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func must(t testing.TB, text string) *Shape {
	t.Helper()
	s, err := Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

const deg = math.Pi / 180

func TestFourDigitCoordinates(t *testing.T) {
	src := cite.NACATR460.At("ordinates by formula", cite.Derived)
	row := func(name string) check.Row {
		return check.Row{Topic: "section geometry", Name: name, Unit: "chord", Source: src}
	}
	tol := check.Tol{Abs: 2e-5, Why: "spline through 221 points, stated tolerance of the case"}
	s := must(t, "NACA 2412")
	for _, r := range []struct{ x, y float64 }{{0.04690, 0.04010}, {0.29850, 0.07875}, {0.90080, 0.02057}} {
		row(fmt.Sprintf("2412 upper y at x %.5f", r.x)).Near(t, s.Upper(r.x), r.y, tol)
	}
	for _, r := range []struct{ x, y float64 }{{0.05310, -0.03072}, {0.30150, -0.04125}, {0.89920, -0.00834}} {
		row(fmt.Sprintf("2412 lower y at x %.5f", r.x)).Near(t, s.Lower(r.x), r.y, tol)
	}
	s = must(t, "0012")
	tr824 := check.Row{Topic: "section geometry", Unit: "chord", Source: cite.NACATR824.At("0012 ordinates", cite.Memory)}
	for _, r := range []struct{ x, y float64 }{{1.25, 1.894}, {5, 3.555}, {10, 4.683}, {30, 6.002}, {50, 5.294}, {90, 1.448}} {
		tr824.Name = fmt.Sprintf("0012 half thickness at %g %%", r.x)
		tr824.Near(t, s.Upper(r.x/100), r.y/100, check.Tol{Abs: 1.1e-5, Why: "last printed digit, formula agrees to 0.001 %"})
	}
	row("0012 leading-edge radius").Near(t, s.LeadingEdgeRadius(), 1.1019*0.12*0.12, check.Model(0.02, "fit over the foremost arc, not the limit at the nose"))
	th, at := s.Thickness()
	if math.Abs(th-0.12003) > 5e-5 || math.Abs(at-0.3) > 0.005 {
		t.Errorf("0012 thickness %g at %g", th, at)
	}
	c, at := must(t, "NACA 4412").Camber()
	if math.Abs(c-0.04) > 1e-6 || math.Abs(at-0.4) > 1e-3 {
		t.Errorf("4412 camber %g at %g", c, at)
	}
}

func TestThinAirfoil(t *testing.T) {
	src := cite.Ours.At("quadrature of Glauert's integrals", cite.Derived)
	row := func(name, unit string) check.Row {
		return check.Row{Topic: "thin-airfoil results", Name: name, Unit: unit, Source: src}
	}
	tol := check.Tol{Abs: 1e-3, Why: "stated tolerance of the case"}
	for _, r := range []struct {
		name                 string
		alpha, cm, cl, ideal float64
	}{
		{"1412", -1.0386, -0.0266, 0.1280, 0.1287},
		{"2412", -2.0772, -0.0531, 0.2560, 0.2574},
		{"4412", -4.1545, -0.1062, 0.5120, 0.5148},
		{"23012", -1.0936, -0.0128, 0.3000, 1.6425},
		{"21012", -0.6257, -0.0038, 0.3084, 2.1866},
		{"25012", -1.4828, -0.0244, 0.3000, 1.2532},
		{"23112", -0.7539, 0.0011, 0.3019, 1.9988},
	} {
		a := must(t, r.name).Thin()
		row(r.name+" angle of zero lift", "deg").Near(t, a.AlphaL0/deg, r.alpha, tol)
		row(r.name+" cm c/4", "").Near(t, a.Cm0, r.cm, tol)
		row(r.name+" design cl", "").Near(t, a.IdealCl, r.cl, tol)
		row(r.name+" ideal angle", "deg").Near(t, a.IdealAlpha/deg, r.ideal, tol)
	}
	pub := check.Row{Topic: "thin-airfoil results", Source: cite.AndersonFundamentals.At("worked example, NACA 23012", cite.Memory)}
	a := must(t, "23012").Thin()
	pub.Name = "23012 cl at 4 deg"
	pub.Near(t, 2*math.Pi*(4*deg-a.AlphaL0), 0.559, check.Printed(0.001))
	for _, x0 := range []float64{0.875, 0.75} {
		s := fromLines("cubic", func(x float64) (float64, float64) {
			return 0.1 * x * (1 - x) * (1 - x/x0), 0.1 * (1 - 2*x*(1+1/x0) + 3*x*x/x0)
		}, fourDigitHalf(0.08))
		want := map[float64][2]float64{0.875: {-0.4093, 0}, 0.75: {0, 0.01309}}[x0]
		a := s.Thin()
		row(fmt.Sprintf("reflexed cubic, zero at %g, angle of zero lift", x0), "deg").Near(t, a.AlphaL0/deg, want[0], tol)
		row(fmt.Sprintf("reflexed cubic, zero at %g, cm c/4", x0), "").Near(t, a.Cm0, want[1], tol)
	}
}

// The mean line taken from the coordinates gives what the analytic one does.
func TestThinAirfoilFromCoordinates(t *testing.T) {
	s := must(t, "2409")
	a := s.Thin()
	x, y := s.Points()
	b := newShape("copy", x, y).Thin()
	if math.Abs(a.AlphaL0-b.AlphaL0) > 0.1*deg || math.Abs(a.Cm0-b.Cm0) > 0.002 {
		t.Errorf("analytic %+v, from coordinates %+v", a, b)
	}
}

func TestChanges(t *testing.T) {
	s := must(t, "NACA 2412 at 9 % thick and 1.5 % camber")
	th, _ := s.Thickness()
	c, _ := s.Camber()
	if math.Abs(th-0.09) > 2e-4 || math.Abs(c-0.015) > 1e-5 {
		t.Errorf("thickness %g, camber %g", th, c)
	}
	s = must(t, "4412").WithThickness(0.08).WithCamber(0.01)
	th, _ = s.Thickness()
	c, _ = s.Camber()
	if math.Abs(th-0.08) > 2e-4 || math.Abs(c-0.01) > 1e-4 {
		t.Errorf("thickness %g, camber %g", th, c)
	}
	if gap, _ := must(t, "0012").Closed().TrailingEdge(); gap > 1e-12 {
		t.Errorf("closed gap %g", gap)
	}
	u := Unknown(0.11, 0.42)
	th, at := u.Thickness()
	if math.Abs(th-0.11) > 3e-4 || math.Abs(at-0.42) > 0.01 || !u.Guessed() {
		t.Errorf("unknown: %g at %g", th, at)
	}
	f := must(t, "0010").WithFlap(0.75, 10*deg)
	x, y := f.Points()
	if want := -0.25 * math.Sin(10*deg); math.Abs((y[0]+y[len(y)-1])/2-want) > 1e-3 {
		t.Errorf("trailing edge at %g, want %g", y[0], want)
	}
	for i := 1; i < len(x); i++ {
		if math.Hypot(x[i]-x[i-1], y[i]-y[i-1]) < 1e-7 {
			t.Errorf("flap folds the surface at %g", x[i])
		}
	}
	// Thin-airfoil effectiveness of the bent mean line, Glauert R&M 1095.
	a, b := f.Thin(), must(t, "0010").Thin()
	check.Row{Topic: "thin-airfoil results", Name: "flap effectiveness tau, 25 % flap, bent mean line", Source: cite.SectionFlap.At("table of this case E 0.25", cite.Derived)}.
		Near(t, (b.AlphaL0-a.AlphaL0)/(10*deg), 0.609, check.Model(0.03, "the hinge is bent over a stretch, the angle is finite"))
}

func TestParseRefuses(t *testing.T) {
	for _, s := range []string{"", "NACA", "241", "2400", "0212", "20012 ", "64-212", "641212", "NACA 2412 at banana", "2412 at 90 % thick",
		"NACA 26012", "NACA 00012", strings.Repeat("9", 400)} {
		if sh, err := Parse(s); err == nil && s != "20012 " {
			t.Errorf("%q accepted as %s", s, sh.Name())
		} else if err != nil {
			var pe *ParseError
			if !errors.As(err, &pe) || pe.Msg == "" || pe.Hint == "" {
				t.Errorf("%q: %v", s, err)
			}
		}
	}
}

func refShape(t testing.TB, file string) *Shape {
	t.Helper()
	raw, err := os.ReadFile(check.RefFile(file))
	if err != nil {
		t.Fatal(err)
	}
	s, notes, err := FromCoordinates(file, raw)
	if err != nil {
		t.Fatal(err)
	}
	if len(notes) > 0 {
		t.Log(notes)
	}
	return s
}

func TestCoordinateFiles(t *testing.T) {
	for _, r := range []struct {
		file     string
		t, at, c float64
	}{
		{"aerodynamics-clarky-coordinates.csv", 0.117, 0.28, 0.0343},
		{"aerodynamics-sd7003-coordinates.csv", 0.085, 0.245, 0.0145},
	} {
		s := refShape(t, r.file)
		th, at := s.Thickness()
		c, _ := s.Camber()
		if math.Abs(th-r.t) > 1e-3 || math.Abs(at-r.at) > 0.03 || math.Abs(c-r.c) > 2e-3 {
			t.Errorf("%s: thickness %.4f at %.3f, camber %.4f", r.file, th, at, c)
		}
	}
}

// write prints a shape as text in the wanted order.
func write(x, y []float64) string {
	var b strings.Builder
	b.WriteString("some section\n")
	for i := range x {
		fmt.Fprintf(&b, "%.6f %.6f\n", x[i], y[i])
	}
	return b.String()
}

func TestCoordinateOrders(t *testing.T) {
	s := must(t, "2412")
	x, y := s.Repanel(80)
	th, _ := s.Thickness()
	rev := func(v []float64) []float64 {
		out := append([]float64(nil), v...)
		for i, j := 0, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
		return out
	}
	k := 0
	for i := range x {
		if x[i] < x[k] {
			k = i
		}
	}
	lists := fmt.Sprintf("title\n %d. %d.\n\n", k+1, len(x)-k) +
		strings.TrimPrefix(write(rev(x[:k+1]), rev(y[:k+1])), "some section\n") + "\n" + strings.TrimPrefix(write(x[k:], y[k:]), "some section\n")
	double := write(append(x[:5:5], x[4:]...), append(y[:5:5], y[4:]...))
	mm := make([]float64, len(x))
	mmy := make([]float64, len(x))
	for i := range x {
		mm[i], mmy[i] = 150*x[i]+30, 150*y[i]-4
	}
	for name, text := range map[string]string{
		"usual": write(x, y), "turned": write(rev(x), rev(y)), "lists": lists, "double": double, "millimetres": write(mm, mmy),
		"commas": strings.ReplaceAll(write(x, y), " ", ", "), "crlf": strings.ReplaceAll(write(x, y), "\n", "\r\n"),
	} {
		got, notes, err := FromCoordinates(name, []byte(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		g, _ := got.Thickness()
		if math.Abs(g-th) > 2e-4 {
			t.Errorf("%s: thickness %g, want %g", name, g, th)
		}
		if name != "usual" && name != "commas" && name != "crlf" && len(notes) == 0 {
			t.Errorf("%s: repaired without a notice", name)
		}
	}
}

func TestCoordinatesHostile(t *testing.T) {
	x, y := must(t, "2412").Repanel(60)
	swap := append([]float64(nil), x...)
	swap[10], swap[14] = swap[14], swap[10]
	crossed := append([]float64(nil), y...)
	for i := range crossed {
		if x[i] > 0.4 && x[i] < 0.8 {
			crossed[i] = -crossed[i] * 0.5
		}
	}
	flat := make([]float64, len(y))
	for name, r := range map[string]struct {
		text string
		line int
	}{
		"empty":   {"", 0},
		"words":   {"hello\nworld\n", 0},
		"few":     {"1 0\n0 0\n1 0.1\n", 0},
		"nan":     {"t\n1 0\n0.5 NaN\n0 0\n", 3},
		"inf":     {"1 0\n1e300 2\n", 2},
		"letters": {write(x, y) + "end\n", len(x) + 2},
		"swapped": {write(swap, y), -1},
		"crossed": {write(x, crossed), -1},
		"flat":    {write(x, flat), 0},
		"same x":  {strings.Repeat("1 0\n1 2\n", 10), -1},
		"binary":  {"\x00\xff\xfe\x00\x01", 0},
	} {
		s, _, err := FromCoordinates(name, []byte(r.text))
		var ce *CoordError
		if !errors.As(err, &ce) {
			t.Errorf("%s: accepted %v, error %v", name, s, err)
			continue
		}
		if r.line > 0 && ce.Line != r.line || r.line < 0 && ce.Line == 0 {
			t.Errorf("%s: line %d, want %d: %v", name, ce.Line, r.line, err)
		}
	}
	// 12 and 2,000 points, cusped, blunt: a result with notices.
	px, py := must(t, "2412").Repanel(2000)
	if s, notes, err := FromCoordinates("2000", []byte(write(px, py))); err != nil || len(notes) == 0 {
		t.Errorf("2000 points: %v %v %v", s, notes, err)
	}
	twelve := "1 0\n.75 .045\n.5 .071\n.25 .078\n.1 .059\n.02 .029\n0 0\n.02 -.02\n.1 -.03\n.25 -.04\n.6 -.02\n1 0\n"
	if s, notes, err := FromCoordinates("12", []byte(twelve)); err != nil || len(notes) == 0 || !s.Coarse() {
		t.Errorf("12 points: %v %v", notes, err)
	}
	var cx, cy []float64
	for i := range 80 { // Joukowski: a cusp
		th := 2 * math.Pi * float64(i) / 79
		zr, zi := -0.1+1.1*math.Cos(th), 1.1*math.Sin(th)
		q := zr*zr + zi*zi
		cx, cy = append(cx, zr+zr/q), append(cy, zi-zi/q)
	}
	if _, _, err := FromCoordinates("cusp", []byte(write(cx, cy))); err != nil {
		t.Errorf("cusped: %v", err)
	}
}

func FuzzCoordinates(f *testing.F) {
	s, _ := Parse("2412")
	x, y := s.Repanel(24)
	f.Add([]byte(write(x, y)))
	f.Add([]byte("a\n3 3\n0 0\n.5 .1\n1 0\n0 0\n.5 -.1\n1 0\n"))
	f.Add([]byte("1 0\n.7 .1\n.4 .1\n.1 .1\n0 0\n.1 -.1\n.4 -.1\n.7 -.1\n1 0\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, _, err := FromCoordinates("fuzz", text)
		if err != nil {
			var ce *CoordError
			if !errors.As(err, &ce) {
				t.Errorf("error of another kind: %v", err)
			}
			return
		}
		px, py := s.Points()
		for i := range px {
			if math.IsNaN(px[i] + py[i]) {
				t.Fatal("NaN point")
			}
		}
		if bytes.Contains([]byte(s.Name()), []byte("\n")) {
			t.Error("name with a line break")
		}
	})
}

func FuzzParse(f *testing.F) {
	f.Add("NACA 2412 at 9 % thick, 1.5 % camber")
	f.Fuzz(func(t *testing.T, text string) {
		if s, err := Parse(text); err == nil {
			if th, _ := s.Thickness(); !(th > 0 && th < 0.6) {
				t.Errorf("%q: thickness %g", text, th)
			}
		}
	})
}

// Points that nearly repeat their neighbour at the trailing edge are dropped
// with a notice: a spline would turn a corner between them.
func TestNearRepeats(t *testing.T) {
	x, y := must(t, "2410").Repanel(40)
	var b strings.Builder
	for i := range x {
		fmt.Fprintf(&b, "%.5f %.5f\n", x[i], y[i])
	}
	fmt.Fprintf(&b, "%.5f %.5f\n", x[len(x)-1]+2e-5, y[len(y)-1]+7e-5)
	sh, notes, err := FromCoordinates("f", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(strings.Join(notes, "; "), "1 repeated point") {
		t.Errorf("no notice: %q", notes)
	}
	want, got := Solve(must(t, "2410"), Condition{Re: 2e5, Panels: 80}, degrees(3, 5, 1)), Solve(sh, Condition{Re: 2e5, Panels: 80}, degrees(3, 5, 1))
	for i, p := range got.Points {
		q := want.Points[i]
		if p.Status != OK || q.Status != OK || math.Abs(p.Cl-q.Cl) > 0.02 || math.Abs(p.Cd/q.Cd-1) > 0.05 {
			t.Errorf("%g deg: %s, lift %g and %g, drag %g and %g", q.Alpha/deg, p.Status, p.Cl, q.Cl, p.Cd, q.Cd)
		}
	}
}

// A point off its neighbours, and sides that change places at a point both
// share, are refused at their line.
func TestBadPointsLocated(t *testing.T) {
	base := must(t, "0012")
	bx, by := base.Points()
	write := func(change func(i int, x, y float64) float64) string {
		var b strings.Builder
		b.WriteString("test\n")
		for i := 0; i < len(bx); i += 4 {
			fmt.Fprintf(&b, "%.5f %.5f\n", bx[i], change(i, bx[i], by[i]))
		}
		return b.String()
	}
	spike := -1
	for i := range bx {
		if i%4 == 0 && bx[i] < 0.5 && spike < 0 {
			spike = i
		}
	}
	for _, c := range []struct {
		name, text, want string
		line             int
	}{
		{"spike", write(func(i int, _, y float64) float64 {
			if i == spike {
				return y + 0.3
			}
			return y
		}), "off its neighbours", spike/4 + 2},
		{"eight", write(func(_ int, x, y float64) float64 { return y * (0.5 - x) }), "crosses", 0},
	} {
		_, _, err := FromCoordinates(c.name, []byte(c.text))
		var e *CoordError
		if !errors.As(err, &e) || !strings.Contains(e.Error(), c.want) || e.Line < 2 || c.line > 0 && e.Line != c.line {
			t.Errorf("%s: %v, want %q at line %d", c.name, err, c.want, c.line)
		}
	}
}

// An outline with a piece cut away is refused where the piece is missing, or
// answered with a notice where it may be meant; a plate's square front and a
// cut-off tail are none of it.
func TestMissingPieces(t *testing.T) {
	base := must(t, "2412")
	x, y := base.Repanel(120)
	only := func(keep func(x float64, upper bool) bool) string {
		nose := 0
		for i := range x {
			if x[i] < x[nose] {
				nose = i
			}
		}
		var px, py []float64
		for i := range x {
			if keep(x[i], i < nose) {
				px, py = append(px, x[i]), append(py, y[i])
			}
		}
		return write(px, py)
	}
	for _, c := range []struct {
		name, text, want string
	}{
		{"upper tail", only(func(x float64, upper bool) bool { return !upper || x < 0.93 }), "the upper side ends"},
		{"lower tail", only(func(x float64, upper bool) bool { return upper || x < 0.93 }), "the lower side ends"},
		{"nose", only(func(x float64, _ bool) bool { return x > 0.05 }), "the nose is missing"},
		{"columns", write(y, x), "columns look swapped"},
	} {
		s, _, err := FromCoordinates(c.name, []byte(c.text))
		var e *CoordError
		if !errors.As(err, &e) || e.Line == 0 || !strings.Contains(e.Error(), c.want) {
			t.Errorf("%s: %v, %v; want %q with a line", c.name, s, err, c.want)
		}
	}
	_, notes, err := FromCoordinates("both tails", []byte(only(func(x float64, _ bool) bool { return x < 0.9 })))
	if err != nil || !strings.Contains(strings.Join(notes, "\n"), "are missing") {
		t.Errorf("both sides cut at 90 %%: %q, %v", notes, err)
	}
	plate := "1 .02\n.8 .02\n.6 .02\n.4 .02\n.2 .02\n.1 .02\n0 .02\n0 -.02\n.1 -.02\n.2 -.02\n.4 -.02\n.6 -.02\n.8 -.02\n1 -.02\n"
	if _, notes, err := FromCoordinates("plate", []byte(plate)); err != nil || strings.Contains(strings.Join(notes, "\n"), "missing") {
		t.Errorf("a plate with square ends: %q, %v", notes, err)
	}
}
