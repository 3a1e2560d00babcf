package build

import (
	"fmt"
	"math"
	"reflect"
	"sort"
	"strconv"
	"strings"

	yaml "go.yaml.in/yaml/v4"

	"fledge/internal/diag"
	"fledge/internal/unit"
)

// KitStep is one number or word of the guided intake of a kit.
type KitStep struct {
	Key     string   // how an answers file and --set name it
	Stage   string   // with which tool in hand
	Ask     string   // the question
	How     string   // how to do it
	Example string   // an answer
	Word    string   // where the answer is taken to come from when it does not say: its doubt
	Dim     unit.Dim // None: a word or a count
	Words   []string // allowed, if only these are
	Count   bool
	Core    bool     // one of the dozen that a useful answer needs
	Only    []string // layouts it is asked for; empty: all
}

const callipers = "callipers or a steel ruler, to the nearest half millimetre"

// KitSteps lists the intake in the order it is done: what the manual says,
// then one tool after the other, so that nothing is picked up twice.
func KitSteps() []KitStep {
	w := func(key, stage, ask, how, example string, words ...string) KitStep {
		return KitStep{Key: key, Stage: stage, Ask: ask, How: how, Example: example, Words: words}
	}
	q := func(key, stage, ask, how, example, word string, dim unit.Dim) KitStep {
		return KitStep{Key: key, Stage: stage, Ask: ask, How: how, Example: example, Word: word, Dim: dim}
	}
	n := func(key, stage, ask, how, example string) KitStep {
		return KitStep{Key: key, Stage: stage, Ask: ask, How: how, Example: example, Count: true}
	}
	core := func(s KitStep) KitStep { s.Core = true; return s }
	only := func(s KitStep, layouts ...string) KitStep { s.Only = layouts; return s }
	const manual, scales, ruler, places, labels, cord, balance = "The manual", "Kitchen scale", "Ruler and callipers", "Where things sit", "Labels", "Luggage scale and launch gear", "Two scales, the battery out"
	return []KitStep{
		w("name", manual, "What is it called", "", "Plover"),
		core(w("layout", manual, "Which layout", "", "v-tail", Layouts()...)),
		q("manual.mass", manual, "Heaviest take-off mass the manual allows", "becomes a limit", "1.1 kg", "maker", unit.Mass),
		q("manual.flying_mass", manual, "Flying mass the maker claims", "becomes a claim, judged later", "950 g", "", unit.Mass),
		q("manual.balance_from", manual, "Foremost balance point of the manual, from the nose tip", "turn 'behind the leading edge' into 'from the nose tip': add the leading edge's place", "300 mm", "", unit.Length),
		q("manual.balance_to", manual, "Aftmost balance point of the manual, from the nose tip", "the same as the foremost where it names one point", "315 mm", "", unit.Length),
		q("manual.top_speed", manual, "Top speed the maker claims", "becomes a claim, judged by a log", "235 km/h", "", unit.Speed),
		q("manual.never_exceed", manual, "Speed the manual forbids to exceed", "becomes a limit", "70 m/s", "", unit.Speed),

		core(q("mass.wing", scales, "Both wing halves, with spar, servos out", "zero the scale with the box on it; weigh twice, turned", "258 g", "weighed", unit.Mass)),
		core(q("mass.body", scales, "Body, bare, hatches on", "", "196 g", "weighed", unit.Mass)),
		core(q("mass.tail", scales, "Tail or fins, all of it", "where it is one piece with the body leave it out", "64 g", "weighed", unit.Mass)),
		core(q("mass.motor", scales, "Motor with its mount and screws", "", "92 g", "weighed", unit.Mass)),
		core(q("mass.battery", scales, "Battery with its plug and strap", "", "196 g", "weighed", unit.Mass)),
		q("mass.controller", scales, "Controller with its wires", "", "38 g", "weighed", unit.Mass),
		q("mass.servo", scales, "One servo with arm and screws", "", "11 g", "weighed", unit.Mass),
		q("mass.receiver", scales, "Receiver", "", "8 g", "weighed", unit.Mass),
		q("mass.rest", scales, "All the rest together: wires, hardware, glue to come", "what lies on the bench and will be in it", "58 g ± 6 g", "guess", unit.Mass),

		core(q("span", ruler, "Wing span, tip to tip", "a folding rule over the assembled wing", "1040 mm", "measured", unit.Length)),
		core(q("wing.root_chord", ruler, "Chord of the wing at the middle", "nose to trailing edge along the body's side; carry the edges on to the middle", "192 mm", "measured", unit.Length)),
		core(q("wing.tip_chord", ruler, "Chord at the tip", "where the straight edges end, not on the rounding", "98 mm", "measured", unit.Length)),
		core(q("wing.x", ruler, "From the nose tip to the wing's leading edge at the middle", "two plumb lines on the floor", "262 mm", "measured", unit.Length)),
		core(q("wing.tip_back", ruler, "Tip's leading edge behind that of the middle", "a string along the leading edge at the middle, square to the body", "44 mm", "measured", unit.Length)),
		q("wing.tip_rise", ruler, "Tip higher than the middle", "wing on the table, a ruler under each tip", "20 mm", "measured", unit.Length),
		q("wing.washout", ruler, "Tip's nose turned down against the middle", "incidence gauge, or the heights of both edges over the table", "1.5 deg", "measured", unit.Angle),
		only(q("tail.x", ruler, "From the nose tip to the tail's leading edge at its root", "", "720 mm", "measured", unit.Length), Conventional, VTail),
		only(q("tail.root_chord", ruler, "Chord of the tail at its root", callipers, "112 mm", "measured", unit.Length), Conventional, VTail),
		only(q("tail.tip_chord", ruler, "Chord of the tail at its tip", callipers, "76 mm", "measured", unit.Length), Conventional, VTail),
		only(q("tail.tip_side", ruler, "Tail tip to the side of the middle", "", "165 mm", "measured", unit.Length), Conventional, VTail),
		only(q("tail.tip_rise", ruler, "Tail tip over its root", "of a V", "110 mm", "measured", unit.Length), VTail),
		q("body.length", ruler, "Length of the body", "nose tip to tail end", "830 mm", "measured", unit.Length),
		q("body.width", ruler, "Widest place of the body", callipers, "60 mm", "measured", unit.Length),
		q("body.height", ruler, "Highest place of the body", callipers, "68 mm", "measured", unit.Length),

		q("at.motor", places, "Middle of the motor, from the nose tip", "", "34 mm", "measured", unit.Length),
		core(q("at.battery", places, "Middle of the battery as you mean to put it", "", "234 mm", "measured", unit.Length)),
		q("battery.from", places, "Foremost place its middle can go to", "", "112 mm", "", unit.Length),
		q("battery.to", places, "Aftmost place its middle can go to", "", "240 mm", "", unit.Length),
		q("at.controller", places, "Middle of the controller", "", "84 mm", "measured", unit.Length),
		q("at.receiver", places, "Middle of the receiver", "", "268 mm", "measured", unit.Length),

		n("cells", labels, "Cells in series", "", "4"),
		q("capacity", labels, "Battery capacity", "", "1800 mAh", "label", unit.Charge),
		q("kv", labels, "Motor constant", "", "1750 rpm/V", "label", unit.MotorConstant),
		q("propeller.diameter", labels, "Propeller diameter", "", "6 in", "", unit.Length),
		q("propeller.pitch", labels, "Propeller pitch", "", "5.5 in", "", unit.Length),
		w("place", labels, "Propeller in front or behind", "", "tractor", "tractor", "pusher"),
		q("controller.limit", labels, "Controller's continuous current", "", "60 A", "", unit.Current),
		q("servo.torque", labels, "Servo torque at your voltage", "", "2.1 kg cm", "label", unit.Torque),

		w("launch", cord, "Launched by", "", "bungee", "bungee", "hand"),
		q("hook.x", cord, "Hook, from the nose tip", "where the ring sits", "274 mm", "measured", unit.Length),
		q("hook.z", cord, "Hook over (+) or under (-) the height of the nose tip", "", "-32 mm", "measured", unit.Length),
		q("pull.stretch", cord, "Stretch of the cord as you mean to pull it", "beyond slack", "10 m", "measured", unit.Length),
		q("pull.force", cord, "Pull at that stretch", "luggage scale between hand and line", "48 N", "measured", unit.Force),

		core(q("balance.front_x", balance, "Front scale carries at, from the nose tip", "level; a knife edge or a dowel on each scale", "255 mm", "measured", unit.Length)),
		core(q("balance.front_reads", balance, "Front scale shows", "", "610 g", "weighed", unit.Mass)),
		core(q("balance.rear_x", balance, "Rear scale carries at", "", "635 mm", "measured", unit.Length)),
		core(q("balance.rear_reads", balance, "Rear scale shows", "", "182 g", "weighed", unit.Mass)),
	}
}

// Kit is the answers of an intake, as text by key, and the deviations from the
// manual.
type Kit struct {
	Answers    map[string]string
	Deviations []KitDeviation
}

// KitDeviation is one.
type KitDeviation struct{ What, Manual, Built, Why string }

// ForLayout says whether a step is asked for a layout.
func (s *KitStep) ForLayout(layout string) bool {
	if len(s.Only) == 0 {
		return true
	}
	if layout == "" {
		layout = Conventional
	}
	return contains(s.Only, layout)
}

// Read judges one answer: the quantity with its word, when it gives neither a
// word nor a ±; or why it cannot be.
func (s *KitStep) Read(text string) (unit.Quantity, *diag.Diagnostic) {
	bad := func(hint, format string, args ...any) (unit.Quantity, *diag.Diagnostic) {
		return unit.Quantity{}, &diag.Diagnostic{Severity: diag.Error, Code: "bad-answer", Message: s.Key + ": " + fmt.Sprintf(format, args...), Hint: hint}
	}
	text = strings.TrimSpace(text)
	switch {
	case s.Dim != unit.None:
		v, err := unit.Parse(text, s.Dim)
		if err != nil {
			if e, ok := err.(*unit.Error); ok {
				return bad(firstOf(e.Hint, "as in "+s.Example), "%s", e.Message)
			}
			return bad("as in "+s.Example, "%v", err)
		}
		if s.Word != "" && !v.Stated && v.Word == unit.Unmarked {
			if w, err := unit.Parse(text+" "+s.Word, s.Dim); err == nil {
				v = w
			}
		}
		switch s.Dim {
		case unit.Angle:
		case unit.Length:
			if v.Value < 0 && s.Key != "hook.z" && s.Key != "wing.tip_back" && s.Key != "wing.tip_rise" && s.Key != "tail.tip_rise" && s.Key != "hook.x" {
				return bad("measure it from the nose tip", "it cannot be negative")
			}
		default:
			if v.Value <= 0 {
				return bad("as in "+s.Example, "it must be more than zero")
			}
		}
		return v, nil
	case s.Count:
		if n, err := strconv.Atoi(text); err != nil || n < 1 || n > 24 {
			return bad("as in "+s.Example, "%s is not a whole number from 1 to 24", diag.Quote(text))
		}
	case len(s.Words) > 0 && !contains(s.Words, strings.ToLower(text)):
		return bad(diag.DidYouMean(text, s.Words, "one of: "+strings.Join(s.Words, ", ")), "%s is not known", diag.Quote(text))
	case len(text) > 100:
		return bad("", "it is too long")
	}
	return unit.Quantity{}, nil
}

func firstOf(list ...string) string {
	for _, s := range list {
		if s != "" {
			return s
		}
	}
	return ""
}

// KitFile makes a commented build file of an intake: what was weighed and
// measured with its doubt, the maker's numbers as limits and claims, what is
// built otherwise as deviations; all else is assumed and marked so, and the
// head of the file says what to measure next. open lists those steps. Answers
// that cannot be come back as diagnostics, and no text.
func KitFile(k Kit) (text []byte, open []KitStep, l diag.List) {
	steps := KitSteps()
	byKey := map[string]*KitStep{}
	var keys []string
	for i := range steps {
		byKey[steps[i].Key] = &steps[i]
		keys = append(keys, steps[i].Key)
	}
	got := map[string]unit.Quantity{}
	var given []string
	for key := range k.Answers {
		given = append(given, key)
	}
	sort.Strings(given)
	for _, key := range given {
		s, ok := byKey[key]
		if !ok {
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "unknown-key", Message: "the intake has no " + diag.Quote(key), Hint: diag.DidYouMean(key, keys, "fledge new --kit --sheet lists all")})
			continue
		}
		v, d := s.Read(k.Answers[key])
		if d != nil {
			l.Add(*d)
			continue
		}
		got[key] = v
	}
	if l.HasErrors() {
		return nil, nil, l
	}
	word := func(key string) string { return strings.ToLower(strings.TrimSpace(k.Answers[key])) }
	has := func(key string) bool { _, ok := got[key]; return ok }
	a := Answers{Name: strings.TrimSpace(k.Answers["name"]), Layout: word("layout"), Span: got["span"], Capacity: got["capacity"], BatteryMass: got["mass.battery"], KV: got["kv"], MotorMass: got["mass.motor"],
		Diameter: got["propeller.diameter"], Pitch: got["propeller.pitch"], Place: word("place"), Launch: word("launch")}
	a.Cells, _ = strconv.Atoi(strings.TrimSpace(k.Answers["cells"]))
	if has("mass.wing") && has("mass.body") && has("mass.motor") && has("mass.battery") {
		m := 0.06
		for _, key := range []string{"mass.wing", "mass.body", "mass.tail", "mass.motor", "mass.battery", "mass.controller", "mass.receiver"} {
			m += got[key].Value
		}
		a.Mass = unit.Quantity{Value: m, Dim: unit.Mass, Unit: "g", Text: fmt.Sprintf("%.0f g", m*1e3)}
	}
	text, ds := Starter(a)
	if ds.HasErrors() { // the masses leave no room for its rules: let it assume them
		a.Mass, a.BatteryMass, a.MotorMass = unit.Quantity{}, unit.Quantity{}, unit.Quantity{}
		if text, ds = Starter(a); ds.HasErrors() {
			return nil, nil, ds
		}
	}
	b, ds := Parse("", text)
	if ds.HasErrors() {
		panic("build: a starting file has errors: " + ds.Err().Error())
	}
	e := kitEdit{b: b, k: k, got: got}
	e.all()
	out := text
	changed := map[string]bool{}
	for _, s := range e.set {
		next, ds := Set(out, s.Path, s.Value)
		if ds.HasErrors() {
			for _, d := range ds {
				d.Span = diag.Span{}
				d.Message = "cannot put in " + s.Path + ": " + d.Message
				l.Add(d)
			}
			return nil, nil, l
		}
		note(out, next, changed)
		out = next
	}
	out = unmark(out, changed)
	if _, ds := Parse("", out); ds.HasErrors() {
		for _, d := range ds {
			if d.Severity == diag.Error {
				d.Span = diag.Span{}
				l.Add(d)
			}
		}
		return nil, nil, l
	}
	layout := a.Layout
	for _, s := range steps {
		if k.Answers[s.Key] == "" && s.ForLayout(layout) && s.Key != "name" && s.Key != "layout" {
			open = append(open, s)
		}
	}
	sort.SliceStable(open, func(i, j int) bool { return open[i].Core && !open[j].Core })
	for _, d := range e.say {
		l.Add(d)
	}
	return head(out, len(k.Answers), open), open, l
}

// kitEdit turns answers into settings.
type kitEdit struct {
	b   *Build
	k   Kit
	got map[string]unit.Quantity
	set []Setting
	say diag.List
}

func (e *kitEdit) put(path string, key string) {
	if v, ok := e.got[key]; ok {
		e.set = append(e.set, Setting{path, quantityText(v)})
	}
}

func (e *kitEdit) to(path, value string) { e.set = append(e.set, Setting{path, value}) }

func (e *kitEdit) part(names ...string) string {
	for _, n := range names {
		for i := range e.b.Parts {
			if e.b.Parts[i].Name.S == n {
				return "parts." + quoteName(n)
			}
		}
	}
	return ""
}

func (e *kitEdit) all() {
	got := e.got
	has := func(keys ...string) bool {
		for _, k := range keys {
			if _, ok := got[k]; !ok {
				return false
			}
		}
		return true
	}
	val := func(key string, otherwise float64) float64 {
		if v, ok := got[key]; ok {
			return v.Value
		}
		return otherwise
	}
	shells := map[string]string{"mass.wing": e.part("wing shell"), "mass.body": e.part("body shell"), "mass.tail": e.part("tail shell", "fin shells", "foreplane shell"), "mass.motor": e.part("motor"),
		"mass.battery": e.part("battery"), "mass.controller": e.part("controller"), "mass.receiver": e.part("receiver")}
	for _, key := range []string{"mass.wing", "mass.body", "mass.tail", "mass.motor", "mass.battery", "mass.controller", "mass.receiver"} {
		if path := shells[key]; path != "" {
			e.put(path+".mass", key)
		}
	}
	for i := range e.b.Parts {
		if p := &e.b.Parts[i]; p.Kind.S == "servo" {
			e.put("parts."+quoteName(p.Name.S)+".mass", "mass.servo")
		}
	}
	// The wing: root and tip, straight between them.
	var wing *Surface
	for i := range e.b.Surfaces {
		if e.b.Surfaces[i].Name.S == "wing" {
			wing = &e.b.Surfaces[i]
		}
	}
	root, tip := &wing.Stations[0], &wing.Stations[len(wing.Stations)-1]
	at := func(j int) string { return fmt.Sprintf("surfaces.wing.stations[%d].", j) }
	last := len(wing.Stations) - 1
	e.put(at(0)+"x", "wing.x")
	e.put(at(0)+"chord", "wing.root_chord")
	e.put(at(last)+"chord", "wing.tip_chord")
	x0 := val("wing.x", root.X.Value)
	xt := x0 + val("wing.tip_back", tip.X.Value-root.X.Value)
	if has("wing.tip_back") || has("wing.x") {
		e.to(at(last)+"x", mmText(xt)+" measured")
	}
	if has("wing.tip_rise") {
		e.to(at(last)+"z", mmText(root.Z.Value+got["wing.tip_rise"].Value)+" measured")
	}
	if has("wing.washout") {
		e.to(at(last)+"twist", fmt.Sprintf("%.1f deg measured", (root.Twist.Value-got["wing.washout"].Value)*180/math.Pi))
	}
	// The wing's own balance: 42 % of its mean chord, a usual place.
	if has("wing.x") || has("wing.root_chord") {
		c0, c1 := val("wing.root_chord", root.Chord.Value), val("wing.tip_chord", tip.Chord.Value)
		l := c1 / c0
		mac := 2. / 3 * c0 * (1 + l + l*l) / (1 + l)
		back := (xt - x0) * (1 + 2*l) / (3 * (1 + l))
		if p := shells["mass.wing"]; p != "" {
			e.to(p+".at.x", mmText(x0+back+0.42*mac)+" ± 12 mm")
		}
	}
	e.tail(has, val)
	e.body(has, val)
	for _, k := range []struct{ path, key string }{{"motor", "at.motor"}, {"battery", "at.battery"}, {"controller", "at.controller"}, {"receiver", "at.receiver"}} {
		if p := e.part(k.path); p != "" {
			// The room to move first: a place outside it would be refused.
			if k.path == "battery" && (has("at.battery") || has("battery.from", "battery.to")) {
				x := val("at.battery", 0)
				lo, hi := val("battery.from", x-0.03), val("battery.to", x+0.03)
				if !has("battery.from") && !has("battery.to") && !has("at.battery") {
					continue
				}
				e.to(p+".may_move.x", mmText(math.Min(lo, x))+" to "+mmText(math.Max(hi, x)))
			}
			e.put(p+".at.x", k.key)
		}
	}
	if _, ok := got["mass.rest"]; ok {
		n := fmt.Sprintf("parts[%d].", len(e.b.Parts))
		e.to(n+"name", "wires and hardware")
		e.to(n+"kind", "wiring")
		e.put(n+"mass", "mass.rest")
		e.to(n+"at.x", mmText(x0+0.05)+" ± 40 mm")
	}
	e.put("power.controller.limit", "controller.limit")
	for i := range e.b.Linkages {
		e.put("linkages."+quoteName(e.b.Linkages[i].Control.S)+".torque", "servo.torque")
	}
	if e.b.Launch.By.S == "bungee" {
		e.put("launch.bungee.hook.x", "hook.x")
		e.put("launch.bungee.hook.z", "hook.z")
		e.put("launch.bungee.stretch", "pull.stretch")
		if has("pull.stretch", "pull.force") {
			// The whole test in its usual proportions, held to the one reading.
			rows := e.b.Launch.Bungee.PullTest
			s, f := got["pull.stretch"].Value, got["pull.force"].Value
			old := rows[len(rows)-1]
			for j := range rows {
				if j == len(rows)-1 {
					e.put(fmt.Sprintf("launch.bungee.pull_test[%d].stretch", j), "pull.stretch")
					e.put(fmt.Sprintf("launch.bungee.pull_test[%d].pull", j), "pull.force")
					continue
				}
				e.to(fmt.Sprintf("launch.bungee.pull_test[%d].stretch", j), fmt.Sprintf("%.2f m", s*rows[j].Stretch.Value/old.Stretch.Value))
				e.to(fmt.Sprintf("launch.bungee.pull_test[%d].pull", j), fmt.Sprintf("%.1f N guess", f*rows[j].Pull.Value/old.Pull.Value))
			}
		}
	}
	e.manual(has)
	e.weighing(has, val, shells)
	for i, d := range e.k.Deviations {
		n := fmt.Sprintf("deviations[%d].", i)
		for _, w := range []struct{ key, text string }{{"what", d.What}, {"manual", d.Manual}, {"built", d.Built}, {"why", d.Why}} {
			if t := strings.TrimSpace(w.text); t != "" {
				e.to(n+w.key, t)
			}
		}
	}
}

func (e *kitEdit) tail(has func(...string) bool, val func(string, float64) float64) {
	if !has("tail.x") && !has("tail.root_chord") && !has("tail.tip_chord") && !has("tail.tip_side") && !has("tail.tip_rise") {
		return
	}
	for i := range e.b.Surfaces {
		s := &e.b.Surfaces[i]
		if s.Name.S != "tail" {
			continue
		}
		n := len(s.Stations) - 1
		root, tip := &s.Stations[0], &s.Stations[n]
		at := func(j int) string { return fmt.Sprintf("surfaces.tail.stations[%d].", j) }
		e.put(at(0)+"x", "tail.x")
		e.put(at(0)+"chord", "tail.root_chord")
		e.put(at(n)+"chord", "tail.tip_chord")
		c0, c1 := val("tail.root_chord", root.Chord.Value), val("tail.tip_chord", tip.Chord.Value)
		x := val("tail.x", root.X.Value)
		e.to(at(n)+"x", mmText(x+0.5*(c0-c1))+" ± 8 mm")
		if has("tail.tip_side") {
			side := e.got["tail.tip_side"].Value
			k := side / tip.Y.Value
			e.put(at(n)+"y", "tail.tip_side")
			for j := range s.Controls {
				c := &s.Controls[j]
				p := "surfaces.tail.controls." + quoteName(c.Name.S)
				// Both ends scaled, the outer first when it grows.
				from, to := Setting{p + ".from", mmText(c.From.Value * k)}, Setting{p + ".to", mmText(c.To.Value * k)}
				if k > 1 {
					from, to = to, from
				}
				e.set = append(e.set, from, to)
			}
		}
		if has("tail.tip_rise") {
			e.to(at(n)+"z", mmText(root.Z.Value+e.got["tail.tip_rise"].Value)+" measured")
		}
		if p := e.part("tail shell"); p != "" {
			e.to(p+".at.x", mmText(x+0.45*c0)+" ± 8 mm")
		}
	}
}

func (e *kitEdit) body(has func(...string) bool, val func(string, float64) float64) {
	st := e.b.Body.Stations
	if len(st) < 2 || !has("body.length") && !has("body.width") && !has("body.height") {
		return
	}
	old := st[len(st)-1].X.Value
	wide, high := 0.0, 0.0
	for _, s := range st {
		wide, high = math.Max(wide, s.Width.Value), math.Max(high, s.Height.Value)
	}
	kx, kw, kh := val("body.length", old)/old, val("body.width", wide)/wide, val("body.height", high)/high
	order := make([]int, len(st))
	for j := range order {
		order[j] = j
		if kx > 1 {
			order[j] = len(st) - 1 - j // the rear first, so that no station runs back
		}
	}
	for _, j := range order {
		p := fmt.Sprintf("body.stations[%d].", j)
		e.to(p+"x", mmText(st[j].X.Value*kx))
		e.to(p+"width", mmText(st[j].Width.Value*kw))
		e.to(p+"height", mmText(st[j].Height.Value*kh))
	}
	if p := e.part("body shell"); p != "" && has("body.length") {
		e.to(p+".at.x", mmText(0.48*old*kx)+" ± 30 mm")
		e.to(p+".size.x", mmText(old*kx))
	}
}

// manual puts the maker's numbers in as limits and claims.
func (e *kitEdit) manual(has func(...string) bool) {
	e.put("limits.takeoff_mass", "manual.mass")
	if has("manual.balance_from", "manual.balance_to") {
		lo, hi := e.got["manual.balance_from"].Value, e.got["manual.balance_to"].Value
		if hi-lo < 1e-3 { // one point: a centimetre about it, as manuals mean it (our choice)
			lo, hi = lo-5e-3, hi+5e-3
		}
		e.to("limits.balance", mmText(math.Min(lo, hi))+" to "+mmText(math.Max(lo, hi)))
	}
	e.put("limits.top_speed", "manual.never_exceed")
	n := 0
	for _, c := range []struct{ key, what string }{{"manual.top_speed", "top speed"}, {"manual.flying_mass", "take-off mass"}} {
		if has(c.key) {
			p := fmt.Sprintf("claims[%d].", n)
			e.to(p+"what", c.what)
			e.put(p+"value", c.key)
			e.to(p+"by", "maker")
			n++
		}
	}
}

// weighing puts the two scales in and settles by them where the body shell's
// mass sits: the one place nobody can measure.
func (e *kitEdit) weighing(has func(...string) bool, val func(string, float64) float64, shells map[string]string) {
	if !has("balance.front_x", "balance.front_reads", "balance.rear_x", "balance.rear_reads") {
		return
	}
	e.put("weighing.scales[0].at.x", "balance.front_x")
	e.put("weighing.scales[0].reads", "balance.front_reads")
	e.put("weighing.scales[1].at.x", "balance.rear_x")
	e.put("weighing.scales[1].reads", "balance.rear_reads")
	e.to("weighing.without[0].part", "battery")
	f, r := e.got["balance.front_reads"].Value, e.got["balance.rear_reads"].Value
	m := f + r
	cg := (f*e.got["balance.front_x"].Value + r*e.got["balance.rear_x"].Value) / m
	// All parts but battery and body shell, as they now stand.
	text := Print(e.b)
	for _, s := range e.set {
		if next, ds := Set(text, s.Path, s.Value); !ds.HasErrors() {
			text = next
		}
	}
	b, ds := Parse("", text)
	if ds.HasErrors() {
		return // said when the file is read
	}
	mass, moment, shell := 0.0, 0.0, 0.0
	for i := range b.Parts {
		p := &b.Parts[i]
		n := 1.0
		if p.Mirrored.On {
			n = 2
		}
		switch p.Name.S {
		case "battery":
		case "body shell":
			shell = p.Mass.Value
		default:
			mass += n * p.Mass.Value
			moment += n * p.Mass.Value * p.At.X.Value
		}
	}
	warn := func(hint, format string, args ...any) {
		e.say.Add(diag.Diagnostic{Severity: diag.Warning, Code: "weighing", Message: fmt.Sprintf(format, args...), Hint: hint})
	}
	listed := mass + shell
	if math.Abs(m/listed-1) > 0.2 {
		warn("find the part that is missing, listed twice or in the wrong unit; then weigh again", "the scales show %.0f g, the parts add up to %.0f g: one of the two is wrong", m*1e3, listed*1e3)
		return
	}
	if shell <= 0 || shells["mass.body"] == "" {
		return
	}
	x := (listed*cg - moment) / shell
	end := b.Body.Stations[len(b.Body.Stations)-1].X.Value
	if x < 0 || x > end {
		warn("read both places from the nose tip again, and the readings", "to balance as weighed the body shell's mass would have to sit at %.0f mm, outside the body", x*1e3)
		return
	}
	e.to(shells["mass.body"]+".at.x", mmText(x)+" ± 15 mm")
}

// note records the lines that an edit changed, by their text after it.
func note(before, after []byte, changed map[string]bool) {
	old := map[string]int{}
	for _, l := range strings.Split(string(before), "\n") {
		old[l]++
	}
	for _, l := range strings.Split(string(after), "\n") {
		if old[l] > 0 {
			old[l]--
			continue
		}
		changed[l] = true
	}
}

// unmark takes "# assumed" off the lines whose guesses are all gone.
func unmark(text []byte, changed map[string]bool) []byte {
	lines := strings.Split(string(text), "\n")
	for i, l := range lines {
		j := strings.Index(l, "# assumed")
		if j < 0 || !changed[l] {
			continue
		}
		if strings.Contains(l[:j], " guess") {
			lines[i] = l[:j] + "# partly assumed"
		} else {
			lines[i] = strings.TrimRight(l[:j], " ")
		}
	}
	return []byte(strings.Join(lines, "\n"))
}

// head replaces the starting file's opening remark by the intake's.
func head(text []byte, given int, open []KitStep) []byte {
	lines := strings.Split(string(text), "\n")
	i := 0
	for i < len(lines) && strings.HasPrefix(lines[i], "#") {
		i++
	}
	var h []string
	say := func(format string, args ...any) {
		for _, l := range strings.Split(folded(fmt.Sprintf(format, args...), 76), "\n") {
			h = append(h, "# "+l)
		}
	}
	say("Taken in with %d answers. What carries \"weighed\", \"measured\" or \"label\" was; lines marked assumed are guesses by simple rules, and widen every answer until they are measured.", given)
	if len(open) > 0 {
		var next []string
		for n, s := range open {
			if n == 6 {
				break
			}
			next = append(next, strings.ToLower(s.Ask[:1])+s.Ask[1:])
		}
		say("Next: %s. Then: fledge check names what narrows the doubt most.", strings.Join(next, "; "))
	} else {
		say("Nothing of the intake is open. fledge check names what narrows the doubt most.")
	}
	return []byte(strings.Join(append(h, lines[i:]...), "\n"))
}

func folded(s string, width int) string {
	var out []string
	line := ""
	for _, w := range strings.Fields(s) {
		if line != "" && len([]rune(line))+1+len([]rune(w)) > width {
			out = append(out, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += w
	}
	return strings.Join(append(out, line), "\n")
}

// KitSheet is the intake as a file to fill in, by pen or keyboard: an answers
// file with every question, how to do it and what doubt it is taken with.
func KitSheet(layout string) []byte {
	var b strings.Builder
	b.WriteString("# Weighing and measuring a kit: fill in what you can, leave the rest empty, then\n# fledge new --kit --answers THIS.yaml\n# The ones marked * are the dozen that a useful answer needs.\n")
	stage := ""
	for _, s := range KitSteps() {
		if layout != "" && !s.ForLayout(layout) {
			continue
		}
		if s.Stage != stage {
			stage = s.Stage
			b.WriteString("\n# " + stage + "\n")
		}
		mark := " "
		if s.Core {
			mark = "*"
		}
		note := s.Ask
		if s.How != "" {
			note += ": " + s.How
		}
		note += "; as in " + s.Example
		if s.Word != "" {
			note += " (taken as " + s.Word + ")"
		}
		if len(s.Words) > 0 {
			note += "; one of " + strings.Join(s.Words, ", ")
		}
		for i, l := range strings.Split(folded(note, 74), "\n") {
			if i == 0 {
				b.WriteString("#" + mark + l + "\n")
			} else {
				b.WriteString("#   " + l + "\n")
			}
		}
		fmt.Fprintf(&b, "%s:\n", s.Key)
	}
	b.WriteString("\n# What is built otherwise than the manual says:\n# deviations:\n#   - what: launch hook\n#     manual: on the keel plate\n#     built: 20 mm forward\n#     why: no wood there\n")
	return []byte(b.String())
}

// ParseKit reads an answers file: the keys of [KitSteps] with their answers,
// and deviations. Keys without an answer stay open.
func ParseKit(file string, text []byte) (Kit, diag.List) {
	var l diag.List
	k := Kit{Answers: map[string]string{}}
	d := newDecoder(file, &l)
	d.called = "an answers file"
	root := d.load(text)
	if root == nil {
		l.Sort()
		return k, l
	}
	byKey := map[string]KitStep{}
	var keys []string
	for _, s := range KitSteps() {
		byKey[s.Key] = s
		keys = append(keys, s.Key)
	}
	seen := map[string]bool{}
	for i := 0; i+1 < len(root.Content); i += 2 {
		key, v := root.Content[i], root.Content[i+1]
		if seen[key.Value] {
			d.fail("duplicate-key", d.span(key), "keep one of them", "%s stands twice", diag.Quote(key.Value))
			continue
		}
		seen[key.Value] = true
		if key.Value == "fledge" {
			continue
		}
		if key.Value == "deviations" {
			d.deviations(v, &k)
			continue
		}
		s, ok := byKey[key.Value]
		switch {
		case !ok:
			d.fail("unknown-key", d.span(key), diag.DidYouMean(key.Value, keys, "fledge new --kit --sheet lists all"), "the intake has no %s", diag.Quote(key.Value))
		case isNull(v):
		case v.Kind != yaml.ScalarNode:
			d.fail("wrong-kind", d.span(v), "as in "+s.Example, "%s is one answer", key.Value)
		default:
			if _, bad := s.Read(v.Value); bad != nil {
				bad.Span = d.span(v)
				l.Add(*bad)
				continue
			}
			k.Answers[key.Value] = v.Value
		}
	}
	if len(k.Answers) == 0 && !l.HasErrors() {
		d.fail("empty", d.span(root), "fill in at least the dozen marked *", "the answers file answers nothing")
	}
	l.Sort()
	return k, l
}

func (d *decoder) deviations(n *yaml.Node, k *Kit) {
	if isNull(n) {
		return
	}
	var b Build
	v := reflect.ValueOf(&b).Elem()
	f, _ := fieldNamed(v.Type(), "deviations")
	d.list(n, v.Field(f.index), f, "deviations")
	for _, v := range b.Deviations {
		k.Deviations = append(k.Deviations, KitDeviation{v.What.S, v.Manual.S, v.Built.S, v.Why.S})
	}
}
