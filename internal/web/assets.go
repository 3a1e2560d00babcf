package web

import (
	"bytes"
	"errors"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"
)

// bare is what is shown when the page was not built into this program.
const bare = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>Fledge workshop</title></head>
<body><main><h1>The workshop's page is not in this program</h1>
<p>It was built without it. With Node at hand, <code>make ui</code> and then <code>make build</code> put it in; every verb of the command works without it.</p></main></body></html>
`

// HasPage says whether the page was built into this program.
func HasPage() bool {
	_, err := fs.Stat(dist, "dist/index.html")
	return err == nil
}

// asset serves the page and what belongs to it.
func (s *Server) asset(w http.ResponseWriter, r *http.Request) error {
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		return refuse(http.StatusMethodNotAllowed, "method", "", "only GET here")
	}
	name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
	if name == "" {
		name = "index.html"
	}
	text, err := fs.ReadFile(s.assets, name)
	switch {
	case errors.Is(err, fs.ErrNotExist) && name == "index.html":
		text = []byte(bare)
	case err != nil, strings.HasPrefix(path.Base(name), "."):
		return refuse(http.StatusNotFound, "no-route", "", "there is nothing of that name")
	}
	kind := mime.TypeByExtension(path.Ext(name))
	if kind == "" {
		kind = "application/octet-stream"
	}
	w.Header().Set("Content-Type", kind)
	switch {
	case strings.HasPrefix(name, "assets/"): // a hash of the content is in the name
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	default:
		w.Header().Set("Cache-Control", "no-cache")
	}
	http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(text))
	return nil
}
