package craft

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// massOf returns the total mass, the centre of gravity (build axes) and the
// inertia tensor about it in body axes of a set of homogeneous boxes plus a
// point mass at the centre of gravity:
//
//	I = Σ [ m/12 (diag of the other two sides squared) + m (d² E − d dᵀ) ]
//
// with the off-diagonal terms minus the products of inertia, so that the
// moment of momentum is I·ω. Masses kg, lengths m. A total of zero or less
// gives zeros: craft.New refuses such a build. Source: any textbook of
// mechanics; checked against reference strength 6.1.
func massOf(parts []Part, atCG float64) Mass {
	var m float64
	var s r3.Vec
	for i := range parts {
		m += parts[i].Mass
		s = r3.Add(s, r3.Scale(parts[i].Mass, parts[i].At))
	}
	if m <= 0 {
		return Mass{}
	}
	cg := r3.Scale(1/m, s)
	var ixx, iyy, izz, pxy, pxz, pyz float64
	for i := range parts {
		p := &parts[i]
		d := r3.Sub(p.At, cg)
		x2, y2, z2 := p.Size.X*p.Size.X/12+d.X*d.X, p.Size.Y*p.Size.Y/12+d.Y*d.Y, p.Size.Z*p.Size.Z/12+d.Z*d.Z
		ixx += p.Mass * (y2 + z2)
		iyy += p.Mass * (x2 + z2)
		izz += p.Mass * (x2 + y2)
		pxy += p.Mass * d.X * d.Y
		pxz += p.Mass * d.X * d.Z
		pyz += p.Mass * d.Y * d.Z
	}
	// Build axes to body axes: x and z change sign, so Σmxz keeps its sign and
	// Σmxy, Σmyz change theirs.
	return Mass{
		Total: m + atCG,
		CG:    cg,
		Inertia: [3][3]float64{
			{ixx, pxy, -pxz},
			{pxy, iyy, pyz},
			{-pxz, pyz, izz},
		},
	}
}

// MoveFor returns how far (m, aft positive) the part must move along x to
// bring the centre of gravity to x = target:
//
//	Δx = M (target − x_cg) / m_part
//
// The law of the lever, exact. ok is false for a part without mass.
func (a *Aircraft) MoveFor(part int, target float64) (dx float64, ok bool) {
	m := 0.0
	for i := range a.Parts {
		if a.Parts[i].Index == a.Parts[part].Index {
			m += a.Parts[i].Mass // a mirrored pair moves together
		}
	}
	if m <= 0 {
		return 0, false
	}
	return a.Mass.Total * (target - a.Mass.CG.X) / m, true
}

// PartNamed returns the index of the part with that name, or -1.
func (a *Aircraft) PartNamed(name string) int {
	for i := range a.Parts {
		if a.Parts[i].Name == name && !a.Parts[i].Twin {
			return i
		}
	}
	return -1
}

// possible reports whether an inertia tensor can belong to a body: positive
// diagonal, each no more than the sum of the other two.
func possible(i [3][3]float64) bool {
	a, b, c := i[0][0], i[1][1], i[2][2]
	tol := 1e-9 * (a + b + c)
	det := a*(b*c-i[1][2]*i[1][2]) - i[0][1]*(i[0][1]*c-i[1][2]*i[0][2]) + i[0][2]*(i[0][1]*i[1][2]-b*i[0][2])
	return a > 0 && b > 0 && c > 0 && det > 0 && a <= b+c+tol && b <= a+c+tol && c <= a+b+tol && !math.IsNaN(det)
}

// reference finds the main wing and its reference lengths by integrating the
// chord over the projected span:
//
//	S = 2∫c dy,  mac = (2/S)∫c² dy,  x_LE = (2/S)∫ x_LE c dy
//
// exact for straight-edged panels.
func reference(surfaces []Surface) Reference {
	best := Reference{Wing: -1}
	for k := range surfaces {
		s := &surfaces[k]
		var area, c2, xc, zc, span float64
		for i := 1; i < len(s.Stations); i++ {
			a, b := s.Stations[i-1], s.Stations[i]
			dy := b.LE.Y - a.LE.Y
			area += dy * (a.Chord + b.Chord) / 2
			c2 += dy * (a.Chord*a.Chord + a.Chord*b.Chord + b.Chord*b.Chord) / 3
			xc += dy * (2*a.LE.X*a.Chord + a.LE.X*b.Chord + b.LE.X*a.Chord + 2*b.LE.X*b.Chord) / 6
			zc += dy * (2*a.LE.Z*a.Chord + a.LE.Z*b.Chord + b.LE.Z*a.Chord + 2*b.LE.Z*b.Chord) / 6
			span += math.Abs(dy)
		}
		if area <= 0 {
			continue // an upright fin
		}
		mult := 1.0
		if s.Mirrored {
			mult = 2
		}
		if mult*area > best.Area {
			mac, xle := c2/area, xc/area
			best = Reference{
				Wing: k, Area: mult * area, Span: mult * span, Chord: mac, XLE: xle,
				Point: r3.Vec{X: xle + mac/4, Z: zc / area},
			}
			if !s.Mirrored {
				best.Point.Y = 0
			}
		}
	}
	return best
}
