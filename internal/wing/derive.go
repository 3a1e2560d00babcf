package wing

import "math"

// Derivatives are the linear coefficients about zero angle of attack and
// sideslip, per radian, on the reference lengths; rates as p b/2V, q c/2V,
// r b/2V. Body axes; lift up, Cm nose up, Cl right wing down, Cn nose right,
// side force right, positive.
type Derivatives struct {
	CL0, Cm0         float64 // as built, at alpha = 0
	CLAlpha, CmAlpha float64
	CLQ, CmQ         float64
	CYBeta           float64
	ClBeta, CnBeta   float64 // at alpha = 0, shape included
	CYP, ClP, CnP    float64
	CYR, ClR, CnR    float64
	// Per radian of alpha: what these lateral ones gain with it.
	ClBetaAlpha, CnBetaAlpha float64
	ClRAlpha, CnPAlpha       float64
	NeutralPoint             float64 // build x, m
	SpanEfficiency           float64 // of the loading that alpha alone makes
	Control                  []ControlDerivatives
}

// ControlDerivatives are those of one control, per radian of streamwise
// slope: trailing edge down on both sides, then right down and left up.
type ControlDerivatives struct {
	Name            string
	CL, Cm          float64
	CY, Cl, Cn      float64
	Hinge, HingeAoA float64 // moment about the hinge (right side), trailing edge down positive, over q c_f S_f: per rad of its own alike deflection, per rad of alpha
}

// Derivatives computes the table.
func (l *Lattice) Derivatives() Derivatives {
	s, b, c := l.Ref.Area, l.Ref.Span, l.Ref.Chord
	k := 2 / s
	kb, kc := k/b, k/c
	var d Derivatives
	f := l.Load(Shape, MoveX)
	d.CL0, d.Cm0 = -k*f[2], kc*f[4]
	f = l.Load(Plunge, MoveX)
	d.CLAlpha, d.CmAlpha = -k*f[2], kc*f[4]
	d.NeutralPoint = l.Ref.Point.X - c*d.CmAlpha/d.CLAlpha
	f = l.Load(PitchRate, MoveX).plus(1, l.Load(Shape, MoveQ))
	d.CLQ, d.CmQ = -k*f[2]*2/c, kc*f[4]*2/c
	f = l.Load(Slip, MoveX).plus(1, l.Load(Shape, MoveY)).plus(1, l.Lean(Shape))
	d.CYBeta, d.ClBeta, d.CnBeta = k*f[1], kb*f[3], kb*f[5]
	f = l.Load(Plunge, MoveY).plus(1, l.Load(Slip, MoveZ)).plus(1, l.Lean(Plunge))
	d.ClBetaAlpha, d.CnBetaAlpha = kb*f[3], kb*f[5]
	f = l.Load(RollRate, MoveX).plus(1, l.Load(Shape, MoveP))
	d.CYP, d.ClP, d.CnP = k*f[1]*2/b, kb*f[3]*2/b, kb*f[5]*2/b
	f = l.Load(RollRate, MoveZ).plus(1, l.Load(Plunge, MoveP))
	d.CnPAlpha = kb * f[5] * 2 / b
	f = l.Load(YawRate, MoveX).plus(1, l.Load(Shape, MoveR))
	d.CYR, d.ClR, d.CnR = k*f[1]*2/b, kb*f[3]*2/b, kb*f[5]*2/b
	f = l.Load(YawRate, MoveZ).plus(1, l.Load(Plunge, MoveR))
	d.ClRAlpha = kb * f[3] * 2 / b
	st := make(State, l.cases())
	st[Plunge] = 1
	if di := l.Induced(st); di > 0 {
		d.SpanEfficiency = d.CLAlpha * d.CLAlpha / (math.Pi * b * b / s * k * di)
	}
	for i := range l.Controls {
		f := l.Load(l.Alike(i), MoveX)
		g := l.Load(l.Opposed(i), MoveX)
		h, ha := l.hinge(i)
		d.Control = append(d.Control, ControlDerivatives{
			Name: l.Controls[i].Name,
			CL:   -k * f[2], Cm: kc * f[4], CY: k * g[1], Cl: kb * g[3], Cn: kb * g[5], Hinge: h, HingeAoA: ha,
		})
	}
	return d
}

// hinge returns the moment about the hinge of one side of control i, per
// radian of its deflection and per radian of alpha, over q c_f S_f.
func (l *Lattice) hinge(i int) (own, alpha float64) {
	f := &l.Controls[i]
	c := l.Alike(i)
	along := Plunge
	if l.Halved && len(f.Strips) > 0 && l.Strips[f.Strips[0]].Central {
		c, along = l.Opposed(i), Slip
	}
	area, mean := 0.0, 0.0
	for _, j := range f.Strips {
		st := &l.Strips[j]
		cf := st.Chord * f.Share
		area += cf * st.Width
		mean += cf * cf * st.Width
		for k := range st.count {
			p := &l.panels[st.first+k]
			if (p.from+p.to)/2 < 1-f.Share {
				continue
			}
			arm := ((p.from + 0.25*(p.to-p.from)) - (1 - f.Share)) * st.Chord
			own -= l.gamma[c][st.first+k] * st.Width * arm
			alpha -= l.gamma[along][st.first+k] * st.Width * arm
		}
	}
	if mean == 0 {
		return 0, 0
	}
	return 2 * own / mean, 2 * alpha / mean
}

// LiftShare returns the local lift coefficient of every right strip over the
// whole lift coefficient for the loading that alpha alone makes.
func (l *Lattice) LiftShare() []float64 {
	g := l.Circulation(Plunge)
	f := l.Load(Plunge, MoveX)
	cl := -2 / l.Ref.Area * f[2]
	for j := range g {
		g[j] *= 2 / l.Strips[j].Chord / cl
	}
	return g
}

// Critical returns the lift coefficient of the whole wing at which the first
// strip of surface i reaches its limit (one for each strip, unswept
// coefficient of the local chord), as alpha rises from the built shape, and
// that strip. Strips outboard of eta 0.97 are left out: the lattice does not
// resolve the last of the tip. The critical-section method of NACA TR-572.
func (l *Lattice) Critical(surface int, limit []float64) (lift float64, strip int) {
	add, base := l.Circulation(Plunge), l.Circulation(Shape)
	best, strip := math.Inf(1), -1
	for j, st := range l.Strips {
		if st.Surface != surface || math.Abs(st.Eta) > 0.97 || add[j] <= 0 {
			continue
		}
		if a := (limit[j]*st.Chord/2 - base[j]) / add[j]; a < best {
			best, strip = a, j
		}
	}
	f := l.Load(Shape, MoveX).plus(best, l.Load(Plunge, MoveX))
	return -2 / l.Ref.Area * f[2], strip
}
