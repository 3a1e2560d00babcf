package web

import (
	"net/http"
	"path/filepath"
	"strings"

	"fledge/internal/app"
	"fledge/internal/report"
	"fledge/internal/store"
)

// ColumnsRequest asks how a table that was dropped is read.
type ColumnsRequest struct {
	Upload string `json:"upload"`
}

func (s *Server) columns(w http.ResponseWriter, r *http.Request) error {
	var q ColumnsRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	f, err := s.uploads.find(q.Upload)
	if err != nil {
		return err
	}
	leave, err := s.turnOf(r.Context())
	if err != nil {
		return err
	}
	defer leave()
	v, err := app.Columns(f.path, s.dir)
	if err != nil {
		return err
	}
	return s.reply(w, http.StatusOK, v)
}

// KeepColumnsRequest keeps a column map in the hangar, for the next log of the
// same recorder; the command takes the same file by --columns.
type KeepColumnsRequest struct {
	Name string `json:"name"` // of the recorder
	Text string `json:"text"` // the map
}

func (s *Server) keepColumns(w http.ResponseWriter, r *http.Request) error {
	var q KeepColumnsRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	name := strings.TrimSpace(q.Name)
	if ref := plainName(name + ".yaml"); ref != nil { // judged as a build's name is
		return ref
	}
	name += app.ColumnsEnd
	if err := app.CheckColumns(name, []byte(q.Text)); err != nil {
		return err
	}
	if info, err := s.root.Lstat(name); err == nil && !info.Mode().IsRegular() {
		return refuse(http.StatusForbidden, "outside", "choose another name", "%s is no plain file", name)
	}
	if err := store.Replace(filepath.Join(s.dir, name), []byte(q.Text)); err != nil {
		return refuse(http.StatusInternalServerError, "fault", "is the folder writable, the disk full?", "%s was not written", name)
	}
	s.hub.send("hangar", struct{}{})
	return s.reply(w, http.StatusCreated, FileReply{report.Schema, name})
}
