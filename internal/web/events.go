package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"sync"
	"time"
)

// hub passes events on to every open page.
type hub struct {
	mu     sync.Mutex
	serial string
	next   uint64
	subs   map[chan event]bool
	closed bool
}

type event struct {
	id   uint64
	name string
	data []byte
}

// backlog is how many events a page may be behind before it is cut off; it
// then comes back and fetches anew.
const backlog = 256

// mostStreams is how many pages may listen at a time.
const mostStreams = 32

func newHub(serial string) *hub { return &hub{serial: serial, subs: map[chan event]bool{}} }

// send tells all pages.
func (h *hub) send(name string, data any) {
	text, err := json.Marshal(data)
	if err != nil {
		panic(fmt.Sprintf("web: event %s: %v", name, err)) // our own structs
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	h.next++
	e := event{h.next, name, text}
	for c := range h.subs {
		select {
		case c <- e:
		default:
			delete(h.subs, c)
			close(c)
		}
	}
}

func (h *hub) listen() (chan event, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed || len(h.subs) >= mostStreams {
		return nil, false
	}
	c := make(chan event, backlog)
	h.subs[c] = true
	return c, true
}

func (h *hub) leave(c chan event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.subs[c] {
		delete(h.subs, c)
		close(c)
	}
}

func (h *hub) listeners() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.subs)
}

func (h *hub) close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for c := range h.subs {
		delete(h.subs, c)
		close(c)
	}
}

// HelloEvent begins every stream.
type HelloEvent struct {
	Schema int    `json:"schema"`
	Serial string `json:"serial"` // another one than before: the server was started anew
}

// BuildEvent says that a build file changed.
type BuildEvent struct {
	File string `json:"file"`
	ETag string `json:"etag"`
	OK   bool   `json:"ok"`
	Why  string `json:"why" words:"disk|edit|undo|gone"`
	By   string `json:"by,omitempty"`
}

// WarmEvent says that the models of a build are made: what was rough can be
// asked for again.
type WarmEvent struct {
	File string `json:"file"`
	ETag string `json:"etag"`
}

// LogbookEvent says that the logbook changed.
type LogbookEvent struct {
	Kind string `json:"kind"`
	By   string `json:"by,omitempty"`
}

func (s *Server) events(w http.ResponseWriter, r *http.Request) error {
	c, ok := s.hub.listen()
	if !ok {
		ref := refuse(http.StatusTooManyRequests, "busy", "close pages that are not looked at", "too many pages are open")
		ref.RetryAfter = 5
		return ref
	}
	defer s.hub.leave(c)
	rc := http.NewResponseController(w)
	_ = rc.SetWriteDeadline(time.Time{}) // this answer has no end
	_ = rc.SetReadDeadline(time.Time{})
	w.Header().Set("Content-Type", "text/event-stream")
	w.WriteHeader(http.StatusOK)
	hello, _ := json.Marshal(HelloEvent{1, s.serial})
	fmt.Fprintf(w, "retry: 2000\nid: 0\nevent: hello\ndata: %s\n\n", hello)
	if rc.Flush() != nil {
		return nil
	}
	beat := time.NewTicker(15 * time.Second)
	defer beat.Stop()
	for {
		select {
		case <-r.Context().Done():
			return nil
		case <-beat.C:
			if _, err := fmt.Fprint(w, ": still here\n\n"); err != nil {
				return nil
			}
		case e, open := <-c:
			if !open {
				return nil
			}
			if _, err := fmt.Fprintf(w, "id: %d\nevent: %s\ndata: %s\n\n", e.id, e.name, e.data); err != nil {
				return nil
			}
		}
		if rc.Flush() != nil {
			return nil
		}
	}
}
