package prints

import "math"

// Horn is a control horn to be glued into a slot: a blade of the given height
// from the hinge line to the rod's hole, a shoulder that rests on the skin, a
// tang below, and a tag with its words that is snapped off after the proof load.
// All m.
type Horn struct {
	Height, Root, Width float64 // hole over the root, depth and thickness there
	Hole, Tip           float64 // diameter of the hole, radius of the tip
	Tang                float64 // depth of the tang; 0: 8 mm
	Lines               []string
}

// Outline is the horn lying on its side: x along the chord, y up from the root,
// the tag below. tag is the upper left corner and the size of the tag.
func (h Horn) Outline() (r Region, tag [4]float64, err error) {
	if !(h.Height > 1e-3 && h.Root > 0 && h.Width > 0 && h.Hole > 0) {
		return r, tag, bad("a horn without height, root, width or hole")
	}
	if h.Tip < h.Hole/2+0.8e-3 {
		return r, tag, bad("a hole of %.1f mm leaves no rim in a tip of %.1f mm", h.Hole*1e3, 2*h.Tip*1e3)
	}
	if h.Height < h.Tip+1e-3 {
		return r, tag, bad("a horn of %.1f mm is no longer than its tip", h.Height*1e3)
	}
	tang := h.Tang
	if tang <= 0 {
		tang = 8e-3
	}
	d := math.Max(h.Root, 2*h.Tip) / 2
	fil := 0.1 * 2 * d // the fillet that the strength counts on
	const shoulder, edge, neck, neckLong = 2e-3, 2e-3, 0.6e-3, 1.6e-3
	var p []Pt
	// Round the tip, from the right flank to the left: flanks touch the circle.
	s := math.Min(0.999, (d-h.Tip)/h.Height)
	lean := math.Asin(s)
	for i := range 25 {
		a := -lean + (math.Pi+2*lean)*float64(i)/24
		p = append(p, Pt{h.Tip * math.Cos(a), h.Height + h.Tip*math.Sin(a)})
	}
	arc := func(cx, cy, from, to float64) {
		for i := 1; i <= 8; i++ {
			a := from + (to-from)*float64(i)/8
			p = append(p, Pt{cx + fil*math.Cos(a), cy + fil*math.Sin(a)})
		}
	}
	foot := d + fil + edge
	// Down the left flank, fillet, shoulder, tang, neck, tag and up again.
	p = append(p, Pt{-d, fil})
	arc(-d-fil, fil, 0, -math.Pi/2)
	p = append(p, Pt{-foot, 0}, Pt{-foot, -shoulder}, Pt{-d, -shoulder}, Pt{-d, -shoulder - tang})
	const letter = 3.2e-3
	long := 16e-3
	for _, l := range h.Lines {
		if _, w, _ := Letters(l, 0, 0, letter); w+5e-3 > long {
			long = math.Min(w+5e-3, 90e-3)
		}
	}
	high := float64(len(h.Lines))*letter*1.35 + 2.6e-3
	if len(h.Lines) > 0 {
		y := -shoulder - tang - neckLong
		tag = [4]float64{-long / 2, y, long, high}
		p = append(p, Pt{-neck, -shoulder - tang}, Pt{-neck, y}, Pt{-long / 2, y}, Pt{-long / 2, y - high}, Pt{long / 2, y - high}, Pt{long / 2, y}, Pt{neck, y}, Pt{neck, -shoulder - tang})
	}
	p = append(p, Pt{d, -shoulder - tang}, Pt{d, -shoulder}, Pt{foot, -shoulder}, Pt{foot, 0}, Pt{d + fil, 0})
	arc(d+fil, fil, -math.Pi/2, -math.Pi)
	r = Region{Outer: p, Holes: [][]Pt{Circle(0, h.Height, h.Hole/2, 40)}}
	if glue := 0.75e-3; 2*d > 8*glue && tang > 4e-3 {
		r.Holes = append(r.Holes, Circle(-d/2, -shoulder-tang/2, glue, 20), Circle(d/2, -shoulder-tang/2, glue, 20))
	}
	return r, tag, nil
}

// Circle is a ring of n points whose area is that of the circle: a hole that
// is neither tight nor slack.
func Circle(x, y, radius float64, n int) []Pt {
	a := 2 * math.Pi / float64(n)
	radius *= math.Sqrt(a / math.Sin(a))
	out := make([]Pt, n)
	for i := range out {
		s, c := math.Sincos(a * float64(i))
		out[i] = Pt{x + radius*c, y + radius*s}
	}
	return out
}

// Plate is the horn as a plate with its words on the tag.
func (h Horn) Plate(name string, notes []string) (p Plate, missing []rune, short []string, err error) {
	r, tag, err := h.Outline()
	if err != nil {
		return p, nil, nil, err
	}
	p = Plate{Name: name, Notes: notes, Base: r, Thick: h.Width, Proud: 0.5e-3}
	if len(h.Lines) > 0 {
		p.Raised, missing, short = wordsIn(h.Lines, tag[0]+2e-3, tag[1]-1.5e-3, tag[2]-4e-3, 3.2e-3, 2.4e-3)
	}
	return p, missing, short, nil
}
