package build

import (
	"fmt"
	"math"
	"path"
	"strings"

	"fledge/internal/diag"
)

// validator checks what needs no physics: that names are unique and exist,
// that shapes do not cross, that rows rise. Bounds of single values are the
// "is" tags of the fields.
type validator struct {
	*decoder
	b *Build
}

func (v *validator) all() {
	b := v.b
	top := diag.Span{File: v.file, Line: 1, Col: 1, Len: 1}
	if len(b.Surfaces) == 0 && !v.diags.HasErrors() {
		v.fail("missing", top, "give at least the wing, by two stations", "the build has no surfaces")
	}
	v.surfaces()
	v.body()
	parts := v.parts()
	v.inside(parts)
	v.power(parts)
	v.linkages(parts)
	v.launch()
	v.day()
	v.field()
	v.limits()
	v.names("extras", len(b.Extras), func(i int) Text { return b.Extras[i].Name }, false)
	v.names("radio", len(b.Radio), func(i int) Text { return b.Radio[i].Name }, false)
	if b.Landing.Surface.Given {
		f, _ := fieldNamed(dayType, "surface")
		words := strings.Split(f.oneof, "|")
		if s := b.Landing.Surface; !contains(words, s.S) {
			v.fail("unknown-word", s.Span, diag.DidYouMean(s.S, words, "one of: "+strings.Join(words, ", ")), "%s is not a surface to land on", diag.Quote(s.S))
		}
	}
	for _, a := range Attachments(b) {
		if why := confined(a.Path); why != "" {
			v.fail("outside", a.Span, "put the file beside the build and name it relative to it, with forward slashes", "%s cannot be used: %s", diag.Quote(a.Path), why)
		}
	}
}

func contains(words []string, s string) bool {
	for _, w := range words {
		if w == s {
			return true
		}
	}
	return false
}

// names checks that names are unique and, if needed, there.
func (v *validator) names(list string, n int, get func(int) Text, needed bool) map[string]Text {
	seen := map[string]Text{}
	for i := range n {
		t := get(i)
		if !t.Given {
			if needed {
				v.fail("missing", v.itemSpan(list, i), `add "name:"`, "%s[%d] has no name", list, i)
			}
			continue
		}
		if first, dup := seen[t.S]; dup {
			v.fail("duplicate-name", t.Span, "names address the items, so each needs its own", "the name %s is used twice in %s, first on line %d", diag.Quote(t.S), list, first.Span.Line)
			continue
		}
		seen[t.S] = t
	}
	return seen
}

func (v *validator) surfaces() {
	b := v.b
	v.names("surfaces", len(b.Surfaces), func(i int) Text { return b.Surfaces[i].Name }, true)
	controls := map[string]Text{}
	for i := range b.Surfaces {
		s := &b.Surfaces[i]
		called := fmt.Sprintf("surfaces[%d]", i)
		if s.Name.Given {
			called = s.Name.S
		}
		whole := v.stations(s, called, i)
		for j := range s.Controls {
			c := &s.Controls[j]
			if c.Name.Given {
				if first, dup := controls[c.Name.S]; dup {
					v.fail("duplicate-name", c.Name.Span, "linkages name the control they move, so each needs its own name", "a second control is called %s, first on line %d", diag.Quote(c.Name.S), first.Span.Line)
				}
				controls[c.Name.S] = c.Name
			}
			v.control(c, s, whole)
		}
	}
}

// stations checks one surface and says whether its stations are sound.
func (v *validator) stations(s *Surface, called string, i int) bool {
	at := s.Name.Span
	if !s.Name.Given {
		at = v.itemSpan("surfaces", i)
	}
	if len(s.Stations) < 2 {
		v.fail("missing", at, "give at least root and tip", "%s has %d of the two stations it needs", called, len(s.Stations))
		return false
	}
	ok := true
	for j := range s.Stations {
		st := &s.Stations[j]
		here := v.stationSpan(st, at)
		if v.missing(&st.Chord) {
			v.fail("missing", here, `add "chord:"`, "station %d of %s has no chord", j, called)
			ok = false
		}
		if v.missing(&st.X) {
			v.fail("missing", here, `add "x:", where its leading edge is`, "station %d of %s has no x", j, called)
			ok = false
		}
		if s.Mirrored.On && st.Y.Value < 0 {
			v.fail("impossible", st.Y.Span, "a mirrored surface is given by its right half: y from 0 upwards", "y of %s is negative", called)
			ok = false
		}
	}
	first, last := &s.Stations[0], &s.Stations[len(s.Stations)-1]
	dy, dz := last.Y.Value-first.Y.Value, last.Z.Value-first.Z.Value
	along := func(st *Station) *Value { return &st.Y }
	axis := "y"
	if math.Abs(dz) > math.Abs(dy) && (!s.Mirrored.On || dy == 0) {
		along, axis = func(st *Station) *Value { return &st.Z }, "z"
	}
	sign := 1.0
	if along(last).Value < along(first).Value && !(s.Mirrored.On && axis == "y") {
		sign = -1 // a fin that hangs down, or a left half
	}
	for j := 1; j < len(s.Stations); j++ {
		a, c := &s.Stations[j-1], &s.Stations[j]
		if a.Y.Value == c.Y.Value && a.Z.Value == c.Z.Value {
			v.fail("crossing", v.valueSpan(along(c), v.stationSpan(c, at)), "each station lies farther out than the one before", "station %d of %s lies in the plane of station %d", j, called, j-1)
			ok = false
			continue
		}
		if sign*(along(c).Value-along(a).Value) < 0 {
			v.fail("crossing", v.valueSpan(along(c), v.stationSpan(c, at)), "order the stations from root to tip", "%s runs back: %s of station %d lies inside station %d", called, axis, j, j-1)
			ok = false
		}
	}
	return ok
}

// missing: a value that could not be read is not missing as well.
func (v *validator) missing(x *Value) bool { return !x.Given && !v.unread[x] }

func (v *validator) valueSpan(x *Value, otherwise diag.Span) diag.Span {
	if x.Given {
		return x.Span
	}
	return otherwise
}

func (v *validator) stationSpan(st *Station, otherwise diag.Span) diag.Span {
	for _, x := range []*Value{&st.X, &st.Y, &st.Z, &st.Chord, &st.Twist} {
		if x.Given {
			return x.Span
		}
	}
	return otherwise
}

var controlWords = []string{"pitch", "roll", "yaw", "brake"}

func (v *validator) control(c *Control, s *Surface, whole bool) {
	if c.From.Given && c.To.Given && c.From.Value >= c.To.Value {
		v.fail("impossible", c.From.Span, `"from" is the inner end, "to" the outer one`, "control %s starts at %s and ends at %s", diag.Quote(c.Name.S), c.From.Text, c.To.Text)
	}
	if c.Moves.Given {
		for _, w := range strings.Fields(strings.NewReplacer(",", " ", "+", " ").Replace(c.Moves.S)) {
			if w != "and" && !contains(controlWords, w) {
				v.fail("unknown-word", c.Moves.Span, diag.DidYouMean(w, controlWords, `words for it: pitch, roll, yaw, brake, joined by "and"`), "%s is not something a control moves", diag.Quote(w))
			}
		}
	}
	if !whole {
		return
	}
	// Its ends lie on the surface, within the reading error of a ruler.
	const slack = 2e-3
	low, high := spanOf(s)
	for _, end := range []*Value{&c.From, &c.To} {
		if end.Given && (end.Value < low-slack || end.Value > high+slack) {
			v.fail("impossible", end.Span, fmt.Sprintf("%s reaches from %s to %s", s.Name.S, mm(low), mm(high)), "control %s lies outside its surface", diag.Quote(c.Name.S))
		}
	}
}

func mm(v float64) string { return fmt.Sprintf("%.4g mm", v*1000) }

// SpanAxis says along which axis the ends of the surface's controls are
// given: "y", or "z" for an upright fin.
func (s *Surface) SpanAxis() string {
	if len(s.Stations) < 2 {
		return "y"
	}
	a, b := s.Stations[0], s.Stations[len(s.Stations)-1]
	if a.Y.Value == b.Y.Value || !s.Mirrored.On && math.Abs(b.Z.Value-a.Z.Value) > math.Abs(b.Y.Value-a.Y.Value) {
		return "z"
	}
	return "y"
}

// spanOf is the reach of the surface along the axis its controls are given in.
func spanOf(s *Surface) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for i := range s.Stations {
		x := s.Stations[i].Y.Value
		if s.SpanAxis() == "z" {
			x = s.Stations[i].Z.Value
		}
		low, high = math.Min(low, x), math.Max(high, x)
	}
	return low, high
}

func (v *validator) body() {
	st := v.b.Body.Stations
	if len(st) == 1 {
		v.fail("missing", v.valueSpan(&st[0].X, diag.Span{File: v.file, Line: 1, Col: 1, Len: 1}), "give at least nose and tail", "the body has one station, it needs two")
	}
	for i := 1; i < len(st); i++ {
		if st[i].X.Given && st[i-1].X.Given && st[i].X.Value <= st[i-1].X.Value {
			v.fail("crossing", st[i].X.Span, "order the stations from nose to tail", "the body runs back: station %d lies before station %d", i, i-1)
		}
	}
}

func (v *validator) parts() map[string]*Part {
	b := v.b
	v.names("parts", len(b.Parts), func(i int) Text { return b.Parts[i].Name }, true)
	parts := map[string]*Part{}
	for i := range b.Parts {
		p := &b.Parts[i]
		if p.Name.Given {
			parts[p.Name.S] = p
		}
		for _, axis := range []struct {
			at  *Value
			may *Range
		}{{&p.At.X, &p.MayMove.X}, {&p.At.Y, &p.MayMove.Y}, {&p.At.Z, &p.MayMove.Z}} {
			if axis.at.Given && axis.may.Given && (axis.at.Value < axis.may.Low.Value-1e-9 || axis.at.Value > axis.may.High.Value+1e-9) {
				v.fail("impossible", axis.at.Span, "it stands outside the room it may move in: "+rangeText(axis.may), "%s stands at %s", p.Name.S, axis.at.Text)
			}
		}
	}
	return parts
}

func rangeText(r *Range) string { return r.Low.Text + " to " + r.High.Text }

// partNamed checks the name of a part, and its kind if one is expected.
func (v *validator) partNamed(t Text, kind string, parts map[string]*Part) {
	if !t.Given {
		return
	}
	p, ok := parts[t.S]
	if !ok {
		var all, fitting []string
		for i := range v.b.Parts {
			if !v.b.Parts[i].Name.Given {
				continue
			}
			all = append(all, v.b.Parts[i].Name.S)
			if v.b.Parts[i].Kind.S == kind {
				fitting = append(fitting, v.b.Parts[i].Name.S)
			}
		}
		hint := diag.DidYouMean(t.S, all, "")
		if hint == "" && len(fitting) > 0 {
			hint = "did you mean " + diag.Quote(fitting[0]) + "?"
		}
		if hint == "" {
			hint = "add it to parts, or leave the key out"
		}
		v.fail("unknown-part", t.Span, hint, "there is no part %s", diag.Quote(t.S))
		return
	}
	if p.Kind.Given && kind != "" && p.Kind.S != kind {
		v.add(diag.Warning, "wrong-part", t.Span, fmt.Sprintf("its kind should be %s", kind), "the part %s is of kind %s", diag.Quote(t.S), p.Kind.S)
	}
}

func (v *validator) power(parts map[string]*Part) {
	p := &v.b.Power
	v.partNamed(p.Battery.Part, "battery", parts)
	v.partNamed(p.Motor.Part, "motor", parts)
	v.partNamed(p.Controller.Part, "controller", parts)
	if n := p.Motor.Poles; n.Given && n.N%2 != 0 {
		v.fail("impossible", n.Span, "magnet poles come in pairs", "a motor cannot have %d poles", n.N)
	}
	if d, t := p.Propeller.Diameter, p.Propeller.Pitch; d.Given && t.Given && d.Value > 0 && t.Value > 3*d.Value {
		v.fail("impossible", t.Span, "check the units of diameter and pitch", "a pitch of %s on a diameter of %s", t.Text, d.Text)
	}
	if each := p.Battery.Each; len(each) > 0 {
		at := v.itemSpan("power.battery.each_cell", 0)
		if n := p.Battery.Cells; n.Given && n.N != len(each) {
			v.fail("impossible", at, "one row for each cell in series, as the balance plug reads them", "%d cells were read of a pack of %d", len(each), n.N)
		}
		for i := range each {
			if v.missing(&each[i].Resistance) {
				v.fail("missing", v.itemSpan("power.battery.each_cell", i), `as in {resistance: 4.2 mohm}`, "cell %d has no resistance", i+1)
			}
		}
		if p.Battery.CellResistance.Given {
			v.add(diag.Warning, "twice", p.Battery.CellResistance.Span, "leave one of them out", "the cells' resistance is given twice: each_cell is used")
		}
	}
	for i := range p.Bench {
		v.benchRow(&p.Bench[i], i+1)
	}
	v.discharge(&p.Battery)
}

// discharge refuses readings that no pack of these cells gives, and half ones.
func (v *validator) discharge(b *Battery) {
	for i := range b.Discharge {
		r, at := &b.Discharge[i], v.itemSpan("power.battery.discharge", i)
		for _, q := range []struct {
			name string
			v    *Value
		}{{"amps", &r.Amps}, {"taken", &r.Taken}, {"volts", &r.Volts}} {
			if v.missing(q.v) {
				v.fail("missing", at, "as in {amps: 18 A, taken: 600 mAh, volts: 15.1 V}", "reading %d of the discharge has no %s", i+1, q.name)
			}
		}
		if n := b.Cells; r.Volts.Given && n.Given && n.N > 0 {
			if c := r.Volts.Value / float64(n.N); c < 1.5 || c > 4.6 {
				v.fail("impossible", r.Volts.Span, "volts of the whole pack, and power.battery.cells in series", "%s are %.2f V a cell: no such cells", r.Volts.Text, c)
			}
		}
		if c := b.Capacity; r.Taken.Given && c.Given && r.Taken.Value > 1.3*c.Value {
			v.fail("impossible", r.Taken.Span, "charge out of the pack since it was full", "%s out of a pack of %s", r.Taken.Text, c.Text)
		}
	}
}

// benchRow refuses readings of nothing, which would count as not read.
func (v *validator) benchRow(r *BenchRow, n int) {
	bare := r.Propeller.S == "off"
	if r.Amps.Given && r.Amps.Value == 0 {
		v.fail("impossible", r.Amps.Span, "leave out what was not read; a motor by itself draws its idle current: read it and add \"propeller: off\"", "bench row %d has a motor that turns without a current", n)
	}
	switch {
	case bare && r.Pull.Value > 0:
		v.fail("impossible", r.Pull.Span, "leave the pull out, or \"propeller: off\"", "bench row %d pulls without a propeller", n)
	case !bare && r.Pull.Given && r.Pull.Value == 0:
		v.fail("impossible", r.Pull.Span, "leave out what was not read; without a propeller, add \"propeller: off\"", "bench row %d has a propeller that turns without a pull", n)
	}
	if bare && r.Throttle.Given && r.Throttle.Value < 0.97 {
		v.fail("impossible", r.Throttle.Span, "full throttle, and a lower supply for a lower speed", "bench row %d, without a propeller, is not at full throttle: its duty is not known", n)
	}
}

func (v *validator) linkages(parts map[string]*Part) {
	var controls []string
	for i := range v.b.Surfaces {
		for j := range v.b.Surfaces[i].Controls {
			controls = append(controls, v.b.Surfaces[i].Controls[j].Name.S)
		}
	}
	v.names("linkages", len(v.b.Linkages), func(i int) Text { return v.b.Linkages[i].Control }, false)
	for i := range v.b.Linkages {
		l := &v.b.Linkages[i]
		if l.Control.Given && !contains(controls, l.Control.S) {
			v.fail("unknown-control", l.Control.Span, diag.DidYouMean(l.Control.S, controls, "controls: "+strings.Join(controls, ", ")), "there is no control %s", diag.Quote(l.Control.S))
		}
		v.partNamed(l.Servo, "servo", parts)
		if p := l.Pulse; p.Low.Given && p.High.Given && p.Low.Value >= p.High.Value {
			v.fail("impossible", p.Low.Span, `"low" is the shortest pulse, "high" the longest`, "a shortest pulse of %s and a longest of %s", p.Low.Text, p.High.Text)
		}
		if t := l.PushTest; t.Moves.Given && t.Behind.Given && t.Moves.Value >= t.Behind.Value {
			v.fail("impossible", t.Moves.Span, "push until it gives way by a few millimetres", "the push test moves %s at %s behind the hinge", t.Moves.Text, t.Behind.Text)
		}
		if l.Stiffness.Given && l.PushTest.Push.Given {
			v.add(diag.Warning, "twice", l.PushTest.Push.Span, "leave one of them out", "the stiffness of %s is given twice: push_test is not used", diag.Quote(l.Control.S))
		}
	}
}

func (v *validator) launch() {
	l := &v.b.Launch
	rows := l.Bungee.PullTest
	for i := 1; i < len(rows); i++ {
		a, c := rows[i-1], rows[i]
		if a.Stretch.Given && c.Stretch.Given && c.Stretch.Value <= a.Stretch.Value {
			v.fail("impossible", c.Stretch.Span, "order the rows by stretch, each once", "row %d of the pull test does not stretch farther than row %d", i, i-1)
		} else if a.Pull.Given && c.Pull.Given && c.Pull.Value < a.Pull.Value {
			v.fail("impossible", c.Pull.Span, "rubber pulls harder the farther it is stretched: read the scale again", "row %d of the pull test pulls less than row %d", i, i-1)
		}
	}
	if c := l.Bungee.Cord; c.Bore.Given && c.Outer.Given && c.Bore.Value >= c.Outer.Value {
		v.fail("impossible", c.Bore.Span, "the bore is the inside diameter of a tube", "a bore of %s in a cord of %s", c.Bore.Text, c.Outer.Text)
	}
	for _, s := range []SparBlock{v.b.Strength.Spar, v.b.Strength.Joiner} {
		if s.Inner.Given && s.Outer.Given && s.Inner.Value >= s.Outer.Value {
			v.fail("impossible", s.Inner.Span, "", "an inside diameter of %s in a tube of %s", s.Inner.Text, s.Outer.Text)
		}
	}
	bolts := v.b.Strength.Bolts
	v.names("strength.bolts", len(bolts), func(i int) Text { return bolts[i].Holds }, false)
}

func (v *validator) day() {
	if d := v.b.Day; d.Gust.Given && d.Wind.Given && d.Gust.Value < d.Wind.Value {
		v.fail("impossible", d.Gust.Span, "a gust is the peak speed, not what comes on top of the mean wind", "the gust of %s is below the wind of %s", d.Gust.Text, d.Wind.Text)
	}
}

func (v *validator) limits() {
	l := &v.b.Limits
	if l.StaticMarginMin.Given && l.StaticMarginMax.Given && l.StaticMarginMin.Value >= l.StaticMarginMax.Value {
		v.fail("impossible", l.StaticMarginMin.Span, "", "the least static margin is not below the greatest")
	}
}

// Attachment is a file named in a build, relative to the build's folder.
type Attachment struct {
	Path string // as written
	Key  string // path of the value that names it
	Span diag.Span
}

// IsFile says whether the text of a section names a file and not a
// designation: it holds a slash or ends like a file.
func IsFile(section string) bool {
	if strings.ContainsAny(section, `/\`) {
		return true
	}
	switch strings.ToLower(path.Ext(section)) {
	case ".txt", ".dat", ".csv":
		return true
	}
	return false
}

// Attachments lists the files a build names, in the order of the file.
func Attachments(b *Build) []Attachment {
	var out []Attachment
	for i := range b.Surfaces {
		s := &b.Surfaces[i]
		for j := range s.Stations {
			at := fmt.Sprintf("surfaces[%d]", i)
			if s.Name.Given {
				at = "surfaces." + quoteName(s.Name.S)
			}
			if t := s.Stations[j].Section; t.Given && IsFile(t.S) {
				out = append(out, Attachment{t.S, fmt.Sprintf("%s.stations[%d].section", at, j), t.Span})
			}
			if t := s.Stations[j].Polar; t.Given {
				out = append(out, Attachment{t.S, fmt.Sprintf("%s.stations[%d].polar", at, j), t.Span})
			}
		}
	}
	for _, a := range []struct {
		t   Text
		key string
	}{{b.Power.Propeller.Geometry, "power.propeller.geometry"}, {b.Power.Propeller.Measured, "power.propeller.measured"}} {
		if a.t.Given {
			out = append(out, Attachment{a.t.S, a.key, a.t.Span})
		}
	}
	return out
}

// confined says why a file name could lead out of the build's folder, or "".
func confined(name string) string {
	switch {
	case strings.Contains(name, `\`):
		return "it holds a backslash"
	case path.IsAbs(name), strings.HasPrefix(name, "~"):
		return "it is not relative"
	case len(name) > 1 && name[1] == ':', strings.Contains(name, "://"):
		return "it is not a plain file name"
	case len(name) > 255:
		return "it is too long"
	}
	for _, s := range strings.Split(name, "/") {
		switch {
		case s == "..":
			return "it leads outside the build's folder"
		case s == "" || s == ".":
			return "it has an empty step"
		}
	}
	return ""
}
