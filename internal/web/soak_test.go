package web

import (
	"bufio"
	"bytes"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"
)

// many is how often a soak test does its work: a little in every run, much
// when FLEDGE_SOAK says so.
func many(few, lots int) int {
	if os.Getenv("FLEDGE_SOAK") != "" {
		return lots
	}
	return few
}

// held says what the process holds when nothing is under way.
func held() (heap uint64, routines int) {
	for range 50 { // idle connections take a moment to end
		runtime.GC()
		n := runtime.NumGoroutine()
		time.Sleep(20 * time.Millisecond)
		if n == runtime.NumGoroutine() {
			break
		}
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc, runtime.NumGoroutine()
}

// TestSoakMalformed sends requests that are cut, doubled, scrambled or made of
// noise. Each is answered or hung up on, none is taken for good work, none
// ends the workshop; afterwards it holds no more than before, and works.
func TestSoakMalformed(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	before, err := os.ReadFile(b.dir + "/wren.yaml")
	if err != nil {
		t.Fatal(err)
	}
	addr := b.web.Listener.Addr().String()
	r := rand.New(rand.NewPCG(10, 15))
	good := []string{
		"GET /api/hangar HTTP/1.1\r\nHost: HOST\r\n\r\n",
		"GET /api/builds/wren.yaml HTTP/1.1\r\nHost: HOST\r\n\r\n",
		"POST /api/builds/wren.yaml/preview HTTP/1.1\r\nHost: HOST\r\nContent-Type: application/json\r\nContent-Length: 27\r\n\r\n{\"sets\":[\"day.wind=1 m/s\"]}",
		"POST /api/jobs HTTP/1.1\r\nHost: HOST\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n2b\r\n{\"verb\":\"balance\",\"file\":\"wren.yaml\",\"x\":1}\r\n0\r\n\r\n",
		"POST /api/builds/wren.yaml/edit HTTP/1.1\r\nHost: HOST\r\nContent-Type: application/json\r\nContent-Length: 38\r\n\r\n{\"base\":\"x\",\"sets\":[\"day.wind=9 m/s\"]}",
	}
	spoil := func(s []byte) []byte {
		for range 1 + r.IntN(4) {
			if len(s) < 2 {
				return s
			}
			i := r.IntN(len(s))
			switch r.IntN(7) {
			case 0:
				s = s[:i]
			case 1:
				s[i] = byte(r.UintN(256))
			case 2:
				s = append(s[:i:i], append(bytes.Repeat([]byte{s[i]}, r.IntN(3000)), s[i:]...)...)
			case 3:
				j := r.IntN(len(s))
				s[i], s[j] = s[j], s[i]
			case 4:
				s = bytes.ReplaceAll(s, []byte("\r\n"), []byte("\n\r"))
			case 5:
				s = append(s[:i:i], append([]byte("\r\nContent-Length: -1\r\n"), s[i:]...)...)
			case 6:
				s = append(s[:i:i], append([]byte("%00..%2f\xff{[\"\\ud800"), s[i:]...)...)
			}
		}
		return s
	}
	heap0, routines0 := held()
	n, answered, hung := many(400, 10_000), 0, 0
	for i := range n {
		s := []byte(strings.ReplaceAll(good[r.IntN(len(good))], "HOST", addr))
		if i%10 == 9 { // nothing but noise
			s = make([]byte, r.IntN(2000))
			for j := range s {
				s[j] = byte(r.UintN(256))
			}
		}
		c, err := net.Dial("tcp", addr)
		if err != nil {
			t.Fatalf("request %d: nobody listens any more: %v", i, err)
		}
		_ = c.SetDeadline(time.Now().Add(5 * time.Second))
		_, _ = c.Write(spoil(s))
		_ = c.(*net.TCPConn).CloseWrite()
		resp, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err != nil {
			hung++
		} else {
			answered++
			_, _ = io.Copy(io.Discard, io.LimitReader(resp.Body, 1<<20))
			resp.Body.Close()
			if resp.StatusCode >= 500 && resp.StatusCode != http.StatusNotImplemented && resp.StatusCode != http.StatusHTTPVersionNotSupported { // encodings and versions nobody knows
				t.Errorf("request %d: %d", i, resp.StatusCode)
			}
		}
		c.Close()
	}
	b.web.CloseClientConnections()
	heap1, routines1 := held()
	if routines1 > routines0+20 {
		t.Errorf("%d routines before, %d after", routines0, routines1)
	}
	if heap1 > heap0+64<<20 {
		t.Errorf("%d MiB before, %d MiB after", heap0>>20, heap1>>20)
	}
	if after, err := os.ReadFile(b.dir + "/wren.yaml"); err != nil || !bytes.Equal(before, after) {
		t.Errorf("the build was changed: %v", err)
	}
	get[Hello](b, 200, "GET", "/api/hello", "")
	t.Logf("%d requests: %d answered, %d hung up on; %d and %d routines, %d and %d MiB", n, answered, hung, routines0, routines1, heap0>>20, heap1>>20)
}

// TestSoakSlowClients keeps connections open that send a letter now and then,
// or ask and do not read: others are served meanwhile, and the slow ones are
// hung up on in time. The limits are those of Serve, so it listens itself.
func TestSoakSlowClients(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	done := make(chan error, 1)
	go func() { done <- b.s.Serve(ctx, l) }()
	addr := l.Addr().String()
	slow := make([]net.Conn, many(20, 800))
	for i := range slow {
		if slow[i], err = net.Dial("tcp", addr); err != nil {
			t.Fatal(err)
		}
		defer slow[i].Close()
		text := "GET /api/hello HT"
		if i%2 == 1 { // asks, and never reads
			text = strings.Repeat("GET /api/hangar HTTP/1.1\r\nHost: "+addr+"\r\n\r\n", 5)
		}
		if _, err := io.WriteString(slow[i], text); err != nil {
			t.Fatal(err)
		}
	}
	worst := time.Duration(0)
	for range 20 {
		start := time.Now()
		resp, err := http.Get("http://" + addr + "/api/hello")
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		if resp.StatusCode != 200 {
			t.Fatalf("%d while others are slow", resp.StatusCode)
		}
		worst = max(worst, time.Since(start))
	}
	if worst > 20*time.Second { // 400 asking five times each at once keep two cores busy for seconds; a hang is longer
		t.Errorf("others waited %v", worst)
	}
	if os.Getenv("FLEDGE_SOAK") != "" { // headers may take 10 s, no more
		_ = slow[0].SetReadDeadline(time.Now().Add(20 * time.Second))
		if _, err := io.Copy(io.Discard, slow[0]); err != nil {
			t.Errorf("half a request was not hung up on in 20 s: %v", err)
		}
	}
	t.Logf("%d slow clients; others waited at most %v", len(slow), worst)
}

// endless is a body without end.
type endless struct{ sent int }

func (e *endless) Read(p []byte) (int, error) {
	e.sent += len(p)
	return len(p), nil
}

// TestSoakHugeUploads sends files without end and more files than are taken:
// refused at the limit, nothing kept of what was refused, memory bounded.
func TestSoakHugeUploads(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	heap0, _ := held()
	up := func(body io.Reader, length int64) int {
		r, err := http.NewRequest("POST", b.web.URL+"/api/uploads?name=huge.csv", body)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/octet-stream")
		r.ContentLength = length
		resp, err := b.web.Client().Do(r)
		if err != nil { // hung up on while still sending
			return 413
		}
		defer resp.Body.Close()
		_, _ = io.Copy(io.Discard, resp.Body)
		return resp.StatusCode
	}
	for range many(1, 20) {
		e := &endless{}
		if code := up(e, -1); code != 413 {
			t.Errorf("an endless upload: %d", code)
		}
		if e.sent > mostUpload+16<<20 {
			t.Errorf("%d MiB were taken in, the limit is %d", e.sent>>20, mostUpload>>20)
		}
	}
	left, err := os.ReadDir(b.s.uploads.dir)
	if err != nil || len(left) > 0 {
		t.Errorf("%d refused uploads are still there: %v", len(left), err)
	}
	taken := 0
	for i := range many(3, mostUploads/mostUpload+3) {
		if code := up(bytes.NewReader(bytes.Repeat([]byte("x"), mostUpload)), mostUpload); code == 201 {
			taken++
		} else if code != 413 || taken < mostUploads/mostUpload {
			t.Errorf("upload %d: %d after %d were taken", i, code, taken)
		}
	}
	if taken > mostUploads/mostUpload {
		t.Errorf("%d uploads of %d MiB were taken", taken, mostUpload>>20)
	}
	heap1, _ := held()
	if heap1 > heap0+96<<20 {
		t.Errorf("%d MiB before, %d MiB after", heap0>>20, heap1>>20)
	}
	t.Logf("%d uploads taken; %d and %d MiB", taken, heap0>>20, heap1>>20)
}
