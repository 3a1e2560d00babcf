package prop

import (
	"fmt"
	"math"
	"sort"

	"fledge/internal/diag"
)

// Source is anything that answers for a propeller: a [Rotor] or a [Measured].
type Source interface {
	At(v, omega float64, g Gas) Load
}

// Measured is a table of measured coefficients laid over blade elements: at
// its points it gives the table, between them it carries the difference from
// the blade elements on, linear in advance ratio and speed of rotation, and
// outside it lets the difference fade over half a unit of advance ratio,
// flagged [Beyond].
type Measured struct {
	rotor  *Rotor
	groups []group // rising rpm
	still  []node  // static: J holds rpm
}

type node struct{ j, dct, dcp float64 }

type group struct {
	rpm float64
	p   []node // rising advance ratio
}

// ReadMeasured reads a table of columns rpm, advance_ratio, ct, cp and lays
// it over the rotor. On errors the result is nil.
func ReadMeasured(name string, text []byte, r *Rotor, g Gas) (*Measured, diag.List) {
	rows, lines, l := readRows(name, text, []string{"rpm", "advance_ratio", "ct", "cp"}, nil)
	if l.HasErrors() {
		return nil, l
	}
	type row struct{ rpm, j, ct, cp float64 }
	var all []row
	for i, v := range rows {
		at := diag.Span{File: name, Line: lines[i], Col: 1}
		switch {
		case !(v[0] > 0 && v[0] < 3e5):
			l.Errorf("propeller-rpm", at, "rpm %g is outside 0 to 300000", v[0])
		case !(v[1] >= 0 && v[1] < 10):
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "propeller-advance", Span: at, Message: fmt.Sprintf("advance ratio %g is outside 0 to 10", v[1]), Hint: "V/(nD), n in revolutions per second"})
		case math.Abs(v[2]) > 2 || math.Abs(v[3]) > 5:
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "propeller-coefficient", Span: at, Message: fmt.Sprintf("coefficients ct %g, cp %g are no propeller's", v[2], v[3]), Hint: "ct = T/(rho n² D⁴), cp = P/(rho n³ D⁵)"})
		default:
			all = append(all, row{v[0], v[1], v[2], v[3]})
		}
	}
	if len(all) == 0 && !l.HasErrors() {
		l.Errorf("csv-empty", diag.Span{File: name, Line: 1, Col: 1}, "the table has no rows")
	}
	if l.HasErrors() {
		return nil, l
	}
	m := &Measured{rotor: r}
	sort.SliceStable(all, func(i, k int) bool { return all[i].rpm < all[k].rpm })
	diff := func(a row) node {
		b := r.At(a.j*a.rpm/60*r.Blade.Diameter, a.rpm*2*math.Pi/60, g)
		return node{a.j, a.ct - b.CT, a.cp - b.CP}
	}
	for i := 0; i < len(all); {
		// Rows within 1.5 % of rpm are one run.
		k := i
		var gr group
		sum, n := 0.0, 0.0
		for k < len(all) && all[k].rpm <= all[i].rpm*1.015 {
			d := diff(all[k])
			if all[k].j == 0 {
				m.still = append(m.still, node{all[k].rpm, d.dct, d.dcp})
			}
			gr.p = append(gr.p, d)
			sum += all[k].rpm
			n++
			k++
		}
		gr.rpm = sum / n
		sort.SliceStable(gr.p, func(a, b int) bool { return gr.p[a].j < gr.p[b].j })
		if gr.p[len(gr.p)-1].j > 0 {
			m.groups = append(m.groups, gr)
		}
		i = k
	}
	if len(m.still) > 0 {
		for i := range m.groups {
			if gr := &m.groups[i]; gr.p[0].j > 0 {
				s, _ := lookup(m.still, gr.rpm, math.Inf(1))
				gr.p = append([]node{{0, s.dct, s.dcp}}, gr.p...)
			}
		}
	}
	return m, l
}

// lookup interpolates and fades outside over fade; outside says so.
func lookup(p []node, x, fade float64) (node, bool) {
	i := sort.Search(len(p), func(i int) bool { return p[i].j >= x })
	hold := func(n node, far float64) (node, bool) {
		w := math.Max(0, 1-far/fade)
		if math.IsInf(fade, 1) {
			w = 1
		}
		return node{x, n.dct * w, n.dcp * w}, far > 1e-9
	}
	switch {
	case i == 0:
		return hold(p[0], p[0].j-x)
	case i == len(p):
		return hold(p[i-1], x-p[i-1].j)
	}
	a, b := p[i-1], p[i]
	if b.j == a.j {
		return b, false
	}
	t := (x - a.j) / (b.j - a.j)
	return node{x, a.dct + t*(b.dct-a.dct), a.dcp + t*(b.dcp-a.dcp)}, false
}

// At implements [Source].
func (m *Measured) At(v, omega float64, g Gas) Load {
	l := m.rotor.At(v, omega, g)
	if math.IsNaN(l.CT) {
		return l
	}
	rpm := omega * 60 / (2 * math.Pi)
	var d node
	var out bool
	if len(m.groups) == 0 {
		d, out = lookup(m.still, rpm, math.Inf(1))
		w := math.Max(0, 1-l.J/0.5)
		d.dct, d.dcp, out = d.dct*w, d.dcp*w, out || l.J > 0
	} else {
		i := sort.Search(len(m.groups), func(i int) bool { return m.groups[i].rpm >= rpm })
		switch {
		case i == 0 || i == len(m.groups):
			k := min(i, len(m.groups)-1)
			d, out = lookup(m.groups[k].p, l.J, 0.5)
			r := rpm / m.groups[k].rpm
			out = out || r < 0.97 || r > 1.03
		default:
			a, oa := lookup(m.groups[i-1].p, l.J, 0.5)
			b, ob := lookup(m.groups[i].p, l.J, 0.5)
			t := (rpm - m.groups[i-1].rpm) / (m.groups[i].rpm - m.groups[i-1].rpm)
			d = node{l.J, a.dct + t*(b.dct-a.dct), a.dcp + t*(b.dcp-a.dcp)}
			out = oa && ob
		}
	}
	l.CT += d.dct
	l.CP += d.dcp
	n := omega / (2 * math.Pi)
	D := m.rotor.Blade.Diameter
	l.Thrust = l.CT * g.Rho * n * n * D * D * D * D
	l.Torque = l.CP * g.Rho * n * n * D * D * D * D * D / (2 * math.Pi)
	l.Status &^= Braking | Stalled | Ring | LowRe
	if out {
		l.Status |= Beyond
	}
	if l.Thrust < 0 {
		l.Status |= Braking
	}
	l.Eta = math.NaN()
	if l.CT > 0 && l.CP > 0 {
		l.Eta = l.J * l.CT / l.CP
	}
	return l
}
