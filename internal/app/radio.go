package app

import (
	"context"
	"fmt"
	"math"
	"sort"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/radio"
	"fledge/internal/report"
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
		p.LostWhy = why
		for _, l := range lost {
			row := report.LostRow{Leg: l.At.Name, Ahead: l.At.Pos.X, Right: l.At.Pos.Y, Height: l.At.Pos.Z, Margin: math.Inf(1), Say: l.Say, EndAhead: l.EndAhead, EndRight: l.EndRight, Time: l.Time, Behind: l.EndAhead < 0}
			if l.Signal == "picture" {
				row.Leg += ", picture"
			}
			for i := range links {
				if r.Links[i].Safety && r.Links[i].Margin.Status == "" {
					row.Margin = math.Min(row.Margin, links[i].At(&l.At).Margin)
				}
			}
			p.Lost = append(p.Lost, row)
		}
	}
	a := &Answer{Doc: report.Radio(p), Body: report.RadioBody(p), Notes: o.RenderNotes()}
	if charts := report.RadioCharts(p); len(charts) > 0 {
		a.Chart, a.More = charts[0], charts[1:]
	}
	return a, nil
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

// linkSteps tries changes of one link along the whole way.
func linkSteps(ac *craft.Aircraft, i int, way *assess.Way, now float64) []report.RadioStep {
	r := &ac.Radios[i]
	path := "radio." + build.PathKey(r.Name)
	var out []report.RadioStep
	try := func(say, set string, change func(*craft.Aircraft)) {
		c := *ac
		c.Radios = append([]craft.Radio(nil), ac.Radios...)
		change(&c)
		links, _ := radio.FromAircraft(&c)
		_, b := links[i].Worst(way.Places)
		out = append(out, report.RadioStep{Say: say, Set: set, Margin: b.Margin, Gain: b.Margin - now})
	}
	set := func(key, value string) string { return path + "." + key + "=" + value }
	try(fmt.Sprintf("twice the power, %.0f mW, where local law allows it", 2e3*r.Power), set("power", fmt.Sprintf("%.0f mW", 2e3*r.Power)), func(c *craft.Aircraft) { c.Radios[i].Power *= 2 })
	if h := r.GroundHeight + 1; h <= 4 {
		try(fmt.Sprintf("the ground antenna 1 m higher, at %.1f m", h), set("ground_height", fmt.Sprintf("%.2f m", h)), func(c *craft.Aircraft) { c.Radios[i].GroundHeight = h })
	}
	kind, _ := craft.AntennaOf(r.Antenna)
	aims := []string{"upright", "along", "across"}
	if kind.Beam {
		aims = []string{"down", "aft", "upright"}
	}
	for _, aim := range aims {
		if aim != r.Aim {
			try("the antenna on the aeroplane turned "+aim, set("aim", aim), func(c *craft.Aircraft) { c.Radios[i].Aim = aim })
		}
	}
	// Places on the airframe: above the body, at its end, at a wing tip.
	for _, k := range spots(ac) {
		try("that antenna moved to the "+k.name, set("at.x", fmt.Sprintf("%.0f mm", 1e3*k.x)), func(c *craft.Aircraft) { c.Radios[i].At.X, c.Radios[i].At.Y, c.Radios[i].At.Z = k.x, k.y, k.z })
		if k.y != 0 || k.z != r.At.Z {
			out[len(out)-1].Set = "" // more than one value
		}
	}
	for _, g := range []string{"dipole", "cloverleaf", "circular patch", "patch"} {
		ground, _ := craft.AntennaOf(g)
		if g == r.GroundAntenna || ground.Circular != kind.Circular {
			continue
		}
		say := "a " + g + " on the ground"
		if ground.Beam {
			say += ", kept on the aeroplane"
		}
		try(say, "", func(c *craft.Aircraft) {
			c.Radios[i].GroundAntenna, c.Radios[i].GroundGain, c.Radios[i].GroundAim = g, ground.Gain, "upright"
			if ground.Beam {
				c.Radios[i].GroundAim = "followed"
			}
		})
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Gain > out[b].Gain })
	return out
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
