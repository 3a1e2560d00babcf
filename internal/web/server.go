// Package web serves the workshop: the embedded page and, under /api/, what it
// asks for. The contract is docs/workshop-api.md, what it guards against
// docs/threats.md. It listens on the loopback address unless told otherwise,
// reads and writes in the hangar folder only, and computes nothing itself.
package web

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime/debug"
	"sync"
	"time"

	"fledge/examples"
	"fledge/internal/app"
)

//go:embed all:dist
var dist embed.FS

// Config says what to serve. The zero value of everything but Dir will do.
type Config struct {
	Dir      string    // the hangar
	Assets   fs.FS     // the page; nil: the embedded one
	Examples fs.FS     // offered at the first run; nil: the embedded ones
	Talk     io.Writer // faults and pairing codes; nil: nowhere
	Phone    bool      // hosts of the local network may ask, once paired
	Hosts    []string  // names and addresses besides the loopback's, for Phone
	PairAll  bool      // loopback addresses must pair, too: a machine that others use as well
	Cached   bool      // keep solved sections in the user's cache folder
	Units    string    // "metric" or "imperial", what the page begins with
	Now      func() time.Time
	Poll     time.Duration // how often open files are looked at; 0: a second
}

// Server is one workshop.
type Server struct {
	conf    Config
	dir     string
	root    *os.Root
	temp    string // uploads
	assets  fs.FS
	samples fs.FS
	desk    *app.Desk
	mux     *http.ServeMux
	guard   *guard
	hub     *hub
	jobs    *jobs
	files   *files
	uploads *uploads
	quick   chan struct{} // computations answered at once
	serial  string        // of this start
	cross   *http.CrossOriginProtection
	folders [][]byte // what scrub cuts off, as in JSON

	talk sync.Mutex
	stop context.CancelFunc
	life context.Context
}

// mostQuick is how many previews and fans are computed at a time.
const mostQuick = 3

// New makes a workshop of a folder. Close it when done.
func New(c Config) (*Server, error) {
	dir, err := filepath.Abs(c.Dir)
	if err != nil {
		return nil, err
	}
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, app.Bad("no-folder", "make it first, or name another", fmt.Sprintf("there is no folder %s", c.Dir))
	case err != nil:
		return nil, app.Bad("no-folder", "", fmt.Sprintf("the folder %s cannot be read", c.Dir))
	case !info.IsDir():
		return nil, app.Bad("not-a-folder", "name the folder that holds the builds", fmt.Sprintf("%s is not a folder", c.Dir))
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, app.Bad("no-folder", "", fmt.Sprintf("the folder %s cannot be opened", c.Dir))
	}
	temp, err := os.MkdirTemp("", "fledge-workshop-")
	if err != nil {
		root.Close()
		return nil, fmt.Errorf("no room for uploads: %w", err)
	}
	if c.Now == nil {
		c.Now = time.Now
	}
	if c.Talk == nil {
		c.Talk = io.Discard
	}
	if c.Poll == 0 {
		c.Poll = time.Second
	}
	if c.Units == "" {
		c.Units = "metric"
	}
	s := &Server{conf: c, dir: dir, root: root, temp: temp, assets: c.Assets, samples: c.Examples, desk: app.NewDesk(c.Cached), quick: make(chan struct{}, mostQuick), serial: word(8), cross: http.NewCrossOriginProtection()}
	if s.assets == nil {
		if s.assets, err = fs.Sub(dist, "dist"); err != nil {
			panic(err) // the folder is embedded
		}
	}
	if s.samples == nil {
		s.samples = examples.Files
	}
	for _, f := range []string{dir, temp} {
		if real, err := filepath.EvalSymlinks(f); err == nil && real != f {
			s.folders = append(s.folders, prefixes(real)...)
		}
		s.folders = append(s.folders, prefixes(f)...)
	}
	s.life, s.stop = context.WithCancel(context.Background())
	s.guard = newGuard(s)
	s.hub = newHub(s.serial)
	s.jobs = newJobs(s)
	s.files = newFiles(s)
	s.uploads = newUploads(temp)
	s.routes()
	go s.files.watch(s.life)
	return s, nil
}

// Close stops all work, tells the pages, and removes the uploads.
func (s *Server) Close() error {
	s.hub.send("stopping", struct{}{})
	s.stop()
	s.jobs.close()
	s.hub.close()
	s.files.wait()
	s.root.Close()
	return os.RemoveAll(s.temp)
}

// Serve answers on a listener until the context ends, then finishes what is
// being answered and returns. It closes the listener, not the workshop.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	h := &http.Server{
		Handler: s.Handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 5 * time.Minute, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 32 << 10,
		BaseContext: func(net.Listener) context.Context { return s.life },
		ErrorLog:    nil,
	}
	done := make(chan error, 1)
	go func() { done <- h.Serve(l) }()
	select {
	case err := <-done:
		return err
	case <-ctx.Done():
	}
	s.hub.send("stopping", struct{}{})
	s.hub.close()
	s.stop()
	end, cancel := context.WithTimeout(context.Background(), 3*time.Second)
	defer cancel()
	if err := h.Shutdown(end); err != nil {
		h.Close()
	}
	<-done
	return nil
}

// Handler answers requests.
func (s *Server) Handler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				s.say("fault at %s %s: %v\n%s", r.Method, r.URL.Path, p, debug.Stack())
				s.fail(w, r, refuse(http.StatusInternalServerError, "fault", "the terminal says more; please report it with the build file", "a fault inside"))
			}
		}()
		head(w.Header())
		if ref := s.guard.admit(r); ref != nil {
			s.fail(w, r, ref)
			return
		}
		s.mux.ServeHTTP(w, r)
	})
}

// say tells the terminal.
func (s *Server) say(format string, args ...any) {
	s.talk.Lock()
	defer s.talk.Unlock()
	fmt.Fprintf(s.conf.Talk, "workshop: "+format+"\n", args...)
}

// prefixes are a folder's path as it may stand in JSON text, with what comes
// between it and a file's name.
func prefixes(dir string) [][]byte {
	var out [][]byte
	for _, sep := range []string{string(filepath.Separator), "/"} {
		text, err := json.Marshal(dir + sep)
		if err == nil && len(text) > 4 {
			out = append(out, text[1:len(text)-1])
		}
	}
	return out
}

// scrub cuts the folders of this machine off the names in a JSON text.
func (s *Server) scrub(text []byte) []byte {
	for _, f := range s.folders {
		if bytes.Contains(text, f) {
			text = bytes.ReplaceAll(text, f, nil)
		}
	}
	return text
}
