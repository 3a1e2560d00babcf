package store

import (
	"bytes"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"
)

// TestSoakClock keeps a logbook while somebody sets the clock: back an hour
// when summer ends, to the year the chip was made, a century ahead. Entries
// stay in the order they were made, none is lost or doubled, and the book is
// whole, also when opened again and when taken over elsewhere.
func TestSoakClock(t *testing.T) {
	many := 30
	if os.Getenv("FLEDGE_SOAK") != "" {
		many = 600
	}
	r := rand.New(rand.NewPCG(29, 3))
	now := time.Date(2026, 10, 25, 2, 59, 59, 0, time.UTC)
	jumpy := func() time.Time {
		switch r.IntN(5) {
		case 0:
			now = now.Add(-time.Hour)
		case 1:
			now = time.Unix(0, 0)
		case 2:
			now = now.AddDate(100, 0, 0)
			if now.Year() > 9900 {
				now = time.Date(2026, 10, 25, 3, 0, 0, 0, time.UTC)
			}
		case 3: // it stands still
		default:
			now = now.Add(time.Second)
		}
		return now
	}
	dir := t.TempDir()
	var l *Logbook
	for i := range many {
		if i%7 == 0 {
			if l != nil {
				if err := l.Close(); err != nil {
					t.Fatal(err)
				}
			}
			var err error
			if l, err = OpenLogbook(ctx, dir, LogbookOptions{Now: jumpy, Create: true}); err != nil {
				t.Fatal(err)
			}
		}
		if err := addFlight(l, i); err != nil {
			t.Fatalf("entry %d at %v: %v", i, now, err)
		}
	}
	defer l.Close()
	inOrder := func(l *Logbook) {
		t.Helper()
		list, err := List[Flight](ctx, l)
		if err != nil || len(list) != many {
			t.Fatalf("%d of %d flights: %v", len(list), many, err)
		}
		uids := map[string]bool{}
		for i, fl := range list {
			if fl.Note != strconv.Itoa(i) || uids[fl.UID] {
				t.Fatalf("flight %d is %q, uid %s", i, fl.Note, fl.UID)
			}
			uids[fl.UID] = true
		}
		if rep, err := l.Check(ctx); err != nil || len(rep.Problems) > 0 {
			t.Fatalf("%v %v", err, rep)
		}
	}
	inOrder(l)
	var dump bytes.Buffer
	if err := l.Dump(ctx, &dump); err != nil {
		t.Fatal(err)
	}
	other, err := OpenLogbook(ctx, t.TempDir(), LogbookOptions{Now: jumpy, Create: true})
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	if _, ds, err := other.Restore(ctx, "dump", dump.Bytes()); err != nil || ds.HasErrors() {
		t.Fatal(err, ds)
	}
	inOrder(other)
}
