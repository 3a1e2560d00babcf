package app

import (
	"context"
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/radio"
	"fledge/internal/report"
	"fledge/internal/verdict"
)

// Radio answers whether control and picture hold along the planned flight.
func Radio(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	ac := o.Aircraft
	r := s.Results
	p := report.Linked{Subject: s, Way: r.Way}
	links, _ := radio.FromAircraft(ac)
	height := p.Way.Round.Height
	if height <= 0 {
		height = 50
	}
	for i := range r.Links {
		w := report.Watched{LinkResult: r.Links[i], Radio: ac.Radios[i], Link: links[i], Intended: math.NaN()}
		if w.Margin.Status == "" {
			for k := range p.Way.Places {
				w.Along = append(w.Along, links[i].At(&p.Way.Places[k]))
			}
			w.Ranges = linkRanges(&links[i], height, ac.Limits.LinkMargin)
			w.Fades = fades(&links[i], height, p.Way.Round.Radius)
			w.Steps = linkSteps(ac, i, &p.Way, w.Margin.Value)
			if w.Radio.Intended > 0 {
				w.Intended = radio.DBm(w.Radio.Power) - radio.DBm(w.Radio.Intended)
			}
		}
		p.Links = append(p.Links, w)
	}
	if len(p.Links) > 0 {
		d := chain.Nominal()
		n := chain.Numbers(&d)
		lost, why := chain.Lost(&d, &n, &p.Way)
		p.LostWhy, p.Lost = why, lostRows(lost, links, r)
		if err := linkDraws(ctx, chain, &p, n, height, q.Seed); err != nil {
			return nil, located(o, err)
		}
	}
	a := &Answer{Doc: report.Radio(p), Body: report.RadioBody(p), Notes: o.RenderNotes()}
	if charts := report.RadioCharts(p); len(charts) > 0 {
		a.Chart, a.More = charts[0], charts[1:]
	}
	return a, nil
}

// radioDraws give the page's tables their intervals.
const radioDraws = 24

// lostRows are what happens when a signal goes, with the weakest margin there.
func lostRows(lost []assess.Lost, links []radio.Link, r *assess.Results) (out []report.LostRow) {
	for _, l := range lost {
		row := report.LostRow{Leg: l.At.Name, Ahead: l.At.Pos.X, Right: l.At.Pos.Y, Height: l.At.Pos.Z, Margin: math.Inf(1), Say: l.Say, Form: l.Form, Size: l.Size, EndAhead: l.EndAhead, EndRight: l.EndRight, Time: l.Time, Behind: l.EndAhead < 0}
		if l.Signal == "picture" {
			row.Leg += ", picture"
		}
		for i := range links {
			if r.Links[i].Safety && r.Links[i].Margin.Status == "" {
				row.Margin = math.Min(row.Margin, links[i].At(&l.At).Margin)
			}
		}
		out = append(out, row)
	}
	return out
}

// linkDraws draws what is not known of the links: the items at the nominal
// worst place, ranges, fades, what changes buy on every eighth place of the
// nominal way, and what becomes of her when a signal goes; numbers are nominal.
func linkDraws(ctx context.Context, chain *assess.Chain, p *report.Linked, numbers assess.Numbers, height float64, seed uint64) error {
	coarse := assess.Way{}
	for k := 0; k < len(p.Way.Places); k += 8 {
		coarse.Places = append(coarse.Places, p.Way.Places[k])
	}
	// gains are the worst margins with each change of a page's row over that
	// without, on the coarse way, in the rows' order.
	gains := func(ac *craft.Aircraft, i int) []float64 {
		now, all := worstWith(ac, i, &coarse), linkChanges(chain.Aircraft, i)
		by := map[string]float64{}
		for _, k := range all {
			by[k.say] = worstWith(ac, i, &coarse, k) - now
		}
		out := make([]float64, len(p.Links[i].Steps))
		for n, s := range p.Links[i].Steps {
			out[n] = by[s.Say]
		}
		return out
	}
	base := make([][]float64, len(p.Links))
	for i := range p.Links {
		p.Links[i].Draws = make([]report.WatchedDraw, radioDraws)
		if p.Links[i].Margin.Status == "" {
			base[i] = gains(chain.Aircraft, i)
		}
	}
	p.LostDraws = make([][]report.LostRow, radioDraws)
	limit := chain.Aircraft.Limits.LinkMargin
	return chain.Draws(ctx, assess.Options{Seed: seed, Draws: radioDraws, Workers: workers()}, func(n int, d *assess.Drawn) {
		links, _ := radio.FromAircraft(d.Aircraft)
		for i := range p.Links {
			w := &p.Links[i]
			if w.Margin.Status != "" {
				continue
			}
			k := &w.Draws[n]
			k.Link, k.Budget = links[i], links[i].At(&w.At)
			k.Ranges, k.Fades = linkRanges(&links[i], height, limit), sameFades(&w.Link, &links[i], height, w.Fades)
			k.Gains = gains(d.Aircraft, i)
			for s := range k.Gains {
				k.Gains[s] += w.Steps[s].Gain - base[i][s]
			}
		}
		if len(p.Lost) > 0 {
			// What it takes of the draw's numbers, and no more: the rest is slow.
			num := numbers
			if v := d.Aircraft.Flight.Cruise; v > 0 {
				num[assess.CruiseSpeed].V = v
			} else {
				num[assess.CruiseSpeed] = chain.Plane(d).CruiseSpeed()
			}
			if h := d.Aircraft.Flight.Home; h.Link == "climb" || h.Picture == "climb" {
				num[assess.ClimbRate].V = chain.Plane(d).BestClimb().Rate
			}
			lost, _ := chain.Lost(d, &num, &p.Way)
			p.LostDraws[n] = lostRows(lost, links, p.Results)
		}
	})
}

// linkRanges is how far a link keeps no margin, the limit and 20 dB.
func linkRanges(l *radio.Link, height, limit float64) []report.RangeRow {
	const most = 20e3
	open := *l
	open.Obstacles = nil // they stand where they stand, not all round
	if !open.Follow && open.Station.Kind.Beam {
		open.Follow = true // along the beam
	}
	var out []report.RangeRow
	for _, m := range []float64{0, limit, 20} {
		if len(out) > 0 && m == out[len(out)-1].Margin {
			continue
		}
		d, ok, reached := open.Range(height, m, most)
		row := report.RangeRow{Margin: m, Free: l.FreeSpaceRange(m), Ground: d, Reached: reached, Most: most}
		if !ok {
			row.Ground = math.NaN()
		}
		out = append(out, row)
	}
	return out
}

// fades are the nulls by the ground within reach, the farthest first.
func fades(l *radio.Link, height, reach float64) []float64 {
	var out []float64
	for n := 1.0; n <= 4; n++ {
		d, ok := radio.TwoRayNull(l.Frequency, l.Height, height, n)
		if ok && d > 30 && d < 1.2*reach {
			out = append(out, d)
		}
	}
	return out
}

// sameFades are the nulls of a draw that the nominal link has at the given
// places.
func sameFades(nominal, l *radio.Link, height float64, list []float64) []float64 {
	out := make([]float64, len(list))
	for i, at := range list {
		out[i] = math.NaN()
		for n := 1.0; n <= 4; n++ {
			if d, ok := radio.TwoRayNull(nominal.Frequency, nominal.Height, height, n); ok && d == at {
				if d, ok = radio.TwoRayNull(l.Frequency, l.Height, height, n); ok {
					out[i] = d
				}
			}
		}
	}
	return out
}

// linkChange is a change of one link that a person can make.
type linkChange struct {
	say  string
	sets []string
	turn func(*craft.Radio)
	wave bool   // more power: the law has a say
	what string // changes of the same thing exclude each other
}

// linkChanges are the changes of link i worth a try: power, the ground
// antenna's height and kind, the way and place of the one on the aeroplane.
func linkChanges(ac *craft.Aircraft, i int) []linkChange {
	r := &ac.Radios[i]
	path := "radio." + build.PathKey(r.Name)
	set := func(key, value string) string { return path + "." + key + "=" + value }
	var out []linkChange
	power := func(say string, w float64) {
		mw := fmt.Sprintf("%.0f mW", 1e3*w)
		out = append(out, linkChange{fmt.Sprintf(say, mw), []string{set("power", mw)}, func(c *craft.Radio) { c.Power = w }, true, "power"})
	}
	power("twice the power, %s, where local law allows it", 2*r.Power)
	if r.Intended > r.Power {
		power("the power that was meant, %s, where local law allows it", r.Intended)
	}
	if h := r.GroundHeight + 1; h <= 4 {
		out = append(out, linkChange{fmt.Sprintf("the ground antenna 1 m higher, at %.1f m", h), []string{set("ground_height", fmt.Sprintf("%.2f m", h))}, func(c *craft.Radio) { c.GroundHeight = h }, false, "height"})
	}
	kind, _ := craft.AntennaOf(r.Antenna)
	aims := []string{"upright", "along", "across"}
	if kind.Beam {
		aims = []string{"down", "aft", "upright"}
	}
	for _, aim := range aims {
		if aim != r.Aim {
			out = append(out, linkChange{"the antenna on the aeroplane turned " + aim, []string{set("aim", aim)}, func(c *craft.Radio) { c.Aim = aim }, false, "aim"})
		}
	}
	// Places on the airframe: above the body, at its end, at a wing tip.
	mm := func(v float64) string { return fmt.Sprintf("%.0f mm", 1e3*v) }
	for _, k := range spots(ac) {
		out = append(out, linkChange{"that antenna moved to the " + k.name, []string{set("at.x", mm(k.x)), set("at.y", mm(k.y)), set("at.z", mm(k.z))}, func(c *craft.Radio) { c.At.X, c.At.Y, c.At.Z = k.x, k.y, k.z }, false, "place"})
	}
	for _, g := range []string{"dipole", "cloverleaf", "circular patch", "patch"} {
		ground, _ := craft.AntennaOf(g)
		if g == r.GroundAntenna || ground.Circular != kind.Circular {
			continue
		}
		say, aim := "a "+g+" on the ground", "upright"
		if ground.Beam {
			say, aim = say+", kept on the aeroplane", "followed"
		}
		out = append(out, linkChange{say, []string{set("ground_antenna", g), set("ground_aim", aim), set("ground_gain", fmt.Sprintf("%.2f dBi", ground.Gain))}, func(c *craft.Radio) {
			c.GroundAntenna, c.GroundGain, c.GroundAim = g, ground.Gain, aim
		}, false, "ground antenna"})
	}
	return out
}

// worstWith is the worst margin of link i along the way with changes made.
func worstWith(ac *craft.Aircraft, i int, way *assess.Way, changes ...linkChange) float64 {
	c := *ac
	c.Radios = append([]craft.Radio(nil), ac.Radios...)
	for _, k := range changes {
		k.turn(&c.Radios[i])
	}
	links, _ := radio.FromAircraft(&c)
	_, b := links[i].Worst(way.Places)
	return b.Margin
}

// linkSteps tries changes of one link along the whole way.
func linkSteps(ac *craft.Aircraft, i int, way *assess.Way, now float64) []report.RadioStep {
	var out []report.RadioStep
	for _, k := range linkChanges(ac, i) {
		m := worstWith(ac, i, way, k)
		st := report.RadioStep{Say: k.say, Margin: m, Gain: m - now}
		if len(k.sets) == 1 {
			st.Set = k.sets[0]
		}
		out = append(out, st)
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Gain > out[b].Gain })
	return out
}

// link proves what would give the worst link its margin, when turning single
// numbers does not: the changes of the radio page, the one that buys most
// first, the next upon it, until a full rerun passes or three are made.
func (s *search) link(ctx context.Context, v *verdict.Verdict, r *assess.Results) error {
	var f *verdict.Finding
	for i := range v.Findings {
		if k := &v.Findings[i]; k.ID == "link-margin" && (k.Status == verdict.Fail || k.Status == verdict.Doubtful) {
			f = k
		}
	}
	worst := r.WorstLink()
	if f == nil || worst == nil || worst.Margin.Status != "" || len(r.Way.Places) == 0 {
		return nil
	}
	for i := range f.Remedies {
		if f.Remedies[i].Verified {
			return nil
		}
	}
	ac, at := r.Aircraft, -1
	for i := range r.Links {
		if &r.Links[i] == worst {
			at = i
		}
	}
	all := linkChanges(ac, at)
	var made []linkChange
	now := worst.Margin.Value
	for range 3 {
		var best *linkChange
		most := now + 0.5 // less than half a decibel is nothing
		for i := range all {
			k := &all[i]
			taken := false
			for _, m := range made {
				taken = taken || m.what == k.what
			}
			if taken {
				continue
			}
			if m := worstWith(ac, at, &r.Way, append(made[:len(made):len(made)], *k)...); m > most {
				best, most = k, m
			}
		}
		if best == nil {
			break
		}
		made, now = append(made, *best), most
		if now < f.Limit.Min {
			continue
		}
		m := verdict.Remedy{Cost: 8 * float64(len(made)), ValueAfter: math.NaN()}
		var say []string
		for _, k := range made {
			m.Set = append(m.Set, k.sets...)
			say = append(say, k.say)
		}
		m.Say = worst.Name + ": " + strings.Join(say, ", and ")
		p, err := s.prove(ctx, f.ID, m.Set)
		if err != nil {
			return err
		}
		g := &p.Finding
		m.ValueAfter, m.StatusAfter, m.Verified, m.After = g.Value.Value, g.Status, g.Status == verdict.Pass, g.Value
		m.WordAfter, m.Spoils = p.Word, p.Spoils
		if m.Verified {
			f.Remedies = []verdict.Remedy{m}
			return nil
		}
	}
	return nil
}

type spot struct {
	name    string
	x, y, z float64
}

// spots are places on the airframe where an antenna may sit.
func spots(ac *craft.Aircraft) (out []spot) {
	if n := len(ac.Body); n > 1 {
		first, last := ac.Body[0], ac.Body[n-1]
		top := 0.0
		for _, b := range ac.Body {
			top = math.Max(top, b.Z+b.Height/2)
		}
		mid := (first.X + last.X) / 2
		out = append(out, spot{"top of the body, midway", mid, 0, top + 0.02}, spot{"end of the body", last.X, 0, last.Z + last.Height/2 + 0.02}, spot{"nose", first.X, 0, first.Z + first.Height/2 + 0.02})
	}
	w := &ac.Surfaces[ac.Ref.Wing]
	tip := w.Stations[len(w.Stations)-1]
	return append(out, spot{"wing tip", tip.LE.X + tip.Chord/2, tip.LE.Y, tip.LE.Z})
}
