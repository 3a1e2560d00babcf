// Package doubt describes what is not known exactly: distributions, the named
// space of uncertain inputs ([Space]) with its seeded draws ([Sampler]),
// intervals of results, binomial intervals and posteriors,
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
)

var shapeNames = [...]string{"exact", "normal", "truncated normal"}

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
	// lo, hi.
	A, B, C, D float64
	mirrored   bool
	pa, pb     float64 // truncated: probabilities at the bounds
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
	}
	panic("doubt: unknown shape")
}

// Nominal is the value used when doubt is left out: the mean before any cut.
func (d Dist) Nominal() float64 {
	if d.mirrored {
		return -d.A
	}
	return d.A
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
