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

// TestKeepLesson: what is kept comes back bit for bit, learning again ends the
// lesson before, and another aeroplane's lesson on the same part takes over.
func TestKeepLesson(t *testing.T) {
	ctx, h := context.Background(), hangar(t)
	if list, err := h.Lessons(ctx); err != nil || list != nil {
		t.Fatal(list, err)
	}
	first := tune.Lesson{Aeroplane: "Tern", Factors: tune.Set{{Name: "drag", Component: "airframe Tern", Value: 1.3, Sigma: 0.1}}, Corr: [][]float64{{1}}}
	second := tune.Lesson{Aeroplane: "Tern", Say: "two glides", From: []string{"a", "b"}, Heirs: []string{"Wren"}, Factors: tune.Set{
		{Name: "drag", Component: "airframe Tern", Value: 1.1, Sigma: 0.04, Why: "two glides"},
		{Name: "thrust", Component: "propeller 6x5.5", Value: 0.95, Sigma: 0.03},
		{Name: "pitch-trim", Component: "airframe Tern", Value: 0.01, Sigma: 0.002, Shift: true}},
		Corr: [][]float64{{1, 0.7000000000000001, 0}, {0.7000000000000001, 1, -0.1}, {0, -0.1, 1}}}
	other := tune.Lesson{Aeroplane: "Heron", Factors: tune.Set{{Name: "thrust", Component: "propeller 6x5.5", Value: 0.97, Sigma: 0.02}}, Corr: [][]float64{{1}}}
	v := 62.0
	for i, x := range []tune.Lesson{first, second, other} {
		ended, err := h.KeepLesson(ctx, x, []*store.Evidence{{What: "level speed", Value: &v, Dim: "speed"}})
		if err != nil || ended != map[int]int{0: 0, 1: 1, 2: 0}[i] {
			t.Fatal(ended, err)
		}
	}
	got, err := h.Lessons(ctx)
	if err != nil || !reflect.DeepEqual(got, []tune.Lesson{second, other}) {
		t.Fatalf("%+v %v", got, err)
	}
	now := tune.Current(got, "")
	if len(now) != 2 || len(now[0].Factors) != 2 || now[0].Rho(0, 1) != 0 || now[1].Factors[0].Value != 0.97 {
		t.Errorf("what counts: %+v", now)
	}
	if own := tune.Current(got, "Wren"); len(own) != 1 || own[0].Aeroplane != "Heron" {
		t.Errorf("to learn Wren anew: %+v", own)
	}
}

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
