package web

import (
	"crypto/rand"
	"crypto/subtle"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"
)

// policy is the content policy of every answer: nothing from elsewhere, no
// inline script or style.
const policy = "default-src 'self'; img-src 'self' data: blob:; connect-src 'self'; worker-src 'self'; object-src 'none'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"

// head sets what every answer carries.
func head(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=()")
	h.Set("Cache-Control", "no-store")
}

// guard decides who may ask.
type guard struct {
	s     *Server
	hosts map[string]bool

	mu     sync.Mutex
	code   string    // the next pairing code
	made   time.Time // when it was
	wrong  int
	last   time.Time            // of a try
	paired map[string]time.Time // until when a device's key holds
}

func newGuard(s *Server) *guard {
	g := &guard{s: s, hosts: map[string]bool{"localhost": true, "127.0.0.1": true, "::1": true}, paired: map[string]time.Time{}}
	if s.conf.Phone {
		for _, h := range s.conf.Hosts {
			g.hosts[strings.ToLower(h)] = true
		}
	}
	g.anew()
	return g
}

// codeLife is how long a code may be typed, deviceLife how long a device stays
// paired: a day at the field.
const (
	codeLife   = time.Hour
	deviceLife = 24 * time.Hour
)

// anew makes the next code. The lock is held, but by newGuard.
func (g *guard) anew() { g.wrong, g.code, g.made = 0, word(8), g.s.conf.Now() }

// alphabet has no letters or digits that are mistaken for one another.
const alphabet = "23456789abcdefghjkmnpqrstuvwxyz"

// word is n letters drawn by the system's generator.
func word(n int) string {
	b := make([]byte, 2*n)
	var out strings.Builder
	for out.Len() < n {
		_, _ = rand.Read(b) // never fails
		for _, c := range b {
			if int(c) < 256/len(alphabet)*len(alphabet) && out.Len() < n { // no letter more likely than another
				out.WriteByte(alphabet[int(c)%len(alphabet)])
			}
		}
	}
	return out.String()
}

// hostOf is the name in a Host header, without port and brackets.
func hostOf(host string) string {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	return strings.ToLower(strings.TrimSuffix(strings.TrimPrefix(host, "["), "]"))
}

// admit refuses what does not come from our own page: a Host that is none of
// ours (a foreign name that was made to point here), a foreign Origin, a
// cross-site request, a device that is not paired.
func (g *guard) admit(r *http.Request) *Refusal {
	if !g.hosts[hostOf(r.Host)] {
		return refuse(http.StatusMisdirectedRequest, "wrong-host", "open the address that the terminal shows", "this workshop does not answer to that name")
	}
	api := strings.HasPrefix(r.URL.Path, "/api/")
	if o := r.Header.Get("Origin"); o != "" && o != "http://"+r.Host {
		return refuse(http.StatusForbidden, "cross-site", "", "another site asks: refused")
	}
	if err := g.s.cross.Check(r); err != nil {
		return refuse(http.StatusForbidden, "cross-site", "", "another site asks: refused")
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
	default: // a link to the page itself is no harm
		if api || r.Method != http.MethodGet || r.Header.Get("Sec-Fetch-Mode") != "navigate" {
			return refuse(http.StatusForbidden, "cross-site", "", "another site asks: refused")
		}
	}
	if api && !g.open(r.URL.Path) && !g.isPaired(r) {
		return refuse(http.StatusUnauthorized, "not-paired", "type the code that the laptop's terminal shows", "this device is not paired yet")
	}
	return nil
}

// open are the routes that a device may ask before it is paired.
func (g *guard) open(path string) bool { return path == "/api/hello" || path == "/api/pair" }

// cookie holds the key of a paired device.
const cookie = "fledge-device"

func (g *guard) isPaired(r *http.Request) bool {
	if !g.s.conf.PairAll && fromLoopback(r) {
		return true
	}
	c, err := r.Cookie(cookie)
	if err != nil {
		return false
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	until, ok := g.paired[c.Value]
	if ok && !g.s.conf.Now().Before(until) {
		delete(g.paired, c.Value)
		return false
	}
	return ok
}

// fromLoopback says whether the asker sits at this machine. A header that
// says otherwise is not looked at: no proxy is meant to stand before us.
func fromLoopback(r *http.Request) bool {
	a, err := netip.ParseAddrPort(r.RemoteAddr)
	return err == nil && a.Addr().Unmap().IsLoopback()
}

// mostTries is how many wrong codes are heard before a new code is made.
const mostTries = 5

// try takes a pairing code; a right one works once and gives a device's key.
func (g *guard) try(code string) (key string, ref *Refusal) {
	g.mu.Lock()
	defer g.mu.Unlock()
	now := g.s.conf.Now()
	if since := now.Sub(g.last); since >= 0 && since < time.Second {
		ref := refuse(http.StatusTooManyRequests, "too-many-codes", "", "one try a second")
		ref.RetryAfter = 1
		return "", ref
	}
	g.last = now
	if now.Sub(g.made) > codeLife {
		g.anew()
		g.s.say("the pairing code was an hour old; it is now %s", g.spelled())
		return "", refuse(http.StatusForbidden, "old-code", "a new one stands in the terminal where the workshop was started", "that code is too old")
	}
	code = strings.ToLower(strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' {
			return -1
		}
		return r
	}, code))
	if subtle.ConstantTimeCompare([]byte(code), []byte(g.code)) != 1 {
		g.wrong++
		if g.wrong >= mostTries {
			g.anew()
			g.s.say("too many wrong codes; the pairing code is now %s", g.spelled())
		}
		return "", refuse(http.StatusForbidden, "wrong-code", "it stands in the terminal where the workshop was started", "that is not the code")
	}
	g.anew()
	key = word(32)
	for k, until := range g.paired {
		if !now.Before(until) {
			delete(g.paired, k)
		}
	}
	g.paired[key] = now.Add(deviceLife)
	g.s.say("a device was paired; the code for the next one is %s", g.spelled())
	return key, nil
}

func (g *guard) spelled() string { return g.code[:4] + "-" + g.code[4:] }

// Code is the pairing code of the next device.
func (s *Server) Code() string {
	s.guard.mu.Lock()
	defer s.guard.mu.Unlock()
	return s.guard.spelled()
}

// Pairing is the body of a pairing.
type Pairing struct {
	Code string `json:"code"`
}

func (s *Server) pair(w http.ResponseWriter, r *http.Request) error {
	var q Pairing
	if err := read(w, r, &q); err != nil {
		return err
	}
	key, ref := s.guard.try(q.Code)
	if ref != nil {
		return ref
	}
	http.SetCookie(w, &http.Cookie{Name: cookie, Value: key, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(deviceLife / time.Second)})
	w.WriteHeader(http.StatusNoContent)
	return nil
}
