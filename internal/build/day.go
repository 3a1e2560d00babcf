package build

import (
	"reflect"

	"fledge/internal/diag"
)

// ParseDay reads a day file: YAML with one "day:" block, and "fledge: 1" if
// the user likes. Nothing else may stand in it.
func ParseDay(file string, text []byte) (Day, diag.List) {
	var l diag.List
	d := newDecoder(file, &l)
	root := d.load(text)
	if root == nil || !d.version(root, false) {
		l.Sort()
		return Day{}, l
	}
	var out dayText
	v := reflect.ValueOf(&out).Elem()
	d.mapping(root, v, "")
	if isEmpty(v.Field(1)) && !l.HasErrors() {
		d.fail("missing", d.span(root), `write "day: {wind: 3 m/s, temperature: 12 degC}"`, "the day file says nothing about the day")
	}
	b := Build{Day: out.Day}
	(&validator{decoder: &d, b: &b}).day()
	l.Sort()
	return out.Day, l
}

// dayText is the shape of a day file.
type dayText struct {
	Version Count `key:"fledge" is:"[1,)"`
	Day     Day   `key:"day"`
}

// WithDay returns a copy of the build in which what the day file gives
// stands in place of the build's own day block; what it leaves out stays, and
// so do the keys in keep, which were said later than the file.
// The copy shares lists with the original.
func (b *Build) WithDay(day Day, keep map[string]bool) *Build {
	out := *b
	to, from := reflect.ValueOf(&out.Day).Elem(), reflect.ValueOf(day)
	for i := range from.NumField() {
		if from.Field(i).FieldByName("Given").Bool() && !keep[from.Type().Field(i).Tag.Get("key")] {
			to.Field(i).Set(from.Field(i))
		}
	}
	return &out
}

// Keys lists the keys that the day gives.
func (d Day) Keys() map[string]bool {
	out := map[string]bool{}
	v := reflect.ValueOf(d)
	for i := range v.NumField() {
		if v.Field(i).FieldByName("Given").Bool() {
			out[v.Type().Field(i).Tag.Get("key")] = true
		}
	}
	return out
}
