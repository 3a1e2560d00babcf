package assess

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/doubt"
	"fledge/internal/perform"
	"fledge/internal/radio"
)

// LinkResult is one radio link along the circuit and the approach.
type LinkResult struct {
	Name, Use string
	Safety    bool     // control and video; telemetry only where there is nothing else
	Margin    Quantity // dB, at the worst place
	Circuit   Quantity // the worst on the circuit alone
	Approach  Quantity // and on the approach alone
	Where     string   // the worst place, in words
	At        radio.Place
	Budget    radio.Budget // there, all at nominal values
}

// Way is what is flown with a link watched: the circuit and the approach.
type Way struct {
	Places   []radio.Place
	Landing  int // index of the first place of the approach
	Round    Round
	Approach perform.Landing
}

// steps along the way, m: fine enough for the fades by the ground, which at
// these heights are tens of metres long; coarser in the draws.
const (
	fineStep   = 2.0
	coarseStep = 12.0
)

// Way lays out circuit and approach of a draw. ok is false when neither is
// known: no cruise speed and no landing.
func (c *Chain) Way(d *Drawn, n *Numbers, step float64) (w Way, ok bool) {
	ac := d.Aircraft
	if v := n[CruiseSpeed]; v.Known() {
		w.Round = c.Round(d, v.V)
		for _, k := range w.Round.Nodes(step) {
			w.Places = append(w.Places, radio.Place{
				Pos: r3.Vec{X: k.X, Y: k.Y, Z: k.Z}, Heading: k.Heading, Pitch: k.Pitch, Bank: k.Bank,
				Name: w.Round.Legs[k.Leg].Name, Along: k.Along,
			})
		}
	}
	w.Landing = len(w.Places)
	along := 0.0
	if w.Landing > 0 {
		along = w.Places[w.Landing-1].Along
	}
	v, angle := n[ApproachSpeed], n[ApproachAngle]
	if v.Known() && angle.Known() && angle.V > 0 {
		const from = 30.0 // m of height: below it the picture counts
		h := ac.Landing.Heading
		sin, cos := math.Sincos(h)
		run := from / math.Tan(angle.V)
		k := max(8, int(run/math.Min(step, 6)))
		for i := range k + 1 {
			f := float64(i) / float64(k)
			back := run * (1 - f)
			w.Places = append(w.Places, radio.Place{
				Pos:     r3.Vec{X: ac.Landing.Touch.Ahead - back*cos, Y: ac.Landing.Touch.Right - back*sin, Z: math.Max(0.15, from*(1-f))},
				Heading: h, Pitch: -angle.V, Name: "approach", Along: along + run*f,
			})
		}
	}
	return w, len(w.Places) > 0
}

// links fills the links: nominal on fine steps, intervals over the draws.
func (c *Chain) links(ctx context.Context, r *Results, space *doubt.Space, index [2][]int, o Options) error {
	ac := c.Aircraft
	if len(ac.Radios) == 0 {
		return nil
	}
	nominal := c.Nominal()
	base := c.numbers(&nominal, Everything)
	links, known := radio.FromAircraft(ac)
	way, ok := c.Way(&nominal, &base, fineStep)
	other := false
	for i := range links {
		other = other || links[i].Use != "telemetry"
	}
	r.Links = make([]LinkResult, len(links))
	r.Way = way
	none := func(why string) Quantity {
		n := math.NaN()
		return Quantity{Value: n, Low: n, High: n, Unit: "dB", Status: why}
	}
	for i := range links {
		l := &r.Links[i]
		l.Name, l.Use, l.Safety = links[i].Name, links[i].Use, links[i].Use != "telemetry" || !other
		switch {
		case !known[i]:
			l.Margin = none(ac.Radios[i].Missing)
		case !ok:
			l.Margin = none("neither a cruise speed nor a landing is known, so there is no path to fly")
		}
		if l.Margin.Status != "" {
			l.Circuit, l.Approach = l.Margin, l.Margin
			continue
		}
		at, b := links[i].Worst(way.Places)
		l.At, l.Budget = way.Places[at], b
		l.Where = where(&way.Places[at], &b, at >= way.Landing)
		l.Margin = Quantity{Value: b.Margin, Low: b.Margin, High: b.Margin, Unit: "dB"}
		part := func(places []radio.Place) Quantity {
			k, b := links[i].Worst(places)
			if k < 0 {
				return none("not flown")
			}
			return Quantity{Value: b.Margin, Low: b.Margin, High: b.Margin, Unit: "dB"}
		}
		l.Circuit, l.Approach = part(way.Places[:way.Landing]), part(way.Places[way.Landing:])
	}
	if !ok || o.Draws < 2 {
		return nil
	}
	// The draws on coarse steps, each beside the nominal link on the same steps:
	// its change is what the doubt does, and fades do not hide between steps.
	coarse, _ := c.Way(&nominal, &base, coarseStep)
	least := func(l *radio.Link) (whole, air, home float64) {
		air, home = math.Inf(1), math.Inf(1)
		for k := range coarse.Places {
			m := l.At(&coarse.Places[k]).Margin
			if k < coarse.Landing {
				air = math.Min(air, m)
			} else {
				home = math.Min(home, m)
			}
		}
		return math.Min(air, home), air, home
	}
	n := len(links)
	type three [3]float64
	ref := make([]three, n)
	for i := range links {
		if known[i] {
			ref[i][0], ref[i][1], ref[i][2] = least(&links[i])
		}
	}
	all := make([]three, o.Draws*n)
	sampler := doubt.NewSampler(space, o.Seed, 1)
	err := each(ctx, o.Draws, o.Workers, func(int) func(int) {
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		return func(i int) {
			sampler.Draw(i, ign, sca)
			d := c.Draw(index[doubt.Ignorance], ign)
			drawn, _ := radio.FromAircraft(d.Aircraft)
			for j := range drawn {
				if known[j] {
					a := &all[i*n+j]
					a[0], a[1], a[2] = least(&drawn[j])
				}
			}
		}
	}, func(done int) { o.Progress("links", done, o.Draws) })
	if err != nil {
		return err
	}
	xs := make([]float64, o.Draws)
	for j := range links {
		if !known[j] {
			continue
		}
		l := &r.Links[j]
		for k, q := range []*Quantity{&l.Margin, &l.Circuit, &l.Approach} {
			if q.Status != "" {
				continue
			}
			for i := range xs {
				xs[i] = q.Value + all[i*n+j][k] - ref[j][k]
			}
			low, high := doubt.Interval(xs, 0.90)
			q.Low, q.High = math.Min(low, q.Value), math.Max(high, q.Value)
		}
	}
	return nil
}

// where says a place in words.
func where(p *radio.Place, b *radio.Budget, landing bool) string {
	say := "on the " + p.Name
	if landing {
		say = "on the approach"
	}
	say += fmt.Sprintf(", %.0f m away at %.0f m height", b.Distance, p.Pos.Z)
	switch {
	case b.Edge > 3:
		say += ", behind the " + b.Behind
	case b.Body > 3:
		say += ", the " + b.Shade + " between the antennas"
	case b.Mismatch > 6:
		say += ", the antennas crossed"
	case b.Ground < -3:
		say += ", in a fade by the ground"
	}
	if math.Abs(p.Bank) > 0.3 {
		say += ", banked " + fmt.Sprintf("%.0f deg", math.Abs(p.Bank)*180/math.Pi)
	}
	return say
}

// WorstLink is the link of least margin that counts for safety; nil with none.
func (r *Results) WorstLink() *LinkResult {
	var worst *LinkResult
	for i := range r.Links {
		l := &r.Links[i]
		if !l.Safety {
			continue
		}
		if worst == nil || l.Margin.Status != "" && worst.Margin.Status == "" || l.Margin.Value < worst.Margin.Value {
			worst = l
		}
	}
	return worst
}

// LinksAlone are the links with their doubt and nothing else, for searches.
func (c *Chain) LinksAlone(ctx context.Context, o Options) (*Results, error) {
	o = o.filled()
	space, index, err := c.space(false)
	if err != nil {
		return nil, err
	}
	r := &Results{Aircraft: c.Aircraft, Hash: c.Aircraft.Hash, Seed: o.Seed, Draws: o.Draws, Air: c.Air}
	return r, c.links(ctx, r, space, index, o)
}
