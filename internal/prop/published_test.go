package prop

import "math"

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// Wish is what a propeller of least induced loss is to do. Exactly one of
// Thrust (N) and Power (W) is above zero.
type Wish struct {
	Blades        int
	Diameter, Hub float64 // m; Hub the radius where the blade begins
	V, Omega      float64 // m/s, rad/s
	Thrust, Power float64
	CL            float64 // lift coefficient of the sections
	DragLift      float64 // drag over lift of the sections
	Alpha         float64 // angle of attack of the chord line at that lift, rad
	Rho           float64
}

// Planned is a propeller of least induced loss.
type Planned struct {
	Zeta          float64 // displacement velocity over V
	Tc, Pc, Eta   float64 // T/(½ rho V² pi R²), P/(½ rho V³ pi R²)
	Thrust, Power float64
	X             []float64 // radius over tip radius
	Chord         []float64 // m
	Phi           []float64 // inflow angle, rad
	Blade         *Blade    // with Beta = Phi + Alpha; the tip has a chord of 2 % of the radius
	OK            bool      // false: no such propeller (too much asked of the disc)
}

// Design finds chord and angle of the propeller of least induced loss by
// Adkins and Liebeck (1994): constant displacement velocity, Prandtl's tip
// factor, sections at constant lift and drag over lift. Accuracy against our
// own solution of the same equations 0.3 %.
func Design(w Wish) Planned {
	var p Planned
	R := w.Diameter / 2
	if !(R > 0 && w.V > 0 && w.Omega > 0 && w.Rho > 0 && w.CL > 0 && w.Blades > 0 && w.DragLift >= 0 && w.Hub > 0 && w.Hub < R) || (w.Thrust > 0) == (w.Power > 0) {
		return p
	}
	lambda := w.V / (w.Omega * R)
	b := float64(w.Blades)
	area := math.Pi * R * R
	tc := 2 * w.Thrust / (w.Rho * w.V * w.V * area)
	pc := 2 * w.Power / (w.Rho * w.V * w.V * w.V * area)
	eps := w.DragLift
	xi0 := w.Hub / R
	const n = 200
	type row struct{ xi, phi, g float64 }
	at := func(zeta, xi float64) row {
		tt := lambda * (1 + zeta/2)
		st := tt / math.Sqrt(1+tt*tt)
		phi := math.Atan(tt / xi)
		f := b / 2 * (1 - xi) / st
		F := 2 / math.Pi * math.Acos(math.Exp(-f))
		s, c := math.Sincos(phi)
		return row{xi, phi, F * xi / lambda * s * c}
	}
	var i1, i2, j1, j2, zeta float64
	for range 60 {
		i1, i2, j1, j2 = 0, 0, 0, 0
		for k := range n {
			// Midpoints bunched at the tip, where G falls with a root.
			u0, u1 := float64(k)/n, float64(k+1)/n
			x0, x1 := 1-(1-u0)*(1-u0), 1-(1-u1)*(1-u1)
			xi := xi0 + (1-xi0)*(x0+x1)/2
			d := (1 - xi0) * (x1 - x0)
			r := at(zeta, xi)
			t := math.Tan(r.phi)
			s, c := math.Sincos(r.phi)
			a := 4 * xi * r.g * (1 - eps*t)
			i1 += a * d
			i2 += lambda * a / (2 * xi) * (1 + eps/t) * s * c * d
			q := 4 * xi * r.g * (1 + eps/t)
			j1 += q * d
			j2 += q / 2 * (1 - eps*t) * c * c * d
		}
		var z float64
		if tc > 0 {
			disc := i1*i1/(4*i2*i2) - tc/i2
			if disc < 0 {
				return p
			}
			z = i1/(2*i2) - math.Sqrt(disc)
		} else {
			z = -j1/(2*j2) + math.Sqrt(j1*j1/(4*j2*j2)+pc/j2)
		}
		done := math.Abs(z-zeta) < 1e-12
		zeta = z
		if done {
			break
		}
	}
	p.Zeta = zeta
	p.Tc, p.Pc = i1*zeta-i2*zeta*zeta, j1*zeta+j2*zeta*zeta
	p.Eta = p.Tc / p.Pc
	q := 0.5 * w.Rho * w.V * w.V * area
	p.Thrust, p.Power = p.Tc*q, p.Pc*q*w.V
	p.OK = p.Thrust > 0
	bl := &Blade{Diameter: w.Diameter, Blades: w.Blades}
	for k := 0; k <= 40; k++ {
		xi := xi0 + (1-xi0)*float64(k)/40
		c, phi := p.chordAt(w, lambda, at(zeta, xi).g, at(zeta, xi).phi, xi)
		p.X = append(p.X, xi)
		p.Chord = append(p.Chord, c)
		p.Phi = append(p.Phi, phi)
		bl.X = append(bl.X, xi)
		bl.Chord = append(bl.Chord, math.Min(math.Max(c/R, 0.02), 0.9))
		bl.Beta = append(bl.Beta, phi+w.Alpha)
	}
	p.Blade = bl
	return p
}

func (p *Planned) chordAt(w Wish, lambda, g, phi, xi float64) (chord, angle float64) {
	R := w.Diameter / 2
	s, c := math.Sincos(phi)
	a := p.Zeta / 2 * c * c * (1 - w.DragLift*math.Tan(phi))
	wc := 4 * math.Pi * lambda * g * w.V * R * p.Zeta / (w.CL * float64(w.Blades))
	return wc / (w.V * (1 + a) / s), phi
}

// At is chord (m) and inflow angle (rad) at radius x, between stations linear.
func (p *Planned) At(x float64) (chord, phi float64) {
	for i := 1; i < len(p.X); i++ {
		if x <= p.X[i] {
			t := (x - p.X[i-1]) / (p.X[i] - p.X[i-1])
			return p.Chord[i-1] + t*(p.Chord[i]-p.Chord[i-1]), p.Phi[i-1] + t*(p.Phi[i]-p.Phi[i-1])
		}
	}
	return math.NaN(), math.NaN()
}

// Swirl is the mean tangential speed behind the disc at 0.7 of the radius, a
// bulk estimate: Q/(rho A (V+v) 0.7 R).
func Swirl(torque, diameter, through, rho float64) float64 {
	r := diameter / 2
	return torque / (rho * math.Pi * r * r * through * 0.7 * r)
}

// FigureOfMerit is CT^1.5/(CP sqrt(pi/2)), the ideal over the real power at
// rest.
func FigureOfMerit(ct, cp float64) float64 { return math.Pow(ct, 1.5) / (cp * math.Sqrt(math.Pi/2)) }

// SectionFunc makes a Section of a function.
type SectionFunc func(alpha, re, mach, thick float64) (cl, cd float64)

// At calls f.
func (f SectionFunc) At(alpha, re, mach, thick float64) (cl, cd float64) {
	return f(alpha, re, mach, thick)
}

// PrandtlTip is Prandtl's factor for B blades at radius x (over tip radius)
// and local inflow angle phi: (2/pi) acos exp(-(B/2)(1-x)/(x |sin phi|)).
func PrandtlTip(blades int, x, phi float64) float64 {
	s := x * math.Abs(math.Sin(phi))
	if s == 0 {
		return 1
	}
	return loss(float64(blades) / 2 * (1 - x) / s)
}

// PrandtlHub is the factor of the blade's root at radius xh (over tip radius).
func PrandtlHub(blades int, x, xh, phi float64) float64 {
	s := xh * math.Abs(math.Sin(phi))
	if s == 0 {
		return 1
	}
	return loss(float64(blades) / 2 * (x - xh) / s)
}
