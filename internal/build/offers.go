package build

import (
	"reflect"
	"strings"

	"fledge/internal/diag"
)

// Offers is a parts file: what a person owns or could buy.
type Offers struct {
	Version Count   `key:"fledge" is:"[1,)" doc:"version of this file format, 1"`
	Note    Text    `key:"note"`
	Parts   []Offer `key:"parts" doc:"parts owned or on offer"`
}

// Offer is one part that could take the place of one of the build.
type Offer struct {
	Name  Text  `key:"name" name:"yes"`
	Kind  Text  `key:"kind" oneof:"battery|motor|controller|propeller|servo|receiver|autopilot|satellite receiver|compass|camera|video transmitter|antenna|ballast|other"`
	For   Text  `key:"for" doc:"name of the part it takes the place of; the one of its kind when left out"`
	Own   Flag  `key:"own" doc:"it lies in the drawer: it costs nothing"`
	Price Value `key:"price" dim:"money" is:"[0,)" doc:"of one"`
	Mass  Value `key:"mass" dim:"mass" is:"(0,)"`
	Size  Place `key:"size" doc:"length, width, height as it would lie"`

	Round   Text  `key:"round" oneof:"x|y|z"`
	Lugs    Place `key:"lugs"`
	CutLugs Flag  `key:"lugs_may_go"`
	Plug    Place `key:"plug"`
	Bend    Value `key:"bend" dim:"length" is:"[0,)"`
	Heat    Value `key:"heat" dim:"power" is:"[0,)"`

	Battery    OfferedBattery    `key:"battery"`
	Motor      OfferedMotor      `key:"motor"`
	Controller OfferedController `key:"controller"`
	Propeller  OfferedPropeller  `key:"propeller"`
	Servo      OfferedServo      `key:"servo"`
	Note       Text              `key:"note"`
}

// OfferedBattery is what a pack's label and charger say.
type OfferedBattery struct {
	Cells          Count `key:"cells" is:"[1,24]"`
	Parallel       Count `key:"parallel" is:"[1,20]"`
	Chemistry      Text  `key:"chemistry" oneof:"LiPo|LiHV|LiIon|LiFe"`
	Capacity       Value `key:"capacity" dim:"charge" is:"(0,)"`
	CellResistance Value `key:"cell_resistance" dim:"resistance" is:"(0,)"`
	Limit          Value `key:"limit" dim:"current" is:"(0,)"`
}

// OfferedMotor is what a motor's label and meter say.
type OfferedMotor struct {
	KV          Value `key:"kv" dim:"motor constant" is:"(0,)"`
	Resistance  Value `key:"resistance" dim:"resistance" is:"(0,)"`
	IdleCurrent Value `key:"idle_current" dim:"current" is:"[0,)"`
	IdleVoltage Value `key:"idle_voltage" dim:"voltage" is:"(0,)"`
	Limit       Value `key:"limit" dim:"current" is:"(0,)"`
	Poles       Count `key:"poles" is:"[2,60]"`
}

// OfferedController is what a controller's label says.
type OfferedController struct {
	Limit      Value `key:"limit" dim:"current" is:"(0,)"`
	Resistance Value `key:"resistance" dim:"resistance" is:"[0,)"`
	Supply     Value `key:"supply" dim:"current" is:"(0,)"`
}

// OfferedPropeller is a propeller.
type OfferedPropeller struct {
	Diameter Value `key:"diameter" dim:"length" is:"(0,)"`
	Pitch    Value `key:"pitch" dim:"length" is:"(0,)"`
	Blades   Count `key:"blades" is:"[1,6]"`
	Style    Text  `key:"style" oneof:"sport|thin|slow|folding"`
	Geometry Text  `key:"geometry" doc:"CSV beside the build"`
	Measured Text  `key:"measured" doc:"CSV beside the build"`
	Limit    Value `key:"limit" dim:"rotation" is:"(0,)"`
}

// OfferedServo is a servo.
type OfferedServo struct {
	Torque       Value `key:"torque" dim:"torque" is:"(0,)"`
	Speed        Value `key:"speed" dim:"angular rate" is:"(0,)"`
	Play         Value `key:"play" dim:"angle" is:"[0,0.5236]"`
	StallCurrent Value `key:"stall_current" dim:"current" is:"(0,)"`
}

func init() { collect(reflect.TypeFor[Offers]()) }

// ParseOffers reads a parts file, with the same care as a build file.
func ParseOffers(file string, text []byte) (*Offers, diag.List) {
	var l diag.List
	d := newDecoder(file, &l)
	d.called = "a parts file"
	root := d.load(text)
	if root == nil || !d.version(root, true) {
		l.Sort()
		return nil, l
	}
	o := new(Offers)
	d.mapping(root, reflect.ValueOf(o).Elem(), "")
	d.offers(o)
	l.Sort()
	return o, l
}

// kinds of an offer and the block that describes each.
var offered = map[string]string{"battery": "battery", "motor": "motor", "controller": "controller", "propeller": "propeller", "servo": "servo"}

func (d *decoder) offers(o *Offers) {
	if len(o.Parts) == 0 && !d.diags.HasErrors() {
		d.fail("no-offers", diag.Span{File: d.file, Line: 1, Col: 1, Len: 1}, `list some under "parts:", each with name, kind, mass and "own: true" or a price`, "the parts file offers nothing")
		return
	}
	v := validator{decoder: d, b: &Build{}}
	v.names("parts", len(o.Parts), func(i int) Text { return o.Parts[i].Name }, true)
	currency := ""
	for i := range o.Parts {
		p := &o.Parts[i]
		if !p.Name.Given {
			continue
		}
		at := p.Name.Span
		if !p.Kind.Given && !v.unread[&p.Kind] {
			d.fail("missing", at, `add "kind:"`, "%s has no kind", p.Name.S)
			continue
		}
		if !p.Own.On && v.missing(&p.Price) {
			d.fail("missing", at, `write "own: true" or a price`, "%s is neither owned nor has it a price", p.Name.S)
		}
		if p.Price.Given {
			switch {
			case currency == "":
				currency = p.Price.Unit
			case p.Price.Unit != currency:
				d.fail("currency", p.Price.Span, "give all prices in "+currency, "the price of %s is in another currency", p.Name.S)
			}
		}
		if v.missing(&p.Mass) && p.Kind.S != "propeller" && !(p.Kind.S == "battery" && p.Battery.Cells.Given && p.Battery.Capacity.Given) {
			d.fail("missing", at, "weigh it, or take the label's", "%s has no mass", p.Name.S)
		}
		need := func(x *Value, key string) {
			if v.missing(x) {
				d.fail("missing", at, "add it under "+p.Kind.S+":", "%s has no %s", p.Name.S, key)
			}
		}
		switch p.Kind.S {
		case "battery":
			if !p.Battery.Cells.Given {
				d.fail("missing", at, "add it under battery:", "%s has no number of cells", p.Name.S)
			}
			need(&p.Battery.Capacity, "capacity")
		case "motor":
			need(&p.Motor.KV, "motor constant (kv)")
		case "propeller":
			need(&p.Propeller.Diameter, "diameter")
			need(&p.Propeller.Pitch, "pitch")
		case "servo":
			need(&p.Servo.Torque, "torque")
		}
		blocks := reflect.ValueOf(p).Elem()
		for kind := range offered {
			f, _ := fieldNamed(blocks.Type(), offered[kind])
			if kind != p.Kind.S && !isEmpty(blocks.Field(f.index)) {
				d.add(diag.Warning, "wrong-block", at, "its kind is "+p.Kind.S, "%s has a block %s that says nothing about a %s", p.Name.S, kind, p.Kind.S)
			}
		}
	}
}

// Takes is the index of the part of the build whose place the offer takes, or
// -1; a propeller that stands in no list of parts is power.propeller. why says
// what is wrong.
func (o *Offer) Takes(b *Build) (part int, why string) {
	part = -1
	if o.For.Given {
		for i := range b.Parts {
			if b.Parts[i].Name.S == o.For.S {
				part = i
			}
		}
		if part < 0 && !(o.Kind.S == "propeller" && o.For.S == "propeller") {
			return -1, "the build has no part " + diag.Quote(o.For.S)
		}
		return part, ""
	}
	named := map[string]string{"battery": b.Power.Battery.Part.S, "motor": b.Power.Motor.Part.S, "controller": b.Power.Controller.Part.S}[o.Kind.S]
	var fitting []string
	for i := range b.Parts {
		if b.Parts[i].Kind.S == o.Kind.S {
			part = i
			fitting = append(fitting, b.Parts[i].Name.S)
			if named != "" && b.Parts[i].Name.S == named {
				return i, ""
			}
		}
	}
	switch {
	case o.Kind.S == "propeller" && len(fitting) == 0:
		return -1, ""
	case len(fitting) == 0:
		return -1, "the build has no " + o.Kind.S
	case len(fitting) > 1:
		return -1, "the build has several: say which with for: " + strings.Join(fitting, ", ")
	}
	return part, ""
}

// Changed is one value that a swap changes; Text "" means left out.
type Changed struct{ Path, Text string }

// Swap puts the offer into the build in place of the part it takes: its mass,
// size and data; what the offer does not say is left out, for the old part's
// numbers are not the new one's. The place, the room to move, bay and name
// stay. It changes b, which must be the caller's own, and returns what changed.
func (o *Offer) Swap(b *Build) []Changed {
	before := spelt(b)
	i, why := o.Takes(b)
	if why != "" {
		return nil
	}
	name := ""
	if i >= 0 {
		p := &b.Parts[i]
		name = p.Name.S
		p.Mass, p.Size = o.Mass, o.Size
		p.Round, p.Lugs, p.CutLugs, p.Plug, p.Bend, p.Heat = o.Round, o.Lugs, o.CutLugs, o.Plug, o.Bend, o.Heat
		p.Price = o.Price
	}
	switch o.Kind.S {
	case "battery":
		t := &b.Power.Battery
		t.Cells, t.Parallel, t.Chemistry, t.Capacity, t.CellResistance, t.Limit = o.Battery.Cells, o.Battery.Parallel, o.Battery.Chemistry, o.Battery.Capacity, o.Battery.CellResistance, o.Battery.Limit
		t.Each, t.Discharge = nil, nil // they were the old pack's
	case "motor":
		t, n := &b.Power.Motor, o.Motor
		t.KV, t.Resistance, t.IdleCurrent, t.IdleVoltage, t.Limit, t.Poles = n.KV, n.Resistance, n.IdleCurrent, n.IdleVoltage, n.Limit, n.Poles
		b.Power.Bench = nil // it was the old motor's
	case "controller":
		t, n := &b.Power.Controller, o.Controller
		t.Limit, t.Resistance, t.Supply = n.Limit, n.Resistance, n.Supply
	case "propeller":
		t, n := &b.Power.Propeller, o.Propeller
		t.Diameter, t.Pitch, t.Blades, t.Style, t.Geometry, t.Measured, t.Limit = n.Diameter, n.Pitch, n.Blades, n.Style, n.Geometry, n.Measured, n.Limit
		if i < 0 {
			t.Mass = o.Mass
		}
		b.Power.Bench = nil
	case "servo":
		for k := range b.Linkages {
			if t := &b.Linkages[k]; t.Servo.S == name {
				t.Torque, t.Speed, t.ServoPlay, t.StallCurrent = o.Servo.Torque, o.Servo.Speed, o.Servo.Play, o.Servo.StallCurrent
				t.Pulse = Pulse{}
			}
		}
	}
	after := spelt(b)
	var out []Changed
	for _, l := range Leaves(b) {
		if t, ok := after[l.Path]; ok && before[l.Path] != t {
			out = append(out, Changed{l.Path, t})
		}
	}
	for path := range before {
		if _, ok := after[path]; !ok {
			out = append(out, Changed{path, ""})
		}
	}
	sortChanged(out)
	return out
}

func sortChanged(list []Changed) {
	for i := 1; i < len(list); i++ {
		for j := i; j > 0 && list[j].Path < list[j-1].Path; j-- {
			list[j], list[j-1] = list[j-1], list[j]
		}
	}
}

// spelt lists what a build says, by path.
func spelt(b *Build) map[string]string {
	out := map[string]string{}
	for _, l := range Leaves(b) {
		if l.Given() {
			out[l.Path] = l.Text()
		}
	}
	return out
}

// Number of pieces an offer stands for: two for a mirrored part.
func (o *Offer) Number(b *Build) int {
	if i, _ := o.Takes(b); i >= 0 && b.Parts[i].Mirrored.On {
		return 2
	}
	return 1
}

// Cost is what taking the offer costs, in its currency; 0 for a part owned.
func (o *Offer) Cost(b *Build) float64 {
	if o.Own.On {
		return 0
	}
	return o.Price.Value * float64(o.Number(b))
}

// Currency is the currency of the file's prices; "" when it has none.
func (o *Offers) Currency() string {
	for i := range o.Parts {
		if p := &o.Parts[i]; p.Price.Given {
			return p.Price.Unit
		}
	}
	return ""
}

// PropellerFiles lists the blade files that offers name.
func (o *Offers) PropellerFiles() []Attachment {
	var out []Attachment
	for i := range o.Parts {
		p := &o.Parts[i]
		for _, t := range []Text{p.Propeller.Geometry, p.Propeller.Measured} {
			if t.Given {
				out = append(out, Attachment{t.S, "parts." + quoteName(p.Name.S), t.Span})
			}
		}
	}
	return out
}
