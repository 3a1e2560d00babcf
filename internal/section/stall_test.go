package section

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/chart"
	"fledge/internal/check"
	"fledge/internal/cite"
)

// leaves returns where y(x) has left the line through its values at a and b
// by more than off, past b; NaN where it does not.
func leaves(x, y []float64, a, b, off float64) float64 {
	ya, yb := lookup(x, y, a), lookup(x, y, b)
	last, lastX := 0.0, b
	for i := range x {
		if x[i] <= b {
			continue
		}
		d := math.Abs(ya + (yb-ya)*(x[i]-a)/(b-a) - y[i])
		if d > off {
			return lastX + (x[i]-lastX)*(off-last)/(d-last)
		}
		last, lastX = d, x[i]
	}
	return math.NaN()
}

// runScatter is by how much two runs of one tunnel differ in lift between 9
// degrees and the maximum, rms: that which measured lift alone and that which
// measured drag. It returns the number of points too.
func runScatter(t testing.TB, csv string) (rms, n float64) {
	lifts := runs(t, csv, "lift")
	for _, d := range runs(t, csv, "drag") {
		for _, l := range lifts {
			if math.Abs(l.re/d.re-1) > 0.05 {
				continue
			}
			for i, a := range d.alpha {
				if e := lookup(l.alpha[:l.up], l.cl[:l.up], a) - d.cl[i]; a > 9 && e == e {
					rms, n = rms+e*e, n+1
				}
			}
		}
	}
	return math.Sqrt(rms / n), n
}

// How the trailing edge parts. "The angle of maximum lift" is a poor question
// to a section whose lift is level: the five runs of one Clark Y put it at
// 14.6, 14.5, 16.0, 14.7 and 15.0 degrees by differences of 0.001 to 0.014 in
// lift, where two runs of the tunnel differ by 0.018. What a tunnel does know
// is held here: the stretch of angles whose lift is the maximum within its own
// scatter, where lift and moment leave their straight lines, and lift at given
// angles.
//
// They say one thing, and it is ours: from Re 100,000 up the computed lift of
// the Clark Y leaves its line 0.7 to 1.2 degrees early, moment 1.0 to 1.6. The
// words below say what carries it and why it is not mended.
func TestTrailingEdgeParts(t *testing.T) {
	if testing.Short() {
		t.Skip("long")
	}
	lift := &chart.Chart{Title: "Clark Y: lift, measured (dots) and computed", X: chart.Axis{Label: "angle of attack, deg", Min: 2, Max: 17}, Y: chart.Axis{Label: "lift coefficient", Min: 0.4, Max: 1.5}}
	moment := &chart.Chart{Title: "Clark Y: moment about the quarter chord", X: lift.X, Y: chart.Axis{Label: "moment coefficient", Min: -0.1, Max: 0.02}}
	for _, sec := range []struct {
		name, file string
		src        cite.Source
	}{
		{"Clark Y", "clarky", cite.LSATVol3},
		{"SD7003", "sd7003", cite.LSATVol1},
	} {
		csv := "aerodynamics-" + sec.file + "-polars.csv"
		scatter, points := runScatter(t, csv)
		t.Logf("%s: lift of two runs differs by %.4f rms in %g points near the top", sec.name, scatter, points)
		for _, lr := range runs(t, csv, "lift") {
			p := Solve(refShape(t, "aerodynamics-"+sec.file+"-coordinates.csv"), Condition{Re: lr.re, Panels: 120}, degrees(-2, 17, 0.5))
			var al, cl, cm []float64
			for _, q := range p.Points {
				if q.Status == OK {
					al, cl, cm = append(al, q.Alpha/deg), append(cl, q.Cl), append(cm, q.Cm)
				}
			}
			ma, ml := lr.alpha[:lr.up], lr.cl[:lr.up]
			top := 0.0
			for _, c := range ml {
				top = math.Max(top, c)
			}
			// The angles whose measured lift is the maximum within two standard
			// deviations of the tunnel's runs.
			lo, hi := math.NaN(), math.NaN()
			for a := ma[0]; a < ma[len(ma)-1]; a += 0.05 {
				if lookup(ma, ml, a) > top-2*scatter {
					if lo != lo {
						lo = a
					}
					hi = a
				}
			}
			row := check.Row{Topic: "section stall: " + sec.name, Source: sec.src.At("clean model, lift runs", cite.Seen), Headline: true}
			at := fmt.Sprintf("Re %.0f: ", lr.re)
			row.Name, row.Unit = at+"maximum lift outside the angles whose lift is the maximum within the runs' scatter", "deg"
			off := math.Max(0, p.AlphaMax/deg-hi) + math.Min(0, p.AlphaMax/deg-lo)
			t.Logf("%s Re %.0f: maximum at %.1f, measured level from %.1f to %.1f", sec.name, lr.re, p.AlphaMax/deg, lo, hi)
			row.Near(t, off, 0, check.ModelAbs(map[bool]float64{true: 2, false: 1}[lr.re < 8e4], "our bar of the stall's angle, 2 degrees, and half of it from Re 80,000"))
			if lr.re < 8e4 {
				continue // bubbles bend the line itself
			}
			row.Name = at + "lift 0.1 under its line through 2 and 6 degrees"
			row.Near(t, leaves(al, cl, 2, 6, 0.1), leaves(ma, ml, 2, 6, 0.1), check.ModelAbs(1.5, "known gap of a degree; where the measured line ends is known to 0.25 degrees"))
			if len(lr.cm) >= lr.up {
				mm := lr.cm[:lr.up]
				drawStall(lift, lr, ml, al, cl)
				drawStall(moment, lr, mm, al, cm)
				if lr.re > 1.5e5 { // below, the bubble bends the line itself
					row.Name = at + "moment 0.01 over its line through 2 and 8 degrees"
					row.Near(t, leaves(al, cm, 2, 8, 0.01), leaves(ma, mm, 2, 8, 0.01), check.ModelAbs(2, "known gap of 1.0 to 1.6 degrees: the bend of the wake unloads the trailing edge"))
				}
				row.Name, row.Unit = at+"moment at 11 degrees", ""
				row.Near(t, lookup(al, cm, 11), lookup(ma, mm, 11), check.ModelAbs(0.03, "known gap: the bend of the wake unloads the trailing edge"))
			}
			row.Unit = ""
			for _, r := range []struct {
				a, allow float64
				why      string
			}{
				{10, 0.05, barLift},
				{12, 0.06, "half our bar of maximum lift, 0.12"},
				{14, 0.12, "our bar of maximum lift, 0.12"},
			} {
				if sec.file == "sd7003" && r.a > 11 {
					continue // its nose has let go
				}
				if sec.file == "sd7003" {
					r.allow, r.why = 0.08, barLift+", and 0.03 a half degree before the nose lets go"
				}
				row.Name = fmt.Sprintf("%slift at %g degrees", at, r.a)
				row.Near(t, lookup(al, cl, r.a), lookup(ma, ml, r.a), check.ModelAbs(r.allow, r.why))
			}
		}
	}
	check.Plot(t, "stall", stallLift, lift.SVG(860, 520))
	check.Plot(t, "stall-moment", stallMoment, moment.SVG(860, 520))
}

// drawStall adds one run, measured and computed.
func drawStall(c *chart.Chart, lr run, y, al, computed []float64) {
	re := fmt.Sprintf("Re %.0f,000", lr.re/1000)
	ink := len(c.Series) / 2
	var up int
	for up < lr.up && lr.alpha[up] < 16.5 {
		up++
	}
	c.Series = append(c.Series,
		chart.Series{Kind: chart.Dots, X: lr.alpha[:up], Y: y[:up], Ink: ink},
		chart.Series{Name: re, X: al, Y: computed, Ink: ink})
}

// The words under the two pictures. Their numbers are reruns of 2026-11-29
// with one relation changed at a time.
const (
	stallLift = `Where the top lies is a poor question to a curve that is level. The five runs put the maximum at 14.6, 14.5, 16.0, 14.7 and 15.0 degrees by 0.001 to 0.014 in lift over their neighbours a degree away, while two runs of the tunnel, one for lift and one for drag, differ by 0.018 rms from 9 degrees up. Within twice that the measured maximum reaches from 12 to 15.7, 11 to 16.6, 12.1 to 17.6 and 12 to 17.6 degrees at Re 101,000 to 402,000; the computed angles, 11.8, 12.8, 12.5 and 11.9, lie in it or 0.1 degree before (1.7 before at 61,000). Well posed is where a curve leaves its own straight line: lift does so (by 0.1) 0.7 to 1.2 degrees early, moment (by 0.01) 1.0 to 1.6.

Past the top the two differ in kind. In a tunnel a wing's whole breadth never stalls at once: patches part and others do not (stall cells, Moss and Murdin 1970, Winkelmann and Barlow 1980, from memory), which keeps mean lift level until all of it lets go (16.6 degrees at Re 201,000, to 0.94). The computed flow is alike along the span and falls by 0.02 to 0.03 a degree.

At Re 101,000 attached lift is 0.09 higher than that of the run that measured lift, from 2 to 8 degrees, and 0.06 higher than in the run that measured drag: the tunnel's own runs differ by 0.03 there, and by 0.02 to 0.03 at 61,000. The upper side is the place, not the lower one, which is laminar to its end from 0 degrees. A longer bubble explains it up to 4 degrees only (half as much again of the exponent of transition, 13.4 for 9, takes 0.08 at 4 degrees and makes a fifth too much drag there; at 8 degrees, with the bubble at a quarter of the chord, it adds 0.02).`
	stallMoment = `What carries the gap: Clark Y at Re 201,000, one constant 10 % up at a time; beside it what the same change does to two sections that have no gap or the opposite one.

| 10 % more of | angle of maximum | maximum lift | moment at 11 degrees | drag at 3 degrees | leaves its line | 4412 Re 9 million | SD7003 Re 303,000 |
|---|---|---|---|---|---|---|---|
| nothing (measured) | 12.8 (16.0) | 1.262 (1.325) | -0.022 (-0.050) | 0.0112 (0.0115) | 10.0 (11.2) | 1.74 (1.67) | 1.23 (1.13) |
| laminar friction | +0.1 | -0.007 | +0.000 | +0.6 % | +0.0 | -0.00 | 0.00 |
| laminar dissipation | -0.5 | -0.001 | -0.000 | +5.4 % | -0.1 | -0.00 | -0.01 |
| growth of disturbances | +0.1 | -0.004 | +0.000 | +0.1 % | -0.0 | -0.00 | +0.00 |
| exponent of transition | +0.1 | +0.003 | -0.001 | +0.4 % | -0.0 | +0.00 | -0.00 |
| stress behind transition | 0.0 | -0.001 | +0.000 | +0.2 % | 0.0 | 0.00 | +0.00 |
| turbulent friction | +0.1 | -0.014 | +0.001 | +1.1 % | -0.1 | -0.04 | -0.02 |
| turbulent H* over its least value | +0.1 | +0.028 | -0.004 | -0.3 % | +0.1 | +0.06 | +0.02 |
| shape factor at turbulent separation | +0.1 | +0.011 | -0.002 | +0.1 % | +0.2 | +0.02 | +0.01 |
| outer dissipation | +0.1 | +0.055 | -0.007 | +0.6 % | +0.3 | +0.08 | +0.05 |
| equilibrium locus, A | -1.1 | -0.084 | +0.008 | -0.5 % | -0.4 | -0.14 | -0.08 |
| equilibrium locus, B | -0.8 | -0.042 | +0.004 | -0.3 % | -0.2 | -0.07 | -0.04 |
| lag of the stress | +0.1 | +0.008 | -0.001 | 0 | +0.1 | +0.03 | -0.01 |
| pressure gradient in the lag | 0.0 | -0.010 | +0.001 | -0.1 % | -0.1 | -0.02 | -0.01 |
| layer thickness | -0.1 | -0.002 | 0.000 | +0.1 % | -0.1 | -0.01 | +0.02 |
| dissipation length of the wake | 0.0 | -0.003 | +0.000 | 0 | 0.0 | -0.01 | 0.00 |
| bend of the wake | 0.0 | -0.012 | +0.002 | +0.3 % | 0.0 | -0.02 | -0.01 |

No constant moves the Clark Y without moving by as much, to the wrong side, sections whose maximum is already too high: half of what would mend it takes both past our bar. Nor do panels: with 80 to 320 of them the maximum moves by 0.010 and the angle where lift leaves its line by 0.2 degrees. Every derivative of the equations and closures agrees with differences (TestResidualSlopes, TestClosureSlopes).

What it is. Without the bend of the wake the moment of the Clark Y is met within 0.005 on the mean, from 0 to 8 degrees and from 9 to 14, and its lift is 4 to 9 % too high throughout. The bend takes that lift off the trailing edge: computed moment rises with angle faster than the measured one from 2 degrees on, long before anything parts. It is taken from the turn of the mean streamline, for the whole layer. Where one side is far thicker, each half of the wake ought to bend with its own outer streamline, and behind a parted trailing edge the upper one runs straight on (dead air has no pressure difference to give). So computed (own derivation), the Clark Y's maximum moves to 13.1, 13.5, 16.0 and 14.3 degrees at Re 101,000 to 402,000, maximum lift to +0.02 to +0.08 of the measured, moments from 9 to 14 degrees to within 0.010 on the mean, lift leaves its line within 0.6 degrees of the measured angle, and an NACA 4412 at 13.87 degrees and Re 1.52 million has 1.64 instead of 1.48 (measured 1.67: Coles and Wadcock 1979, from memory). But the same form has 2412 at Re 9 million 0.23 and 4412 0.30 above TR-824, SD7003 at Re 303,000 0.16 above its tunnel: the mean form makes good, there, turbulent layers that part too late and noses that let go too late. Constants of the equilibrium locus from a published variant (A 6.75, B 0.83, from memory) take back 0.03 to 0.06 of that, and at Re 61,000 the Clark Y's bubble then no longer closes. Until those two are known from published sources the mean form stands, and with it this gap.`
)
