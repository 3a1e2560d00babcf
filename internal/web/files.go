package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
	"unicode"
	"unicode/utf8"

	"fledge/internal/app"
	"fledge/internal/build"
	"fledge/internal/report"
	"fledge/internal/store"
)

// files keeps what the server knows of the hangar's build files: the texts
// that people look at, and the steps they took.
type files struct {
	s      *Server
	mu     sync.Mutex
	known  map[string]*known
	names  string // of the folder when last looked at
	looked bool
	looks  int
	ended  chan struct{}
}

// known is one build file that somebody opened.
type known struct {
	mu    sync.Mutex // held while the file is changed
	texts []seen     // latest last
	last  string     // etag that the pages know of
	stamp time.Time
	size  int64
	gone  bool
	undo  []step
	redo  []step
}

type seen struct {
	tag  string
	text []byte
}

// step is one change of ours.
type step struct {
	before, after []byte
	say           string
}

// mostSteps is how many steps can be undone, mostTexts how many texts of a
// file are kept as the base of an edit.
const (
	mostSteps = 200
	mostTexts = 32
)

func newFiles(s *Server) *files {
	return &files{s: s, known: map[string]*known{}, ended: make(chan struct{})}
}

// etag is the mark of a file's bytes.
func etag(text []byte) string {
	h := sha256.Sum256(text)
	return hex.EncodeToString(h[:10])
}

// mostName is the longest file name taken, in bytes.
const mostName = 120

// plainName judges a name that came from outside: one step, no folder, not
// hidden, a build file's ending.
func plainName(name string) *Refusal {
	outside := func(why string) *Refusal {
		return refuse(http.StatusForbidden, "outside", "builds are named by their file, as in tern.yaml", "no build can be called that: %s", why)
	}
	switch {
	case name == "":
		return refuse(http.StatusBadRequest, "bad-request", "as in tern.yaml", "the file's name is missing")
	case len(name) > mostName:
		return outside("the name is too long")
	case !utf8.ValidString(name):
		return outside("it is not text")
	case strings.ContainsAny(name, `/\`):
		return outside("it names a folder")
	case strings.HasPrefix(name, "."):
		return outside("it is hidden")
	case strings.ContainsFunc(name, unicode.IsControl):
		return outside("it holds a control character")
	case strings.ContainsAny(name, `<>:"|?*`):
		return outside("it holds one of < > : \" | ? *")
	case !filepath.IsLocal(name):
		return outside("the system keeps that name for itself")
	}
	if e := strings.ToLower(filepath.Ext(name)); e != ".yaml" && e != ".yml" {
		return outside("a build file ends in .yaml")
	}
	return nil
}

// path is the place of a build of the hangar. A name that leads out, by itself
// or through a link, is refused.
func (s *Server) path(name string) (string, error) {
	if ref := plainName(name); ref != nil {
		return "", ref
	}
	info, err := s.root.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", refuse(http.StatusNotFound, "no-build", "", "the hangar has no %s", name)
	case err != nil && strings.Contains(err.Error(), "escapes"):
		return "", refuse(http.StatusForbidden, "outside", "copy the file into the hangar", "a link leads out of the hangar")
	case err != nil:
		return "", refuse(http.StatusNotFound, "no-build", "", "%s cannot be read", name)
	case !info.Mode().IsRegular():
		return "", refuse(http.StatusNotFound, "no-build", "", "%s is no file", name)
	case info.Size() > build.MaxSize:
		return "", refuse(http.StatusRequestEntityTooLarge, "too-large", "is this a build file?", "%s is too large for a build file", name)
	}
	return filepath.Join(s.dir, name), nil
}

// text reads a build and remembers what it read.
func (f *files) text(name string) (path string, text []byte, k *known, err error) {
	if path, err = f.s.path(name); err != nil {
		return "", nil, nil, err
	}
	k = f.of(name)
	if text, err = f.s.root.ReadFile(name); err != nil {
		return "", nil, nil, refuse(http.StatusNotFound, "no-build", "", "%s cannot be read", name)
	}
	k.remember(text)
	return path, text, k, nil
}

func (f *files) of(name string) *known {
	f.mu.Lock()
	defer f.mu.Unlock()
	k := f.known[name]
	if k == nil {
		k = &known{}
		f.known[name] = k
	}
	return k
}

// remember keeps a text as a possible base of edits.
func (k *known) remember(text []byte) string {
	tag := etag(text)
	k.mu.Lock()
	defer k.mu.Unlock()
	last := k.last
	k.keep(tag, text)
	if last != "" {
		k.last = last // a change from outside is the watch's to tell, whoever read it first
	}
	return tag
}

func (k *known) keep(tag string, text []byte) {
	k.last = tag
	for i := range k.texts {
		if k.texts[i].tag == tag {
			k.texts = append(slices.Delete(k.texts, i, i+1), seen{tag, text})
			return
		}
	}
	if len(k.texts) >= mostTexts {
		k.texts = slices.Delete(k.texts, 0, 1)
	}
	k.texts = append(k.texts, seen{tag, text})
}

func (k *known) find(tag string) ([]byte, bool) {
	for _, t := range k.texts {
		if t.tag == tag {
			return t.text, true
		}
	}
	return nil, false
}

// History says what can be undone and done again.
type History struct {
	Undo    int    `json:"undo"`
	Redo    int    `json:"redo"`
	UndoSay string `json:"undo_say,omitempty"`
	RedoSay string `json:"redo_say,omitempty"`
}

func (k *known) history() History {
	h := History{Undo: len(k.undo), Redo: len(k.redo)}
	if h.Undo > 0 {
		h.UndoSay = k.undo[h.Undo-1].say
	}
	if h.Redo > 0 {
		h.RedoSay = k.redo[h.Redo-1].say
	}
	return h
}

// Edited is the outcome of a change.
type Edited struct {
	Schema      int               `json:"schema"`
	File        string            `json:"file"`
	ETag        string            `json:"etag"`
	Hash        string            `json:"hash"`
	OK          bool              `json:"ok"`
	Diagnostics []app.ExcerptJSON `json:"diagnostics"`
	History     History           `json:"history"`
	Merged      []MergedPath      `json:"merged"`
}

// MergedPath is a value that something else had changed meanwhile.
type MergedPath struct {
	Path   string `json:"path"`
	Base   string `json:"base"`
	Theirs string `json:"theirs"`
}

// changed is the refusal of an edit that something else came before.
func changed(base string, text []byte, paths []ConflictPath) *Refusal {
	if paths == nil {
		paths = []ConflictPath{}
	}
	r := refuse(http.StatusConflict, "changed", "look at what changed, then keep yours or take theirs", "the file was changed by something else meanwhile")
	r.Conflict = &Conflict{Base: base, ETag: etag(text), Text: strings.ToValidUTF8(string(text), "?"), Paths: paths}
	return r
}

// write puts a new text in place of the one read, all or nothing, and takes
// the step. The lock of k is held.
func (f *files) write(name, path string, k *known, before, after []byte, anyway bool) (*Edited, error) {
	r := app.ReadBuild(path, after)
	if r.Aircraft == nil && !anyway {
		return nil, r.Err()
	}
	if err := store.Save(path, before, after); err != nil {
		if errors.Is(err, store.ErrChanged) {
			return nil, errAgain
		}
		return nil, refuse(http.StatusInternalServerError, "fault", "is the folder writable, the disk full?", "the file was not written: %v", errors.Unwrap(err))
	}
	tag := etag(after)
	k.keep(tag, after)
	out := &Edited{Schema: report.Schema, File: name, ETag: tag, OK: r.Aircraft != nil, Diagnostics: r.JSON(), Merged: []MergedPath{}}
	if r.Aircraft != nil {
		out.Hash = r.Aircraft.Hash
	}
	return out, nil
}

// errAgain: the file changed between reading and writing.
var errAgain = errors.New("again")

// edit runs a change under the file's lock, again when something else wrote
// in between.
func (f *files) edit(name, why, by string, change func(path string, k *known, now []byte) (*Edited, error)) (*Edited, error) {
	path, err := f.s.path(name)
	if err != nil {
		return nil, err
	}
	k := f.of(name)
	k.mu.Lock()
	defer k.mu.Unlock()
	for range 5 {
		now, err := f.s.root.ReadFile(name)
		if err != nil {
			return nil, refuse(http.StatusNotFound, "no-build", "", "%s cannot be read", name)
		}
		k.keep(etag(now), now)
		out, err := change(path, k, now)
		if errors.Is(err, errAgain) {
			continue
		}
		if err != nil {
			return nil, err
		}
		out.History = k.history()
		f.s.hub.send("build", BuildEvent{name, out.ETag, out.OK, why, by})
		return out, nil
	}
	return nil, refuse(http.StatusConflict, "changed", "stop the other program first", "something else keeps writing this file")
}

// EditRequest changes values of a build.
type EditRequest struct {
	Base   string   `json:"base"`
	Sets   []string `json:"sets"`
	Say    string   `json:"say,omitempty"`
	Anyway bool     `json:"anyway,omitempty"` // write a file that makes no aeroplane
}

// mostSets is how many values one request changes.
const mostSets = 500

func settings(sets []string) ([]build.Setting, error) {
	if len(sets) > mostSets {
		return nil, refuse(http.StatusRequestEntityTooLarge, "too-large", "", "more than %d values at a time", mostSets)
	}
	out := make([]build.Setting, len(sets))
	for i, s := range sets {
		set, ds := build.ParseSetting(s)
		if ds.HasErrors() {
			return nil, &app.BadInput{List: ds}
		}
		if set.Value == "" {
			return nil, refuse(http.StatusBadRequest, "bad-request", "a value is taken out in the text of the file", "%s is given no value", set.Path)
		}
		out[i] = set
	}
	return out, nil
}

func (s *Server) edit(w http.ResponseWriter, r *http.Request) error {
	var q EditRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	sets, err := settings(q.Sets)
	if err != nil {
		return err
	}
	if len(sets) == 0 {
		return refuse(http.StatusBadRequest, "bad-request", "", "nothing is set")
	}
	name, by := r.PathValue("file"), tab(r)
	out, err := s.files.edit(name, "edit", by, func(path string, k *known, now []byte) (*Edited, error) {
		var theirs []change
		if tag := etag(now); tag != q.Base {
			base, ok := k.find(q.Base)
			if !ok {
				return nil, changed(q.Base, now, mineOnly(now, sets))
			}
			clash, list, ok := clashes(base, now, sets)
			if !ok || len(clash) > 0 {
				return nil, changed(q.Base, now, clash)
			}
			theirs = list
		}
		after, ds := build.SetAll(now, sets)
		if ds.HasErrors() {
			return nil, &app.BadInput{List: ds, Text: store.Loaded{Path: path, Text: now}.Excerpts(sets...)}
		}
		out, err := s.files.write(name, path, k, now, after, q.Anyway)
		if err != nil {
			return nil, err
		}
		k.step(now, after, say(q.Say, q.Sets))
		for _, c := range theirs {
			out.Merged = append(out.Merged, MergedPath{c.path, c.before, c.after})
		}
		return out, nil
	})
	if err != nil {
		return err
	}
	return s.reply(w, http.StatusOK, out)
}

// mineOnly is what is wanted beside what is there, when nobody knows what it
// was meant to change.
func mineOnly(now []byte, sets []build.Setting) []ConflictPath {
	b, _ := build.Parse("", now)
	out := []ConflictPath{}
	for _, s := range sets {
		p := ConflictPath{Path: s.Path, Mine: s.Value}
		if b != nil {
			if l, ds := build.Get(b, s.Path); !ds.HasErrors() {
				p.Path, p.Theirs = l.Path, l.Text()
			}
		}
		out = append(out, p)
	}
	return out
}

func say(words string, sets []string) string {
	if words == "" {
		words = strings.Join(sets, "; ")
	}
	if r := []rune(words); len(r) > 200 {
		words = string(r[:200])
	}
	return words
}

// step remembers a change of ours; what was undone before cannot be done again.
func (k *known) step(before, after []byte, say string) {
	if string(before) == string(after) {
		return
	}
	if len(k.undo) >= mostSteps {
		k.undo = slices.Delete(k.undo, 0, 1)
	}
	k.undo = append(k.undo, step{before, after, say})
	k.redo = nil
}

// TextRequest puts a whole text in place of the file's.
type TextRequest struct {
	Base   string `json:"base"`
	Text   string `json:"text"`
	Say    string `json:"say,omitempty"`
	Anyway bool   `json:"anyway,omitempty"`
}

func (s *Server) putText(w http.ResponseWriter, r *http.Request) error {
	var q TextRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	if len(q.Text) > build.MaxSize {
		return refuse(http.StatusRequestEntityTooLarge, "too-large", "", "a build file has at most %d bytes", build.MaxSize)
	}
	name := r.PathValue("file")
	out, err := s.files.edit(name, "edit", tab(r), func(path string, k *known, now []byte) (*Edited, error) {
		if etag(now) != q.Base {
			return nil, changed(q.Base, now, nil)
		}
		out, err := s.files.write(name, path, k, now, []byte(q.Text), q.Anyway)
		if err != nil {
			return nil, err
		}
		k.step(now, []byte(q.Text), say(q.Say, []string{"the text"}))
		return out, nil
	})
	if err != nil {
		return err
	}
	return s.reply(w, http.StatusOK, out)
}

// BaseRequest names the text that the person looks at.
type BaseRequest struct {
	Base string `json:"base"`
}

// turn undoes the last step, or does again what was undone.
func (s *Server) turn(redo bool) handle {
	return func(w http.ResponseWriter, r *http.Request) error {
		var q BaseRequest
		if err := read(w, r, &q); err != nil {
			return err
		}
		name := r.PathValue("file")
		out, err := s.files.edit(name, "undo", tab(r), func(path string, k *known, now []byte) (*Edited, error) {
			from, to := &k.undo, &k.redo
			if redo {
				from, to = to, from
			}
			if len(*from) == 0 {
				return nil, refuse(http.StatusConflict, "nothing-to-undo", "", "there is no step to take back")
			}
			if etag(now) != q.Base {
				return nil, changed(q.Base, now, nil)
			}
			t := (*from)[len(*from)-1]
			have, want := t.after, t.before
			if redo {
				have, want = want, have
			}
			next := want
			if string(now) != string(have) { // something else wrote since: take back ours alone
				merged, ok := merge3(have, want, now)
				if !ok {
					ours, _ := changes(have, want)
					var paths []ConflictPath
					for _, c := range ours {
						paths = append(paths, ConflictPath{c.path, c.before, "", c.after})
					}
					return nil, changed(q.Base, now, paths)
				}
				next = merged
			}
			out, err := s.files.write(name, path, k, now, next, true)
			if err != nil {
				return nil, err
			}
			*from = (*from)[:len(*from)-1]
			back := step{next, now, t.say}
			if redo {
				back = step{now, next, t.say}
			}
			*to = append(*to, back)
			return out, nil
		})
		if err != nil {
			return err
		}
		return s.reply(w, http.StatusOK, out)
	}
}

// tab is the word by which a page knows its own requests.
func tab(r *http.Request) string {
	t := r.Header.Get("Fledge-Tab")
	if len(t) > 40 || strings.ContainsFunc(t, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' }) {
		return ""
	}
	return t
}

// watch looks at the folder and the files that somebody opened, as long as a
// page listens, and tells what something else changed.
func (f *files) watch(ctx context.Context) {
	defer close(f.ended)
	t := time.NewTicker(f.s.conf.Poll)
	defer t.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
		if f.s.hub.listeners() > 0 {
			f.look()
		}
	}
}

func (f *files) wait() { <-f.ended }

func (f *files) look() {
	if names, err := fs.ReadDir(f.s.root.FS(), "."); err == nil {
		var b strings.Builder
		for _, n := range names {
			if e := strings.ToLower(filepath.Ext(n.Name())); (e == ".yaml" || e == ".yml") && !strings.HasPrefix(n.Name(), ".") {
				b.WriteString(n.Name() + "\n")
			}
		}
		f.mu.Lock()
		news := f.looked && f.names != b.String()
		f.names, f.looked = b.String(), true
		f.mu.Unlock()
		if news {
			f.s.hub.send("hangar", struct{}{})
		}
	}
	f.mu.Lock()
	f.looks++
	whole := f.looks%wholeLook == 0
	list := make(map[string]*known, len(f.known))
	for n, k := range f.known {
		list[n] = k
	}
	f.mu.Unlock()
	for name, k := range list {
		f.lookAt(name, k, whole)
	}
}

// wholeLook is every how many looks a file is read whatever its time and size
// say: a copy may keep both. A file whose time is younger than fresh is read
// always, for it may be written again within the same tick of its clock.
const (
	wholeLook = 5
	fresh     = 3 * time.Second
)

func (f *files) lookAt(name string, k *known, whole bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.last == "" && !k.gone {
		return
	}
	info, err := f.s.root.Stat(name)
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			if !k.gone {
				f.s.hub.send("build", BuildEvent{File: name, Why: "gone"})
			}
			k.last, k.stamp, k.gone = "", time.Time{}, true
		}
		return
	}
	age := time.Since(info.ModTime())
	same := info.ModTime().Equal(k.stamp) && info.Size() == k.size && !(0 <= age && age < fresh)
	if same && !whole && !k.gone || info.Size() > build.MaxSize {
		return
	}
	text, err := f.s.root.ReadFile(name)
	if err != nil {
		return
	}
	back := k.gone
	k.stamp, k.size, k.gone = info.ModTime(), info.Size(), false
	tag := etag(text)
	if tag == k.last && !back {
		return
	}
	k.keep(tag, text)
	b, ds := build.Parse(name, text)
	f.s.hub.send("build", BuildEvent{File: name, ETag: tag, OK: b != nil && !ds.HasErrors(), Why: "disk"})
}
