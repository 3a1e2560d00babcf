package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"fledge/internal/air"
	"fledge/internal/assess"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/evidence"
	"fledge/internal/launch"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/track"
	"fledge/internal/unit"
)

// DebriefRequest asks what really happened, by logs, sounds, typed readings
// or words, and perhaps a build.
type DebriefRequest struct {
	Request // Path: the build, may be empty
	Logs    []string

	Columns     string            // file with the column map of CSV logs; "" guess
	SaveColumns string            // file to write the map used to, of the first table
	SaveOf      map[string]string // by log: a file to write its map to
	ColumnsOf   map[string]string // by log: a map of its own, over Columns
	Readings    []string          // "speed=74 m/s direction=240"
	ReadingFile string
	Outcome     string   // how the launch ended, in words
	Seen        []string // signs of the launch
	NotSeen     []string
	FlewBefore  bool     // the same settings flew the time before
	State       []string // full-throttle, claimed-parts, sound and their opposites
	Opposite    bool     // two sounds are of passes in opposite directions
	Base        string   // marked course: "52.1234,13.5678 azimuth 270 length 200 m"
	FieldHeight string
	HeightLimit string
	FarLimit    string
	NoModel     bool // no prediction, no post-mortem

	Pack     string // folder for the review pack
	Obtained string // how the aeroplane was come by
	Flown    string // where and by whom
	Note     string // state of the aeroplane
}

// mostLog is the largest log read, in bytes (it is read in one pass and not
// kept); mostColumns of a column map.
const (
	mostLog     = 8 << 30
	mostColumns = 1 << 20
	mostCharts  = 24 // drawn below the first in one plot
)

func readText(name, what string) ([]byte, *BadInput) {
	text, ds := store.ReadFile(name, store.MaxAttachment, what)
	if ds.HasErrors() {
		return nil, &BadInput{List: ds}
	}
	return text, nil
}

// debriefing is one debrief under way.
type debriefing struct {
	q     DebriefRequest
	opt   evidence.Options
	o     *Opened
	chain *assess.Chain
	typed *typed
	cols  *track.ColumnMap
	page  report.Debriefed
	sums  map[string]string // of each log, whole
	notes string

	kelvin   float64 // of the air; 0 not known
	kelvinSD float64 // 0: what the sound's room takes
	blades   int
}

// Debrief reads logs, sounds and readings and says what they show.
func Debrief(ctx context.Context, q DebriefRequest) (*Answer, error) {
	d := &debriefing{q: q, sums: map[string]string{}}
	d.page.Units = q.Units
	if len(q.Logs) == 0 && len(q.Readings) == 0 && q.ReadingFile == "" && q.Outcome == "" {
		return nil, Bad("missing", "as in fledge debrief flight.gpx --build tern.yaml", "fledge debrief needs a log, a --reading or an --outcome")
	}
	ending, err := d.wishes()
	if err != nil {
		return nil, err
	}
	if err := d.build(ctx); err != nil {
		return nil, err
	}
	if err := d.logs(ctx); err != nil {
		return nil, err
	}
	d.page.Compared = d.compare()
	d.page.Overall = overall(d.page.Logs)
	if err := d.postMortem(ctx, ending); err != nil {
		return nil, err
	}
	a := &Answer{Doc: report.DebriefPage(d.page), Body: report.DebriefBody(d.page), Drawn: report.DrawnLogs(d.page), Notes: d.notes}
	for i := range d.page.Logs {
		for _, c := range report.DebriefCharts(&d.page.Logs[i]) {
			switch {
			case a.Chart == nil:
				a.Chart = c.Chart
			case len(a.More) < mostCharts:
				a.More = append(a.More, c.Chart)
			}
		}
	}
	if q.SaveColumns != "" || len(q.SaveOf) > 0 {
		if err := d.saveColumns(a); err != nil {
			return nil, err
		}
	}
	if q.Pack != "" {
		if err := d.pack(a); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// wishes reads what was asked for, before any work.
func (d *debriefing) wishes() (*assess.Ending, error) {
	q := &d.q
	t, bad := readings(q.Readings, q.ReadingFile)
	if bad != nil {
		return nil, bad
	}
	d.typed = t
	told := q.Outcome
	if told == "" {
		told = t.outcome
	}
	e := t.release
	e.FlewBefore = q.FlewBefore
	var list diag.List
	say := func(code, hint, message string) {
		list.Add(diag.Diagnostic{Severity: diag.Error, Code: code, Message: message, Hint: hint})
	}
	asked := told != "" || e.Speed.SD > 0 || e.Pitch.SD > 0 || e.Time.SD > 0 || len(q.Seen)+len(q.NotSeen) > 0 || q.FlewBefore
	if told != "" {
		classes, flew, ok := outcomeOf(told)
		switch {
		case flew:
			asked = false
		case !ok:
			say("outcome", "one of: "+strings.Join(waysToEnd(), ", ")+", failed, airborne", "how the launch ended, "+diag.Quote(told)+", is not understood")
		}
		e.Classes = classes
	}
	d.page.Told = told
	names := assess.LaunchSigns()
	for k, words := range [][]string{q.Seen, q.NotSeen} {
		for _, w := range words {
			i := slices.Index(names, strings.ToLower(strings.TrimSpace(w)))
			if i < 0 {
				say("sign", diag.DidYouMean(strings.ToLower(w), names, "one of: "+strings.Join(names, ", ")), "the launch model knows no sign "+diag.Quote(w))
				continue
			}
			e.Signs = append(e.Signs, assess.Told{Name: names[i], Seen: k == 0, Trust: 0.9})
		}
	}
	d.page.Given = e.Signs
	states := map[string]func(*evidence.FlightState){}
	yes, no := true, false
	for word, set := range map[string]func(*evidence.FlightState){
		"full-throttle": func(s *evidence.FlightState) { s.FullThrottle = &yes }, "part-throttle": func(s *evidence.FlightState) { s.FullThrottle = &no },
		"claimed-parts": func(s *evidence.FlightState) { s.ClaimedParts = &yes }, "other-parts": func(s *evidence.FlightState) { s.ClaimedParts = &no },
		"sound": func(s *evidence.FlightState) { s.SoundAirframe = &yes }, "repaired": func(s *evidence.FlightState) { s.SoundAirframe = &no },
	} {
		states[word] = set
	}
	for _, w := range q.State {
		set, ok := states[strings.ToLower(strings.TrimSpace(w))]
		if !ok {
			say("state", "full-throttle or part-throttle, claimed-parts or other-parts, sound or repaired", "--state "+diag.Quote(w)+" is not known")
			continue
		}
		set(&d.opt.State)
	}
	length := func(flag, text string, to *float64) {
		if text == "" {
			return
		}
		v, err := strconv.ParseFloat(text, 64)
		if err == nil {
			text = fmt.Sprintf("%g m", v)
		}
		u, uerr := unit.Parse(text, unit.Length)
		if uerr != nil {
			say("quantity", "as in 120 m", flag+" "+diag.Quote(text)+" is not a length")
			return
		}
		*to = u.Value
	}
	length("--height-limit", q.HeightLimit, &d.opt.HeightLimit)
	length("--far-limit", q.FarLimit, &d.opt.FarLimit)
	if q.FieldHeight != "" {
		length("--field-height", q.FieldHeight, &d.opt.Ground)
		d.opt.GroundKnown = true
	}
	if q.Base != "" {
		b, hint := baseOf(q.Base)
		if b == nil {
			say("base", hint, "--base "+diag.Quote(q.Base)+" is not understood")
		}
		d.opt.Base = b
	}
	if q.Columns != "" {
		m, bad := readColumns(q.Columns)
		if bad != nil {
			return nil, bad
		}
		d.cols = m
	}
	if q.Pack != "" {
		if bad := emptyFolder(q.Pack); bad != nil {
			list = append(list, bad.List...)
		}
	}
	if asked && q.Path == "" && !q.NoModel {
		say("no-build", "name the build with --build", "why a launch failed is asked of the launch model, and no build is given")
	}
	if list.HasErrors() {
		return nil, &BadInput{List: list}
	}
	if !asked {
		return nil, nil
	}
	return &e, nil
}

// waysToEnd lists the failed ways in words.
func waysToEnd() []string {
	var out []string
	for k := launch.NeverLeft; k < launch.NoResult; k++ {
		out = append(out, k.String())
	}
	return out
}

// outcomeOf reads how a launch ended: a way by its name, or by the words a
// pilot uses.
func outcomeOf(text string) (classes []launch.Class, flew, ok bool) {
	w := strings.ToLower(strings.ReplaceAll(strings.TrimSpace(text), "-", " "))
	for k := launch.Airborne; k < launch.NoResult; k++ {
		if strings.ReplaceAll(k.Key(), "-", " ") == w {
			return []launch.Class{k}, k == launch.Airborne, true
		}
	}
	has := func(words ...string) bool {
		for _, x := range words {
			if strings.Contains(w, x) {
				return true
			}
		}
		return false
	}
	ground := has("ground", "grass", "strike", "struck", "nosed in", "hit", "crash", "dug in")
	switch {
	case has("did not fly", "failed", "fail"):
		return nil, false, true
	case has("before release", "on the hook", "ring on", "still hooked") && ground:
		return []launch.Class{launch.GroundBeforeRelease}, false, true
	case has("after release") && ground:
		return []launch.Class{launch.GroundAfterRelease}, false, true
	case has("never left", "did not leave", "did not move", "fell at"):
		return []launch.Class{launch.NeverLeft}, false, true
	case has("not release", "hung on", "stayed on the hook"):
		return []launch.Class{launch.HookNotReleased}, false, true
	case has("snag", "line in the prop", "prop cut"):
		return []launch.Class{launch.LineSnag}, false, true
	case has("stall", "departure", "spun", "spin", "tip stall", "rolled over", "flick", "torque roll"):
		return []launch.Class{launch.Departure}, false, true
	case has("broke", "over stress", "wing folded", "clapped"):
		return []launch.Class{launch.OverStress}, false, true
	case ground:
		return []launch.Class{launch.GroundBeforeRelease, launch.GroundAfterRelease, launch.Departure}, false, true
	case has("sank", "mushed", "too slow"):
		return []launch.Class{launch.GroundAfterRelease, launch.Departure, launch.NotEstablished}, false, true
	case has("flew", "airborne", "fine", "good", "success"):
		return nil, true, true
	}
	return nil, false, false
}

// baseOf reads "LAT,LON azimuth 270 length 200 m".
func baseOf(text string) (*evidence.Base, string) {
	const hint = `the middle and the direction: "52.12345,13.56789 azimuth=270 length=200 m"`
	ps, rest := pairs(strings.NewReplacer(" azimuth ", " azimuth=", " length ", " length=").Replace(text))
	lat, lon, ok := strings.Cut(rest, ",")
	b := &evidence.Base{}
	la, e1 := strconv.ParseFloat(strings.TrimSpace(lat), 64)
	lo, e2 := strconv.ParseFloat(strings.TrimSpace(lon), 64)
	if !ok || e1 != nil || e2 != nil || !(math.Abs(la) <= 90) || !(math.Abs(lo) <= 180) {
		return nil, hint
	}
	b.Lat, b.Lon = la*math.Pi/180, lo*math.Pi/180
	azimuth := false
	for _, p := range ps {
		switch p[0] {
		case "azimuth":
			v, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(p[1]), " deg"), 64)
			if err != nil || !(math.Abs(v) <= 360) {
				return nil, hint
			}
			b.Azimuth, azimuth = v*math.Pi/180, true
		case "length":
			q, err := unit.Parse(p[1], unit.Length)
			if err != nil || !(q.Value >= 20 && q.Value <= 5000) {
				return nil, "a length from 20 m to 5 km"
			}
			b.Length = q.Value
		default:
			return nil, hint
		}
	}
	if !azimuth {
		return nil, hint
	}
	return b, ""
}

// readColumns reads a kept column map.
func readColumns(name string) (*track.ColumnMap, *BadInput) {
	text, ds := store.ReadFile(name, mostColumns, "a column map")
	if ds.HasErrors() {
		return nil, &BadInput{List: ds}
	}
	return columnMap(name, text)
}

// columnMap reads the text of a column map.
func columnMap(name string, text []byte) (*track.ColumnMap, *BadInput) {
	m := &track.ColumnMap{}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	fail := func(say string) *BadInput {
		return &BadInput{List: diag.List{{Severity: diag.Error, Code: "columns", Span: diag.Span{File: name}, Message: say, Hint: "write one with --save-columns and change that"}}}
	}
	if err := dec.Decode(m); err != nil {
		return nil, fail("not a column map: " + strings.TrimPrefix(err.Error(), "json: "))
	}
	if len([]rune(m.Delimiter)) != 1 || m.Delimiter[0] >= 0x80 || m.Delimiter == "\"" || m.Delimiter == "\n" {
		return nil, fail("the delimiter has to be one character")
	}
	if m.HeaderLines < 0 || m.HeaderLines > 300 {
		return nil, fail("header_lines has to lie between 0 and 300")
	}
	for _, c := range m.Columns {
		if c.Index < 0 || c.Index > 2000 || c.Factor == 0 || math.Abs(c.Factor) > 1e9 || math.Abs(c.Offset) > 1e9 {
			return nil, fail(fmt.Sprintf("the column %s has an index or factor that cannot be", diag.Quote(c.Name)))
		}
		if !slices.Contains(track.Channels(), c.Channel) {
			return nil, fail(fmt.Sprintf("the column %s has an unknown channel %s", diag.Quote(c.Name), diag.Quote(string(c.Channel))))
		}
	}
	return m, nil
}

// dayAlone takes the air's temperature from a day file or a weather report
// when there is no build: a sound needs it.
func (d *debriefing) dayAlone() error {
	report := d.q.METAR
	if d.q.DayFile != "" {
		day, text, list := store.LoadDay(d.q.DayFile)
		if list.HasErrors() {
			return &BadInput{List: list, Text: func(string) []byte { return text }}
		}
		if t := day.Temperature; t.Given {
			d.kelvin, d.kelvinSD = t.Value, t.Sigma
		} else if day.METAR.Given && report == "" {
			report = day.METAR.S
		}
	}
	if report == "" || d.kelvin > 0 {
		return nil
	}
	r, faults := air.ReadMETAR(report)
	for _, f := range faults {
		return Bad("metar", "paste the report as issued", "weather report not understood: "+f.Error())
	}
	if !math.IsNaN(r.T) {
		d.kelvin = r.T
	}
	return nil
}

// build opens the build, its claims and what the models predict.
func (d *debriefing) build(ctx context.Context) error {
	if d.q.Path == "" {
		return d.dayAlone()
	}
	o, err := Open(d.q.Request)
	if err != nil {
		return err
	}
	d.o, d.notes = o, o.RenderNotes()
	ac := o.Aircraft
	d.page.Build, d.page.BuildHash = ac.Name, ac.Hash
	for _, c := range ac.Claims {
		d.opt.Claims = append(d.opt.Claims, evidence.Claim{What: c.What, By: c.By, Text: c.Text, Value: c.Value, Unit: claimUnit(o.Build, c)})
	}
	st := air.Moist(ac.Day.Temperature, ac.Day.Pressure, ac.Day.Humidity)
	d.opt.Density, d.opt.Cells = st.Rho, ac.Power.Battery.Cells
	d.kelvin, d.blades = ac.Day.Temperature, ac.Power.Propeller.Blades
	d.opt.Facts = weighed(ac)
	if d.q.NoModel {
		return nil
	}
	if d.chain, err = models(ctx, o, d.q.Request); err != nil {
		return located(o, err)
	}
	r, err := d.chain.Run(ctx, assess.Options{Seed: d.q.Seed, Draws: 48, Workers: workers(), NoLaunch: true, Progress: d.q.Progress})
	if err != nil {
		return located(o, err)
	}
	d.page.Predicted = r
	for _, c := range ac.Claims {
		if id, ok := predictionOf(c.What); ok {
			if q := r.Get(id); q.Status == "" {
				d.opt.Predicted = append(d.opt.Predicted, evidence.Item{What: c.What, Value: q.Value, Sigma: (q.High - q.Low) / (2 * 1.645), Unit: q.Unit, Method: "the model of the build"})
			}
		}
	}
	if top := r.Get(assess.TopSpeed); top.Status == "" && ac.Ref.Area > 0 {
		n := d.chain.Nominal()
		p := d.chain.Plane(&n)
		cd := p.Drag(top.Value, 1) / (0.5 * st.Rho * top.Value * top.Value * ac.Ref.Area)
		if cd > 0 {
			d.opt.Washout = evidence.Washout(ac.Mass.Total, st.Rho, ac.Ref.Area, cd)
		}
	}
	return nil
}

// predictionOf finds the model's number that a claim of these words is about.
func predictionOf(what string) (assess.ID, bool) {
	w := strings.ToLower(what)
	for _, k := range []struct {
		words string
		id    assess.ID
	}{
		{"stall,slowest", assess.StallSpeed}, {"landing speed,touchdown", assess.Touchdown}, {"cruise", assess.CruiseSpeed},
		{"speed,fast", assess.TopSpeed}, {"mass,weight", assess.Mass}, {"endurance,flight time,duration", assess.EnduranceTime},
		{"range", assess.Range}, {"climb", assess.ClimbRate}, {"thrust,pull", assess.StaticThrust}, {"current,amp", assess.CurrentMax},
	} {
		for _, x := range strings.Split(k.words, ",") {
			if strings.Contains(w, x) {
				return k.id, true
			}
		}
	}
	return 0, false
}

// logs debriefs every log, and the readings alone when there is none.
func (d *debriefing) logs(ctx context.Context) error {
	q := &d.q
	bad := &BadInput{}
	texts := map[string][]byte{}
	bad.Text = func(f string) []byte { return texts[f] }
	facts, pairs, remarks := evidence.Readings(d.typed.readings)
	d.opt.Facts, d.opt.Typed = append(d.opt.Facts, facts...), pairs
	if len(q.Logs) == 0 {
		one := d.opt
		one.Name, one.Facts, one.Typed = "readings", d.opt.Facts[:len(d.opt.Facts)-len(facts)], nil
		d.page.Logs = append(d.page.Logs, evidence.OfReadings(d.typed.readings, one))
		return nil
	}
	type heard struct {
		sound *track.Sound
		found []*evidence.FlybyResult
		err   error
		opt   evidence.Options
	}
	var sounds []heard
	for i, name := range q.Logs {
		if err := ctx.Err(); err != nil {
			return err
		}
		if q.Progress != nil {
			q.Progress("logs", i, len(q.Logs))
		}
		f, ds := store.OpenFile(name, mostLog, "a log")
		if ds.HasErrors() {
			bad.List = append(bad.List, ds...)
			continue
		}
		r := newPass(f)
		one := d.opt
		one.Name = filepath.Base(name)
		if track.Sniff(r.head()) == track.WAV {
			sound, err := track.ReadWAV(r)
			sum := r.sum()
			f.Close()
			if err != nil {
				bad.List.Add(diag.Diagnostic{Severity: diag.Error, Code: "log", Span: diag.Span{File: name}, Message: strings.TrimPrefix(err.Error(), "track: "), Hint: "an uncompressed WAV recording"})
				continue
			}
			found, ferr := evidence.Flybys(sound, evidence.SoundOptions{Temperature: d.kelvin, TemperatureSD: d.kelvinSD, Blades: d.blades})
			one.Hash = sum[:16]
			sounds = append(sounds, heard{sound, found, ferr, one})
			d.sums[one.Name] = sum
			continue
		}
		cols := d.cols
		if file := d.q.ColumnsOf[name]; file != "" {
			m, no := readColumns(file)
			if no != nil {
				f.Close()
				bad.List = append(bad.List, no.List...)
				continue
			}
			cols = m
		}
		log, err := track.Read(r, track.Options{Name: name, Columns: cols})
		sum := r.sum()
		f.Close()
		one.Hash = sum[:16]
		texts[name] = r.first
		if err != nil {
			if log != nil && log.Notes.HasErrors() {
				for _, k := range log.Notes {
					k.Span.File = name
					bad.List.Add(k)
				}
			} else {
				bad.List.Add(diag.Diagnostic{Severity: diag.Error, Code: "log", Span: diag.Span{File: name}, Message: strings.TrimPrefix(err.Error(), "track: "), Hint: "GPX, NMEA, IGC, comma-separated values with a header line, or a WAV recording of a fly-by"})
			}
			continue
		}
		d.notes += log.Notes.Render(bad.Text)
		d.sums[one.Name] = sum
		d.page.Logs = append(d.page.Logs, evidence.Of(track.Smooth(log), one))
	}
	if bad.List.HasErrors() {
		return bad
	}
	d.together()
	if q.Opposite {
		var best []*evidence.FlybyResult
		for _, h := range sounds {
			best = append(best, h.found...)
		}
		if len(best) != 2 {
			return Bad("opposite", "two recordings with one passing each, or one with two", fmt.Sprintf("--opposite needs two passings, and %d can be read", len(best)))
		}
		it := evidence.TwoFlybys(best[0], best[1])
		for i := range sounds {
			sounds[i].opt.Facts = append(slices.Clone(sounds[i].opt.Facts), it)
		}
	}
	for _, h := range sounds {
		d.page.Logs = append(d.page.Logs, evidence.OfSound(h.sound, h.found, h.err, h.opt))
	}
	for i := range d.page.Logs {
		l := &d.page.Logs[i]
		l.Remarks = append(l.Remarks, remarks...)
		if d.typed.outcome != "" {
			l.Remarks = append(l.Remarks, "outcome as told: "+d.typed.outcome)
		}
		if l.Columns != nil {
			d.page.SaveHint = q.Columns == "" && len(q.ColumnsOf) == 0 && q.SaveColumns == "" && len(q.SaveOf) == 0
		}
	}
	return nil
}

// head is the part of a log that excerpts are cut from.
// together adds the debrief of all logs as one record where that pairs passes
// of different files.
func (d *debriefing) together() {
	var list []*evidence.Debrief
	for i := range d.page.Logs {
		list = append(list, &d.page.Logs[i])
	}
	all, why := evidence.Together(list, d.opt)
	if all != nil {
		d.page.Logs = append(d.page.Logs, *all)
	}
	if why != "" {
		for i := range d.page.Logs {
			d.page.Logs[i].Remarks = append(d.page.Logs[i].Remarks, why)
		}
	}
}

// pass reads a log once: it keeps its first megabyte, for excerpts, and the
// sum of all of it.
type pass struct {
	r     io.Reader
	first []byte
	begun int // of first, how much was given on
	hash  hash.Hash
}

func newPass(r io.Reader) *pass { return &pass{r: r, hash: sha256.New()} }

const mostExcerpt = 1 << 20

// head looks at the beginning without taking it.
func (p *pass) head() []byte {
	b := make([]byte, 4096)
	n, _ := io.ReadFull(p.r, b)
	p.first = append(p.first, b[:n]...)
	p.hash.Write(b[:n])
	return p.first
}

func (p *pass) Read(b []byte) (int, error) {
	if p.begun < len(p.first) {
		n := copy(b, p.first[p.begun:])
		p.begun += n
		return n, nil
	}
	n, err := p.r.Read(b)
	p.hash.Write(b[:n])
	if k := min(n, mostExcerpt-len(p.first)); k > 0 {
		p.first = append(p.first, b[:k]...)
		p.begun += k
	}
	return n, err
}

// sum reads what is left and gives the SHA-256 of the whole, in hex.
func (p *pass) sum() string {
	io.Copy(io.Discard, p)
	return hex.EncodeToString(p.hash.Sum(nil))
}

// weighed is the whole mass as evidence, when every part of it was weighed.
func weighed(ac *craft.Aircraft) []evidence.Item {
	for _, in := range ac.Inputs {
		if in.Unit == "mass" && in.Nominal > 0 && in.Sigma > 0.03*in.Nominal && in.Sigma > 0.003 {
			return nil
		}
	}
	v := 0.0
	for _, in := range ac.Inputs {
		if in.Unit == "mass" {
			v += in.Sigma * in.Sigma
		}
	}
	return []evidence.Item{{What: "take-off mass", Value: ac.Mass.Total, Sigma: math.Sqrt(v), Unit: "kg", Method: "parts list of the build, each weighed"}}
}

// overall judges each claim over all logs: shown by one is shown, else
// refuted by one is refuted.
func overall(logs []evidence.Debrief) []evidence.Judged {
	out := []evidence.Judged{}
	rank := map[evidence.Status]int{evidence.NotShown: 0, evidence.Refuted: 1, evidence.Shown: 2}
	for i := range logs {
		for j, c := range logs[i].Claims {
			if i == 0 {
				out = append(out, c)
				continue
			}
			if j < len(out) && (rank[c.Status] > rank[out[j].Status] || out[j].Measured == nil && c.Measured != nil) {
				out[j] = c
			}
		}
	}
	return out
}

// compare sets predicted beside measured beside claimed.
func (d *debriefing) compare() []report.Beside {
	r := d.page.Predicted
	if r == nil {
		return nil
	}
	var out []report.Beside
	fell := d.page.Told != ""
	for i := range d.page.Logs {
		fell = fell || cameToNothing(&d.page.Logs[i])
	}
	for _, k := range []struct {
		what     string
		id       assess.ID
		dim      unit.Dim
		measured string // item names, by preference
		note     string
	}{
		{"top speed, level", assess.TopSpeed, unit.Speed, "two-way airspeed,level airspeed,two-way speed read,timed two-way speed,two-way fly-by speed", "measured as flown: the same only at full throttle"},
		{"stall speed", assess.StallSpeed, unit.Speed, "stall speed", ""},
		{"touchdown over the ground", assess.Touchdown, unit.Speed, "touchdown speed", ""},
		{"take-off mass", assess.Mass, unit.Mass, "take-off mass,takeoff mass", ""},
		{"endurance", assess.EnduranceTime, unit.Time, "endurance,time in the air", "a flight is a lower bound unless the pack was flown to its reserve"},
		{"highest current", assess.CurrentMax, unit.Current, "highest current", "predicted standing, which is the most"},
		{"climb rate", assess.ClimbRate, unit.Speed, "best climb rate over a phase", "a zoom shows more than the motor can hold"},
		{"static thrust", assess.StaticThrust, unit.Force, "static thrust", ""},
		{"current in flight", assess.CurrentCruise, unit.Current, "mean current", "predicted in level cruise"},
	} {
		if fell && (k.id == assess.Touchdown || k.id == assess.EnduranceTime || k.id == assess.ClimbRate) {
			continue
		}
		c := report.Beside{What: k.what, Dim: k.dim, Note: k.note}
		if q := r.Get(k.id); q.Status == "" && !math.IsNaN(q.Value) {
			c.Predicted = &evidence.Quantity{Value: q.Value, Low: q.Low, High: q.High, Unit: q.Unit}
		}
	names:
		for _, name := range strings.Split(k.measured, ",") {
			for i := range d.page.Logs {
				for _, it := range d.page.Logs[i].Items {
					if it.What == name && (c.Measured == nil || it.Value > c.Measured.Value) {
						c.Measured = &evidence.Quantity{Value: it.Value, Low: it.Value - 1.645*it.Sigma, High: it.Value + 1.645*it.Sigma, Unit: it.Unit}
						c.By = name
					}
				}
			}
			if c.Measured != nil {
				break names
			}
		}
		for _, cl := range d.opt.Claims {
			if id, ok := predictionOf(cl.What); ok && id == k.id {
				c.Claimed = &evidence.Quantity{Value: cl.Value, Low: cl.Value, High: cl.Value, Unit: k.id.Unit()}
			}
		}
		if c.Measured == nil && c.Claimed == nil && k.id != assess.TopSpeed && k.id != assess.StallSpeed {
			continue
		}
		out = append(out, c)
	}
	return out
}

// postMortem asks the launch model why a launch failed, when one did.
func (d *debriefing) postMortem(ctx context.Context, e *assess.Ending) error {
	if d.chain == nil {
		return nil
	}
	m := report.Mortem{Told: d.page.Told}
	if e == nil {
		e = d.failedLog(&m)
		if e == nil {
			return nil
		}
	} else if len(d.page.Logs) == 1 {
		d.fromLog(&d.page.Logs[0], e, &m)
	}
	p, err := d.chain.PostMortem(ctx, assess.Options{Seed: d.q.Seed, Workers: workers(), Progress: d.q.Progress}, *e)
	if err != nil {
		return located(d.o, err)
	}
	m.Model, m.Signs, m.FlewBefore = p, e.Signs, e.FlewBefore
	if p.Status == "" {
		var causes []evidence.Cause
		for i := range p.Reasons {
			r := &p.Reasons[i]
			if x := r.Explains(); x.Value > 0.05 && len(causes) < 6 {
				causes = append(causes, evidence.Cause{Name: r.Name, Prior: x.Value, Signs: r.Signs, Check: r.Check})
			}
		}
		_, next := evidence.PostMortem(causes, nil)
		for _, n := range next {
			known := slices.ContainsFunc(e.Signs, func(t assess.Told) bool { return t.Name == n.Sign })
			if !known && n.Bits > 0.03 && len(m.Next) < 3 {
				m.Next = append(m.Next, n)
			}
		}
		if e.FlewBefore {
			// That something unseen differs is taken as one launch in five: our choice.
			m.Luck, m.Change, m.SameSay = evidence.SameSettings(1-p.Before.Value, 0.2, p.Changed)
		}
	}
	d.page.Mortem = &m
	return nil
}

// cameToNothing says that a log holds a launch that failed: it begins at rest,
// moves faster than a man runs and is in the air for less than eight seconds
// (our choice).
func cameToNothing(l *evidence.Debrief) bool {
	return len(l.Phases) > 1 && l.Phases[0].Kind == evidence.Waiting && l.AirTime.Value > 0 && l.AirTime.Value < 8 &&
		l.PeakGround != nil && l.PeakGround.Value > 6
}

// failedLog finds the log of a launch that came to nothing.
func (d *debriefing) failedLog(m *report.Mortem) *assess.Ending {
	for i := range d.page.Logs {
		if l := &d.page.Logs[i]; cameToNothing(l) {
			e := &assess.Ending{}
			d.fromLog(l, e, m)
			m.Logged = true
			return e
		}
	}
	return nil
}

// fromLog adds what a log shows of its launch. A log's speed is over the
// ground; the airspeed needs the wind along it, the day's where the log does
// not tell.
func (d *debriefing) fromLog(l *evidence.Debrief, e *assess.Ending, m *report.Mortem) {
	s := l.LaunchPhase
	switch {
	case s == nil && !cameToNothing(l):
		return
	case s == nil: // the push and the fall are one: the fastest moment stands for the release
		s = &evidence.StartNumbers{Speed: *l.PeakGround}
		s.Speed.Low, s.Speed.High = s.Speed.Value-3, s.Speed.Value+3
	}
	m.From = l.Name
	known := assess.LaunchSigns()
	for _, sign := range evidence.Signs(l) {
		if slices.Contains(known, sign.Name) && !slices.ContainsFunc(e.Signs, func(t assess.Told) bool { return t.Name == sign.Name }) {
			e.Signs = append(e.Signs, assess.Told{Name: sign.Name, Seen: sign.Seen, Trust: sign.Trust})
		}
	}
	if e.Speed.SD > 0 {
		return
	}
	day := d.o.Aircraft.Day
	head, sd := day.Wind*math.Cos(day.OffAxis), math.Max(1, day.Gust-day.Wind)
	if s.HeadWind != nil {
		head, sd = *s.HeadWind, 1
	}
	m.Speed = &evidence.Quantity{Value: s.Speed.Value + head, Low: s.Speed.Value + head - 1.645*math.Hypot(s.Speed.SD(), sd), High: s.Speed.Value + head + 1.645*math.Hypot(s.Speed.SD(), sd), Unit: "m/s"}
	e.Speed = assess.Read{Value: s.Speed.Value + head, SD: math.Hypot(s.Speed.SD(), sd)}
}

// saveColumns keeps the map of the first table, and those asked for by log.
func (d *debriefing) saveColumns(a *Answer) error {
	want := map[string]string{} // by the log's name, as the page has it
	for log, file := range d.q.SaveOf {
		want[filepath.Base(log)] = file
	}
	first := d.q.SaveColumns
	for i := range d.page.Logs {
		l := &d.page.Logs[i]
		if l.Columns == nil {
			continue
		}
		file := want[l.Name]
		delete(want, l.Name)
		if file == "" {
			if first == "" {
				continue
			}
			file, first = first, ""
		}
		text, err := json.MarshalIndent(l.Columns, "", "  ")
		if err != nil {
			return err
		}
		a.Files = append(a.Files, File{Name: file, Text: append(text, '\n')})
	}
	for name := range want {
		return Bad("columns", "name a table of values", fmt.Sprintf("%s has no columns to keep", diag.Quote(name)))
	}
	if first != "" && len(a.Files) == 0 {
		return Bad("columns", "leave --save-columns out", "none of the logs has columns")
	}
	return nil
}

// emptyFolder refuses what a review pack must not be written into.
func emptyFolder(dir string) *BadInput {
	list, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return Bad("folder", "name a new or an empty folder", fmt.Sprintf("--pack %s cannot be used as a folder", diag.Quote(dir)))
	case len(list) > 0:
		return Bad("folder", "name a new or an empty folder; fledge writes over nothing", fmt.Sprintf("--pack %s is not empty", diag.Quote(dir)))
	}
	return nil
}

// pack makes the review pack: evidence sheet, plots, results, hashes, tracks.
func (d *debriefing) pack(a *Answer) error {
	q := &d.q
	pv := evidence.Provenance{Aeroplane: d.page.Build, Obtained: q.Obtained, State: q.Note, Flown: q.Flown}
	if d.o != nil {
		if note := strings.TrimSpace(d.o.Build.Aeroplane.Note.S); note != "" {
			pv.State = strings.TrimPrefix(pv.State+"; "+note, "; ")
		}
		day := d.o.Aircraft.Day
		pv.Day = fmt.Sprintf("as the build says: wind %.1f m/s gusting %.1f, %.0f degC, %.0f hPa at the field, %.0f m up", day.Wind, day.Gust, day.Temperature-273.15, day.Pressure/100, day.Height)
	}
	body, err := a.JSON()
	if err != nil {
		return err
	}
	put := func(name string, text []byte) {
		a.Files = append(a.Files, File{Name: filepath.Join(q.Pack, name), Text: text})
	}
	put("results.json", body)
	var sums strings.Builder
	used := map[string]bool{}
	var parts []report.PackLog
	for i := range d.page.Logs {
		l := &d.page.Logs[i]
		stem := safeStem(l.Name, used)
		if s := d.sums[l.Name]; s != "" {
			fmt.Fprintf(&sums, "%s  %s\n", s, l.Name)
			pv.Logs = append(pv.Logs, l.Name+" sha256 "+s)
		}
		part := report.PackLog{Debrief: l}
		for _, c := range report.DebriefCharts(l) {
			name := stem + "-" + c.Name + ".svg"
			svg := c.Chart.SVG(720, 420)
			put(name, svg)
			part.Plots = append(part.Plots, report.PackPlot{File: name, Title: c.Chart.Title, SVG: svg})
		}
		if l.Path != nil && l.Path.Placed && len(l.Path.Samples) > 0 {
			for _, x := range []struct {
				ext   string
				write func(b *bytes.Buffer) error
			}{
				{".gpx", func(b *bytes.Buffer) error { return l.Path.WriteGPX(b, l.Name) }},
				{".kml", func(b *bytes.Buffer) error { return l.Path.WriteKML(b, l.Name) }},
				{".geojson", func(b *bytes.Buffer) error { return l.Path.WriteGeoJSON(b, l.Name) }},
			} {
				if l.Path.Log.Local() {
					continue // metres of an unknown origin have no place on the globe
				}
				var b bytes.Buffer
				if err := x.write(&b); err != nil {
					return err
				}
				put(stem+"-track"+x.ext, b.Bytes())
				part.Exports = append(part.Exports, stem+"-track"+x.ext)
			}
		}
		if l.Path != nil && len(l.Path.Samples) > 0 {
			var b bytes.Buffer
			extra, order := map[string][]float64{}, []string{}
			if l.Wind != nil && len(l.Air) == len(l.Path.Samples) {
				extra["airspeed_mps"], order = l.Air, append(order, "airspeed_mps")
			}
			if l.Path.Heights != "" && len(l.Energy) == len(l.Path.Samples) {
				extra["energy_height_m"], order = l.Energy, append(order, "energy_height_m")
			}
			if err := l.Path.WriteCSV(&b, extra, order); err != nil {
				return err
			}
			put(stem+"-track.csv", b.Bytes())
			part.Exports = append(part.Exports, stem+"-track.csv")
		}
		parts = append(parts, part)
	}
	if sums.Len() > 0 {
		put("logs.sha256", []byte(sums.String()))
	}
	put("sheet.html", report.EvidenceSheet(d.page, parts, pv))
	a.Folder = q.Pack
	return nil
}

// safeStem is a file name made of a log's: letters, digits, dash and dot.
func safeStem(name string, used map[string]bool) string {
	stem := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '-'
	}, strings.TrimSuffix(name, filepath.Ext(name)))
	stem = strings.Trim(stem, "-")
	if stem == "" {
		stem = "log"
	}
	stem = stem[:min(len(stem), 60)]
	base := stem
	for i := 2; used[stem]; i++ {
		stem = fmt.Sprintf("%s-%d", base, i)
	}
	used[stem] = true
	return stem
}
