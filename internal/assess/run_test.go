package assess

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fledge/internal/build"
	"fledge/internal/craft"
)

func example(t testing.TB, name string) *craft.Aircraft {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", name))
	if err != nil {
		t.Fatal(err)
	}
	b, ds := build.Parse(name, text)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	ac, ds := craft.New(b, nil)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	return ac
}

func TestLook(t *testing.T) {
	for _, name := range []string{"tern.yaml", "wren.yaml", "swift.yaml", "heron.yaml"} {
		ac := example(t, name)
		t0 := time.Now()
		c, err := NewChain(ac)
		if err != nil {
			t.Fatal(err)
		}
		t1 := time.Now()
		r, err := c.Run(context.Background(), Options{Seed: 1, NoLaunch: true, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		t2 := time.Now()
		r2, err := c.Run(context.Background(), Options{Seed: 1, OnlyLaunch: true, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		t3 := time.Now()
		t.Logf("%s: models %v, scalars %v, launches %v", name, t1.Sub(t0), t2.Sub(t1), t3.Sub(t2))
		for _, id := range IDs() {
			q := r.Numbers[id]
			t.Logf("  %-22s %10.4g (%.4g to %.4g) %s %s", id.Key(), q.Value, q.Low, q.High, q.Unit, q.Status)
		}
		t.Logf("  odds %+v method %s %s", r2.Launch.Odds, r2.Launch.Outcome.Method, r2.Launch.Say())
		for _, f := range r2.Launch.Outcome.Failures {
			t.Logf("    %s %.2f", f.Class, f.Share)
		}
		for i, u := range r2.Launch.Outcome.Unknowns {
			if i < 6 {
				t.Logf("    unknown %s first %.2f total %.2f", u.Input.Path, u.First, u.Total)
			}
		}
	}
}
