package prop

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"fledge/internal/chart"
	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/num"
)

// elements is the blade-element equation solved slowly and plainly, an element
// at a time by halving, with each piece of its physics free to be another.
type elements struct {
	name    string
	tip     func(blades int, x, phi float64) float64
	hub     func(blades int, x, xh, phi float64) float64
	delay   func(cr, share, x, alpha, cl, cd float64) (lift, drag float64) // added past stall; cr chord over radius
	inflow  func(x float64) float64
	section Section // nil: the generic one
	turn    func(b *Blade, beta float64) float64
	wide    bool                        // Helmbold's slope
	walls   func(ct, j float64) float64 // share of the speed that walls add
	source  cite.Ref
}

// flown are the pieces that flights use.
func flown() elements {
	return elements{name: "as flown", tip: PrandtlTip, hub: PrandtlHub, wide: true, delay: func(cr, share, _, alpha, cl, _ float64) (float64, float64) {
		up := past(alpha) * math.Min(2.2*cr*math.Pow(share, 4), 0.8) * short(alpha, cl)
		return up, up * math.Tan(alpha)
	}}
}

// past is how far a section is past its stall and not yet a plate, 0 to 1.
func past(alpha float64) float64 {
	w := 1.0
	switch {
	case alpha < 8*deg || alpha > 50*deg:
		return 0
	case alpha < 14*deg:
		w = (alpha - 8*deg) / (6 * deg)
	case alpha > 30*deg:
		w = (50*deg - alpha) / (20 * deg)
	}
	return w * w * (3 - 2*w)
}

// short is what the lift misses of potential flow.
func short(alpha, cl float64) float64 {
	return math.Min(math.Max(2*math.Pi*math.Sin(alpha+2*deg)-cl, 0), 1.2)
}

// at is thrust and power coefficient and the inflow angle over the radius.
func (e *elements) at(b *Blade, j, rpm float64) (ct, cp float64, xs, phis []float64) {
	const n = 24
	steeper, xh := surface(b), b.X[0]
	radius := b.Diameter / 2
	w, free := rpm*math.Pi/30*radius, j*rpm/60*b.Diameter
	var thrust, torque float64
	for i := range n {
		x0, x1 := xh+(1-xh)*math.Sin(float64(i)/n*math.Pi/2), xh+(1-xh)*math.Sin(float64(i+1)/n*math.Pi/2)
		x := (x0 + x1) / 2
		c, beta, thick := b.At(x)
		v := free
		if e.inflow != nil {
			v *= e.inflow(x)
		}
		speed := math.Hypot(w*x, v)
		re, mach := math.Max(speed*c*radius*lab.Rho/lab.Mu, 1), speed/lab.A
		var known ready
		theGeneric.prepare(re, mach, thick, &known)
		var cn, across, one, kp, s, co float64
		residual := func(phi float64) float64 {
			s, co = math.Sincos(phi)
			alpha := beta - phi + b.zero(x)
			if e.turn != nil {
				alpha += e.turn(b, beta)
			}
			if e.wide {
				alpha += slope(alpha, steeper)
			}
			cl, cd := 0.0, 0.0
			if e.section != nil {
				cl, cd = e.section.At(alpha, re, mach, thick)
			} else {
				cl, cd = known.at(alpha)
			}
			if e.delay != nil {
				lift, drag := e.delay(c/x, w*x/speed, x, beta-phi, cl, cd)
				cl, cd = cl+lift, cd+drag
			}
			cn, across = cl*co-cd*s, cl*s+cd*co
			f := 1.0
			if e.tip != nil {
				f = e.tip(b.Blades, x, phi)
			}
			if e.hub != nil {
				f *= e.hub(b.Blades, x, 0.5*xh, phi)
			}
			load := float64(b.Blades) * c / (8 * math.Pi * x) / math.Max(f, 1e-4) / math.Abs(s)
			k := load * cn / s
			kp, one = load*across/co, 1-k
			if phi > 0 && k < -2.0/3 && v > 0 {
				one = 1 / (1 - heavy(-k, math.Max(f, 1e-4)))
			}
			return s*one*w*x - v*co*(1+kp)
		}
		a := math.Max(math.Atan2(v, w*x), 1e-6)
		first := residual(a)
		step := 0.02
		if first > 0 {
			step = -step
		}
		z := a
		for {
			z = math.Max(a+step, 1e-6)
			if (residual(z) > 0) != (first > 0) || z == 1e-6 || z > 1.5 {
				break
			}
			a = z
		}
		for range 32 {
			m := (a + z) / 2
			if (residual(m) > 0) == (first > 0) {
				a = m
			} else {
				z = m
			}
		}
		phi := (a + z) / 2
		residual(phi)
		whole := w * x / ((1 + kp) * co)
		if co <= 0.5 {
			whole = v / (one * s)
		}
		d := float64(b.Blades) * 0.5 * whole * whole * c * (x1 - x0)
		thrust, torque = thrust+d*cn, torque+d*across*x
		xs, phis = append(xs, x), append(phis, phi)
	}
	// In radii: n = w/(2 pi R), D = 2 R.
	q := w * w / (math.Pi * math.Pi) * 4
	return thrust / q, math.Pi * torque / q, xs, phis
}

// walled is at with the walls' share of the speed put in.
func (e *elements) walled(b *Blade, j, rpm float64) (ct, cp float64) {
	ct, cp, _, _ = e.at(b, j, rpm)
	if e.walls != nil {
		ct, cp, _, _ = e.at(b, j*(1+e.walls(ct, j)), rpm)
	}
	return
}

func (e *elements) ends(b *Blade, rpm float64) float64 {
	return num.Root(func(j float64) float64 { ct, _ := e.walled(b, j, rpm); return ct }, 0.1, 2.5, 1e-3).X
}

// helical is the axial and tangential speed that semi-infinite helical vortices
// of unit strength, one a blade, shed at radius rv under the angle beta, bring
// about on the blade at radius rc: the asymptotic closed forms of Wrench (1957).
func helical(blades int, rc, rv, beta float64) (axial, tangential float64) {
	z, y0 := float64(blades), 1/math.Tan(beta)
	y := rc / rv * y0
	a, b := math.Sqrt(1+y*y), math.Sqrt(1+y0*y0)
	u := math.Pow(y0*(a-1)/(y*(b-1))*math.Exp(a-b), z)
	k := ((9*y0*y0+2)/(b*b*b) + (3*y*y-2)/(a*a*a)) / (24 * z)
	root := math.Sqrt(b/a) / (2 * z * y0)
	if rc < rv {
		q := u / (1 - u)
		f := -root * (q + k*math.Log1p(q))
		return z / (4 * math.Pi * rc) * (y - 2*z*y*y0*f), z * z / (2 * math.Pi * rc) * y0 * f
	}
	q := 1 / (u - 1)
	f := root * (q - k*math.Log1p(q))
	return -z * z / (2 * math.Pi * rc) * y * y0 * f, z / (4 * math.Pi * rc) * (1 + 2*z*y0*f)
}

// goldstein is the circulation of rigid helical sheets of advance lambda =
// x tan(phi) over that of endlessly many blades, by a lattice of helical
// vortices: what Prandtl's factor is a plane picture of.
type goldstein struct {
	table map[int][][]float64 // by blades, lambda, x
}

const (
	goldsteinHub  = 0.02
	goldsteinX    = 50
	goldsteinStep = 0.04 // of lambda
	goldsteinN    = 16
)

func goldsteinEdge(u float64) float64 {
	return goldsteinHub + (1-goldsteinHub)*0.5*(1-math.Cos(math.Pi*u))
}

func (g *goldstein) row(blades int, lambda float64) []float64 {
	const n = goldsteinX
	a, rhs := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	out := make([]float64, n)
	for i := range n {
		x := goldsteinEdge((float64(i) + 0.5) / n)
		s, c := math.Sincos(math.Atan(lambda / x))
		was := 0.0
		for m := range n + 1 {
			rv := goldsteinEdge(float64(m) / n)
			ax, ta := helical(blades, x, rv, math.Atan(lambda/rv))
			is := ax*c - ta*s
			if m > 0 {
				a.Set(i, m-1, is-was)
			}
			was = is
		}
		rhs.SetVec(i, 0.5*c)
		out[i] = float64(blades) / (2 * math.Pi * x * s * c)
	}
	var v mat.VecDense
	if err := v.SolveVec(a, rhs); err != nil {
		panic(err)
	}
	for i := range out {
		out[i] *= v.AtVec(i)
	}
	return out
}

func (g *goldstein) factor(blades int, x, phi float64) float64 {
	if g.table == nil {
		g.table = map[int][][]float64{}
	}
	t := g.table[blades]
	if t == nil {
		for i := range goldsteinN {
			t = append(t, g.row(blades, 0.03+goldsteinStep*float64(i)))
		}
		g.table[blades] = t
	}
	u := math.Min(math.Max((x*math.Abs(math.Tan(phi))-0.03)/goldsteinStep, 0), goldsteinN-1.001)
	y := math.Acos(math.Min(math.Max(1-2*(x-goldsteinHub)/(1-goldsteinHub), -1), 1))/math.Pi*goldsteinX - 0.5
	y = math.Min(math.Max(y, 0), goldsteinX-1.001)
	i, m := int(u), int(y)
	u, y = u-float64(i), y-float64(m)
	k := func(i int) float64 { return t[i][m] + y*(t[i][m+1]-t[i][m]) }
	return k(i) + u*(k(i+1)-k(i))
}

// unread is the angle of the chord line of which photographs give a reading.
func unread(x, y []float64, read float64) float64 {
	return num.Root(func(b float64) float64 { return silhouette(x, y, b) - read }, -0.2, 1.5, 1e-6).X
}

// others are the pieces of physics that flights do not use, each once.
func others(t *testing.T) []elements {
	list := []elements{flown()}
	add := func(name string, src cite.Ref, f func(e *elements)) {
		e := flown()
		e.name, e.source = name, src
		f(&e)
		list = append(list, e)
	}
	var g goldstein
	add("Goldstein's circulation for Prandtl's factor", cite.Goldstein1929.At("own computation with the closed forms of Wrench 1957", cite.Derived), func(e *elements) { e.tip = g.factor })
	add("no loss at the hub", cite.Ours.At("variant", cite.Derived), func(e *elements) { e.hub = nil })
	add("no delay of stall by rotation", cite.Ours.At("variant", cite.Derived), func(e *elements) { e.delay = nil })
	add("stall delay of Snel", cite.Snel1993.At("3 (c/r)²", cite.Memory), func(e *elements) {
		e.delay = func(cr, _, _, alpha, cl, _ float64) (float64, float64) {
			up := past(alpha) * math.Min(3*cr*cr, 1) * short(alpha, cl)
			return up, up * math.Tan(alpha)
		}
	})
	add("stall delay of Du and Selig", cite.DuSelig1998.At("a = b = d = 1", cite.Memory), func(e *elements) {
		e.delay = func(cr, share, x, alpha, cl, cd float64) (float64, float64) {
			part := func(d float64) float64 {
				q := math.Pow(cr, d/(share*x))
				return math.Max((1.6*cr/0.1267*(1-q)/(1+q)-1)/(2*math.Pi), 0)
			}
			w := past(alpha)
			return w * math.Min(part(1), 1) * short(alpha, cl), -w * part(0.5) * math.Max(cd-0.03, 0)
		}
	})
	add("lift slope of endless aspect ratio", cite.Ours.At("variant", cite.Derived), func(e *elements) { e.wide = false })
	add("rig's body of 0.25 R behind the disc", cite.Ours.At("half body of a source", cite.Derived), func(e *elements) { e.inflow = Blockage{Body: 0.25, Gap: 0.3}.inflow })
	add("tunnel's walls, had they been left in", cite.GlauertDisc.At("closed section, 0.85 m x 1.22 m", cite.Memory), walls(9*inch))
	add("all sections Clark-Y of 11.7 %", cite.BladeClarkY.At("thick family", cite.Seen), func(e *elements) {
		e.section = SectionFunc(func(a, re, mach, _ float64) (float64, float64) { return Generic.At(a, re, mach, thickFamily) })
	})
	add("all sections SD7003", cite.BladeSD7003.At("thin family", cite.Seen), func(e *elements) {
		e.section = SectionFunc(func(a, re, mach, _ float64) (float64, float64) { return Generic.At(a, re, mach, thinFamily) })
	})
	add("angles read on the flat underside", cite.Ours.At("Clark-Y face, 1.9 deg under the chord line", cite.Derived), func(e *elements) { e.turn = func(*Blade, float64) float64 { return face } })
	// The tables of the printed shapes were read off photographs; that of the
	// old full-size shape starts outside the hub with 15.000 degrees at 0.75 R.
	x, y := outline(0.03, 0.09, 0.02)
	chord := map[float64]float64{} // by reading
	back := func(b *Blade, beta float64) float64 {
		if b.X[0] > 0.2 {
			return 0
		}
		k := math.Round(beta / deg * 4)
		if _, ok := chord[k]; !ok {
			chord[k] = unread(x, y, k/4*deg) - k/4*deg
		}
		return chord[k]
	}
	common := back(&Blade{X: []float64{0.1}}, 19*deg)
	add("angles turned back from silhouettes", cite.Ours.At("TestSilhouettes", cite.Derived), func(e *elements) { e.turn = back })
	add("the same, all alike at 19 deg", cite.Ours.At("TestSilhouettes, differences only", cite.Derived), func(e *elements) {
		e.turn = func(b *Blade, beta float64) float64 {
			if b.X[0] > 0.2 {
				return 0
			}
			return back(b, beta) - common
		}
	})
	return list
}

// walls is Glauert's share of the speed in a closed section for a disc of
// the diameter: tau a/(2 sqrt(1+2 tau)), tau = T/(rho A V²).
func walls(diameter float64) func(e *elements) {
	return func(e *elements) {
		e.walls = func(ct, j float64) float64 {
			tau := math.Max(4*ct/(math.Pi*j*j), 0)
			return -tau * math.Pi / 4 * diameter * diameter / (0.853 * 1.219) / (2 * math.Sqrt(1+2*tau))
		}
	}
}

// score is how far the advancing points at Re >= 40e3 of the tested blades lie
// from the computed ones, each blade's mean with one weight.
func (e *elements) score(t *testing.T, ps map[string]*tested) (ct, cp float64, codes []string, signed, ends []float64) {
	for _, c := range cases {
		p := ps[c.code]
		b := loadBlade(t, c.code, p.d, p.blades)
		chord, _, _ := b.At(0.75)
		var d deviations
		for i := range p.rpm {
			w := p.rpm[i] * math.Pi / 30 * p.d / 2
			if p.j[i] == 0 || math.Hypot(0.75*w, p.j[i]*p.rpm[i]/60*p.d)*chord*p.d/2*lab.Rho/lab.Mu < 40e3 {
				continue
			}
			got, power := e.walled(b, p.j[i], p.rpm[i])
			d.add(got, power, p.ct[i], p.cp[i])
		}
		if d.n > 0 {
			ct, cp = ct+d.CT(), cp+d.CP()
			codes, signed, ends = append(codes, c.code), append(signed, d.bct/d.sct), append(ends, e.ends(b, c.rpm)-c.j0)
		}
	}
	n := float64(len(codes))
	return ct / n, cp / n, codes, signed, ends
}

// What no model of chord and angle removes. The elements solved slowly are
// those of flights; each piece of physics that could be another moves all
// blades together, by less than what parts them, and none brings the mean to
// the aim of 7 and 9 %. The one that is better founded than what flights use is
// Goldstein's circulation: a third of a per cent nearer at Re 40e3 and up, half
// a per cent farther at the small blades with their angle known, and not worth
// a second theory of losses.
func TestOtherPhysics(t *testing.T) {
	ps := loadTested(t)
	list := others(t)
	picture := chart.Chart{
		Title: "thrust of five tested blades, one thing computed otherwise",
		X:     chart.Axis{Label: "computed over measured CT less one, %", Min: -45, Max: 50},
	}
	var words []string
	var ct0, cp0 float64
	picture.Y.Min, picture.Y.Max = -13.6, 1.2
	var lines []chart.Series
	for i, e := range list {
		ct, cp, codes, signed, ends := e.score(t, ps)
		picture.Y.Names = append(picture.Y.Names, fmt.Sprintf("%s: %.1f, %.1f", e.name, 100*ct, 100*cp))
		for k, code := range codes {
			if i == 0 {
				lines = append(lines, chart.Series{Ink: k})
				picture.Notes = append(picture.Notes, chart.Note{X: 100*signed[k] + []float64{-22, 0, 0, -3, 0}[k], Y: []float64{0.25, 0.25, 0.6, 0.95, 0.6}[k], Text: strings.ReplaceAll(code, "_", " ")})
			}
			lines[k].X, lines[k].Y = append(lines[k].X, 100*signed[k]), append(lines[k].Y, -float64(i))
		}
		t.Logf("%-45s CT %5.1f %% CP %5.1f %%; blades %+.1f; J0 off %+.3f", e.name, 100*ct, 100*cp, hundred(signed), ends)
		if i == 0 {
			ct0, cp0 = ct, cp
			continue
		}
		words = append(words, fmt.Sprintf("%s %+.1f and %+.1f", e.name, 100*(ct-ct0), 100*(cp-cp0)))
		row := check.Row{Topic: "physics that flights do not use", Headline: true, Source: e.source}
		row.Name = e.name + ": mean deviation of CT at Re >= 40e3, over that as flown"
		row.Near(t, ct-ct0, 0, check.ModelAbs(0.17, "what a turn of all angles by 1.9 deg, the largest, does"))
		// None parts the blades less: the gap between the shape that pulls
		// too much and the one that pulls too little stays.
		lo, hi := slices.Min(signed), slices.Max(signed)
		row.Name = e.name + ": gap between the blades"
		row.Near(t, hi-lo, 0.28, check.ModelAbs(0.07, "a quarter of the gap at most: chord and angle part these blades by 2 deg less than the tunnel does"))
		if ct < 0.09 || cp < 0.11 {
			t.Errorf("%s comes to CT %.3f, CP %.3f: worth a second look", e.name, ct, cp)
		}
	}
	picture.Series = lines
	check.Plot(t, "physics", fmt.Sprintf("Each row computes one thing otherwise; its name gives the mean deviation of CT and CP in percent. The blades move together and stay as far apart, so that what parts them is not in these equations; nor is it a lifting surface for the lifting line, which moves all angles of zero lift alike by 0.1 to 0.2 degree (rows \"blades as lifting surfaces\"), nor blades that give way (rows of that name: none stops pulling earlier when it turns faster). Any one angle for the two printed shapes leaves 11 %% on them (\"physics that flights do not use\"); one measured zero-thrust point a blade leaves 7 %%. Each blade's deviation is summed over its points and divided by their sum, and blades count alike; with all points in one sum it is 11.9 %% and 14.1 %%, without the two printed shapes 9.2 %% and 9.6 %%; the 1 to 2 %% by which the tunnel repeats itself is 0.2 %% of it. As flown CT %.1f %% and CP %.1f %%; change of both: %s.", 100*ct0, 100*cp0, strings.Join(words, "; ")), picture.SVG(860, 560))

	// The slow solution is that of flights.
	e := flown()
	for _, c := range cases {
		b := loadBlade(t, c.code, ps[c.code].d, ps[c.code].blades)
		r := New(b, Options{})
		for _, f := range []float64{0.2, 0.6, 1.0} {
			l := at(r, f*c.j0, c.rpm)
			ct, cp, _, _ := e.at(b, f*c.j0, c.rpm)
			row := check.Row{Topic: "elements solved slowly", Source: cite.Ours.At("halving, one element at a time", cite.Derived)}
			row.Name = fmt.Sprintf("%s at %.1f of zero thrust: CT", c.code, f)
			row.Near(t, l.CT, ct, check.ModelAbs(1e-5, "both to 1e-7 of the inflow angle"))
			row.Name = fmt.Sprintf("%s at %.1f of zero thrust: CP", c.code, f)
			row.Near(t, l.CP, cp, check.ModelAbs(1e-5, "both to 1e-7 of the inflow angle"))
		}
	}
}

func hundred(v []float64) []float64 {
	out := slices.Clone(v)
	for i := range out {
		out[i] *= 100
	}
	return out
}

// What is left when the three blades of the two printed shapes may choose one
// angle in common and the other two were perfect: the aim of 7 % lies there and
// not above. With the angle that each asks for itself the same equations give
// 4 to 5 % for these three (TestTiedPropellers).
func TestOneAngleForTwoShapes(t *testing.T) {
	ps := loadTested(t)
	printed := []string{"da4002_9.0x6.75_B2", "da4022_9.0x6.75_B2", "da4022_9.0x6.75_B3"}
	mean := func(by float64) (ct, cp float64) {
		for _, code := range printed {
			p := ps[code]
			_, _, high := compare(p, turned(loadBlade(t, code, p.d, p.blades), by))
			ct, cp = ct+high.CT()/3, cp+high.CP()/3
		}
		return
	}
	best, power, angle := math.Inf(1), 0.0, 0.0
	for by := -2.0; by <= 2; by += 0.25 {
		if ct, cp := mean(by * deg); ct < best {
			best, power, angle = ct, cp, by
		}
	}
	t.Logf("best one angle, %+.2f deg on the generic section's: CT %.1f %%, CP %.1f %%; as flown %.2g", angle, 100*best, 100*power, first2(mean(0)))
	row := check.Row{Topic: "physics that flights do not use", Headline: true, Source: cite.DetersSelig2014.At("da4002 and da4022, 9x6.75", cite.Seen)}
	row.Name = "least mean deviation of CT with any one angle for the two printed shapes"
	row.Near(t, best, 0.12, check.ModelAbs(0.02, "two blades of nearly equal angle stop pulling 2 deg apart, a degree is 14 % of the thrust: half of that each"))
}

func first2(a, b float64) []float64 { return []float64{100 * a, 100 * b} }

// Blades that give way: the centrifugal moment flattens a soft blade as the
// square of its speed, the pull bends it. The advance ratio of zero thrust then
// falls with the speed of rotation. Measured it rises on every blade, as far as
// the sections' Reynolds number asks and a little more: the blades hold.
func TestBladesHold(t *testing.T) {
	ps := loadTested(t)
	for _, c := range cases {
		p := ps[c.code]
		r := New(loadBlade(t, c.code, p.d, p.blades), Options{})
		ends := func(rpm float64) float64 { // a line through the points of that run near zero thrust
			var x, y []float64
			for i := range p.rpm {
				if p.j[i] > 0 && math.Abs(p.rpm[i]/rpm-1) < 0.03 && p.ct[i] < 0.035 {
					x, y = append(x, p.ct[i]), append(y, p.j[i])
				}
			}
			if len(x) < 3 || slices.Min(x) > 0.004 {
				return math.NaN()
			}
			var sx, sy, sxx, sxy float64
			n := float64(len(x))
			for i := range x {
				sx, sy, sxx, sxy = sx+x[i], sy+y[i], sxx+x[i]*x[i], sxy+x[i]*y[i]
			}
			return sy/n - (n*sxy-sx*sy)/(n*sxx-sx*sx)*sx/n
		}
		slow := math.NaN()
		at := 0.0
		for _, rpm := range []float64{2000, 3000, 4000, 4500, 5000, 6000, 8000} {
			if slow = ends(rpm); slow > 0 {
				at = rpm
				break
			}
		}
		fast := ends(c.rpm)
		if at == 0 || math.IsNaN(fast) || at > 0.9*c.rpm {
			t.Errorf("%s: no two runs to zero thrust", c.code)
			continue
		}
		change := math.Atan(fast/(0.75*math.Pi)) - math.Atan(slow/(0.75*math.Pi))
		model := math.Atan(zeroThrust(r, c.rpm)/(0.75*math.Pi)) - math.Atan(zeroThrust(r, at)/(0.75*math.Pi))
		t.Logf("%s %.0f to %.0f rpm: %+.2f deg, by Reynolds number %+.2f", c.code, at, c.rpm, change/deg, model/deg)
		check.Row{Topic: "blades that give way", Name: fmt.Sprintf("%s: angle of zero thrust at %.0f over that at %.0f rpm, less what the Reynolds number does", c.code, c.rpm, at), Unit: "deg", Headline: true, Source: cite.DetersSelig2014.At(c.code, cite.Seen)}.
			Near(t, change/deg, model/deg, check.ModelAbs(0.5, "lines through 3 to 10 points, 0.1 deg; sections at Re 10e3 to 40e3 on published trends"))
		if change < -0.1*deg {
			t.Errorf("%s: stops pulling earlier when it turns faster, %+.2f deg", c.code, change/deg)
		}
	}
}

// Goldstein's circulation: one for endlessly many blades, Prandtl's factor for
// small advance, below it for two blades and more advance.
func TestGoldstein(t *testing.T) {
	var g goldstein
	for _, c := range []struct {
		blades      int
		lambda, tol float64
	}{{40, 0.2, 0.01}, {4, 0.03, 0.02}, {2, 0.03, 0.02}} {
		for _, x := range []float64{0.5, 0.7, 0.8, 0.9} {
			row := check.Row{Topic: "Goldstein's circulation", Name: fmt.Sprintf("%d blades, lambda %g, x %g: over Prandtl's factor", c.blades, c.lambda, x), Source: cite.Wrench1957.At("helical vortices; limits of many blades and of small advance", cite.Memory)}
			phi := math.Atan(c.lambda / x)
			row.Near(t, g.factor(c.blades, x, phi)/PrandtlTip(c.blades, x, phi), 1, check.ModelAbs(c.tol, "the limit where Prandtl's plane picture holds; 50 vortices"))
		}
	}
	if k, f := g.factor(2, 0.75, math.Atan(0.25/0.75)), PrandtlTip(2, 0.75, math.Atan(0.25/0.75)); !(k < 0.93*f && k > 0.8*f) {
		t.Errorf("two blades, lambda 0.25: %.3f, Prandtl %.3f", k, f)
	}
}
