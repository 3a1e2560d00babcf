package build

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/diag"
)

// Inside is the room inside the aeroplane: what goes where, through which
// opening, past what.
type Inside struct {
	Clearance Value   `key:"clearance" dim:"length" is:"[0,0.05]" doc:"air or padding kept round every part, 1 mm when left out"`
	Wall      Value   `key:"wall" dim:"length" is:"[0,0.05]" doc:"skin thickness of body and wing, 1.5 mm when left out"`
	Bays      []Bay   `key:"bays" doc:"where parts go in"`
	Hatches   []Hatch `key:"hatches" doc:"openings of the bays"`
	Solids    []Block `key:"solids" doc:"spars, frames, ribs: what no part or wire passes through"`
	Routes    []Route `key:"routes" doc:"how wires run, where it is not square from part to part"`
}

// Bay is one place for parts: a box (at and size), a shell (sections) or the
// thickness of a surface (surface, y, from, to).
type Bay struct {
	Name     Text          `key:"name" name:"yes"`
	At       Place         `key:"at" doc:"centre of a box bay"`
	Size     Place         `key:"size" doc:"length, width, height inside a box bay"`
	Sections []BodyStation `key:"sections" doc:"inside cross sections of a shell, nose first"`
	Form     Text          `key:"form" oneof:"round|square" doc:"of the sections, round (ellipses) when left out"`
	Surface  Text          `key:"surface" doc:"a bay in the thickness of this surface"`
	Y        Value         `key:"y" dim:"length" doc:"where along the surface's span its middle lies (z for an upright fin)"`
	Wide     Value         `key:"width" dim:"length" is:"(0,)" doc:"along the span"`
	From     Value         `key:"from" dim:"length" doc:"x of its front"`
	To       Value         `key:"to" dim:"length" doc:"x of its rear"`
	Closed   Flag          `key:"closed" doc:"no air passes through it"`
	Foam     Value         `key:"foam" dim:"length" is:"[0,0.1]" doc:"thickness of foam round it, for heat"`
}

// Hatch is an opening of a bay.
type Hatch struct {
	Name  Text  `key:"name" name:"yes"`
	Bay   Text  `key:"bay" doc:"into which bay"`
	Side  Text  `key:"side" oneof:"top|bottom|left|right|front|rear" doc:"top when left out"`
	At    Place `key:"at" doc:"its middle, for the order of assembly; over the bay's middle when left out"`
	Long  Value `key:"length" dim:"length" is:"(0,)"`
	Wide  Value `key:"width" dim:"length" is:"(0,)"`
	Depth Value `key:"depth" dim:"length" is:"(0,)" doc:"free room behind it in the way in, the bay's own when left out"`
}

// Block is a solid thing: spar, frame, rib.
type Block struct {
	Name     Text  `key:"name" name:"yes"`
	At       Place `key:"at"`
	Size     Place `key:"size"`
	Material Text  `key:"material" doc:"carbon and metal shade antennas"`
	Mirrored Flag  `key:"mirrored"`
}

// Route is how one lead runs.
type Route struct {
	Lead    Text    `key:"lead" doc:"what it is: servo lead, main lead"`
	From    Text    `key:"from" doc:"name of a part"`
	To      Text    `key:"to" doc:"name of a part"`
	Via     []Place `key:"via" doc:"corners on the way"`
	Wires   Count   `key:"wires" is:"[1,12]"`
	Gauge   Count   `key:"gauge" is:"[0,40]" doc:"AWG number"`
	Current Value   `key:"current" dim:"current" is:"[0,)" doc:"in one wire"`
	Slack   Value   `key:"slack" dim:"ratio" is:"[0,1]" doc:"over the way, a tenth when left out"`
	Hole    Value   `key:"hole" dim:"length" is:"(0,)" doc:"narrowest hole on its way"`
	Plug    Value   `key:"plug" dim:"length" is:"(0,)" doc:"widest side of its plug"`
	Ends    Text    `key:"connector" doc:"what it ends in"`
	Bend    Value   `key:"bend" dim:"length" is:"(0,)" doc:"least bend radius, from the bundle when left out"`
}

// Weighing is what scales and swings showed of the finished aeroplane.
type Weighing struct {
	Scales  []ScaleRow `key:"scales" doc:"two or three scales under the level aeroplane"`
	Without []Without  `key:"without" doc:"parts that were off it"`
	Tilted  Tilted     `key:"tilted" doc:"the same with the nose up, for the height of the balance point"`
	Swings  []SwingRow `key:"swings" doc:"swing tests of the inertia"`
}

// ScaleRow is one scale.
type ScaleRow struct {
	At    Place `key:"at" doc:"where it carries, build axes"`
	Reads Value `key:"reads" dim:"mass" is:"[0,)"`
}

// Without names one part.
type Without struct {
	Part Text `key:"part"`
}

// Tilted is a second weighing, nose up.
type Tilted struct {
	NoseUp Value      `key:"nose_up" dim:"angle" is:"(0,1.2]"`
	Scales []ScaleRow `key:"scales"`
}

// SwingRow is one swing test on two or three parallel lines.
type SwingRow struct {
	About   Text  `key:"about" oneof:"roll|pitch|yaw" doc:"the axis that stands upright as it hangs"`
	Lines   Count `key:"lines" is:"[2,3]" doc:"2 when left out"`
	Length  Value `key:"length" dim:"length" is:"(0,)" doc:"of the lines"`
	Spacing Value `key:"spacing" dim:"length" is:"(0,)" doc:"of two lines; diameter of their circle for three"`
	Swings  Count `key:"swings" is:"[1,1000]" doc:"whole swings there and back that were timed"`
	Time    Value `key:"time" dim:"time" is:"(0,)" doc:"for all of them"`
	Mass    Value `key:"mass" dim:"mass" is:"(0,)" doc:"what hung there, the plate included; that of the parts list when left out"`
	Plate   Value `key:"plate_mass" dim:"mass" is:"(0,)" doc:"of the plate that carries it, if any"`
	Bare    Value `key:"plate_time" dim:"time" is:"(0,)" doc:"the plate alone, for as many swings"`
}

// Spot is a place where ballast may go.
type Spot struct {
	Name Text  `key:"name" name:"yes"`
	At   Place `key:"at"`
	Most Value `key:"most" dim:"mass" is:"(0,)" doc:"what has room there"`
}

// Deviation is a place where the aeroplane is not as its manual has it.
type Deviation struct {
	What   Text `key:"what"`
	Manual Text `key:"manual" doc:"what the maker's manual says"`
	Built  Text `key:"built" doc:"what was done"`
	Why    Text `key:"why"`
}

// inside checks bays, hatches, routes and weighings.
func (v *validator) inside(parts map[string]*Part) {
	in := &v.b.Inside
	bays := v.names("inside.bays", len(in.Bays), func(i int) Text { return in.Bays[i].Name }, true)
	v.names("inside.hatches", len(in.Hatches), func(i int) Text { return in.Hatches[i].Name }, true)
	v.names("inside.solids", len(in.Solids), func(i int) Text { return in.Solids[i].Name }, true)
	var bayNames []string
	for i := range in.Bays {
		bayNames = append(bayNames, in.Bays[i].Name.S)
		v.bay(&in.Bays[i])
	}
	inBay := func(t Text, what string) {
		if _, ok := bays[t.S]; t.Given && !ok {
			hint := "describe it under inside.bays"
			if len(bayNames) > 0 {
				hint = "bays: " + strings.Join(bayNames, ", ")
			}
			v.fail("unknown-bay", t.Span, diag.DidYouMean(t.S, bayNames, hint), "%s names the bay %s, which is not described", what, diag.Quote(t.S))
		}
	}
	for i := range in.Hatches {
		h := &in.Hatches[i]
		inBay(h.Bay, "hatch "+h.Name.S)
		if !h.Bay.Given && h.Name.Given {
			v.fail("missing", h.Name.Span, `add "bay:", the bay it opens`, "hatch %s opens no bay", diag.Quote(h.Name.S))
		}
		if h.Name.Given && (v.missing(&h.Long) || v.missing(&h.Wide)) {
			v.fail("missing", h.Name.Span, "measure its length and width", "hatch %s has no size", diag.Quote(h.Name.S))
		}
	}
	for i := range in.Solids {
		s := &in.Solids[i]
		if s.Name.Given && (v.missing(&s.Size.X) || v.missing(&s.Size.Y) || v.missing(&s.Size.Z) || v.missing(&s.At.X)) {
			v.fail("missing", s.Name.Span, "give at.x and size.x, size.y, size.z", "the solid %s has no place or size", diag.Quote(s.Name.S))
		}
	}
	for i := range v.b.Parts {
		p := &v.b.Parts[i]
		inBay(p.Bay, p.Name.S)
		if p.Round.Given && p.Size.X.Given && p.Size.Y.Given && p.Size.Z.Given {
			s := [3]float64{p.Size.X.Value, p.Size.Y.Value, p.Size.Z.Value}
			a := strings.Index("xyz", p.Round.S)
			if b, c := s[(a+1)%3], s[(a+2)%3]; math.Abs(b-c) > 0.02*math.Max(b, c) {
				v.fail("impossible", p.Round.Span, "a cylinder along "+p.Round.S+" has one diameter: give the other two sides alike", "%s is round along %s, but its other sides are %s and %s", p.Name.S, p.Round.S, mm(b), mm(c))
			}
		}
	}
	known := func(t Text, what string) {
		if t.Given {
			if _, ok := parts[t.S]; !ok {
				v.partNamed(t, "", parts)
			}
		} else {
			v.fail("missing", t.Span, "name a part", "%s", what)
		}
	}
	for i := range in.Routes {
		r := &in.Routes[i]
		if !r.From.Given || !r.To.Given {
			at := v.itemSpan("inside.routes", i)
			v.fail("missing", at, `name the parts it joins: "from:" and "to:"`, "inside.routes[%d] joins nothing", i)
			continue
		}
		known(r.From, "")
		known(r.To, "")
		for j := range r.Via {
			if v.missing(&r.Via[j].X) {
				v.fail("missing", r.From.Span, "each corner has at least an x", "corner %d of the route from %s has no x", j, r.From.S)
			}
		}
	}
	v.weighing(parts)
}

func (v *validator) bay(b *Bay) {
	box := b.Size.X.Given || b.Size.Y.Given || b.Size.Z.Given
	ways := 0
	for _, on := range []bool{box, len(b.Sections) > 0, b.Surface.Given} {
		if on {
			ways++
		}
	}
	switch {
	case !b.Name.Given:
	case ways != 1:
		v.fail("impossible", b.Name.Span, "give at and size, or sections, or surface with y, from and to", "the bay %s is described in %d ways, it needs one", diag.Quote(b.Name.S), ways)
	case box:
		if v.missing(&b.At.X) || v.missing(&b.Size.X) || v.missing(&b.Size.Y) || v.missing(&b.Size.Z) {
			v.fail("missing", b.Name.Span, "give at.x and size.x, size.y, size.z", "the bay %s lacks its place or a side", diag.Quote(b.Name.S))
		}
	case len(b.Sections) > 0:
		if len(b.Sections) < 2 {
			v.fail("missing", b.Name.Span, "give at least front and rear", "the shell %s has one section, it needs two", diag.Quote(b.Name.S))
		}
		for i := range b.Sections {
			s := &b.Sections[i]
			if v.missing(&s.X) || v.missing(&s.Width) || v.missing(&s.Height) {
				v.fail("missing", b.Name.Span, "x, width and height", "section %d of the shell %s lacks a number", i, diag.Quote(b.Name.S))
			}
			if i > 0 && s.X.Given && b.Sections[i-1].X.Given && s.X.Value <= b.Sections[i-1].X.Value {
				v.fail("crossing", s.X.Span, "order the sections from nose to tail", "the shell %s runs back: section %d lies before section %d", b.Name.S, i, i-1)
			}
		}
	default:
		var names []string
		var on *Surface
		for i := range v.b.Surfaces {
			names = append(names, v.b.Surfaces[i].Name.S)
			if v.b.Surfaces[i].Name.S == b.Surface.S {
				on = &v.b.Surfaces[i]
			}
		}
		if on == nil {
			v.fail("unknown-surface", b.Surface.Span, diag.DidYouMean(b.Surface.S, names, "surfaces: "+strings.Join(names, ", ")), "there is no surface %s", diag.Quote(b.Surface.S))
			return
		}
		if v.missing(&b.Y) || v.missing(&b.From) || v.missing(&b.To) {
			v.fail("missing", b.Name.Span, "give y, from and to", "the bay %s does not say where in the surface it lies", diag.Quote(b.Name.S))
			return
		}
		if b.From.Value >= b.To.Value {
			v.fail("impossible", b.From.Span, `"from" is the front, "to" the rear`, "the bay %s starts at %s and ends at %s", b.Name.S, b.From.Text, b.To.Text)
		}
		if low, high := spanOf(on); len(on.Stations) > 1 && (b.Y.Value < low-1e-9 || b.Y.Value > high+1e-9) {
			v.fail("impossible", b.Y.Span, fmt.Sprintf("%s reaches from %s to %s", on.Name.S, mm(low), mm(high)), "the bay %s lies outside its surface", diag.Quote(b.Name.S))
		}
	}
}

func (v *validator) weighing(parts map[string]*Part) {
	w := &v.b.Weighing
	for _, list := range []struct {
		key  string
		rows []ScaleRow
	}{{"weighing.scales", w.Scales}, {"weighing.tilted.scales", w.Tilted.Scales}} {
		for i := range list.rows {
			if r := &list.rows[i]; v.missing(&r.At.X) || v.missing(&r.Reads) {
				v.fail("missing", v.itemSpan(list.key, i), "give at.x and reads", "%s[%d] lacks its place or its reading", list.key, i)
			}
		}
		if len(list.rows) == 1 {
			v.fail("missing", v.itemSpan(list.key, 0), "two scales, or three", "one scale weighs, but it takes two or three to find the balance")
		}
		if len(list.rows) > 1 {
			apart := 0.0
			for i := range list.rows {
				for j := range i {
					a, b := list.rows[i].At, list.rows[j].At
					apart = math.Max(apart, math.Hypot(a.X.Value-b.X.Value, a.Y.Value-b.Y.Value))
				}
			}
			if apart < 1e-6 {
				v.fail("impossible", v.itemSpan(list.key, 1), "measure where each carries", "all scales of %s stand at the same place", list.key)
			}
		}
	}
	if len(w.Tilted.Scales) > 0 && v.missing(&w.Tilted.NoseUp) {
		v.fail("missing", v.itemSpan("weighing.tilted.scales", 0), `add "nose_up:"`, "weighing.tilted does not say by how much")
	}
	for i := range w.Without {
		v.partNamed(w.Without[i].Part, parts[w.Without[i].Part.S].kindOr(""), parts)
	}
	for i := range w.Swings {
		s := &w.Swings[i]
		if !s.About.Given || v.missing(&s.Length) || v.missing(&s.Spacing) || v.missing(&s.Time) || !s.Swings.Given {
			v.fail("missing", v.itemSpan("weighing.swings", i), "about, length, spacing, swings and time", "weighing.swings[%d] lacks a number", i)
		}
	}
	v.names("ballast", len(v.b.Ballast), func(i int) Text { return v.b.Ballast[i].Name }, true)
	for i := range v.b.Ballast {
		if s := &v.b.Ballast[i]; s.Name.Given && v.missing(&s.At.X) {
			v.fail("missing", s.Name.Span, "give at.x", "the ballast place %s has no x", diag.Quote(s.Name.S))
		}
	}
}

// kindOr is the kind of a part, or the word when there is no such part.
func (p *Part) kindOr(word string) string {
	if p == nil {
		return word
	}
	return p.Kind.S
}
