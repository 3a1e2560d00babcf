package web

import (
	"bytes"
	"context"
	"fmt"
	"mime"
	"net/http"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"fledge/internal/app"
	"fledge/internal/chart"
	"fledge/internal/report"
)

// Job is one piece of long work.
type Job struct {
	Schema  int      `json:"schema"`
	ID      string   `json:"id"`
	Verb    string   `json:"verb"`
	File    string   `json:"file,omitempty"`
	ETag    string   `json:"etag,omitempty"` // of the file when the work began
	By      string   `json:"by,omitempty"`
	State   string   `json:"state" words:"waiting|running|done|failed|cancelled"`
	Stage   string   `json:"stage"`
	Done    int      `json:"done"`
	Total   int      `json:"total"`
	Seconds float64  `json:"seconds"`
	Rough   bool     `json:"rough"` // a first answer is there while it runs
	Answer  *Answer  `json:"answer,omitempty"`
	Refusal *Refusal `json:"refusal,omitempty"`
}

// Answer is what a verb says.
type Answer struct {
	Verb   string      `json:"verb"`
	Rough  bool        `json:"rough"` // fewer draws, no remedies: the real one follows
	Held   bool        `json:"held"`  // HOLD or NO-GO
	Body   any         `json:"body"`  // as with --json
	Drawn  any         `json:"drawn"` // numbers behind what the page draws itself; null for most
	Page   *Page       `json:"page"`
	Plain  string      `json:"plain"` // the page as text
	Charts []ChartView `json:"charts"`
	Files  []FileView  `json:"files"`
	Notes  string      `json:"notes"`
}

// Page is the neutral document.
type Page struct {
	Headline string        `json:"headline"`
	Title    string        `json:"title"`
	Lead     []string      `json:"lead"`
	Sections []PageSection `json:"sections"`
}

// PageSection is a titled list of blocks.
type PageSection struct {
	Title  string      `json:"title"`
	Blocks []PageBlock `json:"blocks"`
}

// PageBlock is one of paragraph, list or table.
type PageBlock struct {
	Para  string     `json:"para,omitempty"`
	List  []string   `json:"list,omitempty"`
	Table *PageTable `json:"table,omitempty"`
}

// PageTable has a head (which may be empty) and rows of cells; right marks
// columns of numbers.
type PageTable struct {
	Head  []string   `json:"head"`
	Rows  [][]string `json:"rows"`
	Right []bool     `json:"right"`
}

// ChartView is one chart to be put into the page: its colours are the page's,
// by the classes paper, s0 to s4, sf, sb (strokes), f0 to f4, ff, fb (fills).
// URL has it whole, with its own style.
type ChartView struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	SVG   string `json:"svg"`
	URL   string `json:"url"`
}

// FileView is one file that came with an answer.
type FileView struct {
	Name  string `json:"name"`
	Type  string `json:"type"`
	Bytes int    `json:"bytes"`
	URL   string `json:"url"`
}

// JobRequest asks for work.
type JobRequest struct {
	Verb     string         `json:"verb"`
	File     string         `json:"file,omitempty"`
	Files    []string       `json:"files,omitempty"`
	Sets     []string       `json:"sets,omitempty"`
	Day      string         `json:"day,omitempty"`
	METAR    string         `json:"metar,omitempty"`
	Seed     uint64         `json:"seed,omitempty"`
	Units    string         `json:"units,omitempty"`
	Quick    bool           `json:"quick,omitempty"`
	Untaught bool           `json:"untaught,omitempty"` // as if nothing had been learned in the hangar
	Options  map[string]any `json:"options,omitempty"`
	Uploads  []string       `json:"uploads,omitempty"`
}

// JobList is all jobs, without their answers.
type JobList struct {
	Schema int   `json:"schema"`
	Jobs   []Job `json:"jobs"`
}

const (
	mostRunning = 2  // computations at a time
	mostWaiting = 8  // waiting for their turn
	mostKept    = 32 // finished ones
	keptFor     = 10 * time.Minute
	tellEvery   = 100 * time.Millisecond // progress events of one job
)

// jobs runs long work: a bounded pool, first come first served.
type jobs struct {
	s    *Server
	mu   sync.Mutex
	all  map[string]*job
	list []*job // in the order they were asked
	next int
	turn chan struct{}
	busy sync.WaitGroup
	over bool
}

// job is a Job with what belongs to it.
type job struct {
	mu     sync.Mutex
	view   Job
	key    string // what a later request replaces while it waits
	stop   context.CancelFunc
	begun  time.Time
	ended  time.Time
	told   time.Time
	files  []app.File
	charts [][]byte
}

func newJobs(s *Server) *jobs {
	return &jobs{s: s, all: map[string]*job{}, turn: make(chan struct{}, mostRunning)}
}

func (j *jobs) close() {
	j.mu.Lock()
	j.over = true
	for _, k := range j.list {
		k.stop()
	}
	j.mu.Unlock()
	j.busy.Wait()
}

// lasted is a time in seconds by a clock that somebody may have set back
// meanwhile: then it is not known, and said as none.
func lasted(from, to time.Time) float64 { return max(0, to.Sub(from).Seconds()) }

// view is a copy for an answer or an event.
func (k *job) copy(answer bool, now time.Time) Job {
	k.mu.Lock()
	defer k.mu.Unlock()
	v := k.view
	switch {
	case k.begun.IsZero():
	case k.ended.IsZero():
		v.Seconds = lasted(k.begun, now)
	default:
		v.Seconds = lasted(k.begun, k.ended)
	}
	if !answer {
		v.Answer = nil
	}
	return v
}

// add takes work on.
func (j *jobs) add(v *verb, w *work, by string) (*job, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if j.over {
		return nil, refuse(http.StatusServiceUnavailable, "stopping", "", "the workshop is closing")
	}
	now := j.s.conf.Now()
	j.list = slices.DeleteFunc(j.list, func(k *job) bool {
		k.mu.Lock()
		old := !k.ended.IsZero() && now.Sub(k.ended) > keptFor
		k.mu.Unlock()
		if old {
			delete(j.all, k.view.ID)
		}
		return old
	})
	waiting := 0
	key := by + "\x00" + v.Name + "\x00" + w.file
	for _, k := range j.list {
		k.mu.Lock()
		state := k.view.State
		k.mu.Unlock()
		if state != "waiting" {
			continue
		}
		if by != "" && k.key == key {
			k.stop()
			continue
		}
		waiting++
	}
	if waiting >= mostWaiting {
		ref := refuse(http.StatusTooManyRequests, "busy", "cancel what is not wanted any more", "%d computations wait already", waiting)
		ref.RetryAfter = 5
		return nil, ref
	}
	for len(j.list) >= mostKept+mostWaiting+mostRunning { // the oldest finished one goes
		i := slices.IndexFunc(j.list, func(k *job) bool { k.mu.Lock(); defer k.mu.Unlock(); return !k.ended.IsZero() })
		if i < 0 {
			break
		}
		delete(j.all, j.list[i].view.ID)
		j.list = slices.Delete(j.list, i, i+1)
	}
	j.next++
	ctx, stop := context.WithCancel(j.s.life)
	k := &job{key: key, stop: stop, view: Job{Schema: report.Schema, ID: "j" + strconv.Itoa(j.next) + "-" + word(6), Verb: v.Name, File: w.file, ETag: w.tag, By: by, State: "waiting", Stage: "waits for its turn"}}
	j.all[k.view.ID] = k
	j.list = append(j.list, k)
	j.busy.Add(1)
	go func() {
		defer j.busy.Done()
		defer stop()
		j.run(ctx, k, v, w)
	}()
	return k, nil
}

// tell sends a job's state to the pages; progress not oftener than need be.
func (j *jobs) tell(k *job, always bool) {
	now := j.s.conf.Now()
	k.mu.Lock()
	if since := now.Sub(k.told); !always && 0 <= since && since < tellEvery {
		k.mu.Unlock()
		return
	}
	k.told = now
	k.mu.Unlock()
	j.s.hub.send("job", k.copy(false, now))
}

func (j *jobs) run(ctx context.Context, k *job, v *verb, w *work) {
	end := func(state string, ref *Refusal) {
		k.mu.Lock()
		k.view.State, k.view.Refusal, k.ended = state, ref, j.s.conf.Now()
		k.mu.Unlock()
		j.tell(k, true)
	}
	j.tell(k, true)
	if v.light == nil || !v.light(w) {
		select {
		case j.turn <- struct{}{}:
			defer func() { <-j.turn }()
		case <-ctx.Done():
			end("cancelled", nil)
			return
		}
	}
	k.mu.Lock()
	k.view.State, k.view.Stage, k.begun = "running", "begins", j.s.conf.Now()
	k.mu.Unlock()
	j.tell(k, true)
	w.progress = func(stage string, done, total int) {
		k.mu.Lock()
		k.view.Stage, k.view.Done, k.view.Total = stage, done, total
		k.mu.Unlock()
		j.tell(k, false)
	}
	w.early = func(a *app.Answer) {
		j.put(k, v, a, true)
		j.tell(k, true)
	}
	if v.build && w.q.Path != "" {
		// One set of models for all who ask: solving the same sections twice at
		// a time would take twice as long. What is wrong the verb itself says.
		w.progress("the wing's sections", 0, 0)
		_, _ = j.s.desk.Open(ctx, w.request())
	}
	if v.rough != nil && !w.quick {
		if a, err := j.call(ctx, v.rough, w); err == nil && ctx.Err() == nil {
			w.early(a)
		}
	}
	a, err := j.call(ctx, v.run, w)
	switch {
	case ctx.Err() != nil:
		end("cancelled", nil)
	case err != nil:
		ref := refusal(err)
		if ref == nil {
			j.s.say("fault in %s of %s: %v", v.Name, w.file, err)
			ref = refuse(http.StatusInternalServerError, "fault", "the terminal says more; please report it with the build file", "a fault inside")
		}
		end("failed", ref)
	default:
		j.put(k, v, a, false)
		end("done", nil)
	}
}

// call runs a verb; a panic is a fault of ours and ends this job alone.
func (j *jobs) call(ctx context.Context, run func(context.Context, *work) (*app.Answer, error), w *work) (a *app.Answer, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return run(ctx, w)
}

// inlineStyle is what a page's policy refuses in a chart put into it.
var inlineStyle = regexp.MustCompile(`(?s)<style>.*?</style>\n?`)

// put makes an answer of a verb's.
func (j *jobs) put(k *job, v *verb, a *app.Answer, rough bool) {
	out := &Answer{Verb: v.Name, Rough: rough, Held: a.Held, Body: a.Body, Drawn: a.Drawn, Plain: a.Text(), Charts: []ChartView{}, Files: []FileView{}, Notes: a.Notes}
	if raw, ok := a.Body.([]byte); ok { // JSON already, or the text of a file
		out.Body = string(raw)
	}
	if a.Doc != nil {
		out.Page = pageOf(a.Doc)
	}
	k.mu.Lock()
	id := k.view.ID
	k.mu.Unlock()
	var svgs [][]byte
	list := a.More
	if a.Chart != nil {
		list = append([]*chart.Chart{a.Chart}, a.More...)
	}
	list = append(list, a.Besides...)
	for i, c := range list {
		svg := c.SVG(chartWide, chartHigh)
		svgs = append(svgs, svg)
		out.Charts = append(out.Charts, ChartView{Name: fmt.Sprintf("%s-%d", v.Name, i+1), Title: c.Title, SVG: string(inlineStyle.ReplaceAll(svg, nil)), URL: fmt.Sprintf("/api/jobs/%s/charts/%d", id, i)})
	}
	for i := range a.Files {
		if f := &a.Files[i]; utf8.Valid(f.Text) {
			f.Text = j.s.scrub(f.Text)
		}
	}
	for i, f := range a.Files {
		out.Files = append(out.Files, FileView{Name: filepath.Base(f.Name), Type: typeOf(f.Name), Bytes: len(f.Text), URL: fmt.Sprintf("/api/jobs/%s/files/%d", id, i)})
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.view.Answer, k.view.Rough, k.files, k.charts = out, rough, a.Files, svgs
}

const chartWide, chartHigh = 720, 420

func typeOf(name string) string {
	if t := mime.TypeByExtension(strings.ToLower(filepath.Ext(name))); t != "" {
		return t
	}
	return "application/octet-stream"
}

func pageOf(d *report.Doc) *Page {
	p := &Page{Headline: d.Headline, Title: d.Title, Lead: some(d.Lead), Sections: []PageSection{}}
	for _, s := range d.Sections {
		if len(s.Blocks) == 0 {
			continue
		}
		out := PageSection{Title: s.Title, Blocks: []PageBlock{}}
		for _, b := range s.Blocks {
			k := PageBlock{Para: b.Para, List: b.List}
			if t := b.Table; t != nil {
				k.Table = &PageTable{some(t.Head), [][]string{}, t.Right}
				for _, r := range t.Rows {
					k.Table.Rows = append(k.Table.Rows, some(r))
				}
				if k.Table.Right == nil {
					k.Table.Right = []bool{}
				}
			}
			out.Blocks = append(out.Blocks, k)
		}
		p.Sections = append(p.Sections, out)
	}
	return p
}

func some(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func (s *Server) postJob(w http.ResponseWriter, r *http.Request) error {
	var q JobRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	v, work, err := s.work(&q)
	if err != nil {
		return err
	}
	k, err := s.jobs.add(v, work, tab(r))
	if err != nil {
		return err
	}
	view := k.copy(false, s.conf.Now())
	w.Header().Set("Location", "/api/jobs/"+view.ID)
	return s.reply(w, http.StatusAccepted, view)
}

func (j *jobs) find(r *http.Request) (*job, error) {
	j.mu.Lock()
	defer j.mu.Unlock()
	if k := j.all[r.PathValue("id")]; k != nil {
		return k, nil
	}
	return nil, refuse(http.StatusNotFound, "no-job", "ask again for the work itself", "there is no such work any more")
}

func (s *Server) getJob(w http.ResponseWriter, r *http.Request) error {
	k, err := s.jobs.find(r)
	if err != nil {
		return err
	}
	return s.reply(w, http.StatusOK, k.copy(true, s.conf.Now()))
}

func (s *Server) listJobs(w http.ResponseWriter, r *http.Request) error {
	out := JobList{Schema: report.Schema, Jobs: []Job{}}
	s.jobs.mu.Lock()
	list := slices.Clone(s.jobs.list)
	s.jobs.mu.Unlock()
	for _, k := range list {
		out.Jobs = append(out.Jobs, k.copy(false, s.conf.Now()))
	}
	return s.reply(w, http.StatusOK, out)
}

func (s *Server) dropJob(w http.ResponseWriter, r *http.Request) error {
	k, err := s.jobs.find(r)
	if err != nil {
		return err
	}
	k.stop()
	s.jobs.mu.Lock()
	k.mu.Lock()
	if !k.ended.IsZero() { // finished: forgotten; else it ends as cancelled
		delete(s.jobs.all, k.view.ID)
		s.jobs.list = slices.DeleteFunc(s.jobs.list, func(o *job) bool { return o == k })
	}
	k.mu.Unlock()
	s.jobs.mu.Unlock()
	w.WriteHeader(http.StatusNoContent)
	return nil
}

// part answers with a chart or file of a job.
func (s *Server) part(charts bool) handle {
	return func(w http.ResponseWriter, r *http.Request) error {
		k, err := s.jobs.find(r)
		if err != nil {
			return err
		}
		n, err := strconv.Atoi(r.PathValue("n"))
		k.mu.Lock()
		defer k.mu.Unlock()
		most := len(k.files)
		if charts {
			most = len(k.charts)
		}
		if err != nil || n < 0 || n >= most {
			return refuse(http.StatusNotFound, "no-job", "", "this work made no such file")
		}
		name, kind, text := "", "image/svg+xml", []byte(nil)
		if charts {
			name, text = fmt.Sprintf("%s-%d.svg", k.view.Verb, n+1), k.charts[n]
		} else {
			name, text = filepath.Base(k.files[n].Name), k.files[n].Text
			kind = typeOf(name)
		}
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(text))
		return nil
	}
}
