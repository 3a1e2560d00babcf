package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strconv"

	"fledge/internal/app"
	"fledge/internal/report"
)

// Refusal is the body of every answer that is none: what is wrong, in words,
// and what to do about it.
type Refusal struct {
	Schema      int               `json:"schema"`
	Code        string            `json:"code"`
	Message     string            `json:"message"`
	Hint        string            `json:"hint,omitempty"`
	Diagnostics []app.ExcerptJSON `json:"diagnostics,omitempty"`
	RetryAfter  int               `json:"retry_after_s,omitempty"`
	Conflict    *Conflict         `json:"conflict,omitempty"`

	status int
}

func (r *Refusal) Error() string { return r.Code + ": " + r.Message }

// Conflict is a file that something else changed meanwhile.
type Conflict struct {
	Base  string         `json:"base"` // etag the edit was made on
	ETag  string         `json:"etag"` // of what is there now
	Text  string         `json:"text"` // what is there now
	Paths []ConflictPath `json:"paths"`
}

// ConflictPath is one value that both changed.
type ConflictPath struct {
	Path   string `json:"path"`
	Base   string `json:"base"`
	Theirs string `json:"theirs"`
	Mine   string `json:"mine"`
}

func refuse(status int, code, hint, format string, args ...any) *Refusal {
	return &Refusal{Schema: report.Schema, Code: code, Message: fmt.Sprintf(format, args...), Hint: hint, status: status}
}

// statusCancelled is what a request gets whose asker has gone.
const statusCancelled = 499

// refusal turns any error into one; what it cannot place is a fault of ours,
// told in full to talk and in one word to the asker.
func refusal(err error) *Refusal {
	var r *Refusal
	var bad *app.BadInput
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &r):
		return r
	case errors.As(err, &bad):
		r = refuse(http.StatusUnprocessableEntity, "bad-input", "", "the file or a wish is wrong")
		r.Diagnostics = bad.JSONExcerpts()
		if len(r.Diagnostics) > 0 {
			d := r.Diagnostics[0]
			r.Message, r.Hint = d.Message, d.Hint
		}
		return r
	case errors.As(err, &large):
		return refuse(http.StatusRequestEntityTooLarge, "too-large", "", "the request has more than %d bytes", large.Limit)
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return refuse(statusCancelled, "cancelled", "", "stopped before it was done")
	}
	return nil
}

// handle is a handler that may fail.
type handle func(w http.ResponseWriter, r *http.Request) error

// serve wraps a handler: errors become refusals, faults are told to talk.
func (s *Server) serve(h handle) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := h(w, r); err != nil {
			s.fail(w, r, err)
		}
	}
}

func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	ref := refusal(err)
	if ref == nil {
		s.say("fault at %s %s: %v", r.Method, r.URL.Path, err)
		ref = refuse(http.StatusInternalServerError, "fault", "the terminal says more; please report it with the build file", "a fault inside")
	}
	if ref.RetryAfter > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(ref.RetryAfter))
	}
	s.reply(w, ref.status, s.scrubbed(ref))
}

// reply writes a body as JSON, with the machine's own folders left out of all
// texts: people know files by their names in the hangar.
func (s *Server) reply(w http.ResponseWriter, status int, body any) error {
	text, ok := body.([]byte)
	if !ok {
		var err error
		if text, err = json.Marshal(body); err != nil {
			return fmt.Errorf("body of type %T: %w", body, err)
		}
		text = s.scrub(text)
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Content-Length", strconv.Itoa(len(text)))
	w.WriteHeader(status)
	_, _ = w.Write(text) // the asker may have gone: nothing to be done
	return nil
}

func (s *Server) scrubbed(body any) any {
	text, err := json.Marshal(body)
	if err != nil {
		return []byte(`{"schema":1,"code":"fault","message":"a fault inside"}`)
	}
	return s.scrub(text)
}

// mostRequest is the largest body of a request that is no upload.
const mostRequest = 1 << 20

// read decodes a request's body strictly into to.
func read(w http.ResponseWriter, r *http.Request, to any) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/json" {
		return refuse(http.StatusUnsupportedMediaType, "media-type", "send application/json", "the body is not marked as JSON")
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, mostRequest))
	d.DisallowUnknownFields()
	if err := d.Decode(to); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		if errors.Is(err, io.EOF) {
			return refuse(http.StatusBadRequest, "bad-request", "", "the body is empty")
		}
		return refuse(http.StatusBadRequest, "bad-request", "", "the body is not what is asked for: %s", plain(err))
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return refuse(http.StatusBadRequest, "bad-request", "", "there is more behind the body's end")
	}
	return nil
}

// plain is a decoder's complaint without Go's own words.
func plain(err error) string {
	var kind *json.UnmarshalTypeError
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &kind):
		return fmt.Sprintf("%q cannot be a %s", kind.Field, kind.Value)
	case errors.As(err, &syntax):
		return fmt.Sprintf("no JSON at byte %d", syntax.Offset)
	case errors.Is(err, io.ErrUnexpectedEOF):
		return "it breaks off"
	}
	const own = "json: "
	say := err.Error()
	if len(say) > len(own) && say[:len(own)] == own {
		say = say[len(own):]
	}
	return say
}
