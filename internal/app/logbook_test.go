package app

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"fledge/internal/store"
	"fledge/internal/tune"
)

func hangar(t *testing.T) Hangar {
	at := time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)
	return Hangar{Dir: t.TempDir(), Now: func() time.Time { return at }}
}

func TestKeepLearned(t *testing.T) {
	ctx, h := context.Background(), hangar(t)
	if set, err := h.Learned(ctx); err != nil || set != nil {
		t.Fatal(set, err)
	}
	want := tune.Set{{Name: "drag", Component: "airframe", Value: 1.1, Sigma: 0.04, Why: "two glides"}, {Name: "pitch-trim", Component: "airframe", Value: 0.01, Sigma: 0.002, Shift: true}}
	old := tune.Set{{Name: "drag", Component: "airframe", Value: 1.3, Sigma: 0.1}}
	v := 44.0
	for _, set := range []tune.Set{old, want} {
		if err := h.KeepLearned(ctx, set, []*store.Evidence{{What: "level speed", Value: &v, Dim: "speed"}}); err != nil {
			t.Fatal(err)
		}
	}
	got, err := h.Learned(ctx)
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v %v", got, err)
	}
}

// Trouble is told as a diagnostic with a code, whatever verb meets it.
func TestTrouble(t *testing.T) {
	ctx, h := context.Background(), hangar(t)
	code := func(err error) string {
		var bad *BadInput
		if !errors.As(err, &bad) {
			t.Fatalf("%v is no diagnostic", err)
		}
		return bad.List[0].Code
	}
	for want, err := range map[string]error{
		"disk-full": store.ErrFull, "read-only": store.ErrReadOnly, "busy": store.ErrBusy, "newer-format": &store.Newer{Path: "x", Have: 9, Know: 3}, "not-a-logbook": &store.Foreign{Path: "x"},
	} {
		if got := code(h.trouble(err)); got != want {
			t.Errorf("%s: %s", want, got)
		}
	}
	if _, err := h.Overview(ctx); code(err) != "no-logbook" {
		t.Error(err)
	}
	if entries, _ := os.ReadDir(h.Dir); len(entries) > 0 {
		t.Error("looking made a file")
	}
	if _, err := (Hangar{Dir: filepath.Join(h.Dir, "no")}).Add(ctx, AddRequest{Kind: "pack", Args: []string{"name=x"}}); code(err) != "no-folder" {
		t.Error(err)
	}
	// A bad entry leaves no logbook with half of it.
	if _, err := h.Add(ctx, AddRequest{Kind: "flight", Args: []string{"stretch=9"}}); code(err) != "no-unit" {
		t.Error(err)
	}
	a, err := h.Add(ctx, AddRequest{Kind: "flight", Args: []string{"aeroplane=Tern"}})
	if err != nil || a.Added[0].Row.(*store.Flight).Day != "2026-05-03" || len(a.Notes) != 1 {
		t.Errorf("%+v %v", a, err)
	}
}

func TestPullAt(t *testing.T) {
	s, f := []float64{2, 6, 10}, []float64{9, 24, 36}
	for at, want := range map[float64]float64{0: 0, 1: 4.5, 2: 9, 4: 16.5, 10: 36, 12: 42} {
		if got := pullAt(s, f, at); got != want {
			t.Errorf("%g: %g, want %g", at, got, want)
		}
	}
}
