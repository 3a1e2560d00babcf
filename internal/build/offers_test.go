package build

import (
	"strings"
	"testing"
)

const someOffers = `fledge: 1
parts:
  - {name: long pack, kind: battery, own: true, mass: 210 g weighed, size: {x: 80 mm, y: 35 mm, z: 30 mm}, battery: {cells: 4, capacity: 2200 mAh, limit: 100 A}}
  - {name: tall prop, kind: propeller, price: 4 EUR, propeller: {diameter: 7 in, pitch: 5 in}}
  - {name: strong servo, kind: servo, for: aileron servo, price: 12 EUR, mass: 13 g, servo: {torque: 3 kg cm}}
`

const forOffers = `fledge: 1
aeroplane: {name: Wren}
surfaces:
  - name: wing
    mirrored: true
    stations: [{x: 0 mm, y: 0 mm, chord: 100 mm}, {x: 0 mm, y: 300 mm, chord: 100 mm}]
    controls: [{name: aileron, from: 100 mm, to: 290 mm, moves: roll}]
parts:
  - {name: pack, kind: battery, mass: 150 g, at: {x: 10 mm}, size: {x: 60 mm, y: 30 mm, z: 20 mm}}
  - {name: aileron servo, kind: servo, mirrored: true, mass: 9 g, at: {x: 40 mm, y: 150 mm}}
linkages: [{control: aileron, servo: aileron servo, torque: 1 kg cm, arm: 10 mm}]
power:
  battery: {part: pack, cells: 3, capacity: 1500 mAh, cell_resistance: 5 mohm}
  propeller: {diameter: 6 in, pitch: 4 in}
`

func TestOffers(t *testing.T) {
	o, l := ParseOffers("p", []byte(someOffers))
	if len(l) > 0 || len(o.Parts) != 3 || o.Currency() != "EUR" {
		t.Fatalf("%v\n%+v", l, o)
	}
	read := func() *Build {
		b, l := Parse("b", []byte(forOffers))
		if l.HasErrors() {
			t.Fatal(l)
		}
		return b
	}
	b := read()
	ch := o.Parts[0].Swap(b)
	if b.Parts[0].Mass.Text != "210 g weighed" || b.Parts[0].At.X.Text != "10 mm" || b.Power.Battery.CellResistance.Given || b.Power.Battery.Cells.N != 4 {
		t.Errorf("%+v", b.Parts[0])
	}
	gone, changed := 0, map[string]string{}
	for _, c := range ch {
		if c.Text == "" {
			gone++
		}
		changed[c.Path] = c.Text
	}
	if gone != 1 || changed["parts.pack.mass"] != "210 g weighed" || changed["power.battery.capacity"] != "2200 mAh" {
		t.Errorf("%+v", ch)
	}
	// What the swap says can be typed: it gives the same build but for what is left out.
	text := []byte(forOffers)
	for _, c := range ch {
		if c.Text == "" {
			continue
		}
		var ds interface{ HasErrors() bool }
		text, ds = Set(text, c.Path, c.Text)
		if ds.HasErrors() {
			t.Errorf("%s=%s: %v", c.Path, c.Text, ds)
		}
	}
	if n := o.Parts[2].Cost(read()); n != 24 {
		t.Errorf("two servos cost %g", n)
	}
	b = read()
	o.Parts[1].Swap(b)
	if b.Power.Propeller.Diameter.Text != "7 in" {
		t.Errorf("%+v", b.Power.Propeller)
	}
	b = read()
	o.Parts[2].Swap(b)
	if b.Linkages[0].Torque.Text != "3 kg cm" || b.Linkages[0].Arm.Text != "10 mm" || !b.Parts[1].Mirrored.On {
		t.Errorf("%+v", b.Linkages[0])
	}
}

func TestOffersBad(t *testing.T) {
	for _, c := range []struct{ old, new, code, hint string }{
		{"own: true", "own: false", "missing", `write "own: true" or a price`},
		{"price: 4 EUR", "price: 4 USD", "currency", ""},
		{"price: 4 EUR", "price: -4 EUR", "impossible", "it must not be negative"},
		{"mass: 13 g,", "", "missing", "weigh it, or take the label's"},
		{"mass: 13 g", "mass: 13", "no-unit", ""},
		{"kind: servo", "kind: servoo", "unknown-word", ""},
		{"cells: 4, ", "", "missing", "add it under battery:"},
		{"name: tall prop", "name: long pack", "duplicate-name", ""},
		{"parts:", "offers:", "unknown-key", ""},
		{"fledge: 1", "fledge: 9", "version", ""},
		{"torque: 3 kg cm", "torque: 3 kg", "wrong-unit", ""},
	} {
		bad := strings.Replace(someOffers, c.old, c.new, 1)
		if bad == someOffers {
			t.Fatalf("%q is not in the text", c.old)
		}
		_, l := ParseOffers("p", []byte(bad))
		found := false
		for _, d := range l {
			found = found || d.Code == c.code && d.Span.File == "p" && d.Span.Line > 0 && (c.hint == "" || d.Hint == c.hint)
		}
		if !found {
			t.Errorf("%q for %q: %v", c.new, c.old, l)
		}
	}
	for _, text := range []string{"fledge: 1\n", "fledge: 1\nparts: []\n"} {
		_, l := ParseOffers("p", []byte(text))
		if len(l) != 1 || l[0].Code != "no-offers" {
			t.Errorf("%q: %v", text, l)
		}
	}
	if _, l := ParseOffers("p", []byte("- 1")); len(l) != 1 || !strings.Contains(l[0].Message, "a parts file") {
		t.Error(l)
	}
}

func FuzzOffers(f *testing.F) {
	f.Add([]byte(someOffers))
	f.Add([]byte("fledge: 1\nparts: [{name: a, kind: motor, for: b}]\n"))
	b, _ := Parse("b", []byte(forOffers))
	f.Fuzz(func(t *testing.T, text []byte) {
		o, l := ParseOffers("p", text)
		if o == nil || l.HasErrors() {
			if !l.HasErrors() {
				t.Fatal("nothing read, and nothing said")
			}
			return
		}
		for i := range o.Parts {
			one := *b
			one.Parts = append([]Part(nil), b.Parts...)
			one.Linkages = append([]Linkage(nil), b.Linkages...)
			o.Parts[i].Swap(&one)
			o.Parts[i].Cost(&one)
		}
	})
}
