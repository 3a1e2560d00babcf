package section

import "math"

// noseLimit is the largest difference of pressure coefficients between the
// trailing edge and the suction peak that the flow round a nose stands: 14
// at Reynolds numbers of 6 million and above, falling to about 8 at one
// million, below which the rule has no data and that value is kept, so that
// it only bounds. Beyond it the short bubble behind the nose bursts, or the
// young turbulent layer parts again, and lift is lost at once; the layers
// here, two-dimensional and thin, go on round any nose.
// Source: Valarezo and Chin, J. Aircraft 31 (1994), pressure difference rule
// at low speed, from memory; power law of the Reynolds number through its
// ends.
func noseLimit(re float64) float64 {
	return 14 * math.Pow(between(re, 1e6, 6e6)/6e6, 0.3)
}

// drop is the difference of pressure coefficients between the trailing edge
// and the suction peak.
func (p *couple) drop() float64 {
	most := 0.0
	for i := range p.n {
		most = math.Max(most, p.st[i].u)
	}
	return most*most - p.st[0].u*p.st[p.n-1].u
}

// letsGo finds where between a case within [noseLimit] at the angle from, and
// one beyond it, the nose lets go: the last point of attached flow.
func (s *solver) letsGo(in, out *couple, from, to float64) Point {
	limit := noseLimit(s.f.re)
	for range 3 {
		mid := (from + to) / 2
		q := s.from(in, from, mid, 0)
		if q == nil {
			break
		}
		if q.drop() > limit {
			out, to = q, mid
		} else {
			in, from = q, mid
		}
	}
	a, b := in.drop(), out.drop()
	w := between((limit-a)/math.Max(b-a, 1e-9), 0, 1)
	return in.result(from).mix(out.result(to), w)
}

// mix is the point at weight w from p to q; places are those of p.
func (p Point) mix(q Point, w float64) Point {
	for _, v := range []struct {
		to *float64
		at float64
	}{{&p.Alpha, q.Alpha}, {&p.Cl, q.Cl}, {&p.Cd, q.Cd}, {&p.Cm, q.Cm}, {&p.Ch, q.Ch}, {&p.Friction, q.Friction}} {
		*v.to += w * (v.at - *v.to)
	}
	return p
}
