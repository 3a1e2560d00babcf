package evidence

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// OpenVoltage is the voltage with the sag taken out: V + I R.
func OpenVoltage(v, i, r float64) float64 { return v + i*r }

// ThreeLegs is the wind from three ground speeds flown on three courses (rad)
// at one airspeed: the circle through the three velocities. It returns the
// wind's velocity towards east and north and the airspeed.
func ThreeLegs(speed, course [3]float64) (east, north, airspeed float64) {
	var x, y [3]float64
	for i := range speed {
		s, c := math.Sincos(course[i])
		x[i], y[i] = speed[i]*s, speed[i]*c
	}
	d := 2 * (x[0]*(y[1]-y[2]) + x[1]*(y[2]-y[0]) + x[2]*(y[0]-y[1]))
	q := func(i int) float64 { return x[i]*x[i] + y[i]*y[i] }
	east = (q(0)*(y[1]-y[2]) + q(1)*(y[2]-y[0]) + q(2)*(y[0]-y[1])) / d
	north = (q(0)*(x[2]-x[1]) + q(1)*(x[0]-x[2]) + q(2)*(x[1]-x[0])) / d
	return east, north, math.Hypot(x[0]-east, y[0]-north)
}

// FlybySpeed inverts the two asymptotic tones of a fly-by: speed
// c(f1−f2)/(f1+f2) and source tone 2f1f2/(f1+f2), with c the speed of sound.
func FlybySpeed(f1, f2, c float64) (speed, tone float64) {
	return c * (f1 - f2) / (f1 + f2), 2 * f1 * f2 / (f1 + f2)
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

// ExcessPower is the specific excess power dh/dt + (V/g) dV/dt, m/s.
func ExcessPower(v, dvdt, dhdt float64) float64 { return dhdt + v/Gravity*dvdt }

// DiveSpeed is the speed after losing height without drag: √(v² + 2gΔh).
func DiveSpeed(v, drop float64) float64 { return math.Sqrt(v*v + 2*Gravity*drop) }

// AfterDive is the speed a distance x after entering level flight at v0 when
// level top speed is vm: V² = vm² + (v0²−vm²)e^(−x/ℓ).
func AfterDive(vm, v0, x, washout float64) float64 {
	return math.Sqrt(vm*vm + (v0*v0-vm*vm)*math.Exp(-x/washout))
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

// WindByAirspeed fits wind and airspeed scale to ground velocities (east,
// north) and logged airspeeds: least squares of |G−W| − k·TAS, every sample
// alike. With fixed scale, k stays at 1. The covariance is from the residuals
// with their own correlation in time.
func WindByAirspeed(t, east, north, tas []float64, fixed bool) WindFit {
	o := make([]obs, len(t))
	for i := range t {
		o[i] = obs{t: t[i], e: east[i], n: north[i], tas: tas[i]}
	}
	return fitScale(o, fixed)
}
