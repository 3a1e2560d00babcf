package web

import (
	"archive/zip"
	"bytes"
	"mime"
	"net/http"
	"path"
	"path/filepath"
	"strings"
	"time"
)

// allFiles answers with all files of a job in one archive, in the folder they
// would be written into.
func (s *Server) allFiles(w http.ResponseWriter, r *http.Request) error {
	k, err := s.jobs.find(r)
	if err != nil {
		return err
	}
	k.mu.Lock()
	files, verb := k.files, k.view.Verb
	k.mu.Unlock()
	if len(files) == 0 {
		return refuse(http.StatusNotFound, "no-job", "", "this work made no file")
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		name := filepath.ToSlash(f.Name)
		if !filepath.IsLocal(f.Name) {
			name = path.Base(name)
		}
		at, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: s.conf.Now().UTC().Truncate(time.Second)})
		if err != nil {
			return err
		}
		if _, err := at.Write(f.Text); err != nil {
			return err
		}
	}
	if err := z.Close(); err != nil {
		return err
	}
	name := verb + ".zip"
	if top, _, ok := strings.Cut(filepath.ToSlash(files[0].Name), "/"); ok && filepath.IsLocal(files[0].Name) {
		name = top + ".zip"
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(b.Bytes()))
	return nil
}
