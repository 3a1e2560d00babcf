package main

import (
	"fmt"
	"reflect"
	"slices"
	"strings"

	"fledge/internal/app"
	"fledge/internal/evidence"
	"fledge/internal/prop"
	"fledge/internal/report"
)

// body is one verb's body.
type body struct {
	verb, says string
	of         reflect.Type
}

func bodies() []body {
	return []body{
		{"check BUILD", "the main job; exit code 0 for `go`, 3 otherwise", reflect.TypeFor[report.CheckJSON]()},
		{"compare BUILD...", "builds or groups of settings, one column each", reflect.TypeFor[report.CompareJSON]()},
		{"compare BUILD --parts FILE", "which parts to put in", reflect.TypeFor[report.PartsJSON]()},
		{"fit BUILD", "do the parts fit", reflect.TypeFor[report.FitJSON]()},
		{"balance BUILD", "mass and balance", reflect.TypeFor[report.BalanceJSON]()},
		{"setup BUILD", "what to set", reflect.TypeFor[report.SetupJSON]()},
		{"strength BUILD", "what it can take", reflect.TypeFor[report.StrengthJSON]()},
		{"launch BUILD", "will it launch", reflect.TypeFor[report.LaunchMoreJSON]()},
		{"fly BUILD", "speeds, climb, endurance", reflect.TypeFor[report.FlyJSON]()},
		{"fly BUILD --trial", "a speed trial, planned", reflect.TypeFor[report.TrialJSON]()},
		{"land BUILD", "will it come home", reflect.TypeFor[report.LandJSON]()},
		{"radio BUILD", "control and picture along the flight", reflect.TypeFor[report.RadioJSON]()},
		{"sortie BUILD", "does she come home whole", reflect.TypeFor[report.SortieJSON]()},
		{"card BUILD", "the flight card, written as PDF", reflect.TypeFor[report.CardJSON]()},
		{"print BUILD [WHAT...]", "templates and parts in true size, written as PDF, 3MF, STL", reflect.TypeFor[report.PrintJSON]()},
		{"debrief LOG...", "what really happened", reflect.TypeFor[report.DebriefJSON]()},
		{"learn BUILD", "what the evidence teaches; `status` is `learned`, `no evidence`, `not told`, `contradicts`, `other` or `failed`", reflect.TypeFor[report.LearnJSON]()},
		{"polar SECTION", "section polars", reflect.TypeFor[report.PolarJSON]()},
		{"lattice BUILD", "lifting surfaces", reflect.TypeFor[report.LatticeJSON]()},
		{"prop [BUILD]", "a propeller's table", reflect.TypeFor[report.PropJSON]()},
		{"new [FILE]", "a build file was started", reflect.TypeFor[app.NewJSON]()},
		{"new --kit [FILE]", "a kit was weighed and measured", reflect.TypeFor[app.KitJSON]()},
		{"sources", "what the numbers rest on", reflect.TypeFor[report.SourcesJSON]()},
		{"version", "which Fledge this is", reflect.TypeFor[app.VersionJSON]()},
	}
}

// shared are objects told once, by name.
var shared = map[reflect.Type]string{
	reflect.TypeFor[report.FindingJSON]():   "finding",
	reflect.TypeFor[evidence.FlybyResult](): "fly-by",
	reflect.TypeFor[evidence.Pair]():        "pair",
	reflect.TypeFor[evidence.Run]():         "run",
	reflect.TypeFor[evidence.Phase]():       "phase",
}

func jsonPage() (string, error) {
	var b strings.Builder
	b.WriteString("# JSON\n\n" + generated)
	b.WriteString(`Every verb takes ` + "`--json`" + `. The keys are stable within a ` + "`schema`" + ` number (now ` + fmt.Sprint(report.Schema) + `); new ones may be added.

- A **quantity** is ` + "`{\"value\", \"low\", \"high\", \"unit\"}`" + `, SI or degrees; ` + "`low` and `high`" + ` bound the 90 % interval of what is not known and equal ` + "`value`" + ` when there is none. What could not be had is ` + "`null` with a `status`" + ` saying why; an end of an interval that is open is ` + "`null`" + `.
- A **number** is bare, with its unit at the end of its key (` + "`_m`, `_m_s`, `_deg`, `_kg`, `_nm`" + `); without one it is a ratio (of ` + "`prop`" + ` alone airspeed, thrust, torque and power are in SI units without). Not-a-number is ` + "`null`" + `.
- Positions are from the build's datum in build axes: x aft, y right, z up. Inertia is in body axes: x forward, y right, z down.
- **Exit codes**: 0 GO or done, 1 internal error, 2 bad input, 3 HOLD or NO-GO (` + "`check`" + ` alone gives a verdict; the one-question verbs are done with 0 whatever they find: read ` + "`findings[].status`" + `).
- **Bad input** prints, instead of the body:

`)
	w := &writer{b: &b}
	w.table(reflect.TypeFor[app.BadJSON]())
	b.WriteString("\n`schema` prints the JSON Schema of the build file itself.\n")
	var told []reflect.Type
	for t := range shared {
		told = append(told, t)
	}
	slices.SortFunc(told, func(x, y reflect.Type) int { return strings.Compare(shared[x], shared[y]) })
	for _, t := range told {
		fmt.Fprintf(&b, "\n## A %s\n\n", shared[t])
		w.table(t)
	}
	for _, v := range bodies() {
		fmt.Fprintf(&b, "\n## %s\n\n%s.\n\n", v.verb, strings.ToUpper(v.says[:1])+v.says[1:])
		w.table(v.of)
	}
	return b.String(), nil
}

type writer struct {
	b *strings.Builder
}

func (w *writer) table(t reflect.Type) {
	w.b.WriteString("| key | is | what |\n|---|---|---|\n")
	w.rows(t, "", map[reflect.Type]bool{})
}

// shapes are types that write themselves, as the struct they write.
var shapes = map[reflect.Type]reflect.Type{
	reflect.TypeFor[evidence.Item]():       reflect.TypeFor[itemShape](),
	reflect.TypeFor[evidence.LevelSpeed](): reflect.TypeFor[levelShape](),
}

type itemShape struct {
	What     string            `json:"what"`
	Window   [2]float64        `json:"window_s"`
	Method   string            `json:"method"`
	Remark   string            `json:"remark"`
	Quantity evidence.Quantity `json:"quantity"`
	Sigma    *float64          `json:"sigma"`
}

type levelShape struct {
	Value   *float64 `json:"value"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
	Unit    string   `json:"unit"`
	WindowS float64  `json:"window_s"`
	FromS   float64  `json:"from_s"`
	Height  *float64 `json:"height_m"`
	Climb   *float64 `json:"climb_m_s"`
	Excess  *float64 `json:"excess_power_m_s"`
	InTurn  bool     `json:"in_turn"`
	Ground  float64  `json:"ground_speed_m_s"`
	Remarks []string `json:"remarks"`
}

// kind says what a type is in JSON, and the struct inside it, if any.
func kind(t reflect.Type) (string, reflect.Type) {
	switch t {
	case reflect.TypeFor[report.Quantity](), reflect.TypeFor[evidence.Quantity]():
		return "quantity", nil
	case reflect.TypeFor[report.Float](), reflect.TypeFor[prop.Number]():
		return "number", nil
	}
	if n, ok := shared[t]; ok {
		return n, nil
	}
	if s, ok := shapes[t]; ok {
		return "object", s
	}
	switch t.Kind() {
	case reflect.Pointer:
		k, in := kind(t.Elem())
		return k + " or null", in
	case reflect.Slice, reflect.Array:
		k, in := kind(t.Elem())
		n := "list of "
		if t.Kind() == reflect.Array {
			n = fmt.Sprintf("%d ", t.Len())
		}
		return n + plural(k), in
	case reflect.Map:
		k, _ := kind(t.Elem())
		return "object of " + plural(k), nil
	case reflect.Struct:
		return "object", t
	case reflect.String:
		return "text", nil
	case reflect.Bool:
		return "true or false", nil
	}
	return "number", nil
}

func plural(s string) string {
	switch {
	case s == "object" || s == "number" || s == "pass":
		return s + "s"
	case strings.HasPrefix(s, "list of"), strings.Contains(s, " or "), strings.Contains("0123456789", s[:1]):
		return s
	case s == "text" || s == "true or false":
		return "texts"
	case s == "fly-by":
		return "fly-bys"
	case s == "quantity":
		return "quantities"
	}
	return s + "s"
}

func (w *writer) rows(t reflect.Type, path string, open map[reflect.Type]bool) {
	if open[t] {
		return
	}
	open[t] = true
	defer delete(open, t)
	taken := map[string]bool{}
	for i := range t.NumField() { // a key of the outer struct hides an embedded one
		if f := t.Field(i); !f.Anonymous {
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			taken[name] = true
		}
	}
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || !f.IsExported() && !f.Anonymous {
			continue
		}
		if f.Anonymous && name == "" {
			e := f.Type
			if e.Kind() == reflect.Pointer {
				e = e.Elem()
			}
			w.embedded(e, path, taken, open)
			continue
		}
		w.row(t, f, name, path, open)
	}
}

func (w *writer) embedded(t reflect.Type, path string, taken map[string]bool, open map[reflect.Type]bool) {
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || name == "" || taken[name] {
			continue
		}
		w.row(t, f, name, path, open)
	}
}

func (w *writer) row(t reflect.Type, f reflect.StructField, name, path string, open map[reflect.Type]bool) {
	k, in := kind(f.Type)
	at := name
	if path != "" {
		at = path + "." + name
	}
	say, ok := words[t.Name()+"."+name]
	if !ok {
		say, ok = words[name]
	}
	if !ok {
		bare := name
		for _, u := range []string{"_m_s2", "_m_s"} { // the key says the unit
			bare = strings.TrimSuffix(bare, u)
		}
		say = strings.ReplaceAll(bare, "_", " ")
	}
	fmt.Fprintf(w.b, "| `%s` | %s | %s |\n", at, k, cell(say))
	if in != nil {
		if strings.HasPrefix(k, "list of") || strings.Contains("0123456789", k[:1]) {
			at += "[]"
		}
		// Shared shapes are told once a table.
		w.rows(in, at, open)
	}
}
