// Package doubt describes what is not known exactly: distributions, the named
// space of uncertain inputs ([Space]) with its seeded draws ([Sampler]),
// intervals and tail means of results, binomial intervals and posteriors,
// and sensitivity indices.
//
// Two kinds of doubt are kept apart. Scatter changes with each launch (the
// hand, a gust); ignorance stays the same but is not known (the stiffness of a
// cord, a drag factor). Measuring can narrow ignorance, never scatter.
//
// A spread written with "±" is an expanded uncertainty, two standard
// deviations (GUM, coverage factor k = 2).
package doubt

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"fledge/internal/num"
)

// Shape names a family of distributions.
type Shape int

const (
	// ShapeFixed: known exactly.
	ShapeFixed Shape = iota
	// ShapeNormal: normal.
	ShapeNormal
	// ShapeTruncated: normal cut off at bounds.
	ShapeTruncated
	// ShapeLogNormal: the logarithm is normal.
	ShapeLogNormal
	// ShapeUniform: equal chance between two ends.
	ShapeUniform
	// ShapeTriangular: ends and a mode.
	ShapeTriangular
	// ShapePERT: smooth hump between ends with a mode (beta, mean
	// (lo + 4 mode + hi)/6).
	ShapePERT
)

var shapeNames = [...]string{"exact", "normal", "truncated normal", "lognormal", "uniform", "triangular", "beta (PERT)"}

// String is the name of the family.
func (s Shape) String() string {
	if s < 0 || int(s) >= len(shapeNames) {
		return fmt.Sprintf("Shape(%d)", int(s))
	}
	return shapeNames[s]
}

// Dist is a distribution of one quantity: a plain comparable value. Make it
// with a constructor; the zero value is exactly zero. Units are those of the
// quantity.
type Dist struct {
	Shape Shape
	// Parameters by shape: Fixed value; Normal mean, sd; Truncated mean, sd,
	// lo, hi; LogNormal median, sd of the logarithm; Uniform lo, hi;
	// Triangular and PERT lo, mode, hi.
	A, B, C, D float64
	mirrored   bool
	pa, pb     float64 // truncated: probabilities at the bounds; PERT: beta parameters
}

// Impossible is the error of a doubt that cannot be: negative, not finite or
// wider than the quantity allows.
type Impossible struct{ Why string }

func (e Impossible) Error() string { return e.Why }

func impossible(format string, args ...any) error { return Impossible{fmt.Sprintf(format, args...)} }

func finite(v ...float64) bool {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}

// Exactly is a value without doubt.
func Exactly(v float64) Dist { return Dist{Shape: ShapeFixed, A: v} }

// Normal has the given mean and standard deviation; sd = 0 is exact.
func Normal(mean, sd float64) (Dist, error) {
	switch {
	case !finite(mean, sd):
		return Dist{}, impossible("a value and its spread must be finite, not %g ± %g", mean, 2*sd)
	case sd < 0:
		return Dist{}, impossible("a spread cannot be negative (%g)", 2*sd)
	case sd == 0:
		return Exactly(mean), nil
	}
	return Dist{Shape: ShapeNormal, A: mean, B: sd}, nil
}

// Truncated is a normal distribution cut off at lo and hi (either may be
// infinite). The mean must lie between the bounds, and the cut must leave at
// least half of the normal distribution.
func Truncated(mean, sd, lo, hi float64) (Dist, error) {
	d, err := Normal(mean, sd)
	if err != nil {
		return d, err
	}
	if !(lo < hi) || !(mean >= lo && mean <= hi) {
		return Dist{}, impossible("the value %g is not between its bounds %g and %g", mean, lo, hi)
	}
	if sd == 0 {
		return d, nil
	}
	pa, pb := phi((lo-mean)/sd), phi((hi-mean)/sd)
	if pb-pa < 0.5 {
		return Dist{}, impossible("a spread of ± %g around %g leaves mostly impossible values (bounds %g to %g)", 2*sd, mean, lo, hi)
	}
	return Dist{Shape: ShapeTruncated, A: mean, B: sd, C: lo, D: hi, pa: pa, pb: pb}, nil
}

// LogNormal has the given positive median; the logarithm has standard
// deviation s.
func LogNormal(median, s float64) (Dist, error) {
	switch {
	case !finite(median, s) || median <= 0:
		return Dist{}, impossible("a lognormal quantity must be positive, not %g", median)
	case s < 0:
		return Dist{}, impossible("a spread cannot be negative")
	case s == 0:
		return Exactly(median), nil
	}
	return Dist{Shape: ShapeLogNormal, A: median, B: s}, nil
}

// Uniform lies anywhere between lo and hi with equal chance.
func Uniform(lo, hi float64) (Dist, error) {
	switch {
	case !finite(lo, hi) || lo > hi:
		return Dist{}, impossible("a range from %g to %g is empty", lo, hi)
	case lo == hi:
		return Exactly(lo), nil
	}
	return Dist{Shape: ShapeUniform, A: lo, B: hi}, nil
}

// Triangular lies between lo and hi, most likely at mode.
func Triangular(lo, mode, hi float64) (Dist, error) {
	switch {
	case !finite(lo, mode, hi) || !(lo <= mode && mode <= hi):
		return Dist{}, impossible("the most likely value %g is not between %g and %g", mode, lo, hi)
	case lo == hi:
		return Exactly(lo), nil
	}
	return Dist{Shape: ShapeTriangular, A: lo, B: mode, C: hi}, nil
}

// PERT is a smooth hump between lo and hi, most likely at mode: the beta
// distribution with mean (lo + 4 mode + hi)/6 of project estimation.
func PERT(lo, mode, hi float64) (Dist, error) {
	d, err := Triangular(lo, mode, hi)
	if err != nil || d.Shape == ShapeFixed {
		return d, err
	}
	d.Shape = ShapePERT
	d.pa = 1 + 4*(mode-lo)/(hi-lo)
	d.pb = 1 + 4*(hi-mode)/(hi-lo)
	return d, nil
}

// PlusMinus is value ± spread for a quantity of any sign: normal with
// standard deviation spread/2.
func PlusMinus(value, spread float64) (Dist, error) { return Normal(value, spread/2) }

// Positive is value ± spread for a quantity that must be positive (a length,
// a mass): normal while that stays clear of zero (spread up to half of the
// value), else lognormal with the same median and the same 97.7 % point. A
// spread of 100 % or more of the value is refused: such a value says nothing.
func Positive(value, spread float64) (Dist, error) {
	switch {
	case !finite(value, spread):
		return Dist{}, impossible("a value and its spread must be finite, not %g ± %g", value, spread)
	case value <= 0:
		return Dist{}, impossible("must be positive, not %g", value)
	case spread < 0:
		return Dist{}, impossible("a spread cannot be negative (%g)", spread)
	case spread >= value:
		return Dist{}, impossible("a spread of %.0f %% of the value would allow negative ones; give a better value or a range", 100*spread/value)
	case spread <= value/2:
		return Truncated(value, spread/2, 0, math.Inf(1))
	}
	return LogNormal(value, math.Log1p(spread/value)/2)
}

// Factor is a correction factor around 1 with relative expanded uncertainty u
// (0.2 for "± 20 %"): lognormal, so that twice and half are equally far.
func Factor(u float64) (Dist, error) {
	if !finite(u) || u < 0 || u > 4 {
		return Dist{}, impossible("a factor of 1 ± %.0f %% says nothing", 100*u)
	}
	return LogNormal(1, math.Log1p(u)/2)
}

// Mirror is the distribution of the negated quantity. Its At runs backwards,
// so that the same draw of a mirrored space is exactly the mirror image.
func (d Dist) Mirror() Dist { d.mirrored = !d.mirrored; return d }

// Fixed tells whether there is no doubt at all.
func (d Dist) Fixed() bool { return d.Shape == ShapeFixed }

// At is the quantile of u in (0, 1): the value that a share u of all draws
// lies below (above, for a mirrored distribution).
func (d Dist) At(u float64) float64 {
	v := d.at(u)
	if d.mirrored {
		return -v
	}
	return v
}

func (d Dist) at(u float64) float64 {
	switch d.Shape {
	case ShapeFixed:
		return d.A
	case ShapeNormal:
		return d.A + d.B*num.NormalQuantile(u)
	case ShapeTruncated:
		v := d.A + d.B*num.NormalQuantile(d.pa+u*(d.pb-d.pa))
		return math.Min(math.Max(v, d.C), d.D)
	case ShapeLogNormal:
		return d.A * math.Exp(d.B*num.NormalQuantile(u))
	case ShapeUniform:
		return d.A + u*(d.B-d.A)
	case ShapeTriangular:
		w := d.C - d.A
		if u*w < d.B-d.A {
			return d.A + math.Sqrt(u*w*(d.B-d.A))
		}
		return d.C - math.Sqrt((1-u)*w*(d.C-d.B))
	case ShapePERT:
		return d.A + (d.C-d.A)*mathext.InvRegIncBeta(d.pa, d.pb, u)
	}
	panic("doubt: unknown shape")
}

// Nominal is the value used when doubt is left out: mean of a normal, median
// of a lognormal, mode of triangular and PERT, middle of a uniform.
func (d Dist) Nominal() float64 {
	v := d.A
	switch d.Shape {
	case ShapeUniform:
		v = 0.5 * (d.A + d.B)
	case ShapeTriangular, ShapePERT:
		v = d.B
	}
	if d.mirrored {
		return -v
	}
	return v
}

// Mean of the distribution, truncation included.
func (d Dist) Mean() float64 {
	m, _ := d.moments()
	if d.mirrored {
		return -m
	}
	return m
}

// SD is the standard deviation, truncation included.
func (d Dist) SD() float64 { _, s := d.moments(); return s }

func (d Dist) moments() (mean, sd float64) {
	switch d.Shape {
	case ShapeFixed:
		return d.A, 0
	case ShapeNormal:
		return d.A, d.B
	case ShapeTruncated:
		a, b := (d.C-d.A)/d.B, (d.D-d.A)/d.B
		z := d.pb - d.pa
		fa, fb := density(a), density(b)
		m := (fa - fb) / z
		v := 1 - m*m
		if !math.IsInf(a, 0) {
			v += a * fa / z
		}
		if !math.IsInf(b, 0) {
			v -= b * fb / z
		}
		return d.A + d.B*m, d.B * math.Sqrt(math.Max(0, v))
	case ShapeLogNormal:
		e := math.Exp(d.B * d.B)
		m := d.A * math.Sqrt(e)
		return m, m * math.Sqrt(e-1)
	case ShapeUniform:
		return 0.5 * (d.A + d.B), (d.B - d.A) / math.Sqrt(12)
	case ShapeTriangular:
		a, m, b := d.A, d.B, d.C
		return (a + m + b) / 3, math.Sqrt((a*a + m*m + b*b - a*m - a*b - m*b) / 18)
	case ShapePERT:
		w, s := d.C-d.A, d.pa+d.pb
		return d.A + w*d.pa/s, w * math.Sqrt(d.pa*d.pb/(s*s*(s+1)))
	}
	panic("doubt: unknown shape")
}

// Interval is the central interval that holds the share conf of the
// distribution (0.9 for the 5 % and 95 % points).
func (d Dist) Interval(conf float64) (lo, hi float64) {
	if d.Fixed() {
		return d.Nominal(), d.Nominal()
	}
	lo, hi = d.At((1-conf)/2), d.At((1+conf)/2)
	if lo > hi {
		lo, hi = hi, lo
	}
	return lo, hi
}

// phi is the standard normal distribution function, density its derivative.
func phi(z float64) float64     { return 0.5 * math.Erfc(-z/math.Sqrt2) }
func density(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
