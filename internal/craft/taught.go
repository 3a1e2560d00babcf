package craft

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/tune"
)

// Learnable is one factor that flights and the bench can teach, and the input
// of the aircraft it acts on. The value of a model factor is the factor's own;
// of a number of the build it is a multiplier on what the build says.
type Learnable struct {
	Name  string // of the tune.Factor
	Part  string // kind of component: see [Aircraft.Component]
	Paths []string
	Label string
}

// Learnables lists them in a fixed order. Of several paths the first that the
// aircraft has as an input is meant.
var Learnables = []Learnable{
	{"drag", "airframe", []string{"factor.drag"}, "drag of the airframe"},
	{"lift", "airframe", []string{"factor.lift"}, "lift slope"},
	{"lift-max", "airframe", []string{"factor.lift-max"}, "maximum lift"},
	{"neutral-point", "airframe", []string{"factor.neutral-point"}, "neutral point"},
	{"pitch-trim", "airframe", []string{"factor.pitch-trim"}, "pitching moment at no lift"},
	{"control", "airframe", []string{"factor.control"}, "effect of the controls"},
	{"damping", "airframe", []string{"factor.damping"}, "damping"},
	{"thrust", "propeller", []string{"factor.thrust"}, "thrust of the propeller"},
	{"torque", "propeller", []string{"factor.torque"}, "torque of the propeller"},
	{"advance", "propeller", []string{"factor.advance"}, "true pitch of the propeller"},
	{"kv", "motor", []string{"factor.kv", "power.motor.kv"}, "motor constant"},
	{"resistance", "motor", []string{"power.motor.resistance"}, "resistance of the motor"},
	{"idle", "motor", []string{"power.motor.idle_current"}, "idle current"},
	{"cord", "cord", []string{"launch.bungee.pull_test", "launch.bungee.cord.outer"}, "pull of the bungee"},
	{"returned", "cord", []string{"launch.bungee.cord.returned"}, "energy the rubber gives back"},
	{"friction", "hook", []string{"launch.bungee.hook.friction"}, "friction of the ring on the hook"},
	{"throw", "hand", []string{"launch.throw.speed"}, "speed of the throw"},
	{"cell", "pack", []string{"power.battery.cell_resistance"}, "resistance of a cell"},
	{"capacity", "pack", []string{"power.battery.capacity"}, "capacity of the pack"},
}

// InputOf returns the index in Inputs of what a learnable acts on, −1 when
// this aircraft has no such doubt.
func (a *Aircraft) InputOf(l *Learnable) int {
	for _, p := range l.Paths {
		for i := range a.Inputs {
			if a.Inputs[i].Path == p {
				return i
			}
		}
	}
	return -1
}

// Component names the component of a kind by what it is: what a factor
// learned of it goes with. A changed component is another one; a moved
// battery, a new trim or another day changes none. Its numbers are the
// build's own, so ask before anything was taught. "" when there is none.
func (a *Aircraft) Component(kind string) string {
	short := func(format string, v ...any) string {
		h := sha256.Sum256(fmt.Appendf(nil, format, v...))
		return hex.EncodeToString(h[:3])
	}
	p, g := &a.Power, &a.Launch.Bungee
	switch kind {
	case "airframe":
		h := sha256.New()
		for i := range a.Surfaces {
			s := &a.Surfaces[i]
			fmt.Fprintf(h, "%q %v %v\n", s.Name, s.Mirrored, s.Stations)
			for _, c := range s.Controls {
				fmt.Fprintf(h, "%q %v %v %v %v\n", c.Name, c.From, c.To, c.ChordShare, c.Sealed)
			}
		}
		fmt.Fprintf(h, "%v", a.Body)
		return fmt.Sprintf("airframe %s %s", a.Name, hex.EncodeToString(h.Sum(nil)[:3]))
	case "propeller":
		r := &p.Propeller
		if p.Place == "" || !(r.Diameter > 0) {
			return ""
		}
		s := fmt.Sprintf("propeller %.3g x %.3g in, %d blades, %s", r.Diameter/0.0254, r.Pitch/0.0254, r.Blades, r.Style)
		if r.Geometry != nil || r.Measured != nil {
			s += " " + short("%q %q", r.Geometry, r.Measured)
		}
		if r.ZeroThrust > 0 {
			s += fmt.Sprintf(", no pull at %.3g", r.ZeroThrust)
		}
		return s
	case "motor":
		if p.Place == "" {
			return ""
		}
		m := &p.Motor
		return fmt.Sprintf("motor %.4g rpm/V, %.3g mohm, %.3g A idle, %.3g g", m.KV*30/math.Pi, m.Resistance*1000, m.IdleCurrent, m.Mass*1000)
	case "pack":
		if p.Place == "" {
			return ""
		}
		b := &p.Battery
		s := fmt.Sprintf("pack %d x %.4g mAh, %.3g mohm a cell", b.Cells, b.Capacity/3.6, b.CellResistance*1000)
		if b.Parallel > 1 {
			s += fmt.Sprintf(", %d side by side", b.Parallel)
		}
		return s
	case "cord":
		if a.Launch.By != "bungee" {
			return ""
		}
		n := len(g.PullForce)
		s := short("%v %v %v %v %v %v %v", g.PullStretch, g.PullForce, g.Slack, g.Outer, g.Bore, g.Strands, g.Returned)
		if n > 0 {
			return fmt.Sprintf("bungee, %.3g N at %.3g m, %s", g.PullForce[n-1], g.PullStretch[n-1], s)
		}
		return "bungee " + s
	case "hook":
		if a.Launch.By != "bungee" {
			return ""
		}
		return fmt.Sprintf("hook, friction %.3g, droop %.3g deg", g.Friction, g.Rake/deg)
	case "hand":
		if a.Launch.By != "hand" {
			return ""
		}
		return fmt.Sprintf("hand, %.3g m/s", a.Launch.Throw.Speed)
	}
	panic("craft: no component of kind " + kind)
}

// BenchPrint is the fingerprint of the build's bench rows, "" without any: a
// lesson that holds it has learned from them, and they must not count again.
func (a *Aircraft) BenchPrint() string {
	if len(a.Power.Bench) == 0 {
		return ""
	}
	rows := make([]string, len(a.Power.Bench))
	for i, r := range a.Power.Bench {
		rows[i] = fmt.Sprintf("%x %x %x %x %x", r.Volts, r.Amps, r.Omega, r.Pull, r.Throttle)
		if r.Bare {
			rows[i] += " bare"
		}
	}
	sort.Strings(rows) // their order tells nothing
	h := sha256.Sum256([]byte(strings.Join(rows, "\n")))
	return "bench " + hex.EncodeToString(h[:8])
}

// Taught is one learned factor as it acts on this aircraft.
type Taught struct {
	tune.Factor
	Path      string  // the input it acts on
	Was       float64 // nominal value before
	WasSigma  float64
	Aeroplane string // whose evidence it was
	Say       string // of the lesson: "3 runs, 5 bench rows"
}

// mix is a group of inputs whose errors hang together.
type mix struct {
	index []int
	root  [][]float64 // lower triangular: see tune.Root
}

// Teach returns a copy of the aircraft with learned factors in place of what
// the models and the build alone say, with their doubt and correlations, and
// a hash that tells them. Factors of components that this aircraft has not
// are left out. The drive's factors are left out too, with a note, when the
// build has bench rows that they were not learned from: the rows would count
// beside them as if nothing had been known. The aircraft must come from [New]
// as it is.
func (a *Aircraft) Teach(lessons []tune.Lesson) *Aircraft {
	c := a.copied(true)
	c.Inputs = append([]Input(nil), a.Inputs...)
	c.Tune = append(tune.Set(nil), a.Tune...)
	c.Assumed = append([]Assumption(nil), a.Assumed...)
	bench := a.BenchPrint()
	var used []tune.Lesson
	for i := range lessons {
		l := &lessons[i]
		var paths []int
		stale := false
		part := l.Only(func(f *tune.Factor) bool {
			at, kind := a.bound(f)
			if at < 0 {
				return false
			}
			if drive := kind == "propeller" || kind == "motor" || kind == "pack"; drive && bench != "" && !l.Has(bench) {
				stale = true
				return false
			}
			if !c.Inputs[at].holds(f) {
				c.Unlearned = append(c.Unlearned, fmt.Sprintf("the learned %s (%s) lies outside what it can be here and is not used", f.Label, f.Change()))
				return false
			}
			paths = append(paths, at)
			return true
		})
		if stale {
			c.Unlearned = append(c.Unlearned, "what was learned of the drive ("+l.Say+") does not hold the bench rows of this build: the drive goes by the bench rows alone until fledge learn has seen both")
		}
		if len(part.Factors) == 0 {
			continue
		}
		if l.Has(bench) && bench != "" {
			for _, f := range part.Factors {
				if _, kind := a.bound(&f); kind == "propeller" || kind == "motor" {
					c.BenchTaught = true
				}
			}
		}
		for k := range part.Factors {
			c.teach(&part.Factors[k], paths[k], l)
		}
		if len(paths) > 1 && part.Corr != nil {
			if root, ok := tune.Root(part.Corr); ok {
				c.mixes = append(c.mixes, mix{paths, root})
			}
		}
		used = append(used, part)
	}
	if h := tune.Hash(used); h != "" {
		sum := sha256.Sum256([]byte(a.Hash + " taught " + h))
		c.Hash = hex.EncodeToString(sum[:])[:len(a.Hash)]
		c.TaughtHash = h
	}
	c.Mass = massOf(c.Parts, c.Trial.Mass)
	return c
}

// bound finds the input that a learned factor acts on here; −1 when its
// component is not this aircraft's.
func (a *Aircraft) bound(f *tune.Factor) (at int, kind string) {
	for i := range Learnables {
		l := &Learnables[i]
		if l.Name == f.Name && f.Component == a.Component(l.Part) && f.Component != "" {
			return a.InputOf(l), l.Part
		}
	}
	return -1, ""
}

// holds says whether a learned value and most of its spread lie within the
// bounds of the number of the build it multiplies: six tenths at least, for a
// draw cuts the rest off. A factor of a model has no bounds of nature.
func (in *Input) holds(f *tune.Factor) bool {
	if in.Model {
		return true
	}
	mean, sd := f.Value*in.Nominal, f.Sigma*math.Abs(in.Nominal)
	if mean < in.Low || mean > in.High || sd == 0 {
		return mean >= in.Low && mean <= in.High
	}
	below := func(v float64) float64 { return 0.5 * math.Erfc(-(v-mean)/sd/math.Sqrt2) }
	return below(in.High)-below(in.Low) >= 0.6
}

func (c *Aircraft) teach(f *tune.Factor, at int, l *tune.Lesson) {
	in := &c.Inputs[at]
	t := Taught{Factor: *f, Path: in.Path, Was: in.Nominal, WasSigma: in.Sigma, Aeroplane: l.Aeroplane, Say: l.Say}
	if in.Model {
		in.Nominal, in.Sigma = f.Value, f.Sigma
	} else {
		in.Nominal, in.Sigma = f.Value*in.Nominal, f.Sigma*in.Nominal
	}
	// A learned value may lie beyond the untaught bounds of a factor.
	if in.Model {
		in.Low, in.High = math.Min(in.Low, in.Nominal-6*in.Sigma), math.Max(in.High, in.Nominal+6*in.Sigma)
		if !f.Shift {
			in.Low = math.Max(in.Low, 0.01)
		}
	}
	in.Taught = true
	in.Set(c, in.Nominal)
	for i := range c.Tune {
		if "factor."+c.Tune[i].Name == in.Path {
			c.Tune[i].Value, c.Tune[i].Sigma, c.Tune[i].Why = f.Value, f.Sigma, "learned from "+l.Say
		}
	}
	c.Taught = append(c.Taught, t)
}

// Mixed turns values drawn independently for the inputs of these indices into
// values whose errors hang together as learned: of a group with correlation
// L Lᵀ, x = nominal + σ L z with z the independent standard scores. Each keeps
// its own spread. Members of a group that are not drawn stay at z = 0.
// Untaught it returns value itself.
func (a *Aircraft) Mixed(index []int, value []float64) []float64 {
	if len(a.mixes) == 0 {
		return value
	}
	out := append([]float64(nil), value...)
	for _, m := range a.mixes {
		z, place := make([]float64, len(m.index)), make([]int, len(m.index))
		for k, i := range m.index {
			place[k] = -1
			for j, at := range index {
				if at == i {
					place[k] = j
					if in := &a.Inputs[i]; in.Sigma > 0 {
						z[k] = (value[j] - in.Nominal) / in.Sigma
					}
				}
			}
		}
		for k, i := range m.index {
			if place[k] < 0 {
				continue
			}
			s := 0.0
			for q := 0; q <= k; q++ {
				s += m.root[k][q] * z[q]
			}
			in := &a.Inputs[i]
			out[place[k]] = math.Max(in.Low, math.Min(in.High, in.Nominal+in.Sigma*s))
		}
	}
	return out
}
