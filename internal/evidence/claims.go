package evidence

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"
)

// Claim is what somebody says of the aeroplane, SI.
type Claim struct {
	What  string
	Value float64
	Unit  string // SI; empty: the one of its kind
	By    string
	Text  string // the value as written: "215 km/h"; may be empty
}

// Status of a claim.
type Status string

// The three findings: shown, not shown, refuted.
const (
	Shown    Status = "shown"
	NotShown Status = "not shown"
	Refuted  Status = "refuted"
)

// Judged is a claim against the evidence.
type Judged struct {
	Claim     string    `json:"claim"`
	By        string    `json:"by,omitempty"`
	Claimed   Quantity  `json:"claimed"`
	Measured  *Quantity `json:"measured"`
	Predicted *Quantity `json:"predicted"`
	Status    Status    `json:"status"`
	P         *float64  `json:"probability"` // that the claim is met, by what was measured
	Because   string    `json:"because"`
	Settle    string    `json:"settle,omitempty"` // the flight or weighing that would settle it
}

// sense of a claim: at least the value, or at most.
type sense int

const (
	atLeast sense = 1
	atMost  sense = -1
)

// ClaimKind is what a claim is about and which evidence speaks to it.
type claimKind struct {
	words  []string
	sense  sense
	items  []string // by preference
	speed  bool
	settle string
	unit   string
}

const speedFlight = "two level passes each way over one marked 200 m base within half an hour, 5 to 35 m above the start, 100 m level before the base (better twice the washout length), full throttle, the claimed parts, logged at 5 Hz or more with the receiver's own speed"

var claimKinds = []claimKind{
	{[]string{"stall speed", "slowest"}, atMost, []string{"stall speed"}, false, "slow down level at 50 m until the nose drops, three times into wind and three down wind, and log it", "m/s"},
	{[]string{"landing speed", "touchdown"}, atMost, []string{"touchdown speed"}, false, "five landings logged at 5 Hz or more with the wind measured", "m/s"},
	{[]string{"cruise"}, atLeast, []string{"two-way airspeed", "level airspeed"}, true, speedFlight, "m/s"},
	{[]string{"speed", "fast"}, atLeast, []string{"two-way airspeed", "level airspeed", typedRead, typedTimed, "two-way fly-by speed"}, true, speedFlight, "m/s"},
	{[]string{"take-off mass", "takeoff mass", "take off mass", "flying mass", "weight", "mass"}, atMost, []string{"takeoff mass", "take-off mass"}, false, "weigh it ready to fly, pack in, on scales checked with a known mass", "kg"},
	{[]string{"endurance", "flight time", "duration"}, atLeast, []string{"endurance", "time in the air"}, false, "fly the claimed way until the reserve voltage, timing from release to touchdown, and put the charge back through a meter", "s"},
	{[]string{"range"}, atLeast, []string{"range"}, false, "fly laps of known length to the reserve voltage", "m"},
	{[]string{"climb"}, atLeast, []string{"best climb rate over a phase"}, false, "climb at full throttle for ten seconds at constant speed, twice into wind and twice down wind", "m/s"},
	{[]string{"build", "assembly"}, atMost, []string{"build time", "build hours"}, false, "keep a build diary: hours by the clock, one line a session", "s"},
	{[]string{"thrust", "pull"}, atLeast, []string{"static thrust", "static pull"}, false, "pull against a luggage scale at full throttle with the claimed pack, freshly charged, three times", "N"},
	{[]string{"current", "amp"}, atMost, []string{"highest current"}, false, "log or measure the current at full throttle with a fresh pack", "A"},
	{[]string{"wingspan", "span", "length"}, atMost, []string{"span"}, false, "measure it with a tape, tip to tip", "m"},
}

func kindOf(what string) (claimKind, bool) {
	w := strings.ToLower(what)
	for _, k := range claimKinds {
		for _, s := range k.words {
			if strings.Contains(w, s) {
				return k, true
			}
		}
	}
	return claimKind{}, false
}

// Conformity is the probability that the quantity is at least the claim:
// Φ((v−C)/u). After JCGM 106.
func Conformity(v, u, claim float64) float64 {
	if u <= 0 {
		return b2f(v >= claim)
	}
	return distuv.UnitNormal.CDF((v - claim) / u)
}

// Accept is the smallest estimate at which a claim is shown at 95 %.
func Accept(claim, u float64) float64 { return claim + z90*u }

// Judge holds a claim against the evidence. Shown: probability 0.95 or more.
// Refuted takes more than a low number: probability 0.05 or less, and for a
// speed also full throttle, level, terminal, the claimed parts and a sound
// airframe; else it is not shown in the state flown.
func Judge(c Claim, d *Debrief, o Options) Judged {
	j := Judged{Claim: strings.TrimSpace(c.What + " " + c.Text), By: c.By, Claimed: exactly(c.Value, c.Unit), Status: NotShown}
	for _, p := range o.Predicted {
		if strings.EqualFold(p.What, c.What) {
			q := about(p.Value, p.Sigma, p.Unit)
			j.Predicted = &q
		}
	}
	k, ok := kindOf(c.What)
	if !ok {
		j.Because = "no measurement of this kind is known to the debrief"
		j.Settle = "measure it and add it as a reading"
		return j
	}
	j.Settle = k.settle
	if c.Unit == "" {
		c.Unit = k.unit
		j.Claimed.Unit = k.unit
	}
	var best *Item
	for _, want := range k.items {
		for i := range d.Items {
			if it := &d.Items[i]; it.What == want && (c.Unit == "" || it.Unit == "" || it.Unit == c.Unit) {
				if best == nil || k.sense > 0 && it.What == best.What && it.Value > best.Value {
					best = it
				}
			}
		}
		if best != nil {
			break
		}
	}
	if best == nil {
		j.Because = missing(k, c, d)
		return j
	}
	q := about(best.Value, best.Sigma, best.Unit)
	j.Measured = &q
	var p float64
	if k.sense == atLeast {
		p = Conformity(best.Value, best.Sigma, c.Value)
	} else {
		p = 1 - Conformity(best.Value, best.Sigma, c.Value)
		if best.Sigma <= 0 {
			p = b2f(best.Value <= c.Value)
		}
	}
	j.P = &p
	show := func(v float64) string { return say(v, c.Unit) }
	base := fmt.Sprintf("%s %s ± %s (%s) against %s", best.What, show(best.Value), margin(2*best.Sigma, c.Unit), best.Method, show(c.Value))
	switch {
	case p >= 0.95:
		j.Status, j.Because, j.Settle = Shown, base, ""
		if k.speed && best.What == "two-way airspeed" && d.BestPair >= 0 && !d.Pairs[d.BestPair].ByCode {
			j.Because += "; not flown in every point as the sporting code asks: " + strings.Join(codeFaults(&d.Pairs[d.BestPair]), "; ")
		}
	case p <= 0.05:
		if lacks := notTerminal(k, best, d, o); len(lacks) > 0 {
			j.Because = fmt.Sprintf("%s, %s: not shown in the state flown, and not refuted either, because %s", base, odds(p), strings.Join(lacks, ", "))
		} else {
			j.Status = Refuted
			j.Because = fmt.Sprintf("%s, %s", base, odds(p))
			if k.speed {
				if best.What == typedTimed || best.What == typedRead {
					j.Because += ", at full throttle and level, with the claimed parts, as stated"
				} else {
					j.Because += ", at full throttle, level and steady, with the claimed parts"
				}
				if o.Density > 0 {
					j.Because += fmt.Sprintf(", in air of %.3f kg/m³", o.Density)
				}
			}
			j.Settle = ""
		}
	default:
		j.Because = fmt.Sprintf("%s, %s: too near to tell", base, odds(p))
		if k.sense == atLeast {
			j.Because += fmt.Sprintf("; at this doubt %s would show it", show(Accept(c.Value, best.Sigma)))
		}
	}
	return j
}

// odds prints a probability.
func odds(p float64) string {
	if p < 1e-6 {
		return "p below 0.000001"
	}
	return fmt.Sprintf("p = %.2g", p)
}

func codeFaults(p *Pair) []string {
	var out []string
	if p.Files {
		out = append(out, "the passes lie in two files")
	}
	for i := range p.Passes {
		for _, r := range p.Passes[i].Remarks {
			dup := false
			for _, o := range out {
				dup = dup || o == r
			}
			if !dup {
				out = append(out, r)
			}
		}
	}
	return out
}

// missing says what was there instead of evidence.
func missing(k claimKind, c Claim, d *Debrief) string {
	if !k.speed {
		return "nothing measured speaks to it"
	}
	var parts []string
	if d.PeakGround != nil {
		parts = append(parts, fmt.Sprintf("the peak over the ground, %s, says nothing by itself (%s)", say(d.PeakGround.Value, "m/s"), d.Peak.Kind))
	}
	for _, it := range d.Items {
		if it.What == "fly-by speed" {
			parts = append(parts, fmt.Sprintf("one fly-by at %s is over the ground in one direction: the wind is in it", say(it.Value, "m/s")))
		}
		if it.What == "timed speed" {
			parts = append(parts, fmt.Sprintf("one timed pass at %s is one direction only", say(it.Value, "m/s")))
		}
		if it.What == "speed read" {
			parts = append(parts, fmt.Sprintf("the reading of %s has no known %s", say(it.Value, "m/s"), it.Remark))
		}
	}
	if d.TwoWayRefused != "" {
		parts = append(parts, d.TwoWayRefused)
	}
	if d.Refused != "" {
		parts = append(parts, d.Refused)
	}
	if len(parts) == 0 {
		return "no speed was measured"
	}
	return strings.Join(parts, "; ")
}

// notTerminal lists what keeps a low speed from refuting a claim.
func notTerminal(k claimKind, it *Item, d *Debrief, o Options) []string {
	var out []string
	unsure := func(b *bool, unknown, no string) {
		switch {
		case b == nil:
			out = append(out, unknown)
		case !*b:
			out = append(out, no)
		}
	}
	if k.sense == atLeast && !k.speed {
		switch it.What {
		case "time in the air":
			return []string{"a flight is a lower bound: the pack need not have been empty"}
		}
	}
	if !k.speed {
		return nil
	}
	full := o.State.FullThrottle
	if full == nil && it.What == "two-way airspeed" && d.BestPair >= 0 && d.Path != nil {
		if t, ok := meanThrottle(d); ok {
			b := t > 0.95
			full = &b
		}
	}
	unsure(full, "full throttle is not known", "the throttle was not full")
	unsure(o.State.ClaimedParts, "it is not stated that the claimed parts were fitted", "other parts than the claimed ones were fitted")
	unsure(o.State.SoundAirframe, "the state of repair is not stated", "the airframe was repaired or damaged")
	if (it.What == typedTimed || it.What == typedRead) && it.Remark == notLevelSaid {
		out = append(out, "it is not stated that the passes were level")
	}
	if d.BestPair >= 0 && it.What == "two-way airspeed" {
		for _, p := range d.Pairs[d.BestPair].Passes {
			if math.Abs(p.Excess) > 1.5 {
				out = append(out, fmt.Sprintf("the speed was still changing (%.1f m/s of excess power)", p.Excess))
				break
			}
		}
	}
	return out
}

func meanThrottle(d *Debrief) (float64, bool) {
	s, n := 0.0, 0
	for _, p := range d.Pairs[d.BestPair].Passes {
		for i := p.i0; i <= p.i1; i++ {
			if t := d.Path.Log.Fixes[d.Path.Samples[i].Fix].Throttle; known(t) {
				s += t
				n++
			}
		}
	}
	return s / math.Max(1, float64(n)), n > 3
}

// margin prints a doubt in the same units as say, to two digits.
func margin(u float64, unit string) string {
	switch unit {
	case "m/s":
		return fmt.Sprintf("%.2g m/s", u)
	case "kg":
		return fmt.Sprintf("%.2g g", u*1000)
	}
	return strings.TrimSpace(fmt.Sprintf("%.2g %s", u, unit))
}

// say prints a value in plain units.
func say(v float64, unit string) string {
	switch unit {
	case "m/s":
		return fmt.Sprintf("%.1f m/s (%.0f km/h)", v, v*3.6)
	case "kg":
		return fmt.Sprintf("%.0f g", v*1000)
	case "s":
		switch {
		case math.Abs(v) >= 2*3600:
			return fmt.Sprintf("%.1f h", v/3600)
		case math.Abs(v) >= 120:
			return fmt.Sprintf("%.1f min", v/60)
		}
		return fmt.Sprintf("%.1f s", v)
	}
	return strings.TrimSpace(fmt.Sprintf("%.4g %s", v, unit))
}
