package app

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"fledge/internal/air"
	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/evidence"
	"fledge/internal/learn"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/track"
	"fledge/internal/tune"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// LearnRequest asks what the evidence says of the factors.
type LearnRequest struct {
	Request
	Logs     []string // flight logs
	Readings []string // "glide_speed=16 m/s sink=1.2 m/s"
	State    []string // full-throttle or part-throttle, of the logs
	Look     bool     // nothing is kept
	Forget   bool     // what was learned of this aeroplane counts no more
	Alone    bool     // without the logbook's evidence
	Next     bool     // plan the next flight
	Hangar   Hangar   // clock; its folder is the build's

	Columns   string            // file with the column map of CSV logs; "" guess
	ColumnsOf map[string]string // by log: a map of its own, over Columns
}

// forLearning is the quantity under which typed readings lie in the logbook.
const forLearning = "for learning"

// learning is one look at the evidence under way.
type learning struct {
	q     LearnRequest
	o     *Opened
	bare  *craft.Aircraft // untaught
	h     Hangar
	page  report.Learning
	list  []learn.Reading
	fresh []store.Row // to be kept
	lines map[string]bool
}

// Learn fits the factors of a build to all evidence: its bench rows, logs,
// typed readings, and what lies in the logbook of its hangar.
func Learn(ctx context.Context, q LearnRequest) (*Answer, error) {
	l := &learning{q: q, h: q.Hangar, lines: map[string]bool{}}
	l.h.Dir, l.h.Units = filepath.Dir(q.Path), q.Units
	open := q.Request
	open.Untaught = true
	o, err := Open(open)
	if err != nil {
		return nil, err
	}
	l.o, l.bare = o, o.Aircraft
	l.page.Units, l.page.Seed = q.Units, q.Seed
	if q.Forget {
		return l.forget(ctx)
	}
	if err := l.gather(ctx); err != nil {
		return nil, err
	}
	var lessons []tune.Lesson
	if !q.Alone && !q.Untaught {
		if lessons, err = l.h.Lessons(ctx); err != nil {
			return nil, err
		}
	}
	if o.memo == nil {
		o.memo = &memo{kept: map[string][]byte{}, disk: openCache(q.Cached)}
	}
	set := assess.Setting{Memo: o.memo, Solve: true, Workers: workers()}
	m, err := learn.NewModel(ctx, l.bare, set, tune.Current(lessons, l.bare.Name))
	if err != nil {
		return nil, located(o, err)
	}
	if q.Progress != nil {
		q.Progress("learning", 0, 0)
	}
	r := m.Learn(l.list)
	l.page.Result, l.page.Heirs = r, m.Heirs
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	taught := l.bare
	if r.Lesson != nil {
		taught = l.bare.Teach(append(tune.Current(lessons, l.bare.Name), *r.Lesson))
	} else if now := tune.Current(lessons, ""); len(now) > 0 {
		taught = l.bare.Teach(now)
	}
	l.page.Aircraft, l.page.Before = taught, l.bare
	if err := l.forecasts(ctx, set, taught); err != nil {
		return nil, err
	}
	if q.Next {
		if l.page.Next, err = l.next(ctx, m, r); err != nil {
			return nil, err
		}
	}
	if err := l.keep(ctx, r); err != nil {
		return nil, err
	}
	return &Answer{Doc: report.LearnPage(l.page), Body: report.LearnBody(l.page), Notes: o.RenderNotes()}, nil
}

// forget ends what was learned of the aeroplane.
func (l *learning) forget(ctx context.Context) (*Answer, error) {
	if len(l.q.Logs)+len(l.q.Readings) > 0 {
		return nil, Bad("forget", "first forget, then learn", "--forget takes no evidence")
	}
	ended, err := l.h.KeepLesson(ctx, tune.Lesson{Aeroplane: l.bare.Name}, nil)
	if err != nil {
		return nil, err
	}
	l.page.Aircraft, l.page.Before, l.page.Forgotten, l.page.Forget = l.bare, l.bare, ended, true
	l.page.Result = &learn.Result{Word: learn.Nothing}
	return &Answer{Doc: report.LearnPage(l.page), Body: report.LearnBody(l.page), Notes: l.o.RenderNotes()}, nil
}

// gather collects the readings and the launch record.
func (l *learning) gather(ctx context.Context) error {
	rows := learn.BenchReadings(l.bare)
	if len(l.bare.Power.Bench) > 2 { // a whole row that the others contradict
		chain, err := assess.NewChain(l.bare)
		if err != nil {
			return located(l.o, err)
		}
		learn.LeaveOut(rows, chain.BenchOff())
	}
	l.list = append(l.list, rows...)
	if !l.q.Alone { // first, so that what is there already is not kept again
		if err := l.logbook(ctx); err != nil {
			return err
		}
	}
	var ds diag.List
	for i, line := range l.q.Readings {
		l.line(&ds, fmt.Sprintf("--reading %d: ", i+1), line, true)
	}
	state, err := l.state()
	if err != nil {
		return err
	}
	for _, name := range l.q.Logs {
		if err := ctx.Err(); err != nil {
			return err
		}
		l.log(&ds, name, state)
	}
	if ds.HasErrors() {
		return &BadInput{List: ds}
	}
	l.o.Notes = append(l.o.Notes, ds...)
	return nil
}

func (l *learning) state() (*bool, error) {
	var out *bool
	for _, w := range l.q.State {
		full := false
		switch strings.ToLower(strings.TrimSpace(w)) {
		case "full-throttle":
			full = true
		case "part-throttle":
		default:
			return nil, Bad("state", "full-throttle or part-throttle", "--state "+diag.Quote(w)+" is not known")
		}
		if out != nil && *out != full {
			return nil, Bad("state", "one of them", "--state says both full and part throttle")
		}
		out = &full
	}
	return out, nil
}

// line takes one typed reading; fresh ones are kept later.
func (l *learning) line(ds *diag.List, where, line string, fresh bool) {
	line = strings.Join(strings.Fields(line), " ")
	if l.lines[line] {
		if fresh {
			ds.Add(diag.Diagnostic{Severity: diag.Warning, Code: "twice", Message: where + "the same reading is there already and counts once", Hint: "a second reading of the same number: tell them apart with of=second"})
		}
		return
	}
	rs := learnReading(ds, diag.Span{}, where, line, l.bare)
	if len(rs) == 0 {
		return
	}
	l.lines[line] = true
	for i := range rs {
		rs[i].Print = learn.Fingerprint("typed", line)
	}
	l.list = append(l.list, rs...)
	if !fresh {
		return
	}
	v, sd := rs[0].Value, rs[0].SD
	l.fresh = append(l.fresh, &store.Reading{Day: l.h.now().Format("2006-01-02"), Quantity: forLearning, Value: &v, SD: &sd, Dim: dimOfKind(rs[0].Kind), Text: line, How: string(rs[0].Kind), Note: aeroplaneNote(l.bare.Name)})
}

func aeroplaneNote(name string) string { return "of " + name }

func dimOfKind(k learn.Kind) string {
	switch k {
	case learn.LevelRevs, learn.BenchRevs:
		return unit.Rotation.String()
	case learn.LevelAmps, learn.BenchAmps:
		return unit.Current.String()
	case learn.BenchPull, learn.CordPull:
		return unit.Force.String()
	case learn.RingAngle, learn.Attitude:
		return unit.Angle.String()
	case learn.Trim:
		return unit.Ratio.String()
	case learn.PackOhms:
		return unit.Resistance.String()
	}
	return unit.Speed.String()
}

// log debriefs one log and takes what it says as typed lines, so that what is
// kept is what was learned from.
func (l *learning) log(ds *diag.List, name string, full *bool) {
	text, bad := store.ReadFile(name, 256<<20, "a log")
	if bad.HasErrors() {
		*ds = append(*ds, bad...)
		return
	}
	opt := track.Options{Name: name}
	if file := cmp.Or(l.q.ColumnsOf[name], l.q.Columns); file != "" {
		m, no := readColumns(file)
		if no != nil {
			*ds = append(*ds, no.List...)
			return
		}
		opt.Columns = m
	}
	path, err := track.Read(bytes.NewReader(text), opt)
	if err != nil {
		ds.Add(diag.Diagnostic{Severity: diag.Error, Code: "log", Span: diag.Span{File: name}, Message: strings.TrimPrefix(err.Error(), "track: "), Hint: "GPX, NMEA, IGC, or comma-separated values with a header line"})
		return
	}
	sum := sha256.Sum256(text)
	d := evidence.Of(track.Smooth(path), evidence.Options{Name: filepath.Base(name), Cells: l.bare.Power.Battery.Cells})
	st := air.Moist(l.bare.Day.Temperature, l.bare.Day.Pressure, l.bare.Day.Humidity)
	// A name that would read as a word of a reading is not taken over.
	plain := strings.NewReplacer("=", "-", ":", "-").Replace(filepath.Base(name))
	rs := learn.OfDebrief(&d, learn.Told{FullThrottle: full, Name: plain + " " + hex.EncodeToString(sum[:3]), Rho: st.Rho})
	if len(rs) == 0 {
		why := d.Refused
		if why == "" {
			why = "it holds no level speed, glide, release or pack resistance"
		}
		l.page.Held = append(l.page.Held, report.HeldBack{What: filepath.Base(name), Why: why})
	}
	for i := range rs {
		if rs[i].Suspicious != "" {
			rs[i].Print = "log"
			l.list = append(l.list, rs[i])
			continue
		}
		l.line(ds, filepath.Base(name)+": ", learnLine(&rs[i]), true)
	}
}

// logbook takes the evidence of the hangar's logbook.
func (l *learning) logbook(ctx context.Context) error {
	book, err := l.h.Open(ctx, false)
	var bad *BadInput
	if errors.As(err, &bad) && bad.List[0].Code == "no-logbook" {
		return nil
	}
	if err != nil {
		return err
	}
	defer book.Close()
	readings, err := store.List[store.Reading](ctx, book)
	if err != nil {
		return l.h.trouble(err)
	}
	mine := map[int64]*store.Flight{}
	flights, err := store.List[store.Flight](ctx, book)
	if err != nil {
		return l.h.trouble(err)
	}
	for _, f := range flights {
		if f.Aeroplane == l.bare.Name {
			mine[f.ID] = f
		}
	}
	for _, r := range readings {
		what := fmt.Sprintf("reading %d", r.ID)
		switch {
		case r.Quantity == forLearning:
			if r.Note != aeroplaneNote(l.bare.Name) {
				continue
			}
			var ds diag.List
			l.line(&ds, what+": ", r.Text, false)
			if ds.HasErrors() {
				l.page.Held = append(l.page.Held, report.HeldBack{What: what, Why: "it cannot be read any more: " + ds[0].Message})
			}
		case mine[r.Flight] != nil && r.Value != nil:
			k, ok := kindOfQuantity[strings.ToLower(r.Quantity)]
			if !ok {
				continue
			}
			x := learn.Reading{Kind: k, Value: *r.Value, From: what, Print: r.UID}
			if r.SD != nil {
				x.SD = *r.SD
			}
			l.list = append(l.list, x)
		}
	}
	evid, err := store.List[store.Evidence](ctx, book)
	if err != nil {
		return l.h.trouble(err)
	}
	measured := map[int64]bool{}
	for _, e := range evid {
		f := mine[e.Flight]
		if f == nil || e.Value == nil {
			continue
		}
		k, ok := kindOfQuantity[strings.ToLower(e.What)]
		if !ok {
			continue
		}
		x := learn.Reading{Kind: k, Value: *e.Value, Throttle: 1, From: fmt.Sprintf("evidence %d, flight %d", e.ID, e.Flight), Print: e.UID}
		if e.SD != nil {
			x.SD = *e.SD
		}
		if k == learn.LevelSpeed {
			measured[f.ID] = true
		}
		l.of(ctx, book, f, x)
	}
	for _, f := range flights {
		if f.Aeroplane != l.bare.Name {
			continue
		}
		what := fmt.Sprintf("flight %d", f.ID)
		if f.TopSpeed != nil && !measured[f.ID] {
			x := learn.Reading{Kind: learn.LevelSpeed, Value: *f.TopSpeed, SD: 0.03 * *f.TopSpeed, Throttle: 1, From: what, Print: f.UID}
			if f.TopSpeedSD != nil {
				x.SD = *f.TopSpeedSD
			}
			l.of(ctx, book, f, x)
		}
		if f.Release != nil {
			x := learn.Reading{Kind: learn.Release, Value: *f.Release, SD: 0.06 * *f.Release, From: what, Print: f.UID}
			if f.Stretch != nil {
				x.Stretch = *f.Stretch
			}
			l.of(ctx, book, f, x)
		}
		if f.Launched != nil {
			l.page.Launches = append(l.page.Launches, l.launched(ctx, book, f))
		}
	}
	return nil
}

// kindOfQuantity are the words of logbook readings and evidence.
var kindOfQuantity = map[string]learn.Kind{
	"level airspeed": learn.LevelSpeed, "level speed": learn.LevelSpeed, "two-way airspeed": learn.LevelSpeed, "two-way speed": learn.LevelSpeed,
	"stall speed": learn.Stall, "release speed": learn.Release, "ring angle": learn.RingAngle, "pack resistance": learn.PackOhms, "pack resistance as flown": learn.PackOhms,
}

// of takes a reading of a flight if what it tells of is as the build is now.
func (l *learning) of(ctx context.Context, book *store.Logbook, f *store.Flight, x learn.Reading) {
	if f.Temperature != nil {
		x.Rho = air.Moist(*f.Temperature, l.bare.Day.Pressure, l.bare.Day.Humidity).Rho
	}
	then := l.then(ctx, book, f)
	if then != nil {
		parts := []string{"airframe", "propeller", "motor", "pack"}
		if x.Kind == learn.Release {
			parts = []string{"airframe", "cord", "hook", "hand"}
		}
		for _, p := range parts {
			if a, b := then.Component(p), l.bare.Component(p); a != b {
				x.Suspicious = fmt.Sprintf("it was flown with another %s (%s)", p, a)
			}
		}
		if k := then.Mass.Total / l.bare.Mass.Total; math.Abs(k-1) > 0.05 && x.Suspicious == "" {
			x.Suspicious = fmt.Sprintf("it was flown at %.0f g, the build has %.0f g", 1000*then.Mass.Total, 1000*l.bare.Mass.Total)
		}
	}
	l.list = append(l.list, x)
}

// then is the aircraft as it was for a flight; nil when that was not kept.
func (l *learning) then(ctx context.Context, book *store.Logbook, f *store.Flight) *craft.Aircraft {
	return aircraftThen(ctx, book, f.Build)
}

func aircraftThen(ctx context.Context, book *store.Logbook, id int64) *craft.Aircraft {
	if id == 0 {
		return nil
	}
	loaded, err := book.Snapshot(ctx, id)
	if err != nil {
		return nil
	}
	b, ds := build.Parse(loaded.Path, loaded.Text)
	if b == nil || ds.HasErrors() {
		return nil
	}
	ac, ds := craft.New(b, loaded.Files)
	if ds.HasErrors() {
		return nil
	}
	return ac
}

// launched is one launch of the record, with why it does not count for the
// build as it is set now.
func (l *learning) launched(ctx context.Context, book *store.Logbook, f *store.Flight) report.RecordedLaunch {
	return recorded(f, l.bare, aircraftThen(ctx, book, f.Build))
}

// recorded holds a launch against the settings of now. What was not noted is
// taken to have been the same.
func recorded(f *store.Flight, now, then *craft.Aircraft) report.RecordedLaunch {
	out := report.RecordedLaunch{ID: f.ID, Day: f.Day, Flew: *f.Launched}
	other := func(what string, was, is, within float64) {
		if out.Other == "" && math.Abs(was-is) > within {
			out.Other = "another " + what
		}
	}
	la := &now.Launch
	if f.LaunchBy != "" && f.LaunchBy != la.By {
		out.Other = "launched by " + f.LaunchBy
	}
	if f.Stretch != nil && la.By == "bungee" {
		other("stretch", *f.Stretch, la.Bungee.Stretch, 0.05*la.Bungee.Stretch)
	}
	if f.StickPitch != nil {
		other("stick", *f.StickPitch, la.StickPitch, 0.07)
	}
	if f.NoseUp != nil {
		other("nose-up angle", *f.NoseUp, la.Held.NoseUp, 4*math.Pi/180)
	}
	if f.Wind != nil {
		other("wind", *f.Wind, now.Day.Wind, 2.5)
	}
	if f.ThrowSpeed != nil && la.By == "hand" {
		other("throw", *f.ThrowSpeed, la.Throw.Speed, 0.1*la.Throw.Speed)
	}
	if then != nil {
		other("balance point", then.Mass.CG.X, now.Mass.CG.X, 0.003)
		other("mass", then.Mass.Total, now.Mass.Total, 0.03*now.Mass.Total)
		other("hook", then.Launch.Bungee.Hook.X, now.Launch.Bungee.Hook.X, 0.003)
		for _, part := range []string{"airframe", "cord", "hook", "propeller"} {
			if then.Component(part) != now.Component(part) && out.Other == "" {
				out.Other = "another " + part
			}
		}
	}
	return out
}

// forecasts sets what the models say untaught beside what they say now.
func (l *learning) forecasts(ctx context.Context, set assess.Setting, taught *craft.Aircraft) error {
	if l.q.Fast {
		return nil
	}
	run := func(ac *craft.Aircraft) (*assess.Results, error) {
		chain, err := assess.NewChainWith(ctx, ac, set)
		if err != nil {
			return nil, located(l.o, err)
		}
		r, err := chain.Run(ctx, assess.Options{Seed: l.q.Seed, Launches: l.q.Launches, Draws: 64, Workers: workers(), Progress: l.q.Progress})
		if err != nil {
			return nil, located(l.o, err)
		}
		return r, nil
	}
	var err error
	if l.page.Untaught, err = run(l.bare); err != nil {
		return err
	}
	l.page.Now = l.page.Untaught
	if taught.TaughtHash != "" {
		if l.page.Now, err = run(taught); err != nil {
			return err
		}
	}
	l.page.Verdict = verdict.Of(l.page.Now)
	if r := l.page.Now; r.Launch.Asked {
		n, k := 0, 0
		for _, x := range l.page.Launches {
			if x.Other == "" {
				n++
				if x.Flew {
					k++
				}
			}
		}
		rec := learn.Odds(r.Launch.Odds.Value, r.Launch.Odds.Low, r.Launch.Odds.High, n, k)
		l.page.Record = &rec
	}
	return nil
}

// keep writes the lesson and the new readings.
func (l *learning) keep(ctx context.Context, r *learn.Result) error {
	if l.q.Look || l.q.Alone || len(l.q.Sets) > 0 || l.q.DayFile != "" || l.q.METAR != "" {
		if len(l.q.Sets) > 0 && !l.q.Look {
			l.page.NotKept = "learned for a build changed by --set: nothing is kept"
		}
		return nil
	}
	if r.Word != learn.Learned && r.Word != learn.Untold || r.Word == learn.Untold && len(l.fresh) == 0 {
		return nil
	}
	book, err := l.h.Open(ctx, true)
	if err != nil {
		return err
	}
	defer book.Close()
	day := l.h.now().Format("2006-01-02")
	err = book.Write(ctx, func(t *store.Tx) error {
		for _, row := range l.fresh {
			if err := t.Add(row); err != nil {
				return err
			}
		}
		if r.Lesson == nil {
			return nil
		}
		_, err := t.KeepLesson(day, *r.Lesson)
		return err
	})
	if err != nil {
		return l.h.trouble(err)
	}
	l.page.KeptReadings, l.page.Kept = len(l.fresh), r.Lesson != nil
	return nil
}
