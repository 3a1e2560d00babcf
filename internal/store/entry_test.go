package store

import (
	"bytes"
	"encoding/csv"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func look(c *Column, word string) (int64, string, bool) {
	if word == "blue" || word == "1" {
		return 1, "", true
	}
	return 0, `did you mean "blue"?`, false
}

func TestParseEntry(t *testing.T) {
	r, ds := ParseEntry("flight", []string{"day=2026-05-03", "stretch=9 m", "wind=3 m/s", "outcome=airborne", "launched=yes", "top_speed=150 km/h ± 4 km/h", "pack=blue", "note=wet = slow", "forecast_odds=92 %"}, look)
	fl := r.(*Flight)
	if len(ds) > 0 || *fl.Stretch != 9 || !*fl.Launched || math.Abs(*fl.TopSpeed-150/3.6) > 1e-12 || math.Abs(*fl.TopSpeedSD-2/3.6) > 1e-12 || fl.Pack != 1 || fl.Note != "wet = slow" || *fl.Odds != 0.92 {
		t.Errorf("%+v %v", fl, ds)
	}
	r, ds = ParseEntry("reading", []string{"quantity=cell voltage", "value=3.71 V ± 0.02 V"}, look)
	if x := r.(*Reading); len(ds) > 0 || x.Dim != "voltage" || *x.SD != 0.01 || x.Text != "3.71 V ± 0.02 V" {
		t.Errorf("%+v %v", x, ds)
	}
	r, ds = ParseEntry("cost", []string{"day=2026-05-03", "what=epoxy", "money=12.50 EUR", "time=3 h"}, look)
	if x := r.(*Cost); len(ds) > 0 || x.Cents != 1250 || x.Currency != "EUR" || *x.Time != 10800 {
		t.Errorf("%+v %v", x, ds)
	}
	for _, c := range []struct {
		kind, arg, code, hint string
		line, col             int
	}{
		{"flight", "strech=9 m", "unknown-key", `did you mean "stretch"?`, 2, 1},
		{"flight", "stretch=9", "no-unit", "", 2, 9},
		{"flight", "stretch=-1 m", "out-of-range", "", 2, 9},
		{"flight", "stretch 9 m", "no-value", "", 2, 1},
		{"flight", "launched=perhaps", "bad-word", "write yes or no", 2, 10},
		{"flight", "launch_by=bungy", "bad-word", `did you mean "bungee"?`, 2, 11},
		{"flight", "pack=blu", "no-such", `did you mean "blue"?`, 2, 6},
		{"flight", "clock=25:00", "bad-time", "write it as 14:30", 2, 7},
		{"flight", "day=2026-05-03", "twice", "", 2, 1},
		{"flight", "note=a\x1b[31m", "bad-text", "leave it out", 2, 7},
		{"flight", "note=\u202eabc", "bad-text", "leave it out", 2, 6},
		{"flight", "forecast_odds=120 %", "out-of-range", "", 2, 15},
		{"flight", "id=7", "unknown-key", "", 2, 1},
		{"cost", "money=many", "no-number", `write it as "12.50 EUR"`, 2, 7},
	} {
		args := []string{"day=2026-05-03", c.arg}
		if c.kind == "cost" {
			args = append(args, "what=x")
		}
		_, ds := ParseEntry(c.kind, args, look)
		if len(ds) != 1 || ds[0].Code != c.code || ds[0].Span.Line != c.line || ds[0].Span.Col != c.col || c.hint != "" && ds[0].Hint != c.hint {
			t.Errorf("%s: %+v", c.arg, ds)
		}
	}
	for day, ok := range map[string]bool{"2026-02-29": false, "2028-02-29": true, "3.5.2026": false, "2026-5-3": false} {
		if _, ds := ParseEntry("flight", []string{"day=" + day}, look); ds.HasErrors() == ok {
			t.Errorf("%s: %v", day, ds)
		}
	}
	if _, ds := ParseEntry("pack", nil, look); len(ds) != 1 || ds[0].Code != "missing" {
		t.Errorf("%v", ds)
	}
}

func TestAmend(t *testing.T) {
	fl := &Flight{Day: "2026-05-03", Stretch: f(9), TopSpeed: f(40), TopSpeedSD: f(1), Note: "x", Pack: 1}
	ds := Amend(fl, []string{"outcome=airborne", "launched=yes", "top_speed=41 m/s", "note=", "pack="}, look)
	if len(ds) > 0 || fl.Outcome != "airborne" || !*fl.Launched || *fl.TopSpeed != 41 || fl.TopSpeedSD != nil || fl.Note != "" || fl.Pack != 0 || *fl.Stretch != 9 || fl.Day != "2026-05-03" {
		t.Errorf("%+v %v", fl, ds)
	}
	for arg, code := range map[string]string{"day=": "missing", "stretch=9": "no-unit", "strech=9 m": "unknown-key"} {
		if ds := Amend(fl, []string{arg}, look); len(ds) != 1 || ds[0].Code != code {
			t.Errorf("%s: %v", arg, ds)
		}
	}
}

// Export to CSV, import again: the same entries; and no cell that a table
// program would run.
func TestCSVRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("=+-@'<>abc,;\"\nx1 é＝"))).Filter(func(s string) bool { return s == strings.TrimSpace(s) })
		num := func() *float64 {
			if rapid.Bool().Draw(t, "noted") {
				v := rapid.Float64Range(0, 1e3).Draw(t, "v")
				return &v
			}
			return nil
		}
		var rows []Row
		for i := range rapid.IntRange(1, 5).Draw(t, "n") {
			fl := &Flight{Meta: Meta{ID: int64(i + 1), Sum: "s", UID: strings.Repeat("0", i+1), Entered: "e"}, Day: "2026-05-03", Place: text.Draw(t, "place"), Note: text.Draw(t, "note"), Stretch: num(), TopSpeed: num(), TopSpeedSD: num(), NoseUp: num(), Pack: 1}
			if rapid.Bool().Draw(t, "said") {
				b := rapid.Bool().Draw(t, "launched")
				fl.Launched = &b
			}
			rows = append(rows, fl)
		}
		var b bytes.Buffer
		if err := WriteCSV(&b, "flight", rows); err != nil {
			t.Fatal(err)
		}
		cells, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range cells {
			for _, c := range line {
				if c != "" && strings.ContainsRune("=+-@<\t＝", []rune(c)[0]) {
					t.Fatalf("a cell %q", c)
				}
			}
		}
		got, uids, ds := ParseCSV("f.csv", "flight", b.Bytes(), look)
		if len(ds) > 0 || len(got) != len(rows) {
			t.Fatalf("%v\n%s", ds, b.String())
		}
		for i, r := range got {
			want := *rows[i].(*Flight)
			if uids[i] != want.UID {
				t.Fatalf("%q", uids[i])
			}
			want.Meta = Meta{}
			if !reflect.DeepEqual(*r.(*Flight), want) {
				t.Fatalf("%+v, want %+v", r, want)
			}
		}
	})
}

func TestParseCSV(t *testing.T) {
	rows, uids, ds := ParseCSV("f.csv", "flight", []byte("day;stretch;wind_m_s;launched;note\n2026-05-03;9 m;3.5;yes;a\n2026-05-03;9 m;3.5;yes;a\n"), look)
	if len(ds) > 0 || len(rows) != 2 || *rows[0].(*Flight).Wind != 3.5 || uids[0] == uids[1] || uids[0] == "" {
		t.Fatalf("%v %v %v", rows, uids, ds)
	}
	_, again, _ := ParseCSV("f.csv", "flight", []byte("day;stretch;wind_m_s;launched;note\n2026-05-03;9 m;3.5;yes;a\n"), look)
	if again[0] != uids[0] {
		t.Error("the same line has another uid")
	}
	for _, c := range []struct {
		text, code string
		line, col  int
	}{
		{"", "empty", 1, 1},
		{"day,strech\n", "unknown-key", 1, 5},
		{"day,stretch\n2026-05-03,9\n", "no-unit", 2, 12},
		{"day,stretch_m\n2026-05-03,9\n2026-05-04,nine\n", "no-number", 3, 12},
		{"day,note\n2026-05-03\n", "bad-table", 2, 1},
		{"day,note\n2026-05-03,\"a\n", "bad-table", 2, 15},
		{"note\nx\n", "missing", 2, 1},
		{"day\n\xff\n", "bad-text", 0, 0},
	} {
		_, _, ds := ParseCSV("f.csv", "flight", []byte(c.text), look)
		if len(ds) != 1 || ds[0].Code != c.code || ds[0].Span.Line != c.line || ds[0].Span.Col != c.col {
			t.Errorf("%q: %+v", c.text, ds)
		}
	}
	for text, want := range map[string]string{
		"day,stretch,launched\n": "flight", "pack,day,cell_resistance\n": "cycle", "name,cells,capacity\n": "pack", "what,day,money\n": "cost", "x,y\n": "",
	} {
		if got := KindOfCSV([]byte(text)); got != want && !(want == "cost" && got == "cost") {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func FuzzParseCSV(f *testing.F) {
	f.Add("flight", []byte("day,stretch,note\n2026-05-03,9 m,'=x\n"))
	f.Add("cycle", []byte("pack;day;cell_resistance\nblue;2026-05-03;4 mohm\n"))
	f.Fuzz(func(t *testing.T, kind string, text []byte) {
		ok := false
		for _, k := range Kinds() {
			ok = ok || k == kind
		}
		if !ok {
			return
		}
		rows, uids, ds := ParseCSV("f", kind, text, look)
		if len(rows) != len(uids) {
			t.Fatal("rows and uids")
		}
		for _, d := range ds {
			if d.Message == "" || d.Code == "" {
				t.Fatalf("%+v", d)
			}
		}
	})
}
