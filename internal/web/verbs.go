package web

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"fledge/internal/app"
	"fledge/internal/report"
	"fledge/internal/unit"
)

// Verb is one kind of work that a page may ask for.
type Verb struct {
	Name     string   `json:"name"`
	Stage    string   `json:"stage" words:"bench|field|debrief|hangar"`
	Question int      `json:"question"` // of the nine; 0: none
	Title    string   `json:"title"`
	Say      string   `json:"say"`
	Needs    string   `json:"needs" words:"build|builds|logs|section|logbook|nothing"`
	Plot     bool     `json:"plot"`
	Options  []Option `json:"options"`
}

// Option is one thing that may be said of a verb.
type Option struct {
	Key     string   `json:"key"`
	Kind    string   `json:"kind" words:"text|number|flag|word|list|file|upload"` // file: of the hangar; upload: dropped
	Say     string   `json:"say"`
	Words   []string `json:"words,omitempty"`
	Example string   `json:"example,omitempty"`
}

// verb is a Verb with what it does. rough, if there is one, gives a first
// answer within a second or two.
type verb struct {
	Verb
	run, rough func(ctx context.Context, w *work) (*app.Answer, error)
	build      bool               // file is needed
	light      func(w *work) bool // done in a moment: waits for no turn
}

// work is one request with all its names resolved.
type work struct {
	s        *Server
	file     string // as the page calls it
	tag      string
	q        app.Request
	paths    []string
	quick    bool
	options  map[string]any
	uploads  []stored
	progress func(stage string, done, total int)
	early    func(*app.Answer) // takes an answer that is not whole yet
}

// request is the app's request.
func (w *work) request() app.Request {
	q := w.q
	q.Progress = w.progress
	return w.s.desk.Lend(q)
}

func (w *work) text(key string) string {
	switch v := w.options[key].(type) {
	case string:
		return v
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return ""
}

func (w *work) flag(key string) bool { v, _ := w.options[key].(bool); return v }

func (w *work) number(key string) int { v, _ := w.options[key].(float64); return int(v) }

func (w *work) list(key string) []string {
	switch v := w.options[key].(type) {
	case string:
		return []string{v}
	case []any:
		var out []string
		for _, x := range v {
			out = append(out, x.(string)) // judged before
		}
		return out
	}
	return nil
}

// judge holds an option's value to its kind.
func (o *Option) judge(v any) error {
	bad := func(want string) error {
		return refuse(http.StatusBadRequest, "bad-request", o.Example, "option %s is %s", o.Key, want)
	}
	switch o.Kind {
	case "flag":
		if _, ok := v.(bool); !ok {
			return bad("true or false")
		}
	case "number":
		if n, ok := v.(float64); !ok || n != math.Trunc(n) || math.Abs(n) > 1<<31 {
			return bad("a whole number")
		}
	case "list":
		if _, one := v.(string); one {
			return nil
		}
		list, ok := v.([]any)
		if !ok || len(list) > 200 {
			return bad("a list of texts")
		}
		for _, x := range list {
			t, ok := x.(string)
			if !ok {
				return bad("a list of texts")
			}
			if len(o.Words) > 0 && !slices.Contains(o.Words, t) {
				return bad(fmt.Sprintf("of %q", o.Words))
			}
		}
	case "word":
		if t, ok := v.(string); !ok || !slices.Contains(o.Words, t) {
			return bad(fmt.Sprintf("one of %q", o.Words))
		}
	default:
		switch t := v.(type) {
		case string:
			if len(t) > 4000 {
				return bad("a text of at most 4000 bytes")
			}
		case float64:
		default:
			return bad("a text")
		}
	}
	return nil
}

// work resolves a request: the verb, the files it names, its options.
func (s *Server) work(q *JobRequest) (*verb, *work, error) {
	i := slices.IndexFunc(verbs, func(v verb) bool { return v.Name == q.Verb })
	if i < 0 {
		return nil, nil, refuse(http.StatusNotFound, "no-verb", "GET /api/hello lists them", "the workshop does not know %q", q.Verb)
	}
	v := &verbs[i]
	u, err := s.units(q.Units)
	if err != nil {
		return nil, nil, err
	}
	if _, err := settings(q.Sets); err != nil {
		return nil, nil, err
	}
	w := &work{s: s, file: q.File, quick: q.Quick, options: q.Options, progress: func(string, int, int) {}}
	w.q = app.Request{Sets: q.Sets, METAR: q.METAR, Seed: seedOf(q.Seed), Units: u, Fast: q.Quick, Untaught: q.Untaught, Cached: s.conf.Cached}
	if q.File != "" {
		path, text, _, err := s.files.text(q.File)
		if err != nil {
			return nil, nil, err
		}
		w.q.Path, w.tag = path, etag(text)
		w.paths = append(w.paths, path)
	} else if v.build {
		return nil, nil, refuse(http.StatusBadRequest, "bad-request", "as in tern.yaml", "%s needs a build", q.Verb)
	}
	if len(q.Files) > app.MaxColumns {
		return nil, nil, refuse(http.StatusBadRequest, "bad-request", "", "at most %d builds", app.MaxColumns)
	}
	for _, f := range q.Files {
		path, err := s.path(f)
		if err != nil {
			return nil, nil, err
		}
		w.paths = append(w.paths, path)
	}
	if q.Day != "" {
		if w.q.DayFile, err = s.path(q.Day); err != nil {
			return nil, nil, err
		}
	}
	for key, val := range q.Options {
		k := slices.IndexFunc(v.Options, func(o Option) bool { return o.Key == key })
		if k < 0 {
			return nil, nil, refuse(http.StatusBadRequest, "bad-request", "GET /api/hello lists them", "%s has no option %q", v.Name, key)
		}
		if err := v.Options[k].judge(val); err != nil {
			return nil, nil, err
		}
		if v.Options[k].Kind == "file" { // one of the hangar
			name, _ := val.(string)
			if q.Options[key], err = s.path(name); err != nil {
				return nil, nil, err
			}
		}
		if v.Options[k].Kind == "upload" {
			id, _ := val.(string)
			f, err := s.uploads.find(id)
			if err != nil {
				return nil, nil, err
			}
			q.Options[key] = f.path
		}
	}
	for _, id := range q.Uploads {
		f, err := s.uploads.find(id)
		if err != nil {
			return nil, nil, err
		}
		w.uploads = append(w.uploads, f)
	}
	if n := w.number("launches"); n != 0 {
		if n < 16 || n > 1<<16 {
			return nil, nil, refuse(http.StatusBadRequest, "bad-request", "1024 is usual", "from 16 to %d launches", 1<<16)
		}
		w.q.Launches = n
	}
	return v, w, nil
}

// plainVerb is a verb on one build that takes a request and nothing more.
func plainVerb(f func(context.Context, app.Request) (*app.Answer, error)) func(context.Context, *work) (*app.Answer, error) {
	return func(ctx context.Context, w *work) (*app.Answer, error) { return f(ctx, w.request()) }
}

// roughly is the same with fewer draws and no searches.
func roughly(f func(context.Context, app.Request) (*app.Answer, error)) func(context.Context, *work) (*app.Answer, error) {
	return func(ctx context.Context, w *work) (*app.Answer, error) {
		q := w.request()
		q.Fast, q.Launches, q.Draws = true, 128, 24
		return f(ctx, q)
	}
}

var launchesOption = Option{Key: "launches", Kind: "number", Say: "launches flown for the odds", Example: "1024"}

// verbs is everything that can be asked for: a verb that lands in the app is
// one row here.
var verbs = []verb{
	{Verb: Verb{"check", "bench", 0, "Will it go?", "all questions, findings, remedies, verdict", "build", false, []Option{launchesOption}},
		build: true, run: checkVerb, rough: roughly(app.CheckAnswer)},
	{Verb: Verb{"fit", "bench", 1, "Fit", "do the parts fit, and which wires to cut", "build", false, []Option{}}, build: true, run: plainVerb(app.Fit)},
	{Verb: Verb{"balance", "bench", 2, "Balance", "mass, balance point, what moves it, weighing sheet", "build", true, []Option{launchesOption}}, build: true, run: plainVerb(app.Balance)},
	{Verb: Verb{"setup", "bench", 3, "Settings", "neutral settings, throws, linkages, pulses, failsafe", "build", false, []Option{}}, build: true, run: plainVerb(app.Setup)},
	{Verb: Verb{"strength", "bench", 4, "Strength", "loads against what servo, horn, rod, spar, hook can take", "build", true, []Option{launchesOption}}, build: true, run: plainVerb(app.Strength)},
	{Verb: Verb{"launch", "field", 5, "Launch", "launch odds, how it fails, best settings, levers, map, ring", "build", true, []Option{
		launchesOption,
		{Key: "map", Kind: "text", Say: "two settings of the odds map, with a comma", Example: "launch.bungee.stretch,launch.stick.pitch"},
		{Key: "map_at", Kind: "word", Say: "all other settings at their best, or as they are", Words: []string{"best", "now"}},
		{Key: "trajectory", Kind: "word", Say: "the launch with everything as most likely, moment by moment, as a file besides", Words: []string{"csv", "json"}},
	}}, build: true, run: launchVerb(false), rough: launchVerb(true)},
	{Verb: Verb{"fly", "field", 6, "Flight", "speeds, climb, turns, endurance, circuit, drag piece by piece", "build", true, []Option{}}, build: true, run: plainVerb(app.Fly)},
	{Verb: Verb{"trial", "field", 6, "Speed trial", "a speed trial planned over the course: block", "build", true, []Option{}}, build: true, run: plainVerb(app.Trial)},
	{Verb: Verb{"land", "field", 7, "Landing", "glide, approach, touchdown, landing distance", "build", true, []Option{}}, build: true, run: plainVerb(app.Land)},
	{Verb: Verb{"radio", "field", 6, "Radio", "radio and video margin along the flight", "build", true, []Option{}}, build: true, run: plainVerb(app.Radio)},
	{Verb: Verb{"sortie", "field", 7, "The whole sortie", "chance that she comes home whole, and what it costs", "build", false, []Option{launchesOption}}, build: true, run: plainVerb(app.Sortie)},
	{Verb: Verb{"card", "field", 0, "Flight card", "one page for the field, as a PDF", "build", false, []Option{
		launchesOption, paperOption,
		{Key: "looks", Kind: "number", Say: "launches for each look at a tolerance or wind", Example: "128"},
		{Key: "two_up", Kind: "flag", Say: "two halves of a sheet, to fold or cut"},
		{Key: "build_sheet", Kind: "flag", Say: "the sheet for the workshop wall besides"},
		{Key: "screen", Kind: "word", Say: "unit of speed on the pilot's screen", Words: []string{"km/h", "m/s", "mph", "kn", "ft/s"}},
	}}, build: true, run: cardVerb},
	{Verb: Verb{"print", "bench", 0, "Templates", "gauges, templates, horns in true size", "build", false, []Option{
		{Key: "what", Kind: "list", Say: "what to make; all that the build can give when left out", Words: app.Printables},
		{Key: "only", Kind: "text", Say: "one control or part by its name"},
		{Key: "station", Kind: "text", Say: "along the span, for gauges", Example: "400 mm"},
		{Key: "angle", Kind: "text", Say: "neutral to gauge, edge up positive", Example: "2 deg"},
		{Key: "material", Kind: "text", Say: "of horns"},
		paperOption,
		{Key: "forms", Kind: "list", Say: "kinds of file", Words: []string{"pdf", "3mf", "stl"}},
	}}, build: true, run: printVerb},
	{Verb: Verb{"parts", "bench", 1, "Parts to put in", "swaps among parts owned or on offer, by mass, cost, odds and speed", "build", true, []Option{
		{Key: "parts", Kind: "file", Say: "the parts file of the hangar", Example: "drawer.yaml"},
		{Key: "looks", Kind: "number", Say: "choices to look at, at most", Example: "60"},
	}}, build: true, run: partsVerb},
	{Verb: Verb{"compare", "bench", 0, "Compare", "builds, or settings of one, side by side", "builds", false, []Option{
		launchesOption,
		{Key: "groups", Kind: "list", Say: "groups of settings, one column each", Example: "launch.bungee.stretch=8 m;day.wind=3 m/s"},
	}}, build: true, run: compareVerb},
	{Verb: Verb{"try", "bench", 0, "Try", "a build before and after settings", "build", false, []Option{launchesOption}}, build: true, run: tryVerb},
	{Verb: Verb{"polar", "bench", 0, "Section", "lift, drag, moment of a wing section", "section", true, []Option{
		{Key: "section", Kind: "text", Say: "a designation; none with a coordinate file", Example: "NACA 2409"},
		{Key: "re", Kind: "text", Say: "Reynolds numbers: a list, or from:to:step", Example: "100000,200000"},
		{Key: "alpha", Kind: "text", Say: "angles of attack, degrees", Example: "-4:12:1"},
		{Key: "turbulence", Kind: "text", Say: "of the stream, per cent of its speed", Example: "0.1"},
		{Key: "flap", Kind: "text", Say: "a flap's angle, trailing edge down, degrees", Example: "10"},
		{Key: "hinge", Kind: "text", Say: "the flap's hinge, per cent of the chord", Example: "75"},
		{Key: "trip", Kind: "text", Say: "where the layer is tripped, per cent: both sides, or above,below", Example: "5"},
	}}, run: polarVerb},
	{Verb: Verb{"lattice", "bench", 0, "Lifting surfaces", "slopes, neutral point, derivatives", "build", true, []Option{}}, build: true, run: plainVerb(app.Lattice)},
	{Verb: Verb{"prop", "bench", 0, "Propeller", "thrust, power, efficiency", "build", true, []Option{
		{Key: "pitch", Kind: "text", Say: "of a propeller by itself, without a file", Example: "6 in"},
		{Key: "style", Kind: "text", Say: "of a propeller by its pitch", Example: "thin"},
		{Key: "diameter", Kind: "text", Say: "with a blade's file or a pitch", Example: "9 in"},
		{Key: "blades", Kind: "number", Say: "with a blade's file or a pitch", Example: "2"},
		{Key: "rpm", Kind: "text", Say: "a list, or from:to:step", Example: "12000:18000:2000"},
		{Key: "advance", Kind: "text", Say: "advance ratio from:to:step", Example: "0:1:0.05"},
		{Key: "zero_thrust", Kind: "text", Say: "with a blade's file or a pitch: measured advance ratio of no pull", Example: "0.72"},
		{Key: "measured", Kind: "upload", Say: "with a blade's file or a pitch: measured coefficients of it, as a table"},
	}}, run: propVerb},
	{Verb: Verb{"debrief", "debrief", 8, "Debrief", "what really happened, claims judged, why a launch failed", "logs", true, []Option{
		{Key: "readings", Kind: "list", Say: "read off a screen, a watch, a film", Example: "speed=74 m/s direction=240"},
		{Key: "outcome", Kind: "text", Say: "how the launch ended, in words", Example: "ground strike before release"},
		{Key: "seen", Kind: "list", Say: "signs seen at the launch", Example: "nose low at release"},
		{Key: "not_seen", Kind: "list", Say: "signs surely not seen"},
		{Key: "flew_before", Kind: "flag", Say: "the same settings flew the time before"},
		{Key: "state", Kind: "list", Say: "full-throttle or part-throttle, claimed-parts or other-parts, sound or repaired"},
		{Key: "opposite", Kind: "flag", Say: "the two recordings are of passes in opposite directions"},
		{Key: "base", Kind: "text", Say: "marked course", Example: "52.1234,13.5678 azimuth=270 length=200 m"},
		{Key: "field_height", Kind: "text", Say: "height of the field in the log's own heights"},
		{Key: "height_limit", Kind: "text", Say: "height above the start not to be passed"},
		{Key: "far_limit", Kind: "text", Say: "distance from the start not to be passed"},
		{Key: "pack", Kind: "flag", Say: "an evidence sheet others can check, as files"},
		{Key: "obtained", Kind: "word", Say: "how the aeroplane was come by", Words: []string{"bought", "lent", "given"}},
		{Key: "flown", Kind: "text", Say: "where and by whom"},
		{Key: "note", Kind: "text", Say: "state of the aeroplane and its repairs"},
	}}, run: debriefVerb},
	{Verb: Verb{"learn", "debrief", 9, "Learn", "factors from flights, bench rows and readings; what to fly next", "build", true, []Option{
		{Key: "readings", Kind: "list", Say: "what was read", Example: "glide_speed=16 m/s sink=1.4 m/s"},
		{Key: "state", Kind: "list", Say: "of the logged flights", Words: []string{"full-throttle", "part-throttle"}},
		{Key: "next", Kind: "flag", Say: "plan the flight or bench test that would settle the most"},
		{Key: "keep", Kind: "flag", Say: "keep what was learned in the logbook; else only look"},
		{Key: "alone", Kind: "flag", Say: "without the logbook: neither its evidence nor what was learned"},
		{Key: "forget", Kind: "flag", Say: "what was learned of this aeroplane counts no more"},
		launchesOption,
	}}, build: true, run: learnVerb},
	{Verb: Verb{"score", "debrief", 9, "Forecasts", "our own forecasts against what happened", "logbook", true, []Option{}}, run: scoreVerb, light: func(*work) bool { return true }},
	{Verb: Verb{"repair", "debrief", 9, "Repair", "after a crash: mend it, on paper first", "build", false, []Option{
		{Key: "broken", Kind: "text", Say: "what broke; none lists what may", Example: "spar"},
		{Key: "args", Kind: "list", Say: "key=value", Example: "x=190 mm"},
		{Key: "write", Kind: "flag", Say: "write the repaired revision and the entry; else only work it out"},
	}}, run: repairVerb, light: func(w *work) bool { return w.text("broken") == "" }},
}

// checkVerb shows the verdict before the remedies are found.
func checkVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := w.request()
	q.Early = w.early
	return app.CheckAnswer(ctx, q)
}

var paperOption = Option{Key: "paper", Kind: "word", Say: "A4, or letter with imperial units, when left out", Words: []string{"a4", "letter"}}

func cardVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := app.CardRequest{Request: w.request(), Out: stem(w.file) + "-card.pdf", Paper: w.text("paper"), TwoUp: w.flag("two_up"), Screen: w.text("screen"), Looks: w.number("looks")}
	if q.Looks != 0 && (q.Looks < 16 || q.Looks > 1<<16) {
		return nil, refuse(http.StatusBadRequest, "bad-request", "128 is usual", "from 16 to %d launches for a look", 1<<16)
	}
	if w.flag("build_sheet") {
		q.Sheet = stem(w.file) + "-sheet.pdf"
	}
	return app.Card(ctx, q)
}

func printVerb(ctx context.Context, w *work) (*app.Answer, error) {
	return app.Print(ctx, app.PrintRequest{Request: w.request(), What: w.list("what"), Only: w.text("only"), Station: w.text("station"), Angle: w.text("angle"), Material: w.text("material"), Folder: stem(w.file) + "-prints", Paper: w.text("paper"), Forms: w.list("forms")})
}

func partsVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := app.PartsRequest{Request: w.request(), Parts: w.text("parts"), Looks: w.number("looks")}
	if len(w.uploads) > 0 {
		q.Parts = w.uploads[0].path
	}
	return app.Parts(ctx, q)
}

func learnVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := app.LearnRequest{Request: w.request(), Readings: w.list("readings"), State: w.list("state"), Look: !w.flag("keep") && !w.flag("forget"), Forget: w.flag("forget"), Alone: w.flag("alone"), Next: w.flag("next"), Hangar: w.s.hangarOf(w.q.Units)}
	logs, _, all, of := w.recorded()
	for _, log := range logs {
		if of[log] == "" && all != "" {
			of[log] = all
		}
	}
	q.Logs, q.ColumnsOf = logs, of
	a, err := app.Learn(ctx, q)
	if err == nil && !q.Look {
		w.s.hub.send("logbook", LogbookEvent{Kind: "factor"})
	}
	return a, err
}

// stem is a file's name without its ending.
func stem(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }

func launchVerb(rough bool) func(context.Context, *work) (*app.Answer, error) {
	return func(ctx context.Context, w *work) (*app.Answer, error) {
		r := app.LaunchMoreRequest{Map: w.text("map"), MapAt: w.text("map_at")}
		r.Request = w.request()
		r.Only = r.Fast
		if form := w.text("trajectory"); form != "" && !rough {
			r.Trajectory = stem(w.file) + "-launch." + form
		}
		if rough {
			r.Fast, r.Only, r.Launches, r.Draws, r.Map, r.MapAt = true, true, 128, 24, "", ""
		}
		o, err := app.Open(r.Request)
		if err != nil {
			return nil, err
		}
		if o.Aircraft.Launch.By != "" {
			r.Fan = 60
		}
		return app.LaunchMore(ctx, r)
	}
}

func compareVerb(ctx context.Context, w *work) (*app.Answer, error) {
	return app.Compare(ctx, app.CompareRequest{Request: w.request(), Paths: w.paths, Groups: w.list("groups")})
}

// TryJSON is a build before and after settings.
type TryJSON struct {
	Schema  int              `json:"schema"`
	Sets    []string         `json:"sets"`
	Before  report.CheckJSON `json:"before"`
	After   report.CheckJSON `json:"after"`
	Changed []TryChange      `json:"changed"` // findings that differ, in their order
}

// TryChange is a finding before and after.
type TryChange struct {
	ID     string   `json:"id"`
	Label  string   `json:"label"`
	Before TryValue `json:"before"`
	After  TryValue `json:"after"`
}

// TryValue is a finding's status and value.
type TryValue struct {
	Status string `json:"status"`
	report.Quantity
	Shown string `json:"shown"`
}

func tryVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := w.request()
	if len(q.Sets) == 0 {
		return nil, refuse(http.StatusBadRequest, "bad-request", "", "nothing is tried")
	}
	q.Fast = true
	before := q
	before.Sets = nil
	tell := q.Progress
	before.Progress = func(stage string, done, total int) { tell("before: "+stage, done, total) }
	q.Progress = func(stage string, done, total int) { tell("after: "+stage, done, total) }
	a, _, err := app.Check(ctx, before)
	if err != nil {
		return nil, err
	}
	b, o, err := app.Check(ctx, q)
	if err != nil {
		return nil, err
	}
	out := TryJSON{Schema: report.Schema, Sets: q.Sets, Before: report.CheckBody(*a), After: report.CheckBody(*b), Changed: []TryChange{}}
	at := map[string]int{}
	for i, f := range out.Before.Findings {
		at[f.ID+"\x00"+f.Label] = i
	}
	for i, f := range out.After.Findings {
		k, ok := at[f.ID+"\x00"+f.Label]
		if !ok {
			continue
		}
		g := out.Before.Findings[k]
		if g.Status == f.Status && g.Value == f.Value || math.IsNaN(float64(g.Value)) && math.IsNaN(float64(f.Value)) && g.Status == f.Status {
			continue
		}
		v := TryChange{ID: f.ID, Label: f.Label, Before: TryValue{g.Status, g.Quantity, ""}, After: TryValue{f.Status, f.Quantity, ""}}
		v.Before.Shown = a.Verdict.Findings[k].Print(a.Verdict.Findings[k].Value.Value, q.Units)
		v.After.Shown = b.Verdict.Findings[i].Print(b.Verdict.Findings[i].Value.Value, q.Units)
		out.Changed = append(out.Changed, v)
	}
	pair := report.Comparison{Units: q.Units, Columns: []report.Compared{{Path: w.file, Checked: *a}, {Path: w.file, Sets: q.Sets, Checked: *b}}}
	return &app.Answer{Doc: report.Compare(pair), Body: out, Notes: o.RenderNotes()}, nil
}

// or is a text, or what stands for it when there is none.
func or(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

func polarVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := app.PolarRequest{Section: w.text("section"), Re: or(w.text("re"), "100000,200000"), Alpha: or(w.text("alpha"), "-4:12:1"), Turbulence: or(w.text("turbulence"), "0.1"), Flap: w.text("flap"), Hinge: or(w.text("hinge"), "75"), Trip: w.text("trip"), Units: w.q.Units, Progress: w.progress}
	switch {
	case len(w.uploads) > 0:
		q.Section = w.uploads[0].path
	case q.Section == "" && w.q.Path != "":
		return nil, refuse(http.StatusBadRequest, "bad-request", "NACA 2409", "name a section")
	case app.NamesFile(q.Section):
		return nil, refuse(http.StatusForbidden, "outside", "drop the coordinate file on the page", "a section is named by its designation")
	}
	return app.Polar(ctx, q)
}

func propVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := app.PropRequest{Request: w.request(), Pitch: w.text("pitch"), Style: w.text("style"), Diameter: w.text("diameter"), Blades: w.number("blades"), RPM: w.text("rpm"), Advance: or(w.text("advance"), "0:1:0.05"), ZeroThrust: w.text("zero_thrust"), Measured: w.text("measured")}
	if q.Blades == 0 {
		q.Blades = 2
	}
	if len(w.uploads) > 0 {
		q.Blade, q.Path = w.uploads[0].path, ""
	} else if q.Pitch != "" {
		q.Path = ""
	}
	return app.Prop(ctx, q)
}

func debriefVerb(ctx context.Context, w *work) (*app.Answer, error) {
	q := app.DebriefRequest{Request: w.request(), Readings: w.list("readings"), Outcome: w.text("outcome"), Seen: w.list("seen"), NotSeen: w.list("not_seen"), FlewBefore: w.flag("flew_before"),
		State: w.list("state"), Opposite: w.flag("opposite"), Base: w.text("base"), FieldHeight: w.text("field_height"), HeightLimit: w.text("height_limit"), FarLimit: w.text("far_limit"), NoModel: w.quick,
		Obtained: w.text("obtained"), Flown: w.text("flown"), Note: w.text("note")}
	if w.flag("pack") {
		q.Pack = "for-review"
	}
	q.Logs, q.ReadingFile, q.Columns, q.ColumnsOf = w.recorded()
	return app.Debrief(ctx, q)
}

// recorded sorts what was dropped: logs, a file of readings, and how tables are
// read: all, or one by itself where the map is named by its upload. What is
// told of none is read by the map kept in the hangar that fits.
func (w *work) recorded() (logs []string, readings, columns string, of map[string]string) {
	maps := map[string]string{} // by upload
	of = map[string]string{}
	for _, f := range w.uploads {
		id, its := strings.CutSuffix(f.name, app.ColumnsEnd)
		switch ending := strings.ToLower(filepath.Ext(f.name)); {
		case its && slices.ContainsFunc(w.uploads, func(o stored) bool { return o.id() == id }):
			maps[id] = f.path
		case ending == ".json":
			columns = f.path
		case ending == ".yaml" || ending == ".yml":
			readings = f.path
		default:
			logs = append(logs, f.path)
		}
	}
	for _, f := range w.uploads {
		if !slices.Contains(logs, f.path) {
			continue
		}
		m := maps[f.id()]
		if m == "" && columns == "" {
			m = app.KeptColumns(f.path, w.s.dir)
		}
		if m != "" {
			of[f.path] = m
		}
	}
	return logs, readings, columns, of
}

// hangarOf is the logbook of the folder.
func (s *Server) hangarOf(u unit.System) app.Hangar {
	return app.Hangar{Dir: s.dir, Units: u, Now: s.conf.Now}
}

func scoreVerb(ctx context.Context, w *work) (*app.Answer, error) {
	x, err := w.s.hangarOf(w.q.Units).Score(ctx, w.q.Seed)
	if isNew(err) {
		x, err = app.NoScore(), nil
	}
	if err != nil {
		return nil, err
	}
	a := &app.Answer{Plain: x.Text(w.q.Units), Body: x.JSON()}
	if x.Odds.N > 0 {
		a.Chart = x.Odds.Plot()
	}
	return a, nil
}

func repairVerb(ctx context.Context, w *work) (*app.Answer, error) {
	if w.text("broken") == "" || w.q.Path == "" {
		return &app.Answer{Plain: app.BreaksText(), Body: app.BreaksBody()}, nil
	}
	got, err := w.s.hangarOf(w.q.Units).Repair(ctx, app.RepairRequest{Path: w.q.Path, Sets: w.q.Sets, Broken: w.text("broken"), Args: w.list("args"), DryRun: !w.flag("write"), NoOdds: w.quick, Seed: w.q.Seed, Progress: w.progress})
	if err != nil {
		return nil, err
	}
	if !got.DryRun {
		w.s.hub.send("hangar", struct{}{})
		w.s.hub.send("logbook", LogbookEvent{Kind: "repair"})
	}
	return &app.Answer{Plain: got.Text(w.q.Units), Body: got}, nil
}
