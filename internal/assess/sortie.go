package assess

import (
	"context"
	"math"

	"fledge/internal/craft"
	"fledge/internal/doubt"
	"fledge/internal/perform"
	"fledge/internal/radio"
)

// Stage is one of the four things that must go well.
type Stage int

// The stages of a sortie, in order.
const (
	Launching Stage = iota
	Linked
	Reserved
	Landed
	stages
)

// String names a stage.
func (s Stage) String() string {
	return [...]string{"launch", "link", "reserve", "landing"}[s]
}

// SortiePart is one stage of the sortie.
type SortiePart struct {
	Stage  Stage
	Asked  bool    // something is known to judge it by
	Why    string  // what is judged, or why it is taken as sure
	Chance float64 // that it goes well, by itself
	First  float64 // share of sorties in which it is the first to go wrong
	IfSure float64 // chance of the whole sortie were this one sure
}

// Sortie is the chance that she comes home whole. All four stages are judged
// in the same draws, so that what they have in common (mass, wind, drag, the
// pack) spoils them together.
type Sortie struct {
	N       int
	Chance  Quantity // Low and High: 90 % range of the count
	Product float64  // what the chances would multiply to, were they strangers
	Parts   [stages]SortiePart
	Tries   int     // approaches: 2 when going round is possible
	Value   float64 // of the priced parts, EUR; NaN when none is priced
	Lost    float64 // share of it that a lost sortie destroys
	Wear    float64 // EUR of pack worn per flight; NaN when it is not priced
	Cost    float64 // EUR a flight; NaN without prices
}

// Scatter of one sortie beside the launch's, our choice each: the speed held
// on the approach 5 %, the height over the edge of the field 20 %, the wind at
// the landing between lull and gust, the time flown 5 %, and what bodies,
// hedges and people do to a link 3 dB.
var sortieScatter = []struct {
	path, label string
	sd          float64
}{
	{"sortie.fade", "fading of the link", 3},
	{"sortie.time", "time really flown", 0.05},
	{"sortie.speed.1", "speed held on the approach", 0.05},
	{"sortie.height.1", "height over the edge of the field", 0.20},
	{"sortie.wind.1", "wind at the landing", 0.5},
	{"sortie.speed.2", "the same, second approach", 0.05},
	{"sortie.height.2", "the same, second approach", 0.20},
	{"sortie.wind.2", "the same, second approach", 0.5},
}

const (
	packCycles = 150  // flights of a pack, common practice
	lostShare  = 0.5  // of the value that a lost sortie destroys, our choice
	emptyShare = 0.05 // charge at which the motor stops, common practice
	sortieMost = 256
)

// sortie counts sorties over the launches that were flown: the same worlds.
func (c *Chain) sortie(ctx context.Context, r *Results, space *doubt.Space, index [2][]int, o Options) error {
	ac := c.Aircraft
	s := &Sortie{Tries: 1, Lost: lostShare, Value: math.NaN(), Wear: math.NaN(), Cost: math.NaN()}
	launched := r.Launch.Asked && r.Launch.Outcome != nil
	s.N = sortieMost
	if launched {
		s.N = min(sortieMost, r.Launch.Outcome.N)
	}
	// What no launch feels is drawn beside it.
	var rest []doubt.Input
	var restIndex []int
	for i := range ac.Inputs {
		in := &ac.Inputs[i]
		if in.Kind != craft.Ignorance || in.Shape() && !c.matters(i) || !unfelt(in.Path) {
			continue
		}
		d, err := doubt.Truncated(in.Nominal, c.sigma(in), in.Low, in.High)
		if err != nil {
			return &BadDoubt{Path: in.Path, Why: impossible(in, c.sigma(in))}
		}
		rest, restIndex = append(rest, doubt.Input{Path: in.Path, Kind: doubt.Ignorance, Dist: d}), append(restIndex, i)
	}
	for _, k := range sortieScatter {
		d, err := doubt.Normal(0, k.sd)
		if err != nil {
			return err
		}
		rest = append(rest, doubt.Input{Path: k.path, Label: k.label, Kind: doubt.Scatter, Dist: d})
	}
	beside, err := doubt.NewSpace(rest)
	if err != nil {
		return err
	}
	felt := doubt.NewSampler(space, o.Seed, 1) // as odds.Run
	others := doubt.NewSampler(beside, o.Seed+0x9e37, felt.Repeats)

	links, known := radio.FromAircraft(ac)
	safe := make([]bool, len(links))
	watched := false
	for i := range links {
		safe[i] = known[i] && i < len(r.Links) && r.Links[i].Safety && r.Links[i].Margin.Status == ""
		watched = watched || safe[i]
	}
	nominal := c.Nominal()
	base := c.numbers(&nominal, Everything)
	way, _ := c.Way(&nominal, &base, coarseStep)
	field := FieldLength(ac)
	timed := ac.Flight.Time > 0 && c.Power != nil && (base[CircuitTime].Known() || base[EnduranceTime].Known())
	if g := base[GoRoundClimb]; g.Known() && g.V > 1 {
		s.Tries = 2
	}
	ok := make([][stages]bool, s.N)
	err = each(ctx, s.N, o.Workers, func(int) func(int) {
		ign, sca := make([]float64, space.Len(doubt.Ignorance)), make([]float64, space.Len(doubt.Scatter))
		more, mine := make([]float64, beside.Len(doubt.Ignorance)), make([]float64, beside.Len(doubt.Scatter))
		var idx []int
		var val []float64
		return func(i int) {
			felt.Draw(i, ign, sca)
			others.Draw(i, more, mine)
			idx, val = append(append(idx[:0], index[doubt.Ignorance]...), restIndex...), append(append(val[:0], ign...), more...)
			d := c.Draw(idx, val)
			g := &ok[i]
			*g = [stages]bool{true, true, true, true}
			if launched {
				g[Launching] = r.Launch.Outcome.Success[i]
			}
			p := c.Plane(&d)
			if !(p.Stall > 0) {
				g[Landed] = false
				return
			}
			if watched {
				drawn, _ := radio.FromAircraft(d.Aircraft)
				for j := range drawn {
					if !safe[j] {
						continue
					}
					for k := range way.Places {
						if drawn[j].At(&way.Places[k]).Margin+mine[0] < 0 {
							g[Linked] = false
							break
						}
					}
				}
			}
			if timed {
				t := c.flightTime(&d, p)
				g[Reserved] = t*(p.Charge-emptyShare)/(p.Charge-p.Reserve) >= ac.Flight.Time*(1+mine[1])
			}
			if field > 0 {
				good := false
				q := c.lands(&d, p)
				for try := range s.Tries {
					l := q.LandAs(scattered(c.Approach(&d), d.Aircraft, mine[2+3*try:]))
					good = good || l.Status == perform.OK && l.Distance <= field
				}
				g[Landed] = good
			}
		}
	}, func(done int) { o.Progress("sorties", done, s.N) })
	if err != nil {
		return err
	}
	s.count(ok)
	why := [stages]string{
		Launching: "counted in the launches flown", Linked: "margin of control and picture over all the circuit and the approach, less fading",
		Reserved: "the planned time against the pack", Landed: "the landing distance against the field",
	}
	asked := [stages]bool{launched, watched, timed, field > 0}
	sure := [stages]string{
		Launching: "no launch is described: taken as sure", Linked: "no link is described: taken as sure",
		Reserved: "no flight time is planned (flight.time): taken as sure", Landed: "the length of the field is not given (landing.length): taken as sure",
	}
	for k := range s.Parts {
		p := &s.Parts[k]
		p.Stage, p.Asked, p.Why = Stage(k), asked[k], why[k]
		if !asked[k] {
			p.Why = sure[k]
		}
	}
	s.price(ac)
	r.Sortie = s
	return nil
}

// flightTime is the time (s) to the reserve the way it is flown.
func (c *Chain) flightTime(d *Drawn, p *perform.Plane) float64 {
	v := d.Aircraft.Flight.Cruise
	if v == 0 {
		v = p.CruiseSpeed().V
	}
	if len(d.Aircraft.Circuit.Legs) > 0 || d.Aircraft.Flight.Radius > 0 {
		if t := p.LapsToReserve(c.Round(d, v).Legs); t.Status == perform.OK || t.Status == perform.BatteryTooWeak {
			return t.Time
		}
	}
	if e := p.EnduranceAt(v, 1); e.Status == perform.OK || e.Status == perform.BatteryTooWeak {
		return e.Time
	}
	return 0
}

// count turns the draws into chances.
func (s *Sortie) count(ok [][stages]bool) {
	n := float64(len(ok))
	whole := 0
	var well, first, sure [stages]int
	for _, g := range ok {
		begin, wrong := -1, 0
		for k, good := range g {
			if good {
				well[k]++
				continue
			}
			wrong++
			if begin < 0 {
				begin = k
			}
		}
		if begin >= 0 {
			first[begin]++
		} else {
			whole++
		}
		for k, good := range g {
			if wrong == 0 || wrong == 1 && !good {
				sure[k]++
			}
		}
	}
	s.Product = 1
	for k := range s.Parts {
		p := &s.Parts[k]
		p.Chance, p.First, p.IfSure = float64(well[k])/n, float64(first[k])/n, float64(sure[k])/n
		s.Product *= p.Chance
	}
	low, high := doubt.Wilson(whole, len(ok), 0.90)
	s.Chance = Quantity{Value: float64(whole) / n, Low: low, High: high, Unit: "1"}
}

// price is what flying costs.
func (s *Sortie) price(ac *craft.Aircraft) {
	for i := range ac.Parts {
		p := &ac.Parts[i]
		if !p.Priced {
			continue
		}
		if math.IsNaN(s.Value) {
			s.Value = 0
		}
		s.Value += p.Price
		if p.Kind == "battery" {
			s.Wear = p.Price / packCycles
		}
	}
	s.Cost = (1 - s.Chance.Value) * s.Lost * s.Value
	if !math.IsNaN(s.Wear) {
		s.Cost += s.Wear
	}
}

// FieldLength is the length of the field to land on; 0 when not given.
func FieldLength(ac *craft.Aircraft) float64 {
	if ac.Limits.FieldLength > 0 {
		return ac.Limits.FieldLength
	}
	return ac.Landing.Length
}
