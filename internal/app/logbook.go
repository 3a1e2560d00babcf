package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"time"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/diag"
	"fledge/internal/launch"
	"fledge/internal/num"
	"fledge/internal/report"
	"fledge/internal/score"
	"fledge/internal/store"
	"fledge/internal/tune"
	"fledge/internal/unit"
)

// Hangar names a folder with its logbook.
type Hangar struct {
	Dir   string
	Units unit.System
	Now   func() time.Time // nil: the clock
}

func (h Hangar) now() time.Time {
	if h.Now != nil {
		return h.Now()
	}
	return time.Now()
}

// Open opens the logbook, making one when create is set. Trouble with the
// file is a diagnostic; of a damaged one the readable part is saved first.
func (h Hangar) Open(ctx context.Context, create bool) (*store.Logbook, error) {
	l, err := store.OpenLogbook(ctx, h.Dir, store.LogbookOptions{Now: h.now, Create: create})
	return l, h.trouble(err)
}

// trouble makes a diagnostic of what may happen to a file.
func (h Hangar) trouble(err error) error {
	if err == nil {
		return nil
	}
	file := filepath.Join(h.Dir, store.LogbookName)
	bad := func(code, hint, say string) error {
		say = strings.TrimPrefix(strings.TrimPrefix(strings.TrimPrefix(say, file), h.Dir), ": ")
		return &BadInput{List: diag.List{{Severity: diag.Error, Code: code, Span: diag.Span{File: file}, Message: strings.TrimSpace(say), Hint: hint}}}
	}
	var newer *store.Newer
	var foreign *store.Foreign
	var damaged *store.Damaged
	switch {
	case errors.As(err, &newer):
		return bad("newer-format", "use the newer program; nothing was touched", fmt.Sprintf("the logbook has format %d, this program knows up to %d", newer.Have, newer.Know))
	case errors.As(err, &foreign):
		return bad("not-a-logbook", "move it away, or name another folder with --hangar", "this is a file of another program; it was left alone")
	case errors.As(err, &damaged):
		s, serr := store.Salvage(h.Dir)
		if serr != nil {
			return bad("damaged", "restore a dump, if there is one", fmt.Sprintf("the logbook is damaged (%s) and nothing could be saved: %s", damaged.Why, serr))
		}
		return bad("damaged", "go on with what was saved: fledge logbook check --rescue", fmt.Sprintf("the logbook is damaged: %s. Its readable part, %s, is saved in %s; the damaged file was left as it is", damaged.Why, rowsOf(s.Rows), filepath.Base(s.Path)))
	case errors.Is(err, store.ErrNoLogbook):
		return bad("no-logbook", "the first entry makes one: fledge logbook add flight build=FILE", "there is no logbook in this folder yet")
	case errors.Is(err, store.ErrReadOnly):
		return bad("read-only", "make the folder writable, or copy it elsewhere and use --hangar", "the hangar folder is read-only: nothing was written")
	case errors.Is(err, store.ErrFull):
		return bad("disk-full", "make room and do it again", "the disk is full: nothing of this was written; what was in the logbook before is safe")
	case errors.Is(err, store.ErrBusy):
		return bad("busy", "close it there, or try again", "another program holds the logbook for too long: nothing was written")
	case errors.Is(err, os.ErrNotExist):
		return bad("no-folder", "name a folder that is there with --hangar", "there is no such folder")
	}
	return err
}

func rowsOf(rows map[string]int) string {
	var parts []string
	for _, k := range []string{"flights", "logs", "readings", "evidence", "factors", "repairs", "packs", "cycles", "parts", "wear", "costs", "builds", "files"} {
		if n := rows[k]; n > 0 {
			parts = append(parts, counted(n, strings.TrimSuffix(k, "s")))
		}
	}
	if len(parts) == 0 {
		return "nothing"
	}
	return strings.Join(parts, ", ")
}

// Entry is one entry with its kind.
type Entry struct {
	Kind string    `json:"kind"`
	Row  store.Row `json:"row"`
}

// Added is what one add wrote, the entry asked for first.
type Added struct {
	Schema int      `json:"schema"`
	Added  []Entry  `json:"added"`
	Notes  []string `json:"notes"`
}

// AddRequest is one entry to be written.
type AddRequest struct {
	Kind     string
	Args     []string // key=value
	Sets     []string // settings of the build it was flown with
	Logs     []string // files to be kept with a flight
	Forecast bool     // forecast odds and speed now, to be scored later
	Seed     uint64
	Progress func(stage string, done, total int)
}

// outcomes are the words for how a launch ended.
func outcomes() []string {
	var out []string
	for c := range launch.Classes {
		if k := launch.Class(c); k != launch.NoResult {
			out = append(out, k.Key())
		}
	}
	return out
}

func kindError(word string) error {
	return &BadInput{List: diag.List{{Severity: diag.Error, Code: "unknown-kind", Span: diag.Span{File: store.EntryFile}, Message: fmt.Sprintf("the logbook has no %s", diag.Quote(word)), Hint: diag.DidYouMean(word, store.Kinds(), "it has: "+strings.Join(store.Kinds(), ", "))}}}
}

func known(kind string) bool {
	for _, k := range store.Kinds() {
		if k == kind {
			return true
		}
	}
	return false
}

func argText(args []string) func(string) []byte {
	return func(file string) []byte {
		if file == store.EntryFile {
			return []byte(strings.Join(args, "\n"))
		}
		return nil
	}
}

// pending are files that an entry refers to, kept once it is written.
type pending struct {
	builds []*Opened
	files  []struct {
		name string
		text []byte
	}
}

// look resolves what columns refer to; files and builds get numbers below
// zero until they are kept.
func (h Hangar) look(ctx context.Context, l *store.Logbook, q AddRequest, p *pending, fail *error) store.Look {
	return func(c *store.Column, word string) (int64, string, bool) {
		switch c.Ref {
		case "builds":
			o, err := Open(Request{Path: word, Sets: q.Sets, Units: h.Units})
			if err != nil {
				*fail = err
				return 0, "see above", false
			}
			p.builds = append(p.builds, o)
			return -int64(len(p.builds)), "", true
		case "files":
			text, err := readLog(word)
			if err != nil {
				*fail = err
				return 0, "see above", false
			}
			p.files = append(p.files, struct {
				name string
				text []byte
			}{filepath.Base(word), text})
			return -int64(len(p.files)), "", true
		}
		kind := strings.TrimSuffix(c.Ref, "s")
		if n, err := strconv.ParseInt(word, 10, 64); err == nil {
			if _, err := l.Entry(ctx, kind, n); err == nil {
				return n, "", true
			}
			return 0, "see them with: fledge logbook list " + kind, false
		}
		if word == "last" {
			rows, err := l.Entries(ctx, kind)
			if err == nil && len(rows) > 0 {
				return store.MetaOf(rows[len(rows)-1]).ID, "", true
			}
		}
		id, names, err := l.Named(ctx, c.Ref, word)
		if err == nil {
			return id, "", true
		}
		return 0, diag.DidYouMean(word, names, "give its number; see them with: fledge logbook list "+kind), false
	}
}

// readLog reads a recording to be kept.
func readLog(name string) ([]byte, error) {
	bad := func(code, format string, args ...any) error {
		return &BadInput{List: diag.List{{Severity: diag.Error, Code: code, Span: diag.Span{File: name}, Message: fmt.Sprintf(format, args...)}}}
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, bad("no-file", "the file cannot be read: %s", plainFile(err))
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, bad("not-a-file", "this is not a regular file")
	}
	text, err := io.ReadAll(io.LimitReader(f, store.MaxLog+1))
	if err != nil {
		return nil, bad("cannot-read", "the file cannot be read: %s", plainFile(err))
	}
	if len(text) > store.MaxLog {
		return nil, bad("too-large", "the file has more than %d MiB, which is the most that is kept", store.MaxLog>>20)
	}
	return text, nil
}

func plainFile(err error) string {
	var p *os.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

// Add writes one entry; a flight with its build as it is now, its recordings
// and, when asked, the forecast.
func (h Hangar) Add(ctx context.Context, q AddRequest) (*Added, error) {
	if !known(q.Kind) {
		return nil, kindError(q.Kind)
	}
	out := &Added{Schema: report.Schema, Notes: []string{}}
	args := append([]string(nil), q.Args...)
	today := true
	for _, c := range store.Columns(q.Kind) {
		if c.Name == "day" && c.Need {
			for _, a := range args {
				today = today && !strings.HasPrefix(strings.TrimSpace(a), "day=")
			}
			if today {
				day := h.now().Format("2006-01-02")
				args = append(args, "day="+day)
				out.Notes = append(out.Notes, "no day given: today, "+day)
			}
		}
	}
	l, err := h.Open(ctx, true)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	if l.ReadOnly() {
		return nil, h.trouble(store.ErrReadOnly)
	}
	var p pending
	var fail error
	row, ds := store.ParseEntry(q.Kind, args, h.look(ctx, l, q, &p, &fail))
	if fail != nil {
		return nil, fail
	}
	if q.Kind == "log" {
		for i := range ds { // its name is that of the file
			if ds[i].Code == "missing" && strings.Contains(ds[i].Message, "name") {
				ds = append(ds[:i], ds[i+1:]...)
				break
			}
		}
	}
	fl, isFlight := row.(*store.Flight)
	if isFlight {
		settle(fl, args, &ds)
	}
	if ds.HasErrors() {
		return nil, &BadInput{List: ds, Text: argText(args)}
	}
	if !isFlight && (len(q.Logs) > 0 || q.Forecast) || q.Forecast && len(p.builds) == 0 {
		return nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "misplaced", Span: diag.Span{File: store.EntryFile}, Message: "recordings and forecasts belong to a flight with its build", Hint: "fledge logbook add flight build=FILE --forecast --log FILE"}}}
	}
	if isFlight {
		if len(p.builds) > 0 {
			fromBuild(fl, p.builds[0])
		}
		if q.Forecast {
			if err := forecast(ctx, fl, p.builds[0], q); err != nil {
				return nil, err
			}
		}
		for _, name := range q.Logs {
			text, err := readLog(name)
			if err != nil {
				return nil, err
			}
			p.files = append(p.files, struct {
				name string
				text []byte
			}{filepath.Base(name), text})
		}
	}
	err = l.Write(ctx, func(t *store.Tx) error {
		out.Added = out.Added[:0]
		var builds, files []int64
		for _, o := range p.builds {
			b, err := t.KeepBuild(o.Loaded)
			if err != nil {
				return err
			}
			builds = append(builds, b.ID)
		}
		for _, f := range p.files {
			id, err := t.Keep(f.text)
			if err != nil {
				return err
			}
			files = append(files, id)
		}
		for _, c := range store.Columns(q.Kind) {
			if id, _ := c.Cell(row).(int64); c.Ref == "builds" && id < 0 {
				c.Put(row, builds[-id-1])
			} else if c.Ref == "files" && id < 0 {
				c.Put(row, files[-id-1])
			}
		}
		if lg, ok := row.(*store.Log); ok && lg.Name == "" && len(p.files) > 0 {
			lg.Name = p.files[0].name
		}
		if err := t.Add(row); err != nil {
			return err
		}
		out.Added = append(out.Added, Entry{q.Kind, row})
		if isFlight {
			for i, f := range p.files {
				lg := &store.Log{Flight: fl.ID, File: files[i], Name: f.name, Kind: "log"}
				if err := t.Add(lg); err != nil {
					return err
				}
				out.Added = append(out.Added, Entry{"log", lg})
			}
		}
		return nil
	})
	if err != nil {
		return nil, h.trouble(err)
	}
	return out, nil
}

// settle holds a flight's outcome to the words for it, and says from it
// whether it flew away.
func settle(fl *store.Flight, args []string, ds *diag.List) {
	if fl.Outcome == "" {
		return
	}
	bad := func(key, code, message, hint string) {
		d := diag.Diagnostic{Severity: diag.Error, Code: code, Span: diag.Span{File: store.EntryFile}, Message: message, Hint: hint}
		for i, a := range args {
			if rest, ok := strings.CutPrefix(strings.TrimSpace(a), key+"="); ok {
				d.Span.Line, d.Span.Col, d.Span.Len = i+1, len(key)+2, max(1, len(rest))
			}
		}
		ds.Add(d)
	}
	ok := false
	for _, o := range outcomes() {
		ok = ok || o == fl.Outcome
	}
	if !ok {
		bad("outcome", "bad-word", "outcome: "+diag.Quote(fl.Outcome)+" is no way a launch ends", diag.DidYouMean(fl.Outcome, outcomes(), "use one of: "+strings.Join(outcomes(), ", ")))
		return
	}
	away := fl.Outcome == launch.Airborne.Key()
	if fl.Launched == nil {
		fl.Launched = &away
	}
	if *fl.Launched != away {
		bad("launched", "at-odds", fmt.Sprintf("launched: the outcome, %s, says otherwise", fl.Outcome), "leave launched out: it follows from the outcome")
	}
}

// Amend changes values of an entry that is there: the outcome of a flight
// whose odds were forecast, a proof load held, a slip of the pen.
func (h Hangar) Amend(ctx context.Context, kind, number string, args []string) (*Added, error) {
	if kind == "build" {
		return nil, kindError(kind)
	}
	l, r, err := h.find(ctx, kind, number)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	if len(args) == 0 {
		return nil, Bad("missing", "as in fledge logbook amend flight last outcome=airborne", "nothing to change")
	}
	var fail error
	look := h.look(ctx, l, AddRequest{}, &pending{}, &fail)
	out := &Added{Schema: report.Schema, Notes: []string{}}
	ds := store.Amend(r, args, func(c *store.Column, word string) (int64, string, bool) {
		if c.Ref == "builds" || c.Ref == "files" {
			return 0, "what was kept with an entry stays; strike it and add another", false
		}
		return look(c, word)
	})
	if fl, ok := r.(*store.Flight); ok {
		for _, a := range args {
			if strings.HasPrefix(strings.TrimSpace(a), "outcome=") {
				said := false
				for _, b := range args {
					said = said || strings.HasPrefix(strings.TrimSpace(b), "launched=")
				}
				if !said {
					fl.Launched = nil
				}
			}
		}
		settle(fl, args, &ds)
	}
	if ds.HasErrors() {
		return nil, &BadInput{List: ds, Text: argText(args)}
	}
	if err := l.Write(ctx, func(t *store.Tx) error { return t.Mend(r) }); err != nil {
		return nil, h.trouble(err)
	}
	out.Added = []Entry{{kind, r}}
	return out, nil
}

// fromBuild notes the launch settings of the build where nothing else is said.
func fromBuild(fl *store.Flight, o *Opened) {
	b := o.Build
	if fl.Aeroplane == "" {
		fl.Aeroplane = o.Aircraft.Name
	}
	take := func(to **float64, v build.Value) {
		if *to == nil && v.Given {
			x := v.Value
			*to = &x
		}
	}
	if fl.LaunchBy == "" {
		fl.LaunchBy = o.Aircraft.Launch.By
	}
	if fl.LaunchBy == "hand" {
		take(&fl.ThrowSpeed, b.Launch.Throw.Speed)
	} else {
		take(&fl.Stretch, b.Launch.Bungee.Stretch)
	}
	take(&fl.NoseUp, b.Launch.Held.NoseUp)
	take(&fl.StickPitch, b.Launch.Stick.Pitch)
	if !b.Launch.MotorDelay.Off {
		take(&fl.MotorDelay, b.Launch.MotorDelay.Value)
	}
	take(&fl.Wind, b.Day.Wind)
	take(&fl.Gust, b.Day.Gust)
	take(&fl.OffAxis, b.Day.OffAxis)
	take(&fl.Temperature, b.Day.Temperature)
}

// forecast writes what the chain says of this launch into the flight.
func forecast(ctx context.Context, fl *store.Flight, o *Opened, q AddRequest) error {
	c, err := check(ctx, o, Request{Seed: q.Seed, Fast: true, Progress: q.Progress})
	if err != nil {
		return err
	}
	set := func(to **float64, v float64) {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			*to = &v
		}
	}
	for _, f := range c.Verdict.Findings {
		switch f.ID {
		case "launch-odds":
			set(&fl.Odds, f.Value.Value)
			set(&fl.OddsLow, f.Value.Low)
			set(&fl.OddsHigh, f.Value.High)
		}
	}
	if v := c.Results.Get(assess.TopSpeed); v.Status == "" {
		set(&fl.Forecast, v.Value)
		set(&fl.ForecastLow, v.Low)
		set(&fl.ForecastHigh, v.High)
	}
	fl.ForecastBy = fmt.Sprintf("%s, seed %d", o.Aircraft.Hash, q.Seed)
	return nil
}

// Strike marks an entry as not counting any more.
func (h Hangar) Strike(ctx context.Context, kind, number, why string) (*Added, error) {
	l, r, err := h.find(ctx, kind, number)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	if strings.TrimSpace(why) == "" {
		return nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "missing", Span: diag.Span{File: store.EntryFile}, Message: "say why it no longer counts", Hint: `fledge logbook strike flight 3 "entered twice"`}}}
	}
	id := store.MetaOf(r).ID
	if err := l.Write(ctx, func(t *store.Tx) error { return t.Strike(kind, id, why) }); err != nil {
		return nil, h.trouble(err)
	}
	r, err = l.Entry(ctx, kind, id)
	if err != nil {
		return nil, h.trouble(err)
	}
	return &Added{Schema: report.Schema, Added: []Entry{{kind, r}}, Notes: []string{"struck: it stays to be read and counts no more"}}, nil
}

// find opens the logbook and one entry by number or "last"; the caller closes.
func (h Hangar) find(ctx context.Context, kind, number string) (*store.Logbook, store.Row, error) {
	if !known(kind) && kind != "build" {
		return nil, nil, kindError(kind)
	}
	l, err := h.Open(ctx, false)
	if err != nil {
		return nil, nil, err
	}
	rows, err := l.Entries(ctx, kind)
	if err != nil {
		l.Close()
		return nil, nil, h.trouble(err)
	}
	for i, r := range rows {
		if strconv.FormatInt(store.MetaOf(r).ID, 10) == number || number == "last" && i == len(rows)-1 {
			return l, r, nil
		}
	}
	l.Close()
	return nil, nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "no-entry", Span: diag.Span{File: store.EntryFile}, Message: fmt.Sprintf("there is no %s %s", kind, diag.Quote(number)), Hint: fmt.Sprintf("see them with: fledge logbook list %s", kind)}}}
}

// Listed is all entries of a kind.
type Listed struct {
	Schema int         `json:"schema"`
	Kind   string      `json:"kind"`
	Rows   []store.Row `json:"rows"`
}

// List lists the entries of a kind; struck ones only when all is set.
func (h Hangar) List(ctx context.Context, kind string, all bool) (*Listed, error) {
	if !known(kind) && kind != "build" {
		return nil, kindError(kind)
	}
	l, err := h.Open(ctx, false)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	rows, err := l.Entries(ctx, kind)
	if err != nil {
		return nil, h.trouble(err)
	}
	out := &Listed{Schema: report.Schema, Kind: kind, Rows: []store.Row{}}
	for _, r := range rows {
		if all || store.MetaOf(r).Struck == "" {
			out.Rows = append(out.Rows, r)
		}
	}
	return out, nil
}

// PackState is one pack with what its flights and cycles add up to.
type PackState struct {
	ID              int64        `json:"id"`
	Name            string       `json:"name"`
	Flights         int          `json:"flights"`
	Cycles          int          `json:"cycles"` // charges entered
	LastUsed        string       `json:"last_used,omitempty"`
	FirstResistance report.Float `json:"first_cell_resistance_ohm"`
	LastResistance  report.Float `json:"last_cell_resistance_ohm"`
	Rise            report.Float `json:"rise"` // last over first
	Soft            bool         `json:"soft"`
	Say             string       `json:"say,omitempty"`
}

// SoftRise is the rise of a pack's resistance from which it is called soft:
// common practice retires flight packs when it has grown by half to twice.
const SoftRise = 1.5

// PartState is one part with its hours, hard landings and loads.
type PartState struct {
	ID           int64        `json:"id"`
	Name         string       `json:"name"`
	Flights      int          `json:"flights"`
	Time         float64      `json:"time_s"`
	HardLandings int64        `json:"hard_landings"`
	LandingLoad  report.Float `json:"landing_load_m_s2"` // largest
	Load         report.Float `json:"load_n"`            // largest
}

// Overview is the logbook on one page.
type Overview struct {
	Schema   int              `json:"schema"`
	Counts   map[string]int   `json:"counts"`
	Launches int              `json:"launches"` // with an outcome
	Away     int              `json:"launched"`
	Time     float64          `json:"time_s"`
	Packs    []PackState      `json:"packs"`
	Parts    []PartState      `json:"parts"`
	Money    map[string]int64 `json:"cents"` // by currency
	Work     float64          `json:"work_s"`
	Proofs   []string         `json:"proofs_open"` // repairs not yet proof-loaded
	Last     []*store.Flight  `json:"last_flights"`
}

// Overview sums the logbook up.
func (h Hangar) Overview(ctx context.Context) (*Overview, error) {
	l, err := h.Open(ctx, false)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	o := &Overview{Schema: report.Schema, Counts: map[string]int{}, Packs: []PackState{}, Parts: []PartState{}, Money: map[string]int64{}, Proofs: []string{}, Last: []*store.Flight{}}
	flights, err := store.List[store.Flight](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	packs, err := store.List[store.Pack](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	cycles, err := store.List[store.Cycle](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	parts, err := store.List[store.Part](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	wear, err := store.List[store.Wear](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	costs, err := store.List[store.Cost](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	repairs, err := store.List[store.Repair](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	o.Counts = map[string]int{"flights": len(flights), "packs": len(packs), "cycles": len(cycles), "parts": len(parts), "wear": len(wear), "costs": len(costs), "repairs": len(repairs)}
	for _, kind := range []string{"log", "reading", "evidence", "factor"} {
		rows, err := l.Entries(ctx, kind)
		if err != nil {
			return nil, h.trouble(err)
		}
		n := 0
		for _, r := range rows {
			if store.MetaOf(r).Struck == "" {
				n++
			}
		}
		o.Counts[strings.Replace(kind+"s", "evidences", "evidence", 1)] = n
	}
	sort.SliceStable(flights, func(a, b int) bool {
		return flights[a].Day+" "+flights[a].Clock < flights[b].Day+" "+flights[b].Clock
	})
	for _, f := range flights {
		if f.Launched != nil {
			o.Launches++
			if *f.Launched {
				o.Away++
			}
		}
		if f.Duration != nil {
			o.Time += *f.Duration
		}
	}
	o.Last = append(o.Last, flights[max(0, len(flights)-5):]...)
	for _, p := range packs {
		if p.Retired == "" {
			o.Packs = append(o.Packs, packState(p, flights, cycles))
		}
	}
	for _, p := range parts {
		if p.Retired == "" {
			o.Parts = append(o.Parts, partState(p, flights, wear))
		}
	}
	for _, c := range costs {
		if c.Cents != 0 {
			o.Money[c.Currency] += c.Cents
		}
		if c.Time != nil {
			o.Work += *c.Time
		}
	}
	for _, r := range repairs {
		if (r.ProofLoad != nil || r.ProofMoment != nil) && (r.Proofed == nil || !*r.Proofed) {
			o.Proofs = append(o.Proofs, fmt.Sprintf("repair %d (%s, %s)", r.ID, r.Broken, r.Day))
		}
	}
	return o, nil
}

func packState(p *store.Pack, flights []*store.Flight, cycles []*store.Cycle) PackState {
	s := PackState{ID: p.ID, Name: p.Name, FirstResistance: report.Float(math.NaN()), LastResistance: report.Float(math.NaN()), Rise: report.Float(math.NaN())}
	for _, f := range flights {
		if f.Pack == p.ID {
			s.Flights++
			s.LastUsed = max(s.LastUsed, f.Day)
		}
	}
	var first, last *store.Cycle
	mine := make([]*store.Cycle, 0, len(cycles))
	for _, c := range cycles {
		if c.Pack == p.ID {
			mine = append(mine, c)
		}
	}
	sort.SliceStable(mine, func(a, b int) bool { return mine[a].Day < mine[b].Day })
	for _, c := range mine {
		if c.Charged != nil {
			s.Cycles++
		}
		if c.CellResistance != nil {
			if first == nil {
				first = c
			}
			last = c
		}
	}
	if last == nil {
		return s
	}
	s.FirstResistance, s.LastResistance = report.Float(*first.CellResistance), report.Float(*last.CellResistance)
	s.Rise = s.LastResistance / s.FirstResistance
	if first == last {
		s.Rise = report.Float(math.NaN())
		return s
	}
	if float64(s.Rise) >= SoftRise {
		s.Soft = true
		s.Say = fmt.Sprintf("gone soft: cell resistance %.2g times that of %s", float64(s.Rise), first.Day)
	}
	if first.Temperature != nil && last.Temperature != nil && *first.Temperature-*last.Temperature > 5 {
		s.Say = strings.TrimPrefix(s.Say+"; measured colder than then, which alone raises it", "; ")
	}
	return s
}

func partState(p *store.Part, flights []*store.Flight, wear []*store.Wear) PartState {
	s := PartState{ID: p.ID, Name: p.Name, LandingLoad: report.Float(math.NaN()), Load: report.Float(math.NaN())}
	most := func(to *report.Float, v float64) {
		if !(v <= float64(*to)) {
			*to = report.Float(v)
		}
	}
	for _, f := range flights {
		if p.Aeroplane == "" || f.Aeroplane != p.Aeroplane || p.Since != "" && f.Day < p.Since || p.Retired != "" && f.Day > p.Retired {
			continue
		}
		s.Flights++
		if f.Duration != nil {
			s.Time += *f.Duration
		}
		if f.HardLanding != nil && *f.HardLanding {
			s.HardLandings++
		}
		if f.LandingLoad != nil {
			most(&s.LandingLoad, *f.LandingLoad)
		}
	}
	for _, w := range wear {
		if w.Part != p.ID {
			continue
		}
		if w.Time != nil {
			s.Time += *w.Time
		}
		s.HardLandings += w.HardLandings
		if w.Load != nil {
			most(&s.Load, *w.Load)
		}
	}
	return s
}

// Shown is one entry with all that belongs to it.
type Shown struct {
	Schema  int          `json:"schema"`
	Kind    string       `json:"kind"`
	Row     store.Row    `json:"row"`
	Related []Entry      `json:"related"` // logs, readings, evidence, repairs of a flight; cycles of a pack; ...
	Build   *store.Build `json:"build,omitempty"`
	Pack    *PackState   `json:"pack_state,omitempty"`
	Part    *PartState   `json:"part_state,omitempty"`
}

// Show gives one entry with what refers to it.
func (h Hangar) Show(ctx context.Context, kind, number string) (*Shown, error) {
	l, r, err := h.find(ctx, kind, number)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	s := &Shown{Schema: report.Schema, Kind: kind, Row: r, Related: []Entry{}}
	id := store.MetaOf(r).ID
	for _, k := range store.Kinds() {
		rows, err := l.Entries(ctx, k)
		if err != nil {
			return nil, h.trouble(err)
		}
		for _, x := range rows {
			for _, c := range store.Columns(k) {
				if c.Ref == kind+"s" && c.Cell(x) == id {
					s.Related = append(s.Related, Entry{k, x})
					break
				}
			}
		}
	}
	switch x := r.(type) {
	case *store.Flight:
		if x.Build != 0 {
			b, err := l.Entry(ctx, "build", x.Build)
			if err != nil {
				return nil, h.trouble(err)
			}
			s.Build = b.(*store.Build)
		}
	case *store.Pack, *store.Part:
		flights, err := store.List[store.Flight](ctx, l)
		if err != nil {
			return nil, h.trouble(err)
		}
		if p, ok := x.(*store.Pack); ok {
			cycles, err := store.List[store.Cycle](ctx, l)
			if err != nil {
				return nil, h.trouble(err)
			}
			st := packState(p, flights, cycles)
			s.Pack = &st
		}
		if p, ok := x.(*store.Part); ok {
			wear, err := store.List[store.Wear](ctx, l)
			if err != nil {
				return nil, h.trouble(err)
			}
			st := partState(p, flights, wear)
			s.Part = &st
		}
	}
	return s, nil
}

// Hit is one place where words were found.
type Hit struct {
	Kind   string `json:"kind"`
	ID     int64  `json:"id"`
	Day    string `json:"day,omitempty"`
	Column string `json:"column"`
	Text   string `json:"text"`
}

// Found is the result of a search.
type Found struct {
	Schema int    `json:"schema"`
	Words  string `json:"words"`
	Hits   []Hit  `json:"hits"`
}

// Search finds entries that hold all the words, in any column, whatever the
// case, struck ones too.
func (h Hangar) Search(ctx context.Context, words string) (*Found, error) {
	l, err := h.Open(ctx, false)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	out := &Found{Schema: report.Schema, Words: words, Hits: []Hit{}}
	want := strings.Fields(strings.ToLower(words))
	if len(want) == 0 {
		return nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "missing", Span: diag.Span{File: store.EntryFile}, Message: "nothing to search for"}}}
	}
	for _, kind := range append(store.Kinds(), "build") {
		rows, err := l.Entries(ctx, kind)
		if err != nil {
			return nil, h.trouble(err)
		}
		cols := store.Columns(kind)
		for _, r := range rows {
			day := ""
			var all strings.Builder
			hit := Hit{Kind: kind, ID: store.MetaOf(r).ID}
			all.WriteString(kind + " " + strings.ToLower(store.MetaOf(r).Struck))
			for _, c := range cols {
				s, ok := c.Cell(r).(string)
				if !ok || s == "" {
					continue
				}
				if c.Name == "day" {
					day = s
				}
				low := strings.ToLower(s)
				all.WriteString("\x00" + low)
				for _, w := range want {
					if hit.Column == "" && strings.Contains(low, w) {
						hit.Column, hit.Text = c.Key, s
					}
				}
			}
			every := true
			for _, w := range want {
				every = every && strings.Contains(all.String(), w)
			}
			if every {
				hit.Day = day
				out.Hits = append(out.Hits, hit)
			}
		}
	}
	return out, nil
}

// Export writes one kind as CSV.
func (h Hangar) Export(ctx context.Context, kind string, w io.Writer) error {
	got, err := h.List(ctx, kind, true)
	if err != nil {
		return err
	}
	return store.WriteCSV(w, kind, got.Rows)
}

func create(name string, text []byte) error {
	if err := store.Create(name, text); err != nil {
		code, hint := "cannot-write", ""
		if errors.Is(err, store.ErrExists) {
			code, hint = "exists", "give another name"
		}
		return &BadInput{List: diag.List{{Severity: diag.Error, Code: code, Span: diag.Span{File: name}, Message: strings.TrimPrefix(err.Error(), name+": "), Hint: hint}}}
	}
	return nil
}

// Dump writes everything.
func (h Hangar) Dump(ctx context.Context, w io.Writer) error {
	l, err := h.Open(ctx, false)
	if err != nil {
		return err
	}
	defer l.Close()
	return h.trouble(l.Dump(ctx, w))
}

// Kept writes the raw bytes of a log, or the text of a kept build.
func (h Hangar) Kept(ctx context.Context, kind, number string, w io.Writer) error {
	if kind != "log" && kind != "build" {
		return &BadInput{List: diag.List{{Severity: diag.Error, Code: "unknown-kind", Span: diag.Span{File: store.EntryFile}, Message: fmt.Sprintf("a %s keeps no file", kind), Hint: "log or build"}}}
	}
	l, r, err := h.find(ctx, kind, number)
	if err != nil {
		return err
	}
	defer l.Close()
	id := int64(0)
	switch x := r.(type) {
	case *store.Log:
		id = x.File
	case *store.Build:
		id = x.Text
	}
	text, err := l.Content(ctx, id)
	if err != nil {
		return h.trouble(err)
	}
	_, err = w.Write(text)
	return err
}

// Imported counts what an import did.
type Imported struct {
	Schema int    `json:"schema"`
	Kind   string `json:"kind"` // "dump", or the kind of entries
	store.Restored
}

// Import reads a dump or a table of one kind (guessed from its head when
// kind is empty). It is all or nothing, and adds nothing twice.
func (h Hangar) Import(ctx context.Context, name, kind string) (*Imported, error) {
	text, err := readLog(name)
	if err != nil {
		return nil, err
	}
	shown := func(string) []byte { return text }
	out := &Imported{Schema: report.Schema, Kind: kind, Restored: store.Restored{Cut: []string{}}}
	if store.IsDump(text) {
		shown = nil // its lines are too long to show
	} else {
		if kind == "" {
			kind = store.KindOfCSV(text)
		}
		if kind == "" {
			return nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "unknown-kind", Span: diag.Span{File: name, Line: 1, Col: 1}, Message: "this is neither a dump nor a table whose head names the columns of a kind of entry", Hint: "say which with --kind: " + strings.Join(store.Kinds(), ", ")}}, Text: shown}
		}
		if !known(kind) {
			return nil, kindError(kind)
		}
	}
	l, err := h.Open(ctx, true)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	if store.IsDump(text) {
		out.Kind = "dump"
		res, ds, err := l.Restore(ctx, name, text)
		if ds.HasErrors() {
			return nil, &BadInput{List: ds}
		}
		out.Restored = res
		return out, h.trouble(err)
	}
	out.Kind = kind
	var p pending
	var fail error
	look := h.look(ctx, l, AddRequest{}, &p, &fail)
	rows, uids, ds := store.ParseCSV(name, kind, text, func(c *store.Column, word string) (int64, string, bool) {
		if c.Ref == "builds" || c.Ref == "files" { // a number of this logbook; files are not in a table
			k := strings.TrimSuffix(c.Ref, "s")
			n, err := strconv.ParseInt(word, 10, 64)
			if err == nil {
				_, err = l.Entry(ctx, k, n)
			}
			return n, "builds and files travel in a dump, not in a table: leave the column out", err == nil
		}
		return look(c, word)
	})
	if fail != nil {
		return nil, fail
	}
	if ds.HasErrors() {
		return nil, &BadInput{List: ds, Text: shown}
	}
	err = l.Write(ctx, func(t *store.Tx) error {
		for i, r := range rows {
			switch have, err := t.Known(kind, uids[i]); {
			case err != nil:
				return err
			case have:
				out.Restored.Known++
				continue
			}
			if err := t.AddAs(r, uids[i]); err != nil {
				return err
			}
			out.Restored.Added++
		}
		return nil
	})
	if err != nil {
		return nil, h.trouble(err)
	}
	return out, nil
}

// LogbookChecked is what a check of the logbook found.
type LogbookChecked struct {
	Schema int    `json:"schema"`
	Path   string `json:"path"`
	store.Report
	Rescued string `json:"rescued,omitempty"` // where the damaged file was put
	Saved   string `json:"saved,omitempty"`   // the dump of what was saved
}

// CheckLogbook reads everything and holds it to its checksums. With rescue,
// a damaged logbook is set aside and a new one made of its readable part.
func (h Hangar) CheckLogbook(ctx context.Context, rescue bool) (*LogbookChecked, error) {
	out := &LogbookChecked{Schema: report.Schema, Path: filepath.Join(h.Dir, store.LogbookName)}
	run := func() error {
		l, err := store.OpenLogbook(ctx, h.Dir, store.LogbookOptions{Now: h.now})
		if err != nil {
			return err
		}
		defer l.Close()
		if out.Report, err = l.Check(ctx); err != nil {
			return err
		}
		if n := len(out.Problems); n > 0 {
			return &store.Damaged{Path: out.Path, Why: out.Problems[0]}
		}
		return nil
	}
	err := run()
	var damaged *store.Damaged
	if !errors.As(err, &damaged) || !rescue {
		return out, h.trouble(err)
	}
	s, err := store.Salvage(h.Dir)
	if err != nil {
		return nil, h.trouble(err)
	}
	text, err := os.ReadFile(s.Path)
	if err != nil {
		return nil, h.trouble(err)
	}
	aside, err := store.SetAside(h.Dir)
	if err != nil {
		return nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "cannot-write", Span: diag.Span{File: out.Path}, Message: err.Error()}}}
	}
	l, err := h.Open(ctx, true)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	if _, ds, err := l.Restore(ctx, s.Path, text); err != nil || ds.HasErrors() {
		return nil, errors.Join(h.trouble(err), ds.Err())
	}
	if out.Report, err = l.Check(ctx); err != nil {
		return nil, h.trouble(err)
	}
	out.Rescued, out.Saved = aside, s.Path
	return out, nil
}

// Scored is our forecasts against what happened.
type Scored struct {
	Odds   score.Odds
	Speeds score.Speeds
}

// Score scores the forecasts of the flights on record.
func (h Hangar) Score(ctx context.Context, seed uint64) (*Scored, error) {
	l, err := h.Open(ctx, false)
	if err != nil {
		return nil, err
	}
	defer l.Close()
	flights, err := store.List[store.Flight](ctx, l)
	if err != nil {
		return nil, h.trouble(err)
	}
	var odds []score.Launch
	var speeds []score.Flight
	for _, f := range flights {
		name := fmt.Sprintf("flight %d", f.ID)
		if f.Odds != nil && f.Launched != nil {
			odds = append(odds, score.Launch{Name: name, P: *f.Odds, Hit: *f.Launched})
		}
		if f.Forecast != nil && f.TopSpeed != nil && *f.Forecast > 0 && *f.TopSpeed > 0 {
			x := score.Flight{Name: name, Value: *f.Forecast, Low: *f.Forecast, High: *f.Forecast, Measured: *f.TopSpeed}
			if f.ForecastLow != nil && f.ForecastHigh != nil {
				x.Low, x.High = math.Min(*f.ForecastLow, x.Value), math.Max(*f.ForecastHigh, x.Value)
			}
			if f.TopSpeedSD != nil {
				x.SD = *f.TopSpeedSD
			}
			speeds = append(speeds, x)
		}
	}
	return &Scored{score.OfOdds(odds, num.Hash(seed)), score.OfSpeeds(speeds)}, nil
}

// NoScore is the score of a hangar in which nothing was flown yet.
func NoScore() *Scored { return &Scored{score.OfOdds(nil, 0), score.OfSpeeds(nil)} }

// Lessons gives what was learned in this hangar, the oldest first; none when
// there is no logbook.
func (h Hangar) Lessons(ctx context.Context) ([]tune.Lesson, error) {
	l, err := h.Open(ctx, false)
	var bad *BadInput
	if errors.As(err, &bad) && bad.List[0].Code == "no-logbook" {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer l.Close()
	list, err := l.Lessons(ctx)
	return list, h.trouble(err)
}

// KeepLesson writes what was learned, over the earlier lessons of the same
// aeroplane, and what it was learned from, all or none. It returns how many
// earlier factors count no more.
func (h Hangar) KeepLesson(ctx context.Context, x tune.Lesson, from []*store.Evidence) (ended int, err error) {
	l, err := h.Open(ctx, true)
	if err != nil {
		return 0, err
	}
	defer l.Close()
	err = l.Write(ctx, func(t *store.Tx) error {
		for _, e := range from {
			if err := t.Add(e); err != nil {
				return err
			}
		}
		var err error
		ended, err = t.KeepLesson(h.now().Format("2006-01-02"), x)
		return err
	})
	return ended, h.trouble(err)
}
