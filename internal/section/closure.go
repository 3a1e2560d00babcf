package section

import "math"

// The closures below give value and partial derivatives by shape factor h
// and momentum-thickness Reynolds number r. Each names its source; none was
// fitted here. Validity: h above 1.02, r above about 20.

// vh is a value with its derivatives by h and r.
type vh struct{ v, h, r float64 }

func (a vh) jet(h, r *jet) jet { return chain2(h, r, a.v, a.h, a.r) }

// energyLaminar is the kinetic-energy shape factor H*(H) of laminar layers.
// Source: Drela and Giles 1987; the separated branch with the smaller slope
// of Drela 1989.
func energyLaminar(h float64) vh {
	q := 4 - h
	k := 0.076
	if h > 4 {
		k = 0.015
	}
	return vh{v: 1.515 + k*q*q/h, h: k * (-2*q/h - q*q/(h*h))}
}

// frictionLaminar is half the skin friction coefficient of laminar layers.
// Source: Drela and Giles 1987.
func frictionLaminar(h, r float64) vh {
	var f, df float64
	if h < 7.4 {
		q := 7.4 - h
		f = -0.067 + 0.01977*q*q/(h-1)
		df = 0.01977 * (-2*q/(h-1) - q*q/((h-1)*(h-1)))
	} else {
		q := 1 - 1.4/(h-6)
		f = -0.067 + 0.022*q*q
		df = 0.044 * q * 1.4 / ((h - 6) * (h - 6))
	}
	return vh{f / r, df / r, -f / (r * r)}
}

// dissipationLaminar is 2 CD/H* of laminar layers.
// Source: Drela and Giles 1987 below H = 4, Drela 1989 above.
func dissipationLaminar(h, r float64) vh {
	var f, df float64
	if h < 4 {
		q := math.Sqrt(4 - h)
		q45 := math.Pow(4-h, 4) * q
		f = 0.207 + 0.00205*q45*(4-h)
		df = -5.5 * 0.00205 * q45
	} else {
		q := h - 4
		den := 1 + 0.02*q*q
		f = 0.207 - 0.0016*q*q/den
		df = -0.0016 * 2 * q / (den * den)
	}
	return vh{f / r, df / r, -f / (r * r)}
}

// energyTurbulent is H*(H, Re_theta) of turbulent layers.
// Source: Drela and Giles 1987, with the separated branch of Drela 1989.
func energyTurbulent(h, r float64) vh {
	rr, drr := r, 1.0
	if r < 200 {
		rr, drr = 200, 0
	}
	h0, dh0 := 4.0, 0.0
	if rr > 400 {
		h0, dh0 = 3+400/rr, -400/(rr*rr)
	}
	base, dbase := 1.5+4/rr, -4/(rr*rr)
	if h < h0 {
		// Quadratic rise from the separation value to that of the uniform
		// profile, H* -> 2 as H -> 1.
		x := (h0 - h) / (h0 - 1)
		xh := -1 / (h0 - 1)
		xr := ((h0 - 1) - (h0 - h)) / ((h0 - 1) * (h0 - 1)) * dh0
		top := 0.5 - 4/rr
		w := 1.5 / (h + 0.5)
		return vh{
			v: base + top*x*x*w,
			h: top * (2*x*xh*w - x*x*w/(h+0.5)),
			r: (dbase - dbase*x*x*w + top*2*x*xr*w) * drr,
		}
	}
	g, dg := math.Log(rr), 1/rr
	q := h - h0
	d := q + 4/g
	a := 0.007 * g / (d * d)
	ad := -2 * a / d
	v := base + q*q*(a+0.015/h)
	return vh{
		v: v,
		h: 2*q*(a+0.015/h) + q*q*(ad-0.015/(h*h)),
		r: (dbase - dh0*2*q*(a+0.015/h) + q*q*(a/g*dg+ad*(-dh0-4/(g*g)*dg))) * drr,
	}
}

// frictionTurbulent is half the skin friction coefficient of turbulent
// layers. Source: Swafford 1983 as given by Drela and Giles 1987.
func frictionTurbulent(h, r float64) vh {
	rr, drr := math.Max(r, 20.1), 1.0
	if r < 20.1 {
		drr = 0
	}
	g := math.Log10(rr)
	e := math.Exp(-1.33 * h)
	p := math.Pow(g, -1.74-0.31*h)
	a := 0.3 * e * p
	t := math.Tanh(4 - h/0.875)
	return vh{
		v: (a + 0.00011*(t-1)) / 2,
		h: (a*(-1.33-0.31*math.Log(g)) - 0.00011*(1-t*t)/0.875) / 2,
		r: a * (-1.74 - 0.31*h) / (g * rr * math.Ln10) / 2 * drr,
	}
}

// critical is log10 of the momentum-thickness Reynolds number where
// disturbances start to grow, and growth the envelope growth of ln(amplitude)
// with arc length times momentum thickness.
// Source: Drela's envelope fit of the Falkner-Skan spatial growth rates
// (Drela and Giles 1987), in its later form for separated profiles.
func critical(h float64) (l, dl float64) {
	q := 1 / (h - 1)
	p := 2.492 * math.Pow(q, 0.43)
	t := math.Tanh(14*q - 9.24)
	return p + 0.7*(t+1), (0.43*p/q + 0.7*14*(1-t*t)) * (-q * q)
}

func growth(h float64) (f, df float64) {
	q := 1 / (h - 1)
	dq := -q * q
	e := math.Exp(-20 * q)
	a := -0.05 + q*(2.7+q*(-5.5+3*q)) + 0.1*e
	da := (2.7 + q*(-11+9*q) - 2*e) * dq
	z := 3.87*q - 2.52
	x := math.Exp(-z * z)
	b := 0.028*(h-1) - 0.0345*x
	db := 0.028 + 0.0345*x*2*z*3.87*dq
	return a * b, a*db + b*da
}

// amplification is theta dn/ds, zero below the critical Reynolds number,
// switched on smoothly over 0.16 decades.
func amplification(h, r float64) vh {
	l, dl := critical(h)
	const half = 0.08
	x := (math.Log10(r) - l + half) / (2 * half)
	if x <= 0 {
		return vh{}
	}
	w, dw := 1.0, 0.0
	if x < 1 {
		w, dw = x*x*(3-2*x), 6*x*(1-x)/(2*half)
	}
	f, df := growth(h)
	return vh{w * f, w*df - dw*dl*f, dw * f / (r * math.Ln10)}
}

// CriticalN returns the amplification exponent at transition for a free
// stream turbulence tu (rms over mean speed, 0.001 is 0.1 %):
//
//	n = -8.43 - 2.4 ln tu,
//
// held between 2 and 13 (tu 0.013 to 0.00013), outside which the method has
// no calibration. Source: Mack, AGARD CP-224 (1977).
func CriticalN(tu float64) float64 {
	return math.Min(math.Max(-8.43-2.4*math.Log(tu), 2), 13)
}
