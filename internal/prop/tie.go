package prop

import (
	"fmt"
	"math"

	"fledge/internal/diag"
	"fledge/internal/num"
)

// tieMost is how far, at most, a measured zero-thrust point may turn the
// sections' angle of zero lift: seven measured blades need 1.5 deg, a blade
// set in its hub a degree off as much again, and the rest is room.
const tieMost = 6 * deg

// Tie is the blade with its sections' angle of zero lift turned, by the same
// amount at each station, so that thrust ends at the measured advance ratio j0
// at omega (rad/s). It takes the one thing away that chord and angle do not
// tell (see TestTwins). A point that 6 deg do not reach is no such blade's: nil
// with a diagnostic.
func (b *Blade) Tie(j0, omega float64, g Gas, o Options) (*Blade, diag.List) {
	var l diag.List
	refuse := func(hint, format string, args ...any) (*Blade, diag.List) {
		l.Add(diag.Diagnostic{Severity: diag.Error, Code: "propeller-zero-thrust", Message: fmt.Sprintf(format, args...), Hint: hint})
		return nil, l
	}
	const how = "V/(nD), n in revolutions per second, where the propeller neither pulls nor brakes"
	if !(j0 > 0.05 && j0 < 4) || !(omega > 0) || math.IsInf(omega, 0) {
		return refuse(how, "thrust that ends at the advance ratio %g is no propeller's", j0)
	}
	turned := func(by float64) *Blade {
		c := *b
		c.Zero = make([]float64, len(b.X))
		for i, x := range b.X {
			c.Zero[i] = GenericZero - b.zero(x) + by
		}
		return &c
	}
	most := tieMost
	for _, z := range b.Zero {
		most = math.Min(most, 14.9*deg-math.Abs(z))
	}
	if !(most > 0) {
		return refuse("beta_deg is against the chord line", "the blade's own angle of zero lift is out of bounds")
	}
	v := j0 * omega / (2 * math.Pi) * b.Diameter
	pull := func(by float64) float64 { return New(turned(by), o).At(v, omega, g).CT }
	if pull(-most) < 0 || pull(most) > 0 {
		free := New(b, o)
		end := num.Root(func(j float64) float64 { return free.At(j*omega/(2*math.Pi)*b.Diameter, omega, g).CT }, 0.02, 4, 1e-4)
		at := "elsewhere"
		if end.OK {
			at = fmt.Sprintf("near %.2f", end.X)
		}
		return refuse(how, "this blade cannot end its thrust at the advance ratio %.3g: its pitch says %s", j0, at)
	}
	r := num.Root(pull, -most, most, 1e-5)
	if !r.OK {
		return refuse(how, "no angle of zero lift ends the thrust at the advance ratio %.3g", j0)
	}
	return turned(r.X), nil
}
