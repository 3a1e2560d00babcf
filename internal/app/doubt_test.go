package app

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"testing"

	"fledge/internal/report"
)

// The same bytes with a cold cache, a warm one and none, on one core and on
// two: the whole check of a HOLD with its remedies, on few launches.
func TestSameBytes(t *testing.T) {
	check := func(cached bool, cores int) []byte {
		t.Helper()
		defer workersFor(cores)()
		c, _, err := Check(context.Background(), Request{Path: "../../examples/swift.yaml", Seed: 5, Launches: 128, Draws: 16, Cached: cached})
		if err != nil {
			t.Fatal(err)
		}
		if n := remedies(c); n == 0 {
			t.Fatal("no remedy to keep")
		}
		body, err := json.Marshal(report.CheckBody(*c))
		if err != nil {
			t.Fatal(err)
		}
		return body
	}
	dir := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", dir)
	cold := check(true, 2)
	if e, err := os.ReadDir(dir); err != nil || len(e) == 0 {
		t.Fatalf("nothing was cached: %v", err)
	}
	for _, r := range []struct {
		name   string
		cached bool
		cores  int
	}{{"warm, one core", true, 1}, {"no cache, one core", false, 1}} {
		if got := check(r.cached, r.cores); !bytes.Equal(cold, got) {
			t.Errorf("%s: other bytes than cold on two cores", r.name)
		}
	}
}

func remedies(c *report.Checked) (n int) {
	for i := range c.Verdict.Findings {
		n += len(c.Verdict.Findings[i].Remedies)
	}
	return n
}
