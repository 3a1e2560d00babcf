package fit

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"fledge/internal/cite"
	"fledge/internal/craft"

	"gonum.org/v1/gonum/spatial/r3"
)

// Judgement is what a finding of this room says.
type Judgement uint8

const (
	// Pass: it fits.
	Pass Judgement = iota
	// Fail: it does not, by Room.
	Fail
	// Unknown: a size is missing.
	Unknown
	// Doubtful: it fits by less than the sizes are known.
	Doubtful
)

// Result is one finding: Room is the clearance left, m, negative when it
// fouls, with one standard deviation; Least what is asked.
type Result struct {
	ID, Label          string
	Room, Sigma, Least float64
	Status             Judgement
	Because            string
	Cures              []Cure
	Refs               []cite.Ref
	At                 *r3.Vec // where on the aeroplane
}

// level95 is the one-sided 95 % point: the ends of a 90 % interval.
const level95 = 1.645

// judge settles a result by its room and doubt.
func (r *Result) judge() {
	switch {
	case r.Room < 0:
		r.Status = Fail
	case r.Room < level95*r.Sigma:
		r.Status = Doubtful
	default:
		r.Status = Pass
	}
}

// Sheet is the fit of a whole aircraft.
type Sheet struct {
	Results  []Result
	Harness  []Lead
	Turn     string // which way the motor turns; "" for a glider
	Assembly []Line
	Heats    []Warmth
	Sweeps   []Swept  // of servo arms inside a surface; filled by who knows linkages
	Bays     bool     // bays are described
	Scales   *Checked // what the scales showed; nil when nothing was weighed
	MostSide float64  // how far the balance point may lie off the middle, m
}

// Line is the order of assembly through one opening, deepest first.
type Line struct {
	Through, Bay string
	Parts        []string
}

// Swept is the room of a servo arm and its rod inside a surface over the whole
// travel: Arm is how far the arm's pin stays inside the skin, m (negative:
// stands out); From and To is the slot in the skin they need, build x, From >
// To when none.
type Swept struct {
	Control, Servo string
	Arm, From, To  float64
	Guessed        bool // the rod's length is a guess
}

// Given is what the fit takes from other rooms.
type Given struct {
	Current float64 // the largest at the pack, A
	Wire    Wire    // nil: no harness
	Skin    Skin    // nil: surface bays are not judged
	Air     float64 // temperature, K
}

// inside are the kinds of part that belong inside the body.
var inside = map[string]bool{"battery": true, "controller": true, "receiver": true, "autopilot": true, "satellite receiver": true, "compass": true, "video transmitter": true, "ballast": true}

// shells are kinds that are the aeroplane itself, or spread through it.
var shells = map[string]bool{"structure": true, "propeller": true, "wiring": true, "repair": true, "tape": true}

// Called is a part's name, with its side for a mirrored one.
func Called(p *craft.Part) string {
	if p.Twin {
		return p.Name + " (left)"
	}
	return p.Name
}

// placed is a part ready to be judged.
type placed struct {
	part  *craft.Part
	solid Solid // with its lugs
	sized bool
}

// Assess checks an aircraft's parts: each in its bay, or in the body's shell
// when it has none, through an opening, past its plug; no two in the same
// place, nothing in a spar; distances kept, routes free, transmitters cool. It
// lists the harness and the order of assembly. Only parts with a given size
// are judged.
func Assess(ac *craft.Aircraft, g Given) *Sheet {
	sh := &Sheet{Bays: len(ac.Inside.Bays) > 0, MostSide: MostSide * ac.Ref.Span / 2}
	if c, ok := Check(ac); ok {
		sh.Scales = &c
	}
	body := BodyCavity(ac)
	bays := map[string]int{}
	for i := range ac.Inside.Bays {
		bays[ac.Inside.Bays[i].Name] = i
	}
	var all []placed
	for i := range ac.Parts {
		p := &ac.Parts[i]
		q := placed{part: p, solid: Solid{Called(p), p.At, r3.Add(p.Size, p.Lugs)}}
		q.sized = p.SizeKnown && p.Size.X > 0 && p.Size.Y > 0 && p.Size.Z > 0
		if shells[p.Kind] {
			continue
		}
		if !q.sized {
			q.solid.Size = r3.Vec{}
		}
		all = append(all, q)
	}
	for _, q := range all {
		p := q.part
		var c Cavity
		i, given := bays[p.Bay]
		switch {
		case given:
			c = BayCavity(ac, i, g.Skin)
		case inside[p.Kind] && len(body.shell) > 1:
			c = body
			if q.sized && p.At.Y != 0 && math.Abs(p.At.Y)-p.Size.Y/2 > maxWidth(body.shell)/2 {
				continue // in the wing, and no bay is described
			}
		default:
			continue
		}
		if !q.sized {
			sh.add(Result{ID: "inside." + Called(p), Label: Called(p) + " inside " + short(&c), Room: math.NaN(), Status: Unknown, Because: unsized(p), Cures: []Cure{{What: "measure " + p.Name + " and write its size"}}})
			continue
		}
		sh.place(ac, &c, q, all)
		if given {
			sh.through(ac, i, q)
		}
	}
	move := &mover{sh: sh, ac: ac, all: all, bays: bays, skin: g.Skin, body: body}
	sh.clashes(ac, all, move)
	if g.Wire != nil {
		sh.harness(ac, g)
	}
	sh.distances(ac, all, move)
	sh.heat(ac, bays, all, g.Air)
	sh.assembly(ac, all)
	sh.turning(ac)
	return sh
}

func (sh *Sheet) add(r Result) { sh.Results = append(sh.Results, r) }

func short(c *Cavity) string {
	if c.bay == nil {
		return "the body"
	}
	return "the bay " + c.Name
}

func maxWidth(shell []Section) float64 {
	w := 0.0
	for _, s := range shell {
		w = math.Max(w, s.Width)
	}
	return w
}

// sigmaOf is one standard deviation of a part's clearance: half its own
// doubtful side, its place, half the cavity's side.
func sigmaOf(p *craft.Part, c *Cavity, axis int) float64 {
	size, at := axes(p.SizeSigma), axes(p.AtSigma)
	if axis < 0 {
		return math.Sqrt(sq(math.Max(size[1], size[2])/2) + sq(math.Max(at[1], at[2])) + sq(c.sigma/2))
	}
	return math.Sqrt(sq(size[axis]/2) + sq(at[axis]) + sq(c.sigma/2))
}

// unsized says that a size is missing; servos have usual ones (common practice,
// no source).
func unsized(p *craft.Part) string {
	if p.Kind == "servo" {
		return "Its size is not given; without lugs servos run from 20 x 8.5 x 20 mm (5 g) over 23 x 12 x 24 (9 g) and, for thin wings, 23 x 8 x 24 and 30 x 10 x 30 to 40 x 20 x 38 mm (standard)."
	}
	return "Its size is not given."
}

var axisWords = [3]string{"lengthwise", "sideways", "in height"}

// place judges a part in its place, then its plug.
func (sh *Sheet) place(ac *craft.Aircraft, c *Cavity, q placed, all []placed) {
	p := q.part
	o := c.Stands(q.solid, p.Round)
	at := p.At
	r := Result{ID: "inside." + q.solid.Name, Label: q.solid.Name + " inside " + short(c), At: &at}
	if !o.OK {
		r.Status, r.Room, r.Because = Unknown, math.NaN(), "The bay cannot be told: its surface has no section there."
		sh.add(r)
		return
	}
	r.Room, r.Sigma = -o.Miss, sigmaOf(p, c, o.Axis)
	// A height nobody gave is free: then only the thickness counts.
	_, high := ac.Knob(p.Path() + ".at.z")
	if c.bay != nil && c.bay.Kind == craft.SurfaceBay && o.Axis == 2 && !high {
		r.Room = -o.Best
	}
	r.judge()
	size := fmt.Sprintf("%.4g x %.4g x %.4g mm", q.solid.Size.X*1e3, q.solid.Size.Y*1e3, q.solid.Size.Z*1e3)
	if p.Lugs != (r3.Vec{}) {
		size += " with lugs"
	}
	switch {
	case r.Status == Pass:
		r.Because = fmt.Sprintf("%s in %s: %.1f mm of room at its tightest.", upper(size), c.word(), r.Room*1e3)
	case r.Status == Doubtful:
		r.Because = fmt.Sprintf("%s in %s: %.1f mm of room, and the sizes are known to %.1f mm.", upper(size), c.word(), r.Room*1e3, 2*r.Sigma*1e3)
		r.Cures = []Cure{{What: "measure " + p.Name + " and its bay with callipers, or try a card dummy of that size"}}
	default:
		where := ""
		if o.Axis >= 0 {
			where = " " + axisWords[o.Axis]
		} else {
			where = fmt.Sprintf(" at the corner x %.0f, y %.0f, z %.0f mm", o.At.X*1e3, o.At.Y*1e3, o.At.Z*1e3)
		}
		r.Because = fmt.Sprintf("%s in %s: it misses by %.1f mm%s.", upper(size), c.word(), -r.Room*1e3, where)
		r.Cures = c.cures(p, q.solid, -r.Room, o)
	}
	sh.add(r)
	if p.Plug != (r3.Vec{}) {
		sh.plug(c, q, all)
	}
}

// plug asks for room on one side of the part for its plug and bend.
func (sh *Sheet) plug(c *Cavity, q placed, all []placed) {
	p := q.part
	need := axes(p.Plug)
	at := axes(p.At)
	size := axes(p.Size)
	for k := range 3 {
		if need[k] <= 0 {
			continue
		}
		n := need[k] + p.Bend
		best := Result{ID: fmt.Sprintf("plug.%s.%s", q.solid.Name, "xyz"[k:k+1]), Label: fmt.Sprintf("plug of %s and its bend", q.solid.Name), Room: math.Inf(-1), Sigma: sigmaOf(p, c, k)}
		for _, side := range []float64{-1, 1} {
			a, s := at, size
			a[k] += side * (size[k]/2 + n/2)
			s[k] = n
			o := c.Stands(Solid{At: r3.Vec{X: a[0], Y: a[1], Z: a[2]}, Size: r3.Vec{X: s[0], Y: s[1], Z: s[2]}}, 0)
			room := -o.Miss
			if !o.OK {
				continue
			}
			hit := ""
			for _, t := range all {
				if t.part == p || !t.sized {
					continue
				}
				if cl := Clashes([]Solid{{Name: "a", At: r3.Vec{X: a[0], Y: a[1], Z: a[2]}, Size: r3.Vec{X: s[0], Y: s[1], Z: s[2]}}, t.solid}); len(cl) > 0 && -cl[0].By < room {
					room, hit = -cl[0].By, t.solid.Name
				}
			}
			if room > best.Room {
				best.Room = room
				best.Because = fmt.Sprintf("It needs %.0f mm %s beside it.", n*1e3, axisWords[k])
				if hit != "" {
					best.Because = fmt.Sprintf("It needs %.0f mm %s beside it; %s stands there.", n*1e3, axisWords[k], hit)
				}
			}
		}
		if math.IsInf(best.Room, -1) {
			continue
		}
		best.judge()
		if best.Status != Pass {
			best.Cures = []Cure{{What: "solder the leads of " + p.Name + " instead of the plug", By: need[k], Weakens: "it can no longer be unplugged"},
				{What: "turn " + p.Name + " end for end, or lead the wires out the other way"}}
			best.Refs = []cite.Ref{cite.AS50881.At("bend radii", cite.Memory)}
		}
		sh.add(best)
	}
}

// noLugs is the cure of cutting a part's lugs off.
func noLugs(p *craft.Part) Cure {
	k := Cure{What: "cut the lugs off " + p.Name, By: math.Max(p.Lugs.X, math.Max(p.Lugs.Y, p.Lugs.Z)), Weakens: "its hold: it must then be glued in or framed"}
	for i, l := range axes(p.Lugs) {
		if l > 0 {
			k.Set = append(k.Set, fmt.Sprintf("%s.lugs.%s=0 mm", p.Path(), "xyz"[i:i+1]))
		}
	}
	return k
}

// cures looks for the smallest change that puts a part inside: lugs off, a
// shift within its room to move, the same lying another way, a filed or
// opened place; and says what each weakens.
func (c *Cavity) cures(p *craft.Part, s Solid, miss float64, o Out) []Cure {
	var out []Cure
	if p.Lugs != (r3.Vec{}) {
		t := s
		t.Size = p.Size
		if got := c.Stands(t, p.Round); got.OK && got.Miss <= 0 {
			k := noLugs(p)
			if !p.CutLugs {
				k.Weakens += "; the build does not say that they may go"
			}
			out = append(out, k)
		}
	}
	if p.MaxAt.X > p.MinAt.X {
		best := math.Inf(1)
		for x := p.MinAt.X; x <= p.MaxAt.X+1e-9; x += 1e-3 {
			t := s
			t.At.X = x
			if got := c.Stands(t, p.Round); got.OK && got.Miss <= 0 && math.Abs(x-s.At.X) < math.Abs(best) {
				best = x - s.At.X
			}
		}
		if !math.IsInf(best, 1) {
			out = append(out, moveTo(p, r3.Vec{X: best}))
		}
	} else if o.Best <= 0 && r3.Norm(o.Shift) > 0 {
		t := s
		t.At = r3.Add(s.At, o.Shift)
		if got := c.Stands(t, p.Round); got.OK && got.Miss <= 1e-9 {
			out = append(out, moveTo(p, o.Shift))
		}
	}
	out = append(out, c.turned(p, s)...)
	if c.gap > 0 && miss <= c.gap && c.bay != nil {
		out = append(out, Cure{What: fmt.Sprintf("let %s touch: give up %.1f mm of the clearance", p.Name, miss*1e3), By: miss, Weakens: "nothing, but it rubs and passes every knock on"})
	}
	open := Cure{What: "open or bulge the body there", By: miss, Weakens: "the shell: a cut needs a frame or a doubler round it"}
	switch {
	case c.bay != nil && c.bay.Kind == craft.SurfaceBay && o.Axis == 2:
		open = Cure{What: fmt.Sprintf("let it through one skin, %.1f mm proud, under a blister", miss*1e3), By: miss,
			Weakens: "the skin, which carries twist: keep the cut off the spar and frame it; the blister costs a little drag"}
	case c.bay != nil && o.Axis >= 0:
		open = Cure{What: fmt.Sprintf("open the bay %s by %.1f mm %s", c.Name, miss*1e3, axisWords[o.Axis]), By: miss, Weakens: "the wall or rib beside it: leave a doubler"}
	}
	return append(out, open)
}

// turned looks for another way of lying that lets a part in: square, where it
// stands; for a box bay also anywhere in it, if need be out of square.
func (c *Cavity) turned(p *craft.Part, s Solid) []Cure {
	a := axes(s.Size)
	say := func(n [3]int) string {
		return fmt.Sprintf("turn %s: %.4g mm along, %.4g mm across, %.4g mm high", p.Name, a[n[0]]*1e3, a[n[1]]*1e3, a[n[2]]*1e3)
	}
	for _, n := range orders[1:] {
		t := s
		t.Size = r3.Vec{X: a[n[0]], Y: a[n[1]], Z: a[n[2]]}
		if got := c.Stands(t, 0); got.OK && got.Miss <= 0 {
			k := Cure{What: say(n)}
			if p.Lugs == (r3.Vec{}) {
				for i, axis := range []string{"x", "y", "z"} {
					k.Set = append(k.Set, fmt.Sprintf("%s.size.%s=%.4g mm", p.Path(), axis, a[n[i]]*1e3))
				}
			}
			return []Cure{k}
		}
	}
	if c.bay == nil || c.bay.Kind != craft.BoxBay {
		return nil
	}
	ways := Into(s.Size, c.bay.Box.Size, c.gap)
	if len(ways) == 0 || !ways[0].Fits {
		return nil
	}
	w := ways[0]
	switch {
	case w.Askew >= 0:
		return []Cure{{What: say(w.Along) + ", askew about " + "xyz"[w.Askew:w.Askew+1], Weakens: "nothing, but it must be held so"}}
	case w.Along != orders[0]:
		return []Cure{{What: say(w.Along) + ", in the middle of the bay"}}
	}
	return nil
}

// through judges the way in: every hatch of the bay, straight or askew.
func (sh *Sheet) through(ac *craft.Aircraft, bay int, q placed) {
	best := Result{Room: math.Inf(-1)}
	found := false
	for i := range ac.Inside.Hatches {
		h := &ac.Inside.Hatches[i]
		if h.Bay != bay {
			continue
		}
		found = true
		at := h.At
		r := Result{ID: "through." + q.solid.Name, Label: fmt.Sprintf("%s through the hatch %s", q.solid.Name, h.Name), At: &at,
			Sigma: math.Hypot(math.Max(h.Long.Sigma, h.Wide.Sigma), math.Max(q.part.SizeSigma.X, math.Max(q.part.SizeSigma.Y, q.part.SizeSigma.Z)))}
		way := Enter(q.solid.Size, h.Long.Value, h.Wide.Value, depth(ac, h))
		r.Room, r.Because, r.Refs = way.Room, way.Say, []cite.Ref{cite.Carver1957.At("a rectangle through a rectangle", cite.Memory)}
		r.judge()
		if r.Status == Pass && way.Unsure {
			r.Status = Doubtful
		}
		if r.Status != Pass {
			r.Cures = way.cures(q.part, q.solid.Size, h, depth(ac, h))
		}
		if r.Status == Pass && best.Status != Pass || !(r.Room <= best.Room) {
			best = r
		}
		if best.Status == Pass {
			break
		}
	}
	if found {
		sh.add(best)
	}
}

// depth is the free depth behind a hatch: its own, or the bay's side.
func depth(ac *craft.Aircraft, h *craft.Hatch) float64 {
	if h.Depth > 0 {
		return h.Depth
	}
	b := &ac.Inside.Bays[h.Bay]
	if b.Kind != craft.BoxBay {
		return math.Inf(1)
	}
	s := axes(b.Box.Size)
	switch h.Side {
	case "left", "right":
		return s[1]
	case "front", "rear":
		return s[0]
	}
	return s[2]
}

// Entry is the way in through a hatch.
type Entry struct {
	Room   float64 // m left at its tightest; negative: by how much it misses
	Say    string
	Unsure bool // no sure way in was found, and none can be excluded
	Askew  bool
}

// Enter tells whether a box goes through a hatch of length a and width b into
// a bay of the given depth (+Inf: no limit): laid straight in, if need be askew
// in the opening; end on; or tilted and slid in lengthwise, sure when
//
//	L t/a + t √(1 - t²/a²) <= depth
//
// for its length L and thickness t: at the tilt whose shadow fills the hatch
// the whole of it is then below the opening (our own, a sufficient condition).
// What lies between is said to be unsure.
func Enter(size r3.Vec, a, b, depth float64) Entry {
	s := axes(size)
	long, wide := math.Max(a, b), math.Min(a, b)
	if d := math.Min(s[0], math.Min(s[1], s[2])); d > depth+1e-9 {
		return Entry{Room: depth - d, Say: fmt.Sprintf("Its least side is %.4g mm, and behind the hatch there are %.4g mm.", d*1e3, depth*1e3)}
	}
	best := Entry{Room: math.Inf(-1)}
	faces := [3][3]int{{0, 1, 2}, {0, 2, 1}, {1, 2, 0}} // two sides of the face that enters, then its depth
	better := func(e Entry) {
		if e.Room > best.Room+1e-12 && !(best.Room >= 0 && !best.Unsure) || best.Unsure && !e.Unsure && e.Room >= 0 {
			best = e
		}
	}
	for _, f := range faces {
		p, q, deep := math.Max(s[f[0]], s[f[1]]), math.Min(s[f[0]], s[f[1]]), s[f[2]]
		room := math.Min(long-p, wide-q)
		askew := false
		if need := CarverNeed(p, q, long); room < 0 && wide-need > room {
			room, askew = wide-need, true
			if math.IsInf(need, 1) {
				room, askew = math.Min(long-p, wide-q), false
			}
		}
		face := fmt.Sprintf("with its face of %.4g x %.4g mm", p*1e3, q*1e3)
		if deep > depth+1e-9 {
			// Too long to stand behind the hatch: tilt it in.
			t := q
			if s[f[0]] <= wide || s[f[1]] <= wide {
				// the side across the hatch must pass the width; the other is tilted
				across := math.Max(s[f[0]], s[f[1]])
				if across > wide {
					across, t = t, across
				}
				if across <= wide && t < long {
					k := t / long
					reach := deep*k + t*math.Sqrt(1-k*k)
					e := Entry{Room: math.Min(wide-across, depth-reach), Say: fmt.Sprintf("Slid in tilted: it needs %.0f mm of depth, there are %.0f mm.", reach*1e3, depth*1e3)}
					if e.Room < 0 && depth >= t {
						e.Unsure, e.Room = true, 0
						e.Say = fmt.Sprintf("It must be tilted in, and whether it turns in %.0f mm of depth cannot be told for sure: try a card dummy.", depth*1e3)
					}
					better(e)
				}
			}
			continue
		}
		say := fmt.Sprintf("Straight in, %s through %.4g x %.4g mm.", face, long*1e3, wide*1e3)
		switch {
		case room < 0:
			say = fmt.Sprintf("Best %s, it misses %.4g x %.4g mm by %.1f mm.", face, long*1e3, wide*1e3, -room*1e3)
		case askew:
			say = fmt.Sprintf("Only turned askew, %s through %.4g x %.4g mm.", face, long*1e3, wide*1e3)
		}
		better(Entry{Room: room, Say: say, Askew: askew})
	}
	if math.IsInf(best.Room, -1) {
		d := math.Min(s[0], math.Min(s[1], s[2]))
		best = Entry{Room: -math.Abs(math.Min(long, wide) - d), Say: fmt.Sprintf("No face of it passes %.4g x %.4g mm with %.4g mm of depth behind.", long*1e3, wide*1e3, depth*1e3)}
	}
	return best
}

func (e Entry) cures(p *craft.Part, size r3.Vec, h *craft.Hatch, depth float64) []Cure {
	var out []Cure
	if p.Lugs != (r3.Vec{}) {
		if t := Enter(p.Size, h.Long.Value, h.Wide.Value, depth); t.Room >= 0 && !t.Unsure {
			out = append(out, noLugs(p))
		}
	}
	if e.Unsure {
		out = append(out, Cure{What: fmt.Sprintf("cut a card dummy of %.4g x %.4g x %.4g mm and try it", size.X*1e3, size.Y*1e3, size.Z*1e3)})
	}
	// Lengthen, or widen, in half millimetres, until it goes; not by four times
	// what the other way asks.
	most := 0.2
	for _, long := range []bool{true, false} {
		for d := 0.5e-3; d <= most; d += 0.5e-3 {
			a, b := h.Long.Value, h.Wide.Value
			if long {
				a += d
			} else {
				b += d
			}
			if t := Enter(size, a, b, depth); t.Room >= 0 && !t.Unsure {
				side := "lengthen"
				if !long {
					side = "widen"
				}
				most = 4 * d
				key, to := "length", a
				if !long {
					key, to = "width", b
				}
				out = append(out, Cure{What: fmt.Sprintf("%s the hatch %s by %.1f mm", side, h.Name, d*1e3), By: d, Weakens: "the shell: frame the edge, and leave a hand's breadth to the wing seat and the hook",
					Set: []string{fmt.Sprintf("%s.%s=%.1f mm", h.Path(), key, math.Ceil(to*1e4-1e-6)/10)}})
				break
			}
		}
	}
	if len(out) == 0 {
		out = append(out, Cure{What: "put it in before the shell is closed, or from another side", By: math.Max(0, -e.Room)})
	}
	return out
}

// clashes lists parts in one place, and parts in spars and frames.
func (sh *Sheet) clashes(ac *craft.Aircraft, all []placed, m *mover) {
	var bodies []Solid
	movable := map[string]*craft.Part{}
	for _, q := range all {
		if q.sized {
			bodies = append(bodies, q.solid)
			movable[q.solid.Name] = q.part
		}
	}
	say := func(a, b string, c Clash, solid bool) {
		axis := [3]string{"x", "y", "z"}[c.Axis]
		r := Result{ID: "clash." + a + "." + b, Label: a + " and " + b + " in one place", Room: -c.By, Status: Fail,
			Because: fmt.Sprintf("Their boxes overlap; %.1f mm along %s parts them.", c.By*1e3, axis)}
		what := "move one of them along " + axis
		if solid {
			what = "move " + a + " along " + axis
		}
		r.Cures = []Cure{{What: what, By: c.By}}
		if k, ok := m.parted(a, b); ok {
			r.Cures = []Cure{k}
		}
		if p := movable[a]; p != nil {
			at := p.At
			r.At = &at
		}
		sh.add(r)
	}
	for _, c := range Clashes(bodies) {
		say(c.A, c.B, c, false)
	}
	for _, s := range ac.Inside.Solids {
		for _, b := range bodies {
			for _, c := range Clashes([]Solid{b, {s.Name, s.At, s.Size}}) {
				say(b.Name, s.Name, c, true)
			}
		}
	}
}

// carbonKeep is what an antenna keeps from a conductor, m (common practice, no
// source).
const carbonKeep = 0.03

// distances judges what should keep apart: parts, leads, carbon.
func (sh *Sheet) distances(ac *craft.Aircraft, all []placed, m *mover) {
	for i := range all {
		for j := range all {
			for _, k := range Keeps {
				if i == j || all[i].part.Kind != k.A || all[j].part.Kind != k.B {
					continue
				}
				sh.apart(m, all[i].solid, all[j].solid, Gap(all[i].solid, all[j].solid), k)
			}
		}
		q := &all[i]
		for _, s := range ac.Inside.Solids {
			if q.part.Kind != "antenna" || !conducts(s.Material) {
				continue
			}
			t := Solid{s.Name, s.At, s.Size}
			sh.apart(m, q.solid, t, Gap(q.solid, t), Keep{Least: carbonKeep, Why: strings.ToLower(s.Material) + " conducts: beside it an antenna is shaded and detuned"})
		}
		for n := range sh.Harness {
			l := &sh.Harness[n]
			k, ok := keptFrom(l, q)
			switch d := wayGap(l.Way, q.solid); {
			case !ok:
			case k.kind == "compass":
				sh.compass(m, q.solid, l, d)
			default:
				sh.apart(m, q.solid, Solid{Name: l.Name}, d, Keep{Least: k.least, Why: k.why})
			}
		}
	}
}

func conducts(material string) bool {
	m := strings.ToLower(material)
	return strings.Contains(m, "carbon") || strings.Contains(m, "steel") || strings.Contains(m, "alumin") || strings.Contains(m, "metal")
}

func (sh *Sheet) apart(m *mover, a, b Solid, gap float64, k Keep) {
	r := Result{
		ID: "apart." + a.Name + "." + b.Name, Label: "distance of " + a.Name + " and " + b.Name, Room: gap - k.Least, Sigma: m.gapSigma(a, b), Least: k.Least, At: &a.At,
		Because: fmt.Sprintf("%.0f mm apart; %.0f mm is usual: %s.", gap*1e3, k.Least*1e3, k.Why), Refs: []cite.Ref{cite.Common.At("distances", cite.Practice)},
	}
	switch r.judge(); r.Status {
	case Doubtful:
		r.Cures = []Cure{{What: "measure where they are, or move one of them a little"}}
	case Fail:
		r.Cures = []Cure{{What: fmt.Sprintf("move them apart by %.0f mm: no move of one of them alone finds the room inside its bay; another bay, or both of them", math.Ceil((k.Least-gap)*1e3)), By: k.Least - gap}}
		if c, ok := m.apart(a.Name, b.Name); ok {
			r.Cures = []Cure{c}
		}
	}
	sh.add(r)
}

// most heading error that a lead may make, rad, and the horizontal field of
// the earth in mid latitudes, T: our choice; World Magnetic Model, from memory.
const (
	mostHeading = 5 * math.Pi / 180
	earthField  = 20e-6
)

// compassKeep is how far the two wires of a lead lie apart, and how far a
// compass stands from them for the heading error that is allowed: the field is
// 2e-7 i s/d².
func compassKeep(l *Lead) (apart, need float64) {
	apart = 2 * wireRadius(l.Area) * 1.3
	return apart, math.Sqrt(2e-7 * l.Current * apart / (earthField * math.Sin(mostHeading)))
}

// compass judges the field of a lead pair at a compass by its heading error.
func (sh *Sheet) compass(m *mover, s Solid, l *Lead, d float64) {
	apart, need := compassKeep(l)
	b := LeadField(l.Current, math.Max(d, apart), apart)
	e := CompassError(b, earthField)
	r := Result{ID: "apart." + s.Name + "." + l.Name, Label: "distance of " + s.Name + " and " + l.Name, Room: d - need, Least: need, At: &s.At, Refs: []cite.Ref{cite.Ours.At("field of a lead pair, mu0 i s/(2 pi d2)", cite.Derived)},
		Because: fmt.Sprintf("%.0f mm apart; at %.0f A the pair turns the compass by up to %.1f degrees, 5 are allowed; untwisted single leads do far worse.", d*1e3, l.Current, e*180/math.Pi)}
	if d < need {
		r.Status = Fail
		r.Cures = []Cure{{What: fmt.Sprintf("move the compass %.0f mm further from the %s", math.Ceil((need-d)*1e3), l.Name), By: need - d}, {What: "twist the two wires of the " + l.Name}}
		if c, ok := m.apart(s.Name, l.Name); ok {
			r.Cures[0] = c
		}
	}
	sh.add(r)
}

// assembly lists the order of going in, for each opening.
func (sh *Sheet) assembly(ac *craft.Aircraft, all []placed) {
	for i := range ac.Inside.Hatches {
		h := &ac.Inside.Hatches[i]
		bay := &ac.Inside.Bays[h.Bay]
		var in []Solid
		for _, q := range all {
			if q.part.Bay == bay.Name {
				in = append(in, q.solid)
			}
		}
		if len(in) == 0 {
			continue
		}
		line := Line{Through: h.Name, Bay: bay.Name}
		for _, s := range Order(in, h.At) {
			line.Parts = append(line.Parts, s.Name)
		}
		sh.Assembly = append(sh.Assembly, line)
	}
	sort.SliceStable(sh.Assembly, func(i, j int) bool { return len(sh.Assembly[i].Parts) > len(sh.Assembly[j].Parts) })
}

// turning checks the motor's direction against the propeller's hand.
func (sh *Sheet) turning(ac *craft.Aircraft) {
	sh.Turn, _ = Turning(ac.Power.Place, ac.Power.Propeller.Right)
	t := ac.Power.Motor.Turns
	if t == "" || sh.Turn == "" {
		return
	}
	r := Result{ID: "motor-direction", Label: "motor turns the propeller's way", Room: math.NaN(), Status: Pass, Because: upper(sh.Turn) + "; it is wired so.", At: &ac.Power.Propeller.At}
	want := "clockwise"
	if strings.Contains(sh.Turn, "counter-clockwise") {
		want = "counter-clockwise"
	}
	if t != want {
		r.Status = Fail
		r.Because = fmt.Sprintf("%s; it is wired to turn %s: the propeller would push backwards.", upper(sh.Turn), t)
		r.Cures = []Cure{{What: "swap any two of the three motor leads, and try it without the propeller"}}
	}
	sh.add(r)
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
