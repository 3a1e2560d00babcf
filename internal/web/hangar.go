package web

import (
	"bytes"
	"errors"
	"io/fs"
	"net/http"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fledge/internal/app"
	"fledge/internal/build"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Hello is what a page asks first. A device that is not paired gets Schema,
// Paired and Phone alone.
type Hello struct {
	Schema  int          `json:"schema"`
	Paired  bool         `json:"paired"`
	Phone   bool         `json:"phone"` // opened to the local network
	Version string       `json:"version,omitempty"`
	Format  int          `json:"format,omitempty"`
	Serial  string       `json:"serial,omitempty"`
	Hangar  string       `json:"hangar,omitempty"` // name of the folder
	Units   string       `json:"units,omitempty"`
	Verbs   []Verb       `json:"verbs"`
	Limits  *LimitsView  `json:"limits,omitempty"`
	Dims    []DimView    `json:"dims"`
	Words   []string     `json:"words"` // of provenance
	Spreads []SpreadView `json:"spreads"`
	Stages  []StageView  `json:"stages"`
}

// LimitsView is how much may be asked.
type LimitsView struct {
	RequestBytes int `json:"request_bytes"`
	UploadBytes  int `json:"upload_bytes"`
	Sets         int `json:"sets"`
	Launches     int `json:"launches"` // of one fan
	Jobs         int `json:"jobs"`     // waiting
}

// DimView is a dimension with an example of how it is written.
type DimView struct {
	Name    string `json:"name"`
	Example string `json:"example"`
}

// SpreadView is a provenance word with what it stands for.
type SpreadView struct {
	Dim  string `json:"dim"`
	Word string `json:"word"`
	Say  string `json:"say"`
}

// StageView is one of the nine questions.
type StageView struct {
	Question int    `json:"question"`
	Stage    string `json:"stage"`
	Ask      string `json:"ask"`
}

func (s *Server) hello(w http.ResponseWriter, r *http.Request) error {
	out := Hello{Schema: report.Schema, Paired: s.guard.isPaired(r), Phone: s.conf.Phone, Verbs: []Verb{}, Dims: []DimView{}, Words: []string{}, Spreads: []SpreadView{}, Stages: []StageView{}}
	if !out.Paired {
		return s.reply(w, http.StatusOK, out)
	}
	v := app.Version().Body.(app.VersionJSON)
	out.Version, out.Format, out.Serial, out.Units = v.Version, v.Format, s.serial, s.conf.Units
	out.Hangar = filepath.Base(s.dir)
	out.Limits = &LimitsView{mostRequest, mostUpload, mostSets, app.MostFan, mostWaiting}
	for i := range verbs {
		out.Verbs = append(out.Verbs, verbs[i].Verb)
	}
	for _, d := range unit.Dims() {
		if d != unit.None && d != unit.Any {
			out.Dims = append(out.Dims, DimView{d.String(), d.Example()})
		}
	}
	for _, word := range unit.Words() {
		out.Words = append(out.Words, string(word))
	}
	for _, d := range unit.Spreads() {
		if d.Dim == unit.None {
			out.Spreads = append(out.Spreads, SpreadView{"", string(d.Word), d.Why})
			continue
		}
		out.Spreads = append(out.Spreads, SpreadView{d.Dim.String(), string(d.Word), d.Why})
	}
	for i, ask := range verdict.Questions {
		if ask != "" {
			out.Stages = append(out.Stages, StageView{i, stageOf(i), ask})
		}
	}
	return s.reply(w, http.StatusOK, out)
}

// stageOf is the sheet a question stands on.
func stageOf(question int) string {
	switch {
	case question <= 4:
		return "bench"
	case question <= 7:
		return "field"
	}
	return "debrief"
}

// Hangar is the folder's content.
type Hangar struct {
	Schema   int           `json:"schema"`
	Folder   string        `json:"folder"`
	Builds   []HangarBuild `json:"builds"`
	Days     []HangarDay   `json:"days"`
	Parts    []HangarDay   `json:"parts"` // files of parts owned or on offer
	Examples []Example     `json:"examples"`
	Logbook  bool          `json:"logbook"`
	More     bool          `json:"more"` // there are more files than are listed
}

// HangarBuild is one build file.
type HangarBuild struct {
	File     string `json:"file"`
	Name     string `json:"name"`
	ETag     string `json:"etag"`
	Bytes    int64  `json:"bytes"`
	Modified string `json:"modified"`
	OK       bool   `json:"ok"`
	Problem  string `json:"problem,omitempty"`
}

// HangarDay is one file that is no build: a day, or parts.
type HangarDay struct {
	File string `json:"file"`
}

// Example is a bundled build.
type Example struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Say   string `json:"say"`
}

// mostFiles is how many files of a folder are listed.
const mostFiles = 500

func (s *Server) hangar(w http.ResponseWriter, r *http.Request) error {
	out := Hangar{Schema: report.Schema, Folder: filepath.Base(s.dir), Builds: []HangarBuild{}, Days: []HangarDay{}, Parts: []HangarDay{}, Examples: s.examples()}
	entries, err := fs.ReadDir(s.root.FS(), ".")
	if err != nil {
		return refuse(http.StatusInternalServerError, "fault", "", "the hangar folder cannot be read")
	}
	for _, e := range entries {
		if plainName(e.Name()) != nil {
			out.Logbook = out.Logbook || e.Name() == store.LogbookName
			continue
		}
		if len(out.Builds)+len(out.Days)+len(out.Parts) >= mostFiles {
			out.More = true
			break
		}
		info, err := s.root.Stat(e.Name())
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		b := HangarBuild{File: e.Name(), Bytes: info.Size(), Modified: info.ModTime().UTC().Format(time.RFC3339)}
		if info.Size() > build.MaxSize {
			b.Problem = "too large for a build file"
			out.Builds = append(out.Builds, b)
			continue
		}
		text, err := s.root.ReadFile(e.Name())
		if err != nil {
			b.Problem = "it cannot be read"
			out.Builds = append(out.Builds, b)
			continue
		}
		if _, ds := build.ParseDay(e.Name(), text); !ds.HasErrors() && !bytes.Contains(text, []byte("surfaces")) {
			out.Days = append(out.Days, HangarDay{e.Name()})
			continue
		}
		if _, ds := build.ParseOffers(e.Name(), text); !ds.HasErrors() {
			out.Parts = append(out.Parts, HangarDay{e.Name()})
			continue
		}
		b.ETag = etag(text)
		parsed, ds := build.Parse(e.Name(), text)
		b.OK = parsed != nil && !ds.HasErrors()
		if parsed != nil {
			b.Name = parsed.Aeroplane.Name.S
		}
		if err := ds.Err(); !b.OK && err != nil {
			b.Problem = err.Error()
		}
		out.Builds = append(out.Builds, b)
	}
	return s.reply(w, http.StatusOK, out)
}

// examples are the bundled builds with the words of their first comment.
func (s *Server) examples() []Example {
	out := []Example{}
	names, _ := fs.Glob(s.samples, "*.yaml")
	for _, n := range names {
		text, err := fs.ReadFile(s.samples, n)
		if err != nil {
			continue
		}
		b, ds := build.Parse(n, text)
		if b == nil || ds.HasErrors() {
			continue
		}
		var say []string
		for line := range strings.Lines(string(text)) {
			c, is := strings.CutPrefix(line, "#")
			if !is {
				break
			}
			say = append(say, strings.TrimSpace(c))
		}
		out = append(out, Example{strings.TrimSuffix(n, ".yaml"), b.Aeroplane.Name.S, strings.Join(say, " ")})
	}
	return out
}

// NameRequest names a bundled example.
type NameRequest struct {
	Name string `json:"name"`
}

// FileReply names a file that was made.
type FileReply struct {
	Schema int    `json:"schema"`
	File   string `json:"file"`
}

func (s *Server) takeExample(w http.ResponseWriter, r *http.Request) error {
	var q NameRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	list := s.examples()
	i := slices.IndexFunc(list, func(e Example) bool { return e.Name == q.Name })
	if i < 0 {
		return refuse(http.StatusNotFound, "no-build", "", "there is no example of that name")
	}
	file := list[i].Name + ".yaml"
	text, err := fs.ReadFile(s.samples, file)
	if err != nil {
		return err
	}
	b, _ := build.Parse(file, text)
	for _, a := range build.Attachments(b) {
		data, err := fs.ReadFile(s.samples, a.Path)
		if err != nil {
			return err
		}
		if err := s.create(a.Path, data); err != nil && !errors.Is(err, store.ErrExists) {
			return err
		}
	}
	return s.made(w, file, text)
}

// create writes a new file of the hangar.
func (s *Server) create(name string, text []byte) error {
	if sub := path.Dir(name); sub != "." {
		if err := s.root.MkdirAll(sub, 0o755); err != nil {
			return err
		}
	}
	return store.Create(filepath.Join(s.dir, filepath.FromSlash(name)), text)
}

// put writes a new build of the hangar and tells the pages.
func (s *Server) put(file string, text []byte) error {
	if ref := plainName(file); ref != nil {
		return ref
	}
	switch err := s.create(file, text); {
	case errors.Is(err, store.ErrExists):
		return refuse(http.StatusConflict, "exists", "choose another name; fledge writes over no build", "the hangar has a %s already", file)
	case err != nil:
		return refuse(http.StatusInternalServerError, "fault", "is the folder writable, the disk full?", "%s was not written", file)
	}
	s.hub.send("hangar", struct{}{})
	return nil
}

// made writes a new build and answers with its name.
func (s *Server) made(w http.ResponseWriter, file string, text []byte) error {
	if err := s.put(file, text); err != nil {
		return err
	}
	return s.reply(w, http.StatusCreated, FileReply{report.Schema, file})
}

// Questions is what a new build is asked for.
type Questions struct {
	Schema    int            `json:"schema"`
	Questions []QuestionView `json:"questions"`
}

// QuestionView is one question.
type QuestionView struct {
	Key     string   `json:"key"`
	Ask     string   `json:"ask"`
	Example string   `json:"example"`
	First   bool     `json:"first"` // one of the five to begin with
	Dim     string   `json:"dim,omitempty"`
	Words   []string `json:"words,omitempty"`
	Count   bool     `json:"count,omitempty"`
}

// first are the five that say most.
var first = map[string]bool{"name": true, "layout": true, "span": true, "mass": true, "launch": true}

func (s *Server) questions(w http.ResponseWriter, r *http.Request) error {
	out := Questions{Schema: report.Schema}
	for _, q := range app.Questions() {
		v := QuestionView{Key: q.Flag, Ask: q.Ask, Example: q.Example, First: first[q.Flag], Words: q.Words, Count: q.Count}
		if q.Dim != unit.None {
			v.Dim = q.Dim.String()
		}
		out.Questions = append(out.Questions, v)
	}
	slices.SortStableFunc(out.Questions, func(a, b QuestionView) int {
		switch {
		case a.First == b.First:
			return 0
		case a.First:
			return -1
		}
		return 1
	})
	return s.reply(w, http.StatusOK, out)
}

// NewRequest answers the questions.
type NewRequest struct {
	Answers map[string]string `json:"answers"`
	File    string            `json:"file,omitempty"`
}

func (s *Server) newBuild(w http.ResponseWriter, r *http.Request) error {
	var q NewRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	var a app.Answers
	asked := map[string]bool{}
	for _, question := range app.Questions() {
		asked[question.Flag] = true
		if bad := question.Put(&a, q.Answers[question.Flag]); bad != nil {
			return bad
		}
	}
	for k := range q.Answers {
		if !asked[k] {
			return refuse(http.StatusBadRequest, "bad-request", "", "nobody asks for %q", k)
		}
	}
	file := q.File
	if file != "" {
		if ref := plainName(file); ref != nil {
			return ref
		}
	}
	ans, err := app.New(a, file)
	if err != nil {
		return err
	}
	body := ans.Body.(app.NewJSON)
	return s.made(w, body.File, []byte(body.Text))
}

// CopyRequest names the copy.
type CopyRequest struct {
	To string `json:"to"`
}

func (s *Server) copyBuild(w http.ResponseWriter, r *http.Request) error {
	var q CopyRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	_, text, _, err := s.files.text(r.PathValue("file"))
	if err != nil {
		return err
	}
	return s.made(w, q.To, text)
}
