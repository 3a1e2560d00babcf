// Package app has one function per use case: load, run the chain, return what
// a page or a JSON body is made of. Command and workshop both call it.
package app

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"

	"fledge/internal/air"
	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/store"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Request names a build and how to look at it.
type Request struct {
	Path     string
	Sets     []string // path=value
	DayFile  string
	METAR    string
	Seed     uint64
	Launches int // 0: the default
	Draws    int // 0: the default
	Units    unit.System
	Fast     bool // no remedies
	Untaught bool // as if nothing had been learned in the hangar
	Cached   bool // keep remedies in the user's cache folder
	Progress func(stage string, done, total int)
	Early    func(*Answer) // a check's answer before remedies are sought; nil: not wanted

	memo *memo // solved sections shared by reruns
}

// BadInput is a wrong file or wish: diagnostics with the text they point into.
type BadInput struct {
	List diag.List
	Text func(file string) []byte
}

func (b *BadInput) Error() string {
	if err := b.List.Err(); err != nil {
		return err.Error()
	}
	return "bad input"
}

// Opened is a build that became an aircraft.
type Opened struct {
	Loaded   store.Loaded
	Build    *build.Build
	Aircraft *craft.Aircraft
	Notes    diag.List // warnings
	excerpt  func(file string) []byte
	memo     *memo
	untaught *craft.Aircraft // before anything learned was applied
}

// Open reads a build with its day and settings and makes the aircraft.
func Open(q Request) (*Opened, error) {
	var list diag.List
	var settings []build.Setting
	for _, s := range q.Sets {
		set, ds := build.ParseSetting(s)
		list = append(list, ds...)
		settings = append(settings, set)
	}
	told := map[string]bool{} // keys of the day that a setting gives: the last word
	for _, s := range settings {
		if key, ok := strings.CutPrefix(s.Path, "day."); ok {
			told[key] = true
		}
	}
	if q.METAR != "" {
		told["metar"] = true
		settings = append(settings, build.Setting{Path: "day.metar", Value: q.METAR})
	}
	if list.HasErrors() {
		return nil, &BadInput{List: list}
	}
	loaded, ds := store.LoadBuild(q.Path, settings...)
	list = append(list, ds...)
	excerpt := loaded.Excerpts(settings...)
	if list.HasErrors() || loaded.Build == nil {
		return nil, &BadInput{List: list, Text: excerpt}
	}
	b := loaded.Build
	if q.DayFile != "" {
		day, text, ds := store.LoadDay(q.DayFile)
		list = append(list, ds...)
		inner := excerpt
		excerpt = func(file string) []byte {
			if file == q.DayFile {
				return text
			}
			return inner(file)
		}
		if list.HasErrors() {
			return nil, &BadInput{List: list, Text: excerpt}
		}
		b = b.WithDay(day, told)
		if day.METAR.Given && q.METAR == "" {
			said := day.Keys()
			maps.Copy(said, told)
			b = craft.Reported(b, said)
		}
	}
	if q.METAR != "" {
		b = craft.Reported(b, told)
	}
	if b.Day.METAR.Given {
		list = append(list, silent(b.Day.METAR.S)...)
	}
	ac, ds := craft.New(b, loaded.Files)
	list = append(list, ds...)
	if ac == nil || list.HasErrors() {
		return nil, &BadInput{List: list, Text: excerpt}
	}
	o := &Opened{Loaded: loaded, Build: b, Aircraft: ac, Notes: list, excerpt: excerpt}
	o.teach(q)
	return o, nil
}

// silent warns of what a weather report does not tell: the build's own day, or
// what is assumed, then stands.
func silent(report string) diag.List {
	r, faults := air.ReadMETAR(report)
	if len(faults) > 0 {
		return nil // an error at the value
	}
	var lacks []string
	for _, k := range []struct {
		v    float64
		what string
	}{{r.WindSpeed, "wind"}, {r.T, "temperature"}, {r.QNH, "pressure"}} {
		if math.IsNaN(k.v) {
			lacks = append(lacks, k.what)
		}
	}
	if len(lacks) == 0 {
		return nil
	}
	return diag.List{{Severity: diag.Warning, Code: "metar", Message: "the weather report has no " + strings.Join(lacks, ", no ") + ": what the build's day says, or what is assumed, stands", Hint: "read it at the field"}}
}

// Render prints diagnostics with their excerpts.
func (b *BadInput) Render() string {
	text := b.Text
	if text == nil {
		text = func(string) []byte { return nil }
	}
	return b.List.Render(text)
}

// RenderNotes prints the warnings of an opened build.
func (o *Opened) RenderNotes() string { return o.Notes.Render(o.excerpt) }

func workers() int { return runtime.GOMAXPROCS(0) }

// Check is the main job.
func Check(ctx context.Context, q Request) (*report.Checked, *Opened, error) {
	o, err := Open(q)
	if err != nil {
		return nil, nil, err
	}
	c, err := check(ctx, o, q)
	return c, o, err
}

func check(ctx context.Context, o *Opened, q Request) (*report.Checked, error) {
	chain, err := models(ctx, o, q)
	if err != nil {
		return nil, located(o, err)
	}
	opt := assess.Options{Seed: q.Seed, Launches: q.Launches, Draws: q.Draws, Workers: workers(), Progress: q.Progress, Sortie: true}
	r, err := chain.Run(ctx, opt)
	if err != nil {
		return nil, located(o, err)
	}
	c := &report.Checked{Results: r, Verdict: verdict.In(r, q.Units), Units: q.Units, Quick: q.Fast}
	c.Measure = seek.MeasureNext(r)
	c.Record = recordOf(ctx, o, r)
	if q.Fast {
		return c, nil
	}
	if q.Early != nil {
		q.Early(checked(c, o))
	}
	// Remedies are the long part and a pure function of build, day and draws:
	// they are kept, bit for bit.
	cache := openCache(q.Cached)
	key := cache.Key("remedies", o.Aircraft.Hash, fmt.Sprint(q.Seed, q.Launches, q.Draws, q.Units))
	if kept, ok := cache.Get(key); ok && c.Verdict.Recall(kept) {
		return c, nil
	}
	now := c.Verdict
	now.Findings = slices.Clone(now.Findings)
	s := &search{chain: chain, opened: o, query: q, base: r, now: &now}
	if err := s.remedies(ctx, &c.Verdict); err != nil {
		return nil, err
	}
	if err := s.link(ctx, &c.Verdict, r); err != nil {
		return nil, err
	}
	cache.Put(key, c.Verdict.Keep())
	return c, nil
}

// located turns an impossible doubt into a diagnostic at its value.
func located(o *Opened, err error) error {
	var bad *assess.BadDoubt
	if !errors.As(err, &bad) {
		return unbuildable(o, err)
	}
	d := diag.Diagnostic{Severity: diag.Error, Code: "doubt", Message: fmt.Sprintf("%s: %s", bad.Path, bad.Why), Hint: "give a smaller ±, or a word: weighed, measured, label, guess"}
	if strings.Contains(bad.Why, "not between its bounds") {
		d.Hint = "give a value between those bounds"
	}
	if leaf, ds := build.Get(o.Build, bad.Path); !ds.HasErrors() {
		d.Span = leaf.Span()
	}
	return &BadInput{List: diag.List{d}, Text: o.excerpt}
}

// unbuildable turns what a room says of a drive or airframe it cannot model
// into a diagnostic at the number it speaks of, or at the file.
func unbuildable(o *Opened, err error) error {
	what, say, ok := strings.Cut(err.Error(), ": ")
	if !ok || what != "drive" && what != "airframe" {
		return err
	}
	d := diag.Diagnostic{Severity: diag.Error, Code: what, Span: diag.Span{File: o.Loaded.Path}, Message: fmt.Sprintf("the %s cannot be modelled: %s", what, strings.TrimPrefix(say, "error: "))}
	for _, k := range []struct{ word, path string }{
		{"pitch", "power.propeller.pitch"}, {"diameter", "power.propeller.diameter"}, {"blade", "power.propeller.blades"},
		{"motor constant", "power.motor.kv"}, {"capacity", "power.battery.capacity"},
	} {
		if what == "drive" && strings.Contains(say, k.word) {
			if leaf, ds := build.Get(o.Build, k.path); !ds.HasErrors() {
				d.Span = leaf.Span()
				break
			}
		}
	}
	return &BadInput{List: diag.List{d}, Text: o.excerpt}
}

// openCache opens the user's cache; where there can be none, work goes on
// without.
func openCache(wanted bool) *store.Cache {
	if !wanted {
		return nil
	}
	c, err := store.OpenCache("")
	if err != nil {
		return nil
	}
	return c
}

// memo keeps solved sections in memory for this process and, when wanted, in
// the user's cache.
type memo struct {
	mu   sync.Mutex
	kept map[string][]byte
	disk *store.Cache
}

// Get implements section.Memo.
func (m *memo) Get(key string) ([]byte, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if b, ok := m.kept[key]; ok {
		return b, true
	}
	b, ok := m.disk.Get(m.disk.Key("section", key))
	if ok {
		m.kept[key] = b
	}
	return b, ok
}

// Put implements section.Memo.
func (m *memo) Put(key string, data []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.kept[key] = data
	m.disk.Put(m.disk.Key("section", key), data)
}

// models builds the chain of an opened build, sections solved.
func models(ctx context.Context, o *Opened, q Request) (*assess.Chain, error) {
	if o.memo == nil {
		o.memo = q.memo
	}
	if o.memo == nil {
		o.memo = &memo{kept: map[string][]byte{}, disk: openCache(q.Cached)}
	}
	c, err := assess.NewChainWith(ctx, o.Aircraft, assess.Setting{Memo: o.memo, Solve: true, Workers: workers()})
	if err == nil {
		o.remark(c)
	}
	return c, err
}
