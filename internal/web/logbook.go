package web

import (
	"bytes"
	"mime"
	"net/http"
	"slices"
	"strings"

	"fledge/internal/app"
	"fledge/internal/store"
)

// LogbookReply is a body of the logbook with its page as text.
type LogbookReply struct {
	Schema int    `json:"schema"`
	Body   any    `json:"body"` // as with --json
	Plain  string `json:"plain"`
}

// book wraps a handler of the logbook: the hangar in the units asked for.
func (s *Server) book(f func(w http.ResponseWriter, r *http.Request, h app.Hangar) error) handle {
	return func(w http.ResponseWriter, r *http.Request) error {
		u, err := s.units(r.URL.Query().Get("units"))
		if err != nil {
			return err
		}
		return f(w, r, s.hangarOf(u))
	}
}

func (s *Server) bookReply(w http.ResponseWriter, status int, body any, plain string) error {
	return s.reply(w, status, LogbookReply{1, body, plain})
}

func (s *Server) overview(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	o, err := h.Overview(r.Context())
	if isNew(err) { // an empty hangar is nothing wrong
		return s.bookReply(w, http.StatusOK, nil, "Nothing is entered yet: the first entry opens the book.\n")
	}
	if err != nil {
		return noBook(err)
	}
	return s.bookReply(w, http.StatusOK, o, o.Text(h.Units))
}

// isNew says that there is no logbook yet.
func isNew(err error) bool {
	for _, d := range app.Diagnostics(err) {
		if d.Code == "no-logbook" {
			return true
		}
	}
	return false
}

// noBook makes of an empty hangar what it is: nothing to be found yet.
func noBook(err error) error {
	for _, d := range app.Diagnostics(err) {
		switch d.Code {
		case "no-logbook", "no-entry", "unknown-kind":
			return refuse(http.StatusNotFound, "no-entry", d.Hint, "%s", d.Message)
		}
	}
	return err
}

func (s *Server) keys(w http.ResponseWriter, r *http.Request, _ app.Hangar) error {
	kind := r.URL.Query().Get("kind")
	plain, err := app.KeysText(kind)
	if err != nil {
		return noBook(err)
	}
	return s.bookReply(w, http.StatusOK, app.KeysBody(kind), plain)
}

func (s *Server) search(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	x, err := h.Search(r.Context(), r.URL.Query().Get("words"))
	if err != nil {
		return noBook(err)
	}
	return s.bookReply(w, http.StatusOK, x, x.Text())
}

func (s *Server) entries(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	kind := r.PathValue("kind")
	x, err := h.List(r.Context(), kind, r.URL.Query().Get("all") == "1")
	if isNew(err) && slices.Contains(store.Kinds(), kind) {
		return s.bookReply(w, http.StatusOK, nil, "Nothing is entered yet: the first entry opens the book.\n")
	}
	if err != nil {
		return noBook(err)
	}
	return s.bookReply(w, http.StatusOK, x, x.Text(h.Units))
}

func (s *Server) entry(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	x, err := h.Show(r.Context(), r.PathValue("kind"), r.PathValue("number"))
	if err != nil {
		return noBook(err)
	}
	return s.bookReply(w, http.StatusOK, x, x.Text(h.Units))
}

// EntryRequest is one entry to be written.
type EntryRequest struct {
	Args     []string `json:"args"` // key=value; a build is named by its file, a file by its upload
	Sets     []string `json:"sets,omitempty"`
	Uploads  []string `json:"uploads,omitempty"` // recordings of a flight
	Forecast bool     `json:"forecast,omitempty"`
	Card     string   `json:"card,omitempty"` // code of the flight card flown by
	Seed     uint64   `json:"seed,omitempty"`
}

// named resolves what the arguments of an entry refer to: builds of the hangar
// and files that were dropped, nothing else of this machine.
func (s *Server) named(kind string, args []string) ([]string, error) {
	if len(args) > mostSets {
		return nil, refuse(http.StatusRequestEntityTooLarge, "too-large", "", "too many values")
	}
	refs := map[string]string{}
	for _, c := range store.Columns(kind) {
		refs[strings.ToLower(c.Key)], refs[strings.ToLower(c.Name)] = c.Ref, c.Ref
	}
	out := make([]string, len(args))
	for i, a := range args {
		out[i] = a
		key, word, ok := strings.Cut(a, "=")
		word = strings.TrimSpace(word)
		if !ok || word == "" {
			continue
		}
		switch refs[strings.ToLower(strings.TrimSpace(key))] {
		case "builds":
			path, err := s.path(word)
			if err != nil {
				return nil, err
			}
			out[i] = key + "=" + path
		case "files":
			f, err := s.uploads.find(word)
			if err != nil {
				return nil, err
			}
			out[i] = key + "=" + f.path
		}
	}
	return out, nil
}

func (s *Server) addEntry(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	var q EntryRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	if _, err := settings(q.Sets); err != nil {
		return err
	}
	kind := r.PathValue("kind")
	args, err := s.named(kind, q.Args)
	if err != nil {
		return err
	}
	add := app.AddRequest{Kind: kind, Args: args, Sets: q.Sets, Forecast: q.Forecast, Seed: seedOf(q.Seed)}
	for _, id := range q.Uploads {
		f, err := s.uploads.find(id)
		if err != nil {
			return err
		}
		add.Logs = append(add.Logs, f.path)
	}
	leave, err := s.turnOf(r.Context())
	if err != nil {
		return err
	}
	defer leave()
	note := ""
	if q.Card != "" {
		if add.Args, note, err = app.CardArgs(q.Card, add); err != nil {
			return err
		}
	}
	x, err := h.Add(r.Context(), add)
	if err != nil {
		return noBook(err)
	}
	if note != "" {
		x.Notes = append(x.Notes, note)
	}
	s.hub.send("logbook", LogbookEvent{kind, tab(r)})
	return s.bookReply(w, http.StatusCreated, x, x.Text(h.Units))
}

// ArgsRequest changes an entry.
type ArgsRequest struct {
	Args []string `json:"args"`
}

func (s *Server) amendEntry(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	var q ArgsRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	kind := r.PathValue("kind")
	args, err := s.named(kind, q.Args)
	if err != nil {
		return err
	}
	x, err := h.Amend(r.Context(), kind, r.PathValue("number"), args)
	if err != nil {
		return noBook(err)
	}
	s.hub.send("logbook", LogbookEvent{kind, tab(r)})
	return s.bookReply(w, http.StatusOK, x, x.Text(h.Units))
}

// WhyRequest says why an entry counts no more.
type WhyRequest struct {
	Why string `json:"why"`
}

func (s *Server) strikeEntry(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	var q WhyRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	kind := r.PathValue("kind")
	x, err := h.Strike(r.Context(), kind, r.PathValue("number"), q.Why)
	if err != nil {
		return noBook(err)
	}
	s.hub.send("logbook", LogbookEvent{kind, tab(r)})
	return s.bookReply(w, http.StatusOK, x, x.Text(h.Units))
}

// export writes a kind as a table, a kept log or build as it was, or with the
// kind "everything" the whole logbook as text.
func (s *Server) export(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	var b bytes.Buffer
	kind, number := r.PathValue("kind"), r.PathValue("number")
	name := kind + ".csv"
	var err error
	switch {
	case number != "":
		name = kind + "-" + number
		if kind == "build" {
			name += ".yaml"
		}
		err = h.Kept(r.Context(), kind, number, &b)
	case kind == "everything":
		name = "logbook.jsonl"
		err = h.Dump(r.Context(), &b)
	default:
		err = h.Export(r.Context(), kind, &b)
	}
	if err != nil {
		return noBook(err)
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	_, _ = w.Write(b.Bytes())
	return nil
}

// checkBook reads everything and holds it to its checksums; it mends nothing.
func (s *Server) checkBook(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	x, err := h.CheckLogbook(r.Context(), false)
	if err != nil {
		return noBook(err)
	}
	return s.bookReply(w, http.StatusOK, x, x.Text())
}

// rescueBook sets a damaged logbook aside, as it is, and goes on with what can
// be read of it. Of a sound one nothing is touched.
func (s *Server) rescueBook(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	x, err := h.CheckLogbook(r.Context(), true)
	if err != nil {
		return noBook(err)
	}
	if x.Rescued != "" {
		s.hub.send("logbook", LogbookEvent{"factor", tab(r)})
	}
	return s.bookReply(w, http.StatusOK, x, x.Text())
}

// ImportRequest takes in a dump or a table that was dropped on the page.
type ImportRequest struct {
	Upload string `json:"upload"`
	Kind   string `json:"kind,omitempty"`
}

func (s *Server) importBook(w http.ResponseWriter, r *http.Request, h app.Hangar) error {
	var q ImportRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	f, err := s.uploads.find(q.Upload)
	if err != nil {
		return err
	}
	x, err := h.Import(r.Context(), f.path, q.Kind)
	if err != nil {
		return err
	}
	s.hub.send("logbook", LogbookEvent{x.Kind, tab(r)})
	return s.bookReply(w, http.StatusOK, x, x.Text())
}
