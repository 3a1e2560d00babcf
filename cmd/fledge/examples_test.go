package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

// TestExamples runs each line that a verb's help gives as an example, those of
// one verb in one folder, as a person would who has the files it names beside.
// So that all take little time they are run with few launches, and the
// workshop without a browser and on a port of its own; the two lines that take
// minutes all the same (an odds map, a choice of parts) only with FLEDGE_SOAK,
// for scripts run these in small.
func TestExamples(t *testing.T) {
	cache := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", cache)
	t.Setenv("HOME", cache)
	t.Setenv("NO_COLOR", "1")
	root := rootCommand(&console{out: io.Discard, talk: io.Discard})
	var logbook []string // what a logbook must hold before its verbs show anything
	for _, c := range []string{"logbook add", "logbook repair"} {
		k, _, err := root.Find(strings.Fields(c))
		if err != nil {
			t.Fatal(err)
		}
		logbook = append(logbook, lines(k.Example)...)
	}
	var walk func(*cobra.Command)
	walk = func(c *cobra.Command) {
		if c.Name() == "completion" || c.Name() == "help" || c.Hidden { // these explain themselves
			return
		}
		t.Run(strings.ReplaceAll(c.CommandPath(), " ", "-"), func(t *testing.T) {
			if strings.TrimSpace(c.Example) == "" {
				t.Fatalf("fledge help %s gives no example", c.Name())
			}
			folder(t)
			if c.HasParent() && c.Parent().Name() == "logbook" && c.Name() != "add" && c.Name() != "repair" {
				for _, l := range logbook {
					runLine(t, root, l)
				}
				if c.Name() == "score" {
					runLine(t, root, "fledge logbook add flight build=tern.yaml outcome=airborne forecast_odds=0.8")
				}
				if c.Name() == "import" {
					runLine(t, root, "fledge logbook export --dump --to hangar.jsonl")
					runLine(t, root, "fledge logbook export flight --to flights.csv")
				}
			}
			for _, l := range lines(c.Example) {
				runLine(t, root, l)
			}
		})
		for _, k := range c.Commands() {
			walk(k)
		}
	}
	walk(root)
}

// lines takes an example apart.
func lines(example string) (out []string) {
	for l := range strings.Lines(example) {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}

// folder is a hangar with the files that the examples name.
func folder(t *testing.T) {
	t.Helper()
	dir, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	at := func(parts ...string) string { return filepath.Join(append([]string{dir}, parts...)...) }
	into := t.TempDir()
	put := func(name string, text []byte) {
		if err := os.WriteFile(filepath.Join(into, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for name, from := range map[string]string{
		"tern.yaml": at("examples", "tern.yaml"), "heron.yaml": at("examples", "heron.yaml"), "drawer.yaml": at("examples", "parts", "tern.yaml"),
		"calm-evening.yaml": at("examples", "days", "calm-evening.yaml"),
		"flight.gpx":        at("internal", "track", "testdata", "logs", "evidence-real-car.gpx"),
	} {
		text, err := os.ReadFile(from)
		if err != nil {
			t.Fatal(err)
		}
		put(name, text)
	}
	put("flight.csv", laps())
	put("today.csv", laps())
	put("blade.csv", []byte("r_over_R,c_over_R,beta_deg\n0.2,0.14,34\n0.5,0.17,19\n0.75,0.15,13\n1.0,0.06,9\n"))
	if err := os.Mkdir(filepath.Join(into, "models"), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Chdir(into)
}

// laps is a made-up log: five laps of two straights of 400 m and two turns of
// 60 m radius at 50 m/s and 40 m height, ten records a second.
func laps() []byte {
	const v, straight, r = 50.0, 400.0, 60.0
	var b bytes.Buffer
	b.WriteString("time_s,latitude_deg,longitude_deg,altitude_m\n")
	lap := 2*straight + 2*math.Pi*r
	for i := range int(5 * lap / v * 10) {
		s := math.Mod(v*float64(i)/10, lap)
		half := math.Mod(s, lap/2)
		x, y := half, -r
		if half > straight {
			x, y = straight+r*math.Sin((half-straight)/r), -r*math.Cos((half-straight)/r)
		}
		if s >= lap/2 {
			x, y = straight-x, -y
		}
		fmt.Fprintf(&b, "%.1f,%.7f,%.7f,%.1f\n", float64(i)/10, 52+y/111200, 13+x/(111200*math.Cos(52*math.Pi/180)), 140.0)
	}
	return b.Bytes()
}

// runLine runs one line; a verdict of HOLD or NO-GO is an answer like another.
func runLine(t *testing.T, root *cobra.Command, line string) {
	t.Helper()
	words, to := shellWords(t, line)
	if words[0] != "fledge" {
		t.Fatalf("%q is no line of fledge", line)
	}
	args := words[1:]
	slow := slices.Contains(args, "--map") || slices.Contains(args, "--parts")
	if slow && os.Getenv("FLEDGE_SOAK") == "" {
		return
	}
	verb, _, err := root.Find(args)
	if err != nil {
		t.Fatalf("%q: %v", line, err)
	}
	looks := "16"
	if verb.Name() == "compare" {
		looks = "2"
	}
	for _, f := range [][]string{{"quick"}, {"launches", "64"}, {"looks", looks}, {"no-odds"}, {"no-open"}, {"end-with-input"}, {"port", "0"}} {
		if verb.Flags().Lookup(f[0]) == nil || f[0] == "quick" && (slices.Contains(args, "--next") || slow) || f[0] == "looks" && verb.Name() == "compare" && !slices.Contains(args, "--parts") {
			continue
		}
		args = append(args, "--"+strings.Join(f, "="))
	}
	var out, talk bytes.Buffer
	code := run(args, strings.NewReader(""), &out, &talk)
	if code != exitOK && (verb.Name() != "check" || code != exitNot) {
		t.Fatalf("%q ends with %d:\n%s%s", line, code, out.String(), talk.String())
	}
	if out.Len() == 0 {
		t.Errorf("%q says nothing", line)
	}
	if strings.Contains(line, "--plot ") || strings.Contains(line, "--plot-map ") {
		if charts, _ := filepath.Glob("*.svg"); len(charts) == 0 {
			t.Errorf("%q draws nothing", line)
		}
	}
	if to == "sheet.yaml" { // filled in by hand, a little
		out = *bytes.NewBuffer(bytes.Replace(out.Bytes(), []byte("\nname:"), []byte("\nname: Plover"), 1))
	}
	if to != "" {
		if err := os.WriteFile(to, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// shellWords takes a line apart as a shell does: spaces, double quotes, and
// "> FILE" at its end.
func shellWords(t *testing.T, line string) (words []string, to string) {
	t.Helper()
	var b strings.Builder
	quoted, any := false, false
	end := func() {
		if any {
			words = append(words, b.String())
		}
		b.Reset()
		any = false
	}
	for _, r := range line {
		switch {
		case r == '"':
			quoted, any = !quoted, true
		case r == ' ' && !quoted:
			end()
		default:
			b.WriteRune(r)
			any = true
		}
	}
	end()
	if quoted {
		t.Fatalf("%q: a quote is left open", line)
	}
	if i := slices.Index(words, ">"); i >= 0 && i == len(words)-2 {
		words, to = words[:i], words[i+1]
	}
	return words, to
}
