// Package check is the test helper for published checks: it compares a
// number with a reference value under a tolerance that carries its reason,
// and, when the environment variable FLEDGE_ACCURACY names a folder,
// records the row there so that `make accuracy` can write docs/accuracy.md.
// Imported by tests only.
//
//	check.Row{Topic: "standard atmosphere", Name: "T at 1000 m", Source: cite.ISO2533.At("layer 0 to 11 km", cite.Memory)}.
//		Near(t, got, 281.65, check.Printed(0.01))
package check

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"fledge/internal/cite"
)

// Tol is a tolerance with its reason. The allowed difference is
// max(Abs, Rel*|want|).
type Tol struct {
	Abs, Rel float64
	Why      string
}

// Exact allows n units of 1e-15 relative (and absolute): a closed form.
func Exact(n float64) Tol { return Tol{Abs: n * 1e-15, Rel: n * 1e-15, Why: "closed form"} }

// Printed allows half of the last printed digit, given as that digit's size.
func Printed(digit float64) Tol { return Tol{Abs: digit * 0.5000001, Why: "last printed digit"} }

// Measured allows the source's own measurement uncertainty, absolute.
func Measured(u float64, why string) Tol { return Tol{Abs: u, Why: "measurement: " + why} }

// Model allows a known gap of the theory, relative; why must say where it comes from.
func Model(rel float64, why string) Tol { return Tol{Rel: rel, Why: why} }

// ModelAbs is Model with an absolute tolerance.
func ModelAbs(abs float64, why string) Tol { return Tol{Abs: abs, Why: why} }

// Allowed is the permitted difference around want.
func (t Tol) Allowed(want float64) float64 { return math.Max(t.Abs, t.Rel*math.Abs(want)) }

// Row names what is compared and where the reference value comes from.
type Row struct {
	Topic  string // groups rows in docs/accuracy.md: "lifting surfaces"
	Name   string // "CL slope, Warren-12"
	Unit   string // may be empty
	Source cite.Ref
	// Headline gives the row a line of its own in docs/accuracy.md, beside
	// its topic's summary.
	Headline bool
}

// Near fails the test when got is not within tol of want (or is NaN), and
// records the row for docs/accuracy.md. It reports whether the row passed.
func (r Row) Near(t testing.TB, got, want float64, tol Tol) bool {
	t.Helper()
	if _, ok := cite.Lookup(r.Source.Key); !ok {
		t.Errorf("%s: %s: no listed source %q", r.Topic, r.Name, r.Source.Key)
		return false
	}
	if tol.Why == "" {
		t.Errorf("%s: %s: a tolerance without a reason", r.Topic, r.Name)
		return false
	}
	allowed := tol.Allowed(want)
	ok := math.Abs(got-want) <= allowed // false for NaN
	if math.IsInf(want, 0) && got == want {
		ok = true
	}
	if !ok {
		t.Errorf("%s: %s = %.8g %s, want %.8g ± %.3g (%s), source: %s", r.Topic, r.Name, got, r.Unit, want, allowed, tol.Why, r.Source)
	}
	record(t, r, got, want, allowed, tol.Why, ok)
	return ok
}

// Recorded is one line of the accuracy record.
type Recorded struct {
	Package, Test, Topic, Name, Unit string
	Got, Want, Allowed               float64
	Why, Source, Mark, Kind, Spread  string
	OK                               bool
	Headline                         bool `json:",omitempty"`
}

var mu sync.Mutex

func record(t testing.TB, r Row, got, want, allowed float64, why string, ok bool) {
	dir := os.Getenv("FLEDGE_ACCURACY")
	if dir == "" || math.IsNaN(got) || math.IsInf(got, 0) || math.IsInf(want, 0) {
		return
	}
	wd, err := os.Getwd()
	if err != nil {
		t.Errorf("check: %v", err)
		return
	}
	src, _ := cite.Lookup(r.Source.Key)
	line, err := json.Marshal(Recorded{
		Package: filepath.Base(wd), Test: t.Name(), Topic: r.Topic, Name: r.Name, Unit: r.Unit,
		Got: got, Want: want, Allowed: allowed, Why: why, Source: r.Source.String(),
		Mark: string(r.Source.Mark), Kind: string(src.Kind), Spread: src.Spread, OK: ok, Headline: r.Headline,
	})
	if err != nil {
		t.Errorf("check: %v", err)
		return
	}
	mu.Lock()
	defer mu.Unlock()
	name := filepath.Join(dir, filepath.Base(wd)+".jsonl")
	f, err := os.OpenFile(name, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		t.Errorf("check: %v", err)
		return
	}
	defer f.Close()
	if _, err := f.Write(append(line, '\n')); err != nil {
		t.Errorf("check: %v", err)
	}
}

// RefFile returns the path of a file in testdata/ref of the calling
// package's folder.
func RefFile(name string) string { return filepath.Join("testdata", "ref", name) }

// CSV reads a reference file: lines starting with '#' are comments, the
// first other line names the columns. It returns the rows as maps from
// column name to text.
func CSV(t testing.TB, name string) []map[string]string {
	t.Helper()
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var head []string
	var out []map[string]string
	for _, line := range strings.Split(string(raw), "\n") {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, ",")
		if head == nil {
			head = cells
			continue
		}
		if len(cells) != len(head) {
			t.Fatalf("%s: %d cells, want %d: %s", name, len(cells), len(head), line)
		}
		row := map[string]string{}
		for i, c := range cells {
			row[strings.TrimSpace(head[i])] = strings.TrimSpace(c)
		}
		out = append(out, row)
	}
	if len(out) == 0 {
		t.Fatalf("%s: no rows", name)
	}
	return out
}

// Number reads a float from a CSV row, failing the test when it is not one.
func Number(t testing.TB, row map[string]string, col string) float64 {
	t.Helper()
	var v float64
	if _, err := fmt.Sscanf(row[col], "%g", &v); err != nil {
		t.Fatalf("column %q: %q: %v", col, row[col], err)
	}
	return v
}
