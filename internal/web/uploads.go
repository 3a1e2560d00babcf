package web

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"mime"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"fledge/internal/report"
)

// Upload is a file that was dropped on the page.
type Upload struct {
	Schema int    `json:"schema"`
	ID     string `json:"id"`
	Name   string `json:"name"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

const (
	mostUpload  = 64 << 20
	mostUploads = 256 << 20 // in all
)

// uploads keeps dropped files, each in a folder of its own under the temp
// folder, until the workshop closes.
type uploads struct {
	dir string
	mu  sync.Mutex
	all map[string]stored
	sum int64
}

type stored struct{ path, name string }

// id is the upload's: each has a folder of its own.
func (f stored) id() string { return filepath.Base(filepath.Dir(f.path)) }

func newUploads(dir string) *uploads { return &uploads{dir: dir, all: map[string]stored{}} }

// baseName is what a file is called, without folders and what file systems
// choke on; "" when nothing is left.
func baseName(name string) string {
	if i := strings.LastIndexAny(name, `/\`); i >= 0 {
		name = name[i+1:]
	}
	name = strings.TrimLeft(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || strings.ContainsRune(`<>:"|?*`, r) || r == utf8.RuneError {
			return '_'
		}
		return r
	}, name), ". ")
	for len(name) > mostName { // the ending says the kind: keep it
		e := filepath.Ext(name)
		if len(e) > 12 {
			e = ""
		}
		stem := strings.TrimSuffix(name, e)
		_, n := utf8.DecodeLastRuneInString(stem)
		name = stem[:len(stem)-n] + e
	}
	if name != "" && !filepath.IsLocal(name) { // a name the system keeps for itself
		name = "file-" + name
	}
	return name
}

func (s *Server) upload(w http.ResponseWriter, r *http.Request) error {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/octet-stream" {
		return refuse(http.StatusUnsupportedMediaType, "media-type", "send application/octet-stream", "an upload is the file's bytes alone")
	}
	name := baseName(r.URL.Query().Get("name"))
	if name == "" {
		return refuse(http.StatusBadRequest, "bad-request", "/api/uploads?name=flight.csv", "the file has no name")
	}
	u := s.uploads
	full := refuse(http.StatusRequestEntityTooLarge, "too-large", "start the workshop anew to forget the files dropped so far", "the files dropped are more than %d MiB in all", mostUploads>>20)
	u.mu.Lock()
	if u.sum+max(0, r.ContentLength) > mostUploads {
		u.mu.Unlock()
		return full
	}
	u.mu.Unlock()
	id := "u" + word(12)
	folder := filepath.Join(u.dir, id)
	if err := os.Mkdir(folder, 0o700); err != nil {
		return err
	}
	keep := false
	defer func() {
		if !keep {
			os.RemoveAll(folder)
		}
	}()
	path := filepath.Join(folder, name)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	h := sha256.New()
	n, err := io.Copy(io.MultiWriter(f, h), http.MaxBytesReader(w, r.Body, mostUpload))
	if e := f.Close(); err == nil {
		err = e
	}
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return err
	case err != nil:
		return refuse(http.StatusBadRequest, "bad-request", "", "the upload broke off")
	}
	u.mu.Lock()
	defer u.mu.Unlock()
	if u.sum+n > mostUploads {
		return full
	}
	u.sum += n
	u.all[id] = stored{path, name}
	keep = true
	return s.reply(w, http.StatusCreated, Upload{report.Schema, id, name, n, hex.EncodeToString(h.Sum(nil))})
}

// find gives the path of an upload.
func (u *uploads) find(id string) (stored, error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if f, ok := u.all[id]; ok {
		return f, nil
	}
	return stored{}, refuse(http.StatusNotFound, "no-upload", "drop the file again", "there is no upload %s", id)
}
