package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"fledge/internal/app"
	"fledge/internal/report"
	"fledge/internal/unit"
)

// BuildView is one build file with every value in it.
type BuildView struct {
	Schema      int               `json:"schema"`
	File        string            `json:"file"`
	Name        string            `json:"name"`
	ETag        string            `json:"etag"`
	Hash        string            `json:"hash"` // "" when it makes no aeroplane
	Text        string            `json:"text"`
	OK          bool              `json:"ok"`
	Diagnostics []app.ExcerptJSON `json:"diagnostics"`
	Values      []app.ValueView   `json:"values"`
	Lists       []app.ListView    `json:"lists"`
	History     History           `json:"history"`
	Drawing     *app.Drawing      `json:"drawing"` // without its balance; null when it makes no aeroplane
}

// units is the system a request asks for.
func (s *Server) units(word string) (unit.System, error) {
	if word == "" {
		word = s.conf.Units
	}
	u, ok := unit.SystemNamed(word)
	if !ok {
		return u, refuse(http.StatusBadRequest, "bad-request", "metric or imperial", "units %q are not known", word)
	}
	return u, nil
}

func (s *Server) build(w http.ResponseWriter, r *http.Request) error {
	u, err := s.units(r.URL.Query().Get("units"))
	if err != nil {
		return err
	}
	name := r.PathValue("file")
	path, text, k, err := s.files.text(name)
	if err != nil {
		return err
	}
	read := app.ReadBuild(path, text)
	out := BuildView{Schema: report.Schema, File: name, ETag: etag(text), Text: strings.ToValidUTF8(string(text), "\ufffd"), OK: read.Aircraft != nil, Diagnostics: read.JSON(), Values: []app.ValueView{}, Lists: []app.ListView{}}
	if b := read.Loaded.Build; b != nil {
		out.Name = b.Aeroplane.Name.S
		out.Values, out.Lists = app.Values(b, read.Aircraft, r.URL.Query().Get("open") == "1", u)
	}
	if read.Aircraft != nil {
		out.Hash, out.Name = read.Aircraft.Hash, read.Aircraft.Name
		out.Drawing = read.Draw()
		out.Drawing.File, out.Drawing.ETag = name, out.ETag
	}
	k.mu.Lock()
	out.History = k.history()
	k.mu.Unlock()
	return s.reply(w, http.StatusOK, out)
}

// patience is how long a preview or fan waits for its turn.
const patience = 2 * time.Second

// turnOf waits for a place among the computations that are answered at once.
func (s *Server) turnOf(ctx context.Context) (leave func(), err error) {
	t := time.NewTimer(patience)
	defer t.Stop()
	select {
	case s.quick <- struct{}{}:
		return func() { <-s.quick }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-t.C:
		ref := refuse(http.StatusTooManyRequests, "busy", "", "too much is asked at once")
		ref.RetryAfter = 1
		return nil, ref
	}
}

// Conditions are what a look counts with besides the build: the day and what
// was learned.
type Conditions struct {
	Day      string `json:"day,omitempty"` // a file of the hangar, over the build's day
	METAR    string `json:"metar,omitempty"`
	Untaught bool   `json:"untaught,omitempty"` // as if nothing had been learned in the hangar
}

// conditions are those of a GET.
func conditions(r *http.Request) Conditions {
	v := r.URL.Query()
	return Conditions{v.Get("day"), v.Get("metar"), v.Get("untaught") == "1"}
}

// looked is the app's request for a look at a build of the hangar, with the
// file's text.
func (s *Server) looked(file string, sets []string, c Conditions, u unit.System) (q app.Request, text []byte, err error) {
	if _, err := settings(sets); err != nil {
		return q, nil, err
	}
	q = app.Request{Sets: sets, METAR: c.METAR, Untaught: c.Untaught, Units: u}
	if c.Day != "" {
		if q.DayFile, err = s.path(c.Day); err != nil {
			return q, nil, err
		}
	}
	q.Path, text, _, err = s.files.text(file)
	return q, text, err
}

// look opens a build for a first look. Where the real models are yet to be
// made, that begins, and an event tells when it is done.
func (s *Server) look(ctx context.Context, file string, sets []string, c Conditions, u unit.System) (*app.Warm, string, bool, error) {
	q, text, err := s.looked(file, sets, c, u)
	if err != nil {
		return nil, "", false, err
	}
	w, rough, err := s.desk.Look(ctx, q)
	tag := etag(text)
	switch {
	case err != nil || !rough:
	case len(sets) > 0:
		// Another shape of a build whose sections are solved already is soon made.
		if s.desk.Ready(app.Request{Path: q.Path}) {
			w, err = s.desk.Open(ctx, q)
			rough = false
		}
	default:
		s.jobs.busy.Go(func() {
			if _, err := s.desk.Open(s.life, q); err == nil {
				s.hub.send("warm", WarmEvent{file, tag})
			}
		})
	}
	return w, tag, rough, err
}

// open opens a build of the hangar under settings, with warm models.
func (s *Server) open(ctx context.Context, file string, sets []string, c Conditions, u unit.System) (*app.Warm, string, error) {
	q, text, err := s.looked(file, sets, c, u)
	if err != nil {
		return nil, "", err
	}
	w, err := s.desk.Open(ctx, q)
	return w, etag(text), err
}

func (s *Server) drawing(w http.ResponseWriter, r *http.Request) error {
	u, err := s.units(r.URL.Query().Get("units"))
	if err != nil {
		return err
	}
	leave, err := s.turnOf(r.Context())
	if err != nil {
		return err
	}
	defer leave()
	name := r.PathValue("file")
	o, tag, rough, err := s.look(r.Context(), name, r.URL.Query()["sets"], conditions(r), u)
	if err != nil {
		return err
	}
	b, err := o.Balance(r.Context(), seedOf(0))
	if err != nil {
		return err
	}
	d := o.Draw(b)
	d.File, d.ETag, d.Rough = name, tag, rough
	return s.reply(w, http.StatusOK, d)
}

// seedOf is the seed of a request; that of the command when none is given.
func seedOf(seed uint64) uint64 {
	if seed == 0 {
		return 1
	}
	return seed
}

// PreviewRequest asks what settings would do, at once.
type PreviewRequest struct {
	Sets  []string `json:"sets"`
	Units string   `json:"units,omitempty"`
	Conditions
}

// Preview is where things are and how it balances, under settings.
type Preview struct {
	Schema      int               `json:"schema"`
	Hash        string            `json:"hash"`
	ETag        string            `json:"etag"`  // of the file, without the settings
	Rough       bool              `json:"rough"` // by handbook sections: a better one follows
	Balance     app.BalanceView   `json:"balance"`
	Parts       []PreviewPart     `json:"parts"`
	Hook        *app.Point3       `json:"hook,omitempty"`
	Diagnostics []app.ExcerptJSON `json:"diagnostics"`
}

// PreviewPart is where a part is.
type PreviewPart struct {
	Name string     `json:"name"`
	Twin bool       `json:"twin"`
	At   app.Point3 `json:"at"`
}

func (s *Server) preview(w http.ResponseWriter, r *http.Request) error {
	var q PreviewRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	u, err := s.units(q.Units)
	if err != nil {
		return err
	}
	leave, err := s.turnOf(r.Context())
	if err != nil {
		return err
	}
	defer leave()
	o, tag, rough, err := s.look(r.Context(), r.PathValue("file"), q.Sets, q.Conditions, u)
	if err != nil {
		return err
	}
	b, err := o.Balance(r.Context(), seedOf(0))
	if err != nil {
		return err
	}
	out := Preview{Schema: report.Schema, Hash: o.Aircraft.Hash, ETag: tag, Rough: rough, Balance: *b, Parts: []PreviewPart{}, Diagnostics: o.NotesJSON()}
	for _, p := range o.Parts() {
		out.Parts = append(out.Parts, PreviewPart{p.Name, p.Twin, p.At})
	}
	if h := o.Hook(); h != nil {
		out.Hook = h
	}
	return s.reply(w, http.StatusOK, out)
}

func (s *Server) linkages(w http.ResponseWriter, r *http.Request) error {
	leave, err := s.turnOf(r.Context())
	if err != nil {
		return err
	}
	defer leave()
	o, _, _, err := s.look(r.Context(), r.PathValue("file"), r.URL.Query()["sets"], conditions(r), unit.Metric)
	if err != nil {
		return err
	}
	return s.reply(w, http.StatusOK, o.Linkages())
}

// FanRequest asks for drawn launches.
type FanRequest struct {
	Sets  []string `json:"sets"`
	From  int      `json:"from"`
	N     int      `json:"n"`
	Seed  uint64   `json:"seed,omitempty"`
	Units string   `json:"units,omitempty"`
	Conditions
}

func (s *Server) fan(w http.ResponseWriter, r *http.Request) error {
	var q FanRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	u, err := s.units(q.Units)
	if err != nil {
		return err
	}
	if q.N < 0 || q.N > app.MostFan || q.From < 0 || q.From > 1<<20 {
		return refuse(http.StatusBadRequest, "bad-request", "", "launches from 0 to %d, at most %d at a time", 1<<20, app.MostFan)
	}
	leave, err := s.turnOf(r.Context())
	if err != nil {
		return err
	}
	defer leave()
	o, _, err := s.open(r.Context(), r.PathValue("file"), q.Sets, q.Conditions, u)
	if err != nil {
		return err
	}
	f, err := o.Fan(r.Context(), seedOf(q.Seed), q.From, q.N)
	if err != nil {
		return err
	}
	return s.reply(w, http.StatusOK, f)
}
