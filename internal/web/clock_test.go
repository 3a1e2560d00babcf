package web

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"sync"
	"testing"
	"time"
)

// jumpy is a clock that somebody sets while the workshop runs: each look may
// be a year later or two days earlier, and it has no monotonic part to fall
// back on.
func jumpy(seed uint64) func() time.Time {
	at := time.Date(2026, 3, 29, 1, 59, 59, 0, time.UTC)
	r := rand.New(rand.NewPCG(seed, 15))
	var mu sync.Mutex
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		at = at.Add([]time.Duration{time.Millisecond, time.Second, -time.Hour, -48 * time.Hour, 365 * 24 * time.Hour}[r.IntN(5)])
		return at
	}
}

// TestSoakClock sets the clock to and fro under work, edits, undo and the
// logbook: everything ends as it would have, and no time is below nought.
func TestSoakClock(t *testing.T) {
	b := open(t, Config{Now: jumpy(1)}, "wren.yaml")
	first := b.file("wren.yaml")
	entry := `{"args":["build=wren.yaml","outcome=airborne","duration=5 min"]}`
	noted := 0
	for i := range many(2, 40) {
		k := b.job(JobRequest{Verb: "balance", File: "wren.yaml", Quick: true, Sets: []string{fmt.Sprintf("trial.mass=%d g", i+1)}})
		if k.State != "done" || k.Answer == nil || k.Seconds < 0 {
			t.Fatalf("work %d: %s after %v s, %v", i, k.State, k.Seconds, k.Refusal)
		}
		e := b.edit(200, "wren.yaml", b.tag("wren.yaml"), fmt.Sprintf("day.temperature=%d.5 degC", 2+i)) // never what it is already
		get[Edited](b, 200, "POST", "/api/builds/wren.yaml/undo", toJSON(BaseRequest{e.ETag}))
		if now := b.file("wren.yaml"); now != first {
			t.Fatalf("undone, the build is another:\n%s", now)
		}
		if resp, text := b.ask("POST", "/api/logbook/flight", entry); resp.StatusCode/100 != 2 {
			t.Fatalf("entry %d: %d %s", i, resp.StatusCode, text)
		}
		noted++
	}
	var list struct {
		Body struct {
			Rows []struct {
				ID int `json:"id"`
			} `json:"rows"`
		} `json:"body"`
	}
	_, text := b.ask("GET", "/api/logbook/flight", "")
	if err := json.Unmarshal(text, &list); err != nil || len(list.Body.Rows) != noted {
		t.Errorf("%d of %d entries: %v %.300s", len(list.Body.Rows), noted, err, text)
	}
}
