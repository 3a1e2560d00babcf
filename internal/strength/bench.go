package strength

import (
	"fmt"
	"math"

	"fledge/internal/cite"
	"fledge/internal/control"
	"fledge/internal/craft"
)

// measured fills the stiffness that the loads do not say from the build.
func (a *assessor) measured() {
	st, w := &a.l.Stiffness, &a.ac.WingTest
	take := func(to *float64, v float64) {
		if *to == 0 {
			*to = v
		}
	}
	take(&st.BendHz, w.Bend)
	take(&st.TwistHz, w.Twist)
	take(&st.Axis, w.Axis)
	take(&st.Balance, w.Balance)
	if w.Couple > 0 && w.Angle > 0 {
		at := w.CoupleAt
		if at == 0 {
			at = a.ac.Ref.Span / 2
		}
		take(&st.GJ, w.Couple*at/w.Angle) // of a uniform beam with the same twist there
	}
	c, d := map[string]float64{}, map[string]float64{}
	for i := range a.ac.Linkages {
		if l := &a.ac.Linkages[i]; l.Stiffness > 0 {
			c[l.Control], d[l.Control] = l.Stiffness, l.StiffnessDoubt
		}
	}
	for k, v := range st.Control {
		c[k], d[k] = v, st.Doubt[k]
	}
	st.Control, st.Doubt = c, d
}

// playOf is the free play of a linkage that may be missing.
func playOf(lk *craft.Linkage, ratio float64) (play float64, measured, known bool) {
	if lk == nil {
		return 0, false, false
	}
	if math.IsNaN(ratio) {
		ratio = lk.Arm / lk.Horn
	}
	return control.PlayOf(lk, ratio)
}

// pitchOf is the coarse ISO pitch of a metric thread of diameter d, m; between
// the listed sizes 0.18 d.
func pitchOf(d float64) float64 {
	for _, s := range [][2]float64{{2e-3, 0.4e-3}, {2.5e-3, 0.45e-3}, {3e-3, 0.5e-3}, {4e-3, 0.7e-3}, {5e-3, 0.8e-3}, {6e-3, 1.0e-3}, {8e-3, 1.25e-3}} {
		if math.Abs(d-s[0]) < 0.1e-3 {
			return s[1]
		}
	}
	return 0.18 * d
}

// seats are the bearing strengths under a washer, Pa: wood across its grain;
// others by their compression.
var seats = map[string]float64{"spruce": 4e6, "balsa": 0.8e6, "plywood": 6e6}

// hold is what one screw of a set holds, N: its own thread, what it is
// screwed into, what its head sits on. +Inf for what is not described.
func (a *assessor) hold(b *craft.Bolt) (own, thread, seat float64, refs []cite.Ref) {
	p := pitchOf(b.Diameter)
	own, thread, seat = math.Inf(1), math.Inf(1), math.Inf(1)
	switch b.Material {
	case "nylon":
		own = NylonScrew(b.Diameter, p)
		refs = append(refs, cite.Shigley.At("PA66 screws, 60 MPa", cite.Memory))
	case "steel":
		own = 400e6 * StressArea(b.Diameter, p) // class 4.6, when nothing is stamped on it
		refs = append(refs, cite.ISO898.At("class 4.6", cite.Derived))
	}
	warm := a.l.Temperature + sunK
	if m, ok := Find(b.Into); ok && b.Engaged > 0 {
		thread = PullOut(b.Diameter, b.Engaged, m.Shear*m.Workmanship*m.Across*m.Warm(warm))
		refs = append(refs, m.Refs...)
	}
	if m, ok := Find(b.Seat); ok && b.Washer > b.Diameter {
		s, wood := seats[b.Seat]
		if !wood {
			s = m.Compression * m.Workmanship * m.Warm(warm)
		}
		seat = Seat(math.Pi/4*(b.Washer*b.Washer-b.Diameter*b.Diameter), s)
		if wood {
			refs = append(refs, cite.WoodHandbook.At("compression across the grain; plywood estimated", cite.Memory))
		}
	}
	return own, thread, seat, refs
}

// weakest names what goes first.
func weakest(own, thread, seat float64) (float64, string) {
	v, what := own, "the bolt breaks"
	if thread < v {
		v, what = thread, "the thread strips out"
	}
	if seat < v {
		v, what = seat, "the seat under the head crushes"
	}
	return v, what
}

// bolts judges every described set of screws.
func (a *assessor) bolts() {
	for i := range a.ac.Bolts {
		b := &a.ac.Bolts[i]
		if b.Holds == "servo" || b.Holds == "motor" {
			continue // judged by small
		}
		own, thread, seat, refs := a.hold(b)
		v, what := weakest(own, thread, seat)
		r := Result{
			ID: "bolts." + b.Holds, Label: "strength of the bolts of the " + b.Holds + " over their load", Unit: "1", Value: nan, Min: a.factor(), Max: nan, Safety: true, Caution: proofFirst,
			How: "more or thicker bolts, a larger washer, a hardwood or metal nut, longer thread", Refs: append([]cite.Ref{factorRef}, refs...),
		}
		if math.IsInf(v, 1) || !(b.Diameter > 0) {
			r.Status, r.Because, r.How = control.Unknown, "Diameter and material of the bolts, or what they are screwed into, are not given.", "give diameter, material, into, engaged, washer and seat"
			a.add(r)
			continue
		}
		n := float64(max(1, b.Count))
		each := fmt.Sprintf("each holds %.0f N before %s", v, what)
		switch b.Holds {
		case "wing":
			g, why := a.bendingLoad()
			m := a.ac.Mass.Total - a.wingMass()
			pull := g * m * gravity / n
			r.Value = v / pull
			r.Because = fmt.Sprintf("In %s all that hangs on the wing (%.0f g) pulls each of %.0f with %.0f N; %s.", why, m*1e3, n, pull, each)
			if a.wingMass() == 0 {
				r.Because += " The wing's own mass is not known and counted as hanging on it."
			}
			a.tip(b, own, thread, seat, n)
		case "hook":
			if !(a.l.LaunchTension > 0) {
				r.Status, r.Because = control.Unknown, "The pull of the launch is not known; "+each+"."
				break
			}
			s, c := math.Sincos(a.l.LaunchBelow)
			proud, lever := a.ac.HookPad.Proud, b.Lever
			if !(lever > 0) || !(proud > 0) {
				r.Status, r.Because, r.How = control.Unknown, "How far the hook stands off (strength.hook.proud) or the spacing of its screws (lever) is not given; "+each+".", "measure both"
				break
			}
			t := a.l.LaunchTension
			pull := t*c*proud/lever + t*s/n
			r.Value = v / pull
			r.Because = fmt.Sprintf("%.0f N at %.0f mm pries the screws %.0f mm apart with %.0f N; %s.", t, proud*1e3, lever*1e3, pull, each)
		}
		r.Sigma = 0.3 * r.Value
		a.add(r)
	}
}

// tip judges whether the bolt gives way before its seat when a tip catches.
func (a *assessor) tip(b *craft.Bolt, own, thread, seat, n float64) {
	wing, semi := a.wingMass(), a.ac.Ref.Span/2
	r := Result{
		ID: "bolts_tip." + b.Holds, Label: "what holds the bolt over the bolt or the tip catch, whichever is less", Unit: "1", Value: nan, Min: limit("bolts_tip"), Max: nan,
		How: "a larger washer, hardwood or a metal nut, longer thread, or a weaker (nylon) bolt", Refs: []cite.Ref{control.Find(Limits, "bolts_tip").Ref},
	}
	around, what := weakest(math.Inf(1), thread, seat)
	if math.IsInf(around, 1) || !(wing > 0) || !(b.Lever > 0) || !(semi > 0) {
		r.Status, r.Because, r.How = control.NotAsked, "The wing's mass, the lever to the dowel, or thread and seat are not given.", ""
		a.add(r)
		return
	}
	_, _, pull := TipCatch(wing/2, 0.4*semi, 30, b.Lever)
	pull /= n
	r.Value = around / math.Min(own, pull)
	r.Sigma = 0.35 * r.Value
	breaks := "what the bolt itself holds is not known"
	if !math.IsInf(own, 1) {
		breaks = fmt.Sprintf("the bolt breaks at %.0f N", own)
	}
	r.Because = fmt.Sprintf("A tip that catches with 30 times its weight pulls each bolt with %.0f N over a lever of %.0f mm; %s, and at %.0f N %s.", pull, b.Lever*1e3, breaks, around, what)
	if own < around && own < pull {
		r.Because += " The bolt goes first: that saves the wing."
	}
	a.add(r)
}
