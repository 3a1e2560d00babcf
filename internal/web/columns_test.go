package web

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fledge/internal/app"
	"fledge/internal/track"
)

// recorded is a made-up table: 30 m/s to the east, in columns a guess would
// take for something else.
func recorded() string {
	var b strings.Builder
	b.WriteString("tick;quick;where north;where east\n")
	for i := range 120 {
		fmt.Fprintf(&b, "%d;%.1f;%.2f;%.2f\n", 200*i, 108.0, 0.0, 6.0*float64(i))
	}
	return b.String()
}

// send drops a file on the page.
func (b *bench) send(name, text string) string {
	b.Helper()
	resp, got := b.ask("POST", "/api/uploads?name="+name, text, "Content-Type: application/octet-stream")
	if resp.StatusCode != 201 {
		b.Fatalf("%d %s", resp.StatusCode, got)
	}
	var u Upload
	if err := json.Unmarshal(got, &u); err != nil {
		b.Fatal(err)
	}
	return u.ID
}

// A table's columns are shown with their first values; a map said by hand is
// kept in the hangar, and the next log of the recorder is read by it.
func TestColumns(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	send := b.send
	id := send("flight.csv", recorded())
	v := get[app.ColumnsView](b, 200, "POST", "/api/columns", toJSON(ColumnsRequest{id}))
	if !v.Table || v.Kept != "" || len(v.All) != 4 || v.All[1].Name != "quick" || !slices.Equal(v.All[1].Samples[:2], []string{"108.0", "108.0"}) {
		t.Fatalf("%+v", v)
	}
	if len(v.Channels) != len(track.Channels()) || len(v.TimeForms) != 4 {
		t.Errorf("%d channels, %v", len(v.Channels), v.TimeForms)
	}
	m := track.ColumnMap{Delimiter: ";", HeaderLines: 1, TimeForm: "seconds", Columns: []track.Column{
		{Index: 0, Name: "tick", Channel: track.ChTime, Unit: "ms", Factor: 1e-3}, {Index: 1, Name: "quick", Channel: track.ChSpeed, Unit: "km/h", Factor: 1 / 3.6},
		{Index: 2, Name: "where north", Channel: track.ChNorth, Unit: "m", Factor: 1}, {Index: 3, Name: "where east", Channel: track.ChEast, Unit: "m", Factor: 1}}}
	kept := get[FileReply](b, 201, "POST", "/api/columns/keep", toJSON(KeepColumnsRequest{"recorder", toJSON(m)}))
	if kept.File != "recorder.columns.json" {
		t.Errorf("kept as %s", kept.File)
	}
	if _, err := os.Stat(filepath.Join(b.dir, kept.File)); err != nil {
		t.Error(err)
	}
	if v = get[app.ColumnsView](b, 200, "POST", "/api/columns", toJSON(ColumnsRequest{id})); v.Kept != kept.File || len(v.Map.Columns) != 4 {
		t.Errorf("read by %q", v.Kept)
	}
	speed := func(uploads ...string) float64 {
		j := b.job(JobRequest{Verb: "debrief", Uploads: uploads})
		if j.State != "done" {
			t.Fatalf("%s: %+v", j.State, j.Refusal)
		}
		body, _ := j.Answer.Body.(map[string]any)
		peak, _ := body["peak_ground_speed"].(map[string]any)
		x, _ := peak["value"].(float64)
		return x
	}
	if got := speed(id); math.Abs(got-30) > 1 {
		t.Errorf("by the kept map %g m/s, flown at 30", got)
	}
	m.Columns[0].Factor = 2e-3 // half as quick by place, and the map that is dropped goes before the kept one
	m.Columns[1].Factor = 1 / 7.2
	if got := speed(id, send("mine.json", toJSON(m))); math.Abs(got-15) > 1 {
		t.Errorf("by the map dropped %g m/s, 15 by it", got)
	}
	// A map named by one table's upload is of that table alone.
	second := send("second.csv", recorded()+"24000;108.0;0.00;720.00\n")
	j := b.job(JobRequest{Verb: "debrief", Uploads: []string{id, second, send(second+app.ColumnsEnd, toJSON(m))}})
	var peaks []float64
	if body, _ := j.Answer.Body.(map[string]any); body != nil {
		list, _ := body["logs"].([]any)
		for _, l := range list {
			one, _ := l.(map[string]any)
			peak, _ := one["peak_ground_speed"].(map[string]any)
			x, _ := peak["value"].(float64)
			peaks = append(peaks, x)
		}
	}
	if len(peaks) != 2 || math.Abs(peaks[0]-30) > 1 || math.Abs(peaks[1]-15) > 1 {
		t.Errorf("two tables, one by a map of its own: %.1f m/s, flown at 30 and 15", peaks)
	}
	if v := get[app.ColumnsView](b, 200, "POST", "/api/columns", toJSON(ColumnsRequest{send("other.csv", "time,volts\n0,12\n1,12\n")})); v.Kept != "" {
		t.Errorf("another recorder's table is read by %s", v.Kept)
	}
	for _, q := range []KeepColumnsRequest{{"../out", toJSON(m)}, {"", toJSON(m)}, {"x", "{"}, {"x", `{"delimiter":";","columns":[{"index":-1,"factor":1}]}`}, {".x", toJSON(m)}} {
		if resp, _ := b.ask("POST", "/api/columns/keep", toJSON(q), "Content-Type: application/json"); resp.StatusCode < 400 || resp.StatusCode >= 500 {
			t.Errorf("kept %+v: %d", q, resp.StatusCode)
		}
	}
}

// What has no logbook says so at once, even while two computations run.
func TestScoreOfNothing(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	for range 2 { // both places taken
		b.s.jobs.turn <- struct{}{}
	}
	j := b.job(JobRequest{Verb: "score"})
	if j.State != "done" || !strings.Contains(j.Answer.Plain, "forecast yet") {
		t.Errorf("%s %+v", j.State, j.Refusal)
	}
	for range 2 {
		<-b.s.jobs.turn
	}
}

// A look may count with another day: the wind of a report is the fan's wind.
func TestConditions(t *testing.T) {
	b := open(t, Config{}, "wren.yaml")
	text, err := os.ReadFile(filepath.Join(b.dir, "wren.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	i := strings.Index(string(text), "\nday:") // a report fills what the build's own day leaves open
	j := i + 1 + strings.IndexByte(string(text[i+1:]), '\n')
	if err := os.WriteFile(filepath.Join(b.dir, "wren.yaml"), []byte(string(text[:i])+string(text[j:])), 0o600); err != nil {
		t.Fatal(err)
	}
	wind := func(c Conditions) float64 {
		for _, s := range get[app.Fan](b, 200, "POST", "/api/builds/wren.yaml/fan", toJSON(FanRequest{Sets: []string{}, Conditions: c})).Settings {
			if s.Path == "day.wind" {
				return float64(s.Value)
			}
		}
		return math.NaN()
	}
	if as, by := wind(Conditions{}), wind(Conditions{METAR: "EDDX 281150Z 27012KT 9999 FEW030 08/03 Q1021"}); math.Abs(by-12*0.514444) > 0.01 || as == by {
		t.Errorf("wind %g by the build, %g by a report of 12 kn", as, by)
	}
	if resp, _ := b.ask("POST", "/api/builds/wren.yaml/fan", `{"sets":[],"from":0,"n":0,"day":"../x.yaml"}`, "Content-Type: application/json"); resp.StatusCode != 403 {
		t.Errorf("a day from outside: %d", resp.StatusCode)
	}
}
