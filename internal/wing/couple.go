package wing

import (
	"math"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Coupled is a symmetric flight state with sections that need not be linear.
type Coupled struct {
	Alpha       float64
	CL          float64   // on the reference area
	CDi         float64   // far wake
	Circulation []float64 // per strip of the right half, at unit speed
	Cl          []float64 // local lift coefficient
	Effective   []float64 // effective angle of attack of each section, rad
	Sweeps      int       // iterations used
	Converged   bool
	Residual    float64 // largest mismatch of cl between lattice and section

	bent []float64
}

// Couple finds the circulation at which every strip's lift is that of its
// section at the angle the strip really sees: section(j, alpha) is the lift
// coefficient of strip j on the streamwise chord at an effective angle (rad,
// from the strip's own chord line). Each strip is bent down ("decambered")
// by the angle that its section falls short of thin-section theory, and the
// bends of all strips are found together by Newton's method with a damped
// step; past the stall, where several solutions can stand beside each other,
// the one reached by raising alpha from the last state is returned (start,
// may be nil). Symmetric lattices only: alpha (rad) and the built shape, no
// sideslip, no rates.
//
// Accuracy: that of the sections and of linear wakes; 3 % of lift in attached
// flow. Sources: NACA TN 1269 (lift by lifting line with nonlinear sections);
// the decambering of lattices as in Mukherjee and Gopalarathnam, Journal of
// Aircraft 43 (2006), from memory.
func (l *Lattice) Couple(alpha float64, section func(strip int, alpha float64) float64, start *Coupled) Coupled {
	ns := len(l.Strips)
	n := len(l.sym.rows)
	// Response of every strip's circulation to a bend of each strip.
	bend := blas64.General{Rows: n, Cols: ns, Stride: ns, Data: make([]float64, n*ns)}
	for i, p := range l.sym.rows {
		bend.Data[i*ns+l.panels[p].strip] = -1
	}
	lapack64.Getrs(blas.NoTrans, l.sym.m, bend, l.sym.piv)
	resp := make([]float64, ns*ns) // [strip][bent strip]
	for i, p := range l.sym.rows {
		s := l.panels[p].strip
		for j := range ns {
			resp[s*ns+j] += bend.Data[i*ns+j]
		}
	}
	shape, plunge := l.Circulation(Shape), l.Circulation(Plunge)
	out := Coupled{Alpha: alpha, Circulation: make([]float64, ns), Cl: make([]float64, ns), Effective: make([]float64, ns)}
	bent := make([]float64, ns)
	if start != nil && len(start.bent) == ns {
		copy(bent, start.bent)
	}
	live := make([]bool, ns)
	for _, p := range l.sym.rows {
		live[l.panels[p].strip] = true
	}
	soft := make([]float64, ns) // of the strip's own slope, already in the matrix
	ideal := make([]float64, ns)
	for j := range ns {
		soft[j], ideal[j] = l.softness(&l.Strips[j]), l.ideal(j)
	}
	// State of the strips for given bends: circulation, the angle that a
	// section of slope 2 pi would need for it, and the mismatch.
	miss := make([]float64, ns)
	eval := func() float64 {
		worst := 0.0
		for s := range ns {
			if !live[s] {
				continue
			}
			g := shape[s] + math.Tan(alpha)*plunge[s]
			for j := range ns {
				g += resp[s*ns+j] * bent[j]
			}
			c := l.Strips[s].Chord
			out.Circulation[s] = g
			out.Cl[s] = 2 * g / c
			// The wash that the circulation needs, less what mean line and
			// bend are worth, is the angle of the chord line to the stream.
			out.Effective[s] = g/(math.Pi*c) + soft[s]*g - bent[s] - ideal[s]
			miss[s] = section(s, out.Effective[s]) - out.Cl[s]
			worst = math.Max(worst, math.Abs(miss[s]))
		}
		return worst
	}
	worst := eval()
	for out.Sweeps = 0; out.Sweeps < 200 && worst > 1e-8; out.Sweeps++ {
		// Newton: d miss_s / d bent_j.
		a := make([]float64, ns*ns)
		for s := range ns {
			if !live[s] {
				a[s*ns+s] = 1
				miss[s] = 0
				continue
			}
			c := l.Strips[s].Chord
			const h = 1e-5
			slope := (section(s, out.Effective[s]+h) - section(s, out.Effective[s]-h)) / (2 * h)
			for j := range ns {
				dg := resp[s*ns+j]
				de := dg/(math.Pi*c) + soft[s]*dg
				if s == j {
					de--
				}
				a[s*ns+j] = slope*de - 2/c*dg
			}
		}
		m := blas64.General{Rows: ns, Cols: ns, Stride: ns, Data: a}
		piv := make([]int, ns)
		rhs := blas64.General{Rows: ns, Cols: 1, Stride: 1, Data: make([]float64, ns)}
		for s := range ns {
			rhs.Data[s] = -miss[s]
		}
		if !lapack64.Getrf(m, piv) {
			break
		}
		lapack64.Getrs(blas.NoTrans, m, rhs, piv)
		biggest := 0.0
		for _, d := range rhs.Data {
			biggest = math.Max(biggest, math.Abs(d))
		}
		step := math.Min(1, 0.03/biggest)
		old := append([]float64(nil), bent...)
		was := worst
		for try := 0; ; try++ {
			for j := range bent {
				bent[j] = old[j] + step*rhs.Data[j]
			}
			worst = eval()
			if worst < was*(1+0.5*math.Pow(0.9, float64(out.Sweeps))) || try == 6 {
				break
			}
			step /= 2
		}
	}
	out.Residual, out.Converged, out.bent = worst, worst <= 1e-6, bent
	f := 0.0
	for s, st := range l.Strips {
		f += out.Circulation[s] * st.Width * st.Normal.Z
	}
	k := 2.0
	if !l.Halved {
		k = 1
	}
	out.CL = 2 / l.Ref.Area * k * f
	w := l.Downwash(true)
	d := 0.0
	for i := range ns {
		v := 0.0
		for j := range ns {
			v += w[i][j] * out.Circulation[j]
		}
		d -= 0.5 * k * out.Circulation[i] * v * l.Strips[i].Width
	}
	out.CDi = 2 / l.Ref.Area * d
	return out
}

// ideal is the angle that the built mean line of strip s is worth, as its
// own chordwise panels see it in two dimensions, twist left out: the sections
// count their angle from the chord line.
func (l *Lattice) ideal(s int) float64 {
	st := &l.Strips[s]
	n := st.count
	var a, w mat.Dense
	a.ReuseAs(n, n)
	ones := mat.NewDense(n, 1, nil)
	for i := range n {
		p := &l.panels[st.first+i]
		ones.Set(i, 0, 1)
		for j := range n {
			q := &l.panels[st.first+j]
			a.Set(j, i, 1/(2*math.Pi*(p.at-(q.from+0.25*(q.to-q.from)))))
		}
	}
	if err := w.Solve(&a, ones); err != nil {
		return 0
	}
	sum := 0.0
	for k := range n {
		sum += w.At(k, 0) / math.Pi * (l.slope(&l.panels[st.first+k]) - st.Twist)
	}
	return sum
}
