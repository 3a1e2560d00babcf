package prop

import "math"

// Section gives lift and drag coefficients of a blade section.
//
// alpha is the angle of attack of the chord line in rad, -pi..pi; re the
// chord Reynolds number; mach the local Mach number; thick the thickness over
// chord. Implementations are pure and safe for parallel use.
type Section interface {
	At(alpha, re, mach, thick float64) (cl, cd float64)
}

// Range of Reynolds numbers that the generic section stands on. Between
// reMeasured and ReHigh it is measured; from ReLow to reMeasured it follows
// published trends; below ReLow the values of ReLow are used and flagged.
const (
	ReLow      = 10e3
	reMeasured = 60e3
	ReHigh     = 400e3
)

// thickness of the two measured families, over chord.
const (
	thinFamily  = 0.085
	thickFamily = 0.117
)

const deg = math.Pi / 180

// The measured part: alpha -8..16 deg in steps of 2, by Reynolds number.
// Lift: mean of the rising and falling sweep below stall, rising sweep above.
// Sources: SD7003 (LSAT vol. 1) for the thin family, Clark-Y (LSAT vol. 3) for
// the thick one, at Re 60e3, 100e3, 200e3, 300..400e3. The rows at 30e3, 15e3
// and 10e3 are trends: drag with Re^-0.5 (Schmitz 1942 and practice), lift
// slope and maximum lift falling as in Schmitz' tests of cambered plates and
// sections; their doubt is 15 % of lift and 30 % of drag.
var (
	rowsRe = []float64{10e3, 15e3, 30e3, 60e3, 100e3, 200e3, 400e3}
	// alpha deg        -8     -6     -4     -2     0     2     4     6     8     10    12    14    16
	thinCl = [][]float64{
		{-.36, -.31, -.20, -.08, .050, .200, .370, .520, .630, .700, .730, .740, .740},
		{-.39, -.34, -.22, -.08, .060, .230, .415, .575, .700, .775, .800, .800, .790},
		{-.44, -.39, -.24, -.085, .070, .290, .490, .660, .800, .890, .890, .860, .840},
		{-.48, -.42, -.26, -.09, .085, .345, .560, .740, .890, .995, .965, .905, .880},
		{-.51, -.44, -.25, -.09, .107, .375, .575, .768, .930, 1.055, .965, .940, .940},
		{-.54, -.43, -.24, -.055, .160, .365, .570, .765, .938, 1.080, .985, .975, .950},
		{-.56, -.44, -.24, -.05, .162, .362, .575, .772, .950, 1.100, 1.060, .990, .960},
	}
	thinCd = [][]float64{
		{.100, .070, .0480, .0330, .0320, .0340, .0410, .0520, .0720, .105, .145, .180, .215},
		{.088, .058, .0390, .0262, .0260, .0270, .0330, .0420, .0590, .088, .130, .168, .205},
		{.078, .046, .0280, .0180, .0182, .0188, .0225, .0285, .0400, .062, .110, .150, .190},
		{.070, .036, .0205, .0128, .0131, .0132, .0156, .0192, .0268, .041, .090, .133, .175},
		{.062, .029, .0160, .0106, .0088, .0120, .0144, .0180, .0255, .045, .088, .130, .170},
		{.055, .022, .0128, .0094, .0073, .0090, .0112, .0145, .0205, .033, .080, .120, .160},
		{.050, .018, .0112, .0082, .0068, .0078, .0099, .0125, .0180, .027, .060, .110, .150},
	}
	thickCl = [][]float64{
		{-.36, -.31, -.23, -.11, .010, .150, .320, .480, .620, .740, .820, .860, .860},
		{-.38, -.33, -.24, -.11, .020, .175, .360, .530, .680, .810, .900, .940, .930},
		{-.41, -.36, -.26, -.10, .060, .250, .465, .650, .815, .950, 1.050, 1.100, 1.060},
		{-.44, -.40, -.28, -.10, .110, .335, .575, .760, .930, 1.075, 1.185, 1.240, 1.100},
		{-.48, -.43, -.24, -.01, .230, .465, .680, .865, 1.030, 1.175, 1.270, 1.300, 1.200},
		{-.50, -.33, -.08, .135, .345, .560, .740, .920, 1.085, 1.245, 1.302, 1.322, 1.325},
		{-.42, -.235, -.06, .125, .335, .570, .760, .935, 1.110, 1.255, 1.318, 1.347, 1.348},
	}
	thickCd = [][]float64{
		{.130, .100, .076, .063, .058, .067, .073, .080, .088, .095, .105, .140, .185},
		{.110, .084, .062, .0525, .048, .056, .060, .065, .071, .073, .082, .120, .165},
		{.085, .059, .0437, .0370, .0345, .0415, .0440, .0470, .0500, .0490, .055, .085, .135},
		{.066, .042, .0310, .0262, .0245, .0305, .0338, .0360, .0388, .0355, .0363, .055, .110},
		{.058, .036, .0270, .0225, .0229, .0237, .0217, .0203, .0203, .0230, .0310, .045, .085},
		{.050, .030, .0200, .0145, .0115, .0110, .0120, .0140, .0175, .0220, .0300, .045, .070},
		{.045, .025, .0145, .0105, .0083, .0079, .0092, .0110, .0135, .0170, .0250, .040, .060},
	}
)

const (
	alphaStep = 2 * deg
	alphaN    = 181
)

// generic is the tabulated section: [family][re][alpha+1]{cl, cd}.
type generic struct {
	logRe []float64
	f     [2][][]pair
}

type pair struct{ cl, cd float64 }

// What a blade section is, against the tunnel models it is taken from.
const (
	// Moulded and printed small blades end in a blunt edge of some 0.4 to 0.6
	// mm: 2 to 5 % of the chord.
	bluntEdge = 0.035
	// A blunt edge steepens the lift curve (5 to 8 % for 2 to 4 %).
	bluntLift = 1.06
	// Propeller sections are cambered by some 3 %, between the two families
	// but nearer to the thick one: the angle of zero lift is that much lower
	// than the mean by thickness gives.
	moreCamber = 0.2 // deg
)

// Generic is the section used for propeller blades whose section is not
// known, as a table over the full angle range.
//
// It lies between a measured thin (8.5 %, camber 1.5 %) and a measured thick
// (11.7 %, camber 3.5 %) low-speed section, linear in thickness and held at
// the families' ends, with the base drag of a blunt trailing edge (Hoerner
// 1965, ch. 3: 0.135 (h/c)^(4/3)/cd^(1/3)) and the lift slope 6 % steeper for
// it. Past stall it goes over to the normal force of a plate (Lindenburg 2003,
// aspect ratio 10). Compressibility scales the angle from zero lift by
// min(1.3, 1/sqrt(1-M^2)), which leaves the greatest lift as it is, and adds
// wave drag above the drag-divergence Mach number.
//
// Doubt: the angle of zero lift of real blades against their chord line
// scatters by 1.2 deg (1 sigma, seven measured blades), drag by 20 %.
var Generic Section = newGeneric()

var theGeneric = Generic.(*generic)

func newGeneric() *generic {
	g := &generic{}
	for _, r := range rowsRe {
		g.logRe = append(g.logRe, math.Log(r))
	}
	for fam, rows := range [2][2][][]float64{{thinCl, thinCd}, {thickCl, thickCd}} {
		for k := range rowsRe {
			row := make([]pair, alphaN+3) // closed: one before, two after
			for i := range row {
				j := (i - 1 + alphaN - 1) % (alphaN - 1)
				row[i] = wholeCircle(-math.Pi+float64(j)*alphaStep, rows[0][k], rows[1][k])
			}
			g.f[fam] = append(g.f[fam], row)
		}
	}
	return g
}

// wholeCircle joins the measured range -8..16 deg to the plate.
func wholeCircle(a float64, cl, cd []float64) pair {
	d := a / deg
	p := plate(a)
	at := func(d float64) pair {
		s := math.Min(math.Max((d+moreCamber+8)/2, 0), float64(len(cl)-1))
		i := min(int(s), len(cl)-2)
		t := s - float64(i)
		c := cd[i] + t*(cd[i+1]-cd[i])
		return pair{
			(cl[i] + t*(cl[i+1]-cl[i])) * bluntLift,
			c + 0.135*math.Pow(bluntEdge, 4.0/3)/math.Cbrt(c),
		}
	}
	blend := func(m pair, w float64) pair {
		w = w * w * (3 - 2*w)
		return pair{m.cl + w*(p.cl-m.cl), m.cd + w*(p.cd-m.cd)}
	}
	switch {
	case d >= -8 && d <= 16:
		return at(d)
	case d > 16 && d < 30:
		return blend(at(16), (d-16)/14)
	case d < -8 && d > -24:
		return blend(at(-8), (-8-d)/16)
	}
	return p
}

// plate is lift and drag of a plate of aspect ratio 10 at any angle, with an
// attached range of reversed flow near 180 deg and friction.
func plate(a float64) pair {
	s, c := math.Sincos(a)
	n := PlateNormal(math.Abs(s), 10) * math.Copysign(1, s)
	q := pair{n * c, n*s + 0.03*math.Abs(c)}
	// Reversed flow: a sharp leading edge, slope 0.75 of the ideal one.
	if back := math.Abs(math.Abs(a) - math.Pi); back < 14*deg {
		w := back / (14 * deg)
		w = w * w * (3 - 2*w)
		off := a - math.Copysign(math.Pi, a)
		q.cl = (1-w)*0.75*2*math.Pi*math.Sin(off) + w*q.cl
		q.cd = (1-w)*(0.03+1.5*math.Sin(off)*math.Sin(off)) + w*q.cd
	}
	return q
}

// PlateNormal is the normal-force coefficient of a plate of the aspect ratio
// at the sine of its angle of attack (0..1):
// 1.98 [1/(0.56+0.44 s) - 0.41(1-exp(-17/AR))] s, Lindenburg 2003 after Hoerner.
func PlateNormal(s, ar float64) float64 {
	return 1.98 * (1/(0.56+0.44*s) - 0.41*(1-math.Exp(-17/ar))) * s
}

// ready is the generic section at one Reynolds number, Mach number and
// thickness.
type ready struct {
	row               [4][]pair
	w                 [4]float64
	n                 int
	mach, thick, drag float64
}

func (g *generic) prepare(re, mach, thick float64, r *ready) {
	lr := math.Log(re)
	k := 0
	for k < len(g.logRe)-2 && lr > g.logRe[k+1] {
		k++
	}
	u := (lr - g.logRe[k]) / (g.logRe[k+1] - g.logRe[k])
	u = math.Min(math.Max(u, 0), 1)
	h := math.Min(math.Max((thick-thinFamily)/(thickFamily-thinFamily), 0), 1)
	r.n = 0
	add := func(fam, k int, w float64) {
		if w > 0 {
			r.row[r.n], r.w[r.n] = g.f[fam][k], w
			r.n++
		}
	}
	add(0, k, (1-h)*(1-u))
	add(0, k+1, (1-h)*u)
	add(1, k, h*(1-u))
	add(1, k+1, h*u)
	r.mach, r.thick, r.drag = mach, thick, 1
	if re > ReHigh {
		r.drag = math.Pow(re/ReHigh, -0.2)
	}
}

func (r *ready) at(alpha float64) (cl, cd float64) {
	if r.mach > 0.05 {
		alpha += compress(alpha, r.mach)
	}
	s := (alpha + math.Pi) / alphaStep
	i := min(max(int(s), 0), alphaN-2)
	t := s - float64(i)
	t2 := t * t
	t3 := t2 * t
	w0, w1, w2, w3 := 0.5*(-t3+2*t2-t), 0.5*(3*t3-5*t2+2), 0.5*(-3*t3+4*t2+t), 0.5*(t3-t2)
	for k := range r.n {
		p := r.row[k][i : i+4 : i+4]
		w := r.w[k]
		cl += w * (w0*p[0].cl + w1*p[1].cl + w2*p[2].cl + w3*p[3].cl)
		cd += w * (w0*p[0].cd + w1*p[1].cd + w2*p[2].cd + w3*p[3].cd)
	}
	cd *= r.drag
	if r.mach > 0.5 {
		cd += WaveDrag(r.mach, r.thick, cl)
	}
	return cl, cd
}

// At implements [Section].
func (g *generic) At(alpha, re, mach, thick float64) (cl, cd float64) {
	var r ready
	g.prepare(re, mach, thick, &r)
	return r.at(alpha)
}

// GenericZero is the generic section's angle of zero lift at Re 50e3 to 100e3.
const GenericZero = -1.3 * deg

// compress is the addition to the angle of attack that stands for the
// steeper lift slope in compressible flow, fading past stall.
func compress(alpha, mach float64) float64 { return slope(alpha, SlopeGain(mach)-1) }

// slope is the addition to the angle of attack that stands for a lift slope
// steeper by the share k.
func slope(alpha, k float64) float64 {
	a := math.Abs(alpha)
	switch {
	case a > 35*deg:
		return 0
	case a > 15*deg:
		w := (35*deg - a) / (20 * deg)
		k *= w * w * (3 - 2*w)
	}
	return k * (alpha - GenericZero)
}

// SlopeGain is the Prandtl-Glauert factor on the lift slope, held at 1.3
// (reached at Mach 0.64).
func SlopeGain(mach float64) float64 {
	b := 1 - mach*mach
	if b <= 1/1.69 {
		return 1.3
	}
	return 1 / math.Sqrt(b)
}

// WaveDrag is the drag coefficient added above drag divergence: zero below
// Mdd - 0.1, 0.002 at Mdd, 20 (M-Mc)^4 with Mc = Mdd - 0.1 (Lock's law) and
// Mdd = 0.87 - thick - cl/10, held at 0.25.
func WaveDrag(mach, thick, cl float64) float64 {
	mc := 0.87 - thick - math.Abs(cl)/10 - 0.1
	if mach <= mc {
		return 0
	}
	d := mach - mc
	return math.Min(20*d*d*d*d, 0.25)
}
