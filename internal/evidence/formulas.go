package evidence

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Gravity is standard gravity, m/s².
const Gravity = 9.80665

// SoundSpeed is the speed of sound in dry air, m/s, at a temperature in
// kelvin: 20.0468 √T. Good to 0.1 % in moist air up to 30 °C.
func SoundSpeed(kelvin float64) float64 { return 20.0468 * math.Sqrt(kelvin) }

// FlybySpeed inverts the two asymptotic tones of a fly-by: speed
// c(f1−f2)/(f1+f2) and source tone 2f1f2/(f1+f2), with c the speed of sound.
func FlybySpeed(f1, f2, c float64) (speed, tone float64) {
	return c * (f1 - f2) / (f1 + f2), 2 * f1 * f2 / (f1 + f2)
}

// FlybyTone is the tone heard at time t (s after the closest point of the
// path was passed) from a source of tone f0 at speed v on a straight level
// path that passes the listener at distance d. c is the speed of sound; v < c.
func FlybyTone(t, v, d, f0, c float64) float64 {
	te := emission(t, v, d, c)
	return f0 / (1 + v*v*te/(c*math.Hypot(d, v*te)))
}

// emission is the time at which what is heard at t was sent.
func emission(t, v, d, c float64) float64 {
	b := v / c
	g := 1 - b*b
	return (t - math.Sqrt(b*b*t*t+g*d*d/(c*c))) / g
}

// BladePass is the blade-passing tone, Hz, of a shaft speed in rad/s.
func BladePass(blades int, shaft float64) float64 {
	return float64(blades) * shaft / (2 * math.Pi)
}

// TwoWay returns the ground speeds down and up wind of an aeroplane held on a
// track at airspeed v in a wind with components along and across it, m/s, and
// the arithmetic and harmonic means of the two. The arithmetic mean is
// √(v²−across²): the along-wind part cancels.
func TwoWay(v, along, across float64) (down, up, arithmetic, harmonic float64) {
	s := math.Sqrt(v*v - across*across)
	down, up = s+along, s-along
	return down, up, (down + up) / 2, 2 * down * up / (down + up)
}

// EnergyHeight is h + V²/2g, m.
func EnergyHeight(h, v float64) float64 { return h + v*v/(2*Gravity) }

// ExcessPower is the specific excess power dh/dt + (V/g) dV/dt, m/s.
func ExcessPower(v, dvdt, dhdt float64) float64 { return dhdt + v/Gravity*dvdt }

// DiveSpeed is the speed after losing height without drag: √(v² + 2gΔh).
func DiveSpeed(v, drop float64) float64 { return math.Sqrt(v*v + 2*Gravity*drop) }

// Washout is the length over which an excess of V² in level flight at
// constant thrust falls to 1/e: m/(ρ S C_D), m.
func Washout(mass, density, area, cd float64) float64 { return mass / (density * area * cd) }

// AfterDive is the speed a distance x after entering level flight at v0 when
// level top speed is vm: V² = vm² + (v0²−vm²)e^(−x/ℓ).
func AfterDive(vm, v0, x, washout float64) float64 {
	return math.Sqrt(vm*vm + (v0*v0-vm*vm)*math.Exp(-x/washout))
}

// PeakBias is the mean of the largest of n independent standard normal
// errors: what picking the peak of n equal readings adds, in their standard
// deviations. By quadrature; accuracy 1e-5 for 1 ≤ n ≤ 1e6.
func PeakBias(n int) float64 {
	if n <= 1 {
		return 0
	}
	N := distuv.UnitNormal
	// E max = ∫ [1−Φⁿ] over x>0 − ∫ Φⁿ over x<0
	k := float64(n)
	pos := quad.Fixed(func(x float64) float64 { return -math.Expm1(k * math.Log(N.CDF(x))) }, 0, 9, 120, nil, 0)
	neg := quad.Fixed(func(x float64) float64 { return math.Exp(k * math.Log(N.CDF(x))) }, -9, 0, 120, nil, 0)
	return pos - neg
}

// Blom is the approximation Φ⁻¹((n−3/8)/(n+1/4)) of PeakBias.
func Blom(n int) float64 {
	return distuv.UnitNormal.Quantile((float64(n) - 0.375) / (float64(n) + 0.25))
}

// PeakQuantile is the value the largest of n independent standard normal
// errors stays below with probability p.
func PeakQuantile(n int, p float64) float64 {
	return distuv.UnitNormal.Quantile(math.Exp(math.Log(p) / float64(n)))
}

// DifferencedSpeedSD is the doubt of a speed got from two positions dt apart
// whose errors have standard deviation sp and correlation rho.
func DifferencedSpeedSD(sp, dt, rho float64) float64 { return sp * math.Sqrt(2*(1-rho)) / dt }

// FilterLag is by how much a first-order receiver filter of time constant tau
// reads low on a steady acceleration a.
func FilterLag(a, tau float64) float64 { return a * tau }

// TurnRadius is V²/(g tan φ), m.
func TurnRadius(v, bank float64) float64 { return v * v / (Gravity * math.Tan(bank)) }

// Timed is the effect on a speed v over a base of an error in the time, and
// of one in the base, m/s.
func Timed(v, base, dt, dbase float64) (byTime, byBase float64) {
	return v * v / base * dt, v / base * dbase
}

// GlidePolar fits C_D = C_D0 + k C_L² to steady glides: speeds and sink
// rates, m/s, of an aeroplane of the given mass (kg), wing area (m²) in air
// of the given density. With weigh, each point has weight q² (a constant
// noise of the sink rate), else all alike. It returns the two coefficients
// and their standard errors, scaled by the residuals. The glide says nothing
// unless it is known whether the propeller was folded, stopped or windmilling.
func GlidePolar(speed, sink []float64, mass, area, density float64, weigh bool) (cd0, k, cd0SE, kSE float64) {
	w := mass * Gravity
	var s, sx, sy, sxx, sxy float64
	n := len(speed)
	xs, ys, ws := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range speed {
		q := density * speed[i] * speed[i] / 2
		sg := sink[i] / speed[i]
		cl := w * math.Sqrt(1-sg*sg) / (q * area)
		xs[i], ys[i], ws[i] = cl*cl, w*sg/(q*area), 1
		if weigh {
			// C_D = W sink/(V q S): its noise goes as 1/(V q)
			g := q * speed[i]
			ws[i] = g * g
		}
		s += ws[i]
		sx += ws[i] * xs[i]
		sy += ws[i] * ys[i]
	}
	mx, my := sx/s, sy/s
	for i := range xs {
		sxx += ws[i] * (xs[i] - mx) * (xs[i] - mx)
		sxy += ws[i] * (xs[i] - mx) * (ys[i] - my)
	}
	k = sxy / sxx
	cd0 = my - k*mx
	rss := 0.0
	for i := range xs {
		r := ys[i] - cd0 - k*xs[i]
		rss += ws[i] * r * r
	}
	v := rss / float64(n-2)
	return cd0, k, math.Sqrt(v * (1/s + mx*mx/sxx)), math.Sqrt(v / sxx)
}

// InducedFactor is k = 1/(π A e), and BestGlide the largest lift to drag
// ratio 1/(2√(C_D0 k)).
func InducedFactor(aspect, e float64) float64 { return 1 / (math.Pi * aspect * e) }

// BestGlide is the largest lift to drag ratio of a parabolic polar.
func BestGlide(cd0, k float64) float64 { return 1 / (2 * math.Sqrt(cd0*k)) }
