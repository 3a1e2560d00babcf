// Command bench prints, from one run, the figures that Fledge promises about
// its own speed beside their aims: bench [-only WORD] [BUILD]. Ratios are of two
// things measured side by side; plain times depend on the machine and on who else
// uses it, so a missed aim is marked and never fails. Run it in the module.
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"strings"
	"time"

	"fledge/internal/app"
	"fledge/internal/assess"
)

// wide is the width of the column of words.
const wide = 68

// row is one promise. With atLeast the aim is a floor, else a ceiling; an aim
// that is no number is none, a figure that is none was not measured.
type row struct {
	what       string
	got, aim   float64
	unit, note string
	atLeast    bool
}

// part is a group of rows that are measured together.
type part struct {
	name string
	rows func(build string) ([]row, error)
}

// parts are what is measured, in the order of the table.
var parts = []part{
	{"lattice", lattice}, {"rooms", rooms}, {"launches", launches}, {"evenness", evenness}, {"aloft", aloft}, {"logs", logs},
	{"growth", growth}, {"checks", checks}, {"split", split}, {"guided", guided}, {"workshop", workshop},
}

func main() {
	log.SetFlags(0)
	only := flag.String("only", "", "measure the part of this `name` alone")
	flag.Parse()
	build := "examples/tern.yaml"
	if flag.NArg() == 1 {
		build = flag.Arg(0)
	}
	fmt.Printf("%-*s %9s %11s\n", wide, "", "measured", "aim")
	for _, p := range parts {
		if *only != "" && p.name != *only {
			continue
		}
		rows, err := p.rows(build)
		if err != nil {
			log.Fatal("bench: ", err)
		}
		for _, r := range rows {
			if math.IsNaN(r.got) {
				fmt.Printf("%-*s %s\n", wide, r.what, r.note)
				continue
			}
			if math.IsNaN(r.aim) {
				fmt.Printf("%-*s %9s             %s\n", wide, r.what, number(r.got), r.note)
				continue
			}
			sign, met := "<=", r.got <= r.aim
			if r.atLeast {
				sign, met = ">=", r.got >= r.aim
			}
			mark := ""
			if !met {
				mark = "  missed"
			}
			fmt.Printf("%-*s %9s %2s %8s %s%s%s\n", wide, r.what, number(r.got), sign, number(r.aim), r.unit, mark, r.note)
		}
	}
}

func number(v float64) string {
	if v >= 100 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

// figures is one benchmark's numbers by unit.
type figures map[string]float64

// rooms takes the figures of the rooms from their own benchmarks.
func rooms(string) ([]row, error) {
	all := map[string]figures{}
	for _, b := range [][2]string{
		{"aero", "^BenchmarkEval$/./^alpha3$"}, {"power", "^BenchmarkLookup$"},
		{"launch", "^(BenchmarkAgainstModels|BenchmarkLaunch)$"}, {"section", "^(BenchmarkPoint|BenchmarkAgainstLU)$"}, {"evidence", "^(BenchmarkHour|BenchmarkLongLog)$"}, {"learn", "^BenchmarkLearn$"},
	} {
		cmd := exec.Command("go", "test", "-run", "^$", "-bench", b[1], "-benchtime", "0.3s", "./internal/"+b[0])
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		if err != nil {
			return nil, fmt.Errorf("%s: %w\n%s", strings.Join(cmd.Args, " "), err, out)
		}
		for name, f := range parse(string(out)) {
			all[b[0]+" "+name] = f
		}
	}
	var missing error
	get := func(name, unit string) float64 {
		v, ok := all[name][unit]
		if !ok {
			missing = fmt.Errorf("no figure %q of benchmark %q", unit, name)
		}
		return v
	}
	rows := []row{
		{what: "aero model, V-tail, one evaluation", got: get("aero Eval/v-tail/alpha3", "ns-quiet"), aim: 300, unit: "ns"},
		{what: "aero model, tailless, one evaluation", got: get("aero Eval/tailless/alpha3", "ns-quiet"), aim: 300, unit: "ns"},
		{what: "aero model, conventional, one evaluation", got: get("aero Eval/conventional/alpha3", "ns-quiet"), aim: 300, unit: "ns"},
		{what: "power lookup, neutral factors", got: get("power Lookup/neutral", "ns/op"), aim: 60, unit: "ns"},
		{what: "power lookup, drawn factors", got: get("power Lookup/factors", "ns/op"), aim: 60, unit: "ns"},
		{what: "one launch over its evaluations of the models", got: get("launch AgainstModels", "launch/models"), aim: 2},
		{what: "one section point", got: get("section Point", "ns/op") / 1e6, aim: 15, unit: "ms"},
		{what: "one step of a section over LU of its own order", got: get("section AgainstLU", "times-LU"), aim: 2},
		{what: "learning from 40 readings, 19 factors", got: get("learn Learn", "ns/op") / 1e9, aim: 5, unit: "s"},
		{what: "launches alone, simple models, turbulence, one core", got: get("launch Launch/turbulent", "launches/s"), aim: 1500, unit: "/s", atLeast: true},
		{what: "debrief of an hour at 25 Hz, table", got: get("evidence Hour/csv", "ns/op") / 1e9, aim: 2, unit: "s"},
		{what: "debrief of an hour at 25 Hz, NMEA", got: get("evidence Hour/nmea", "ns/op") / 1e9, aim: 2, unit: "s"},
		{what: "memory of a log of four hours over that of one", got: get("evidence LongLog", "memory/quarter"), aim: 1.3},
	}
	return rows, missing
}

// parse reads the lines "BenchmarkName-2  N  1.2 ns/op  3 other ...".
func parse(out string) map[string]figures {
	all := map[string]figures{}
	for line := range strings.Lines(out) {
		f := strings.Fields(line)
		if len(f) < 4 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		name := strings.TrimPrefix(f[0], "Benchmark")
		if i := strings.LastIndex(name, "-"); i > 0 {
			if _, err := strconv.Atoi(name[i+1:]); err == nil { // the number of cores
				name = name[:i]
			}
		}
		one := figures{}
		for i := 2; i+1 < len(f); i += 2 {
			if v, err := strconv.ParseFloat(f[i], 64); err == nil {
				one[f[i+1]] = v
			}
		}
		all[name] = one
	}
	return all
}

// launches counts drawn launches a second on one core and on two, in turns;
// the best of each, the machine being shared: in smooth air and in the
// turbulence of the build's day.
func launches(build string) ([]row, error) {
	note := ""
	if runtime.GOMAXPROCS(0) < 2 {
		note = "  (this machine gives one core)"
	}
	var rows []row
	for _, air := range []struct {
		what string
		sets []string
		aim  float64
	}{
		{"drawn launches, smooth air, two cores", []string{"day.wind=2.5 m/s", "day.gust=2.5 m/s"}, 5000},
		{"drawn launches, turbulence, two cores", nil, 1500},
	} {
		o, err := app.Open(app.Request{Path: build, Sets: air.sets})
		if err != nil {
			return nil, err
		}
		for i := range o.Aircraft.Inputs { // a gust that is doubtful is a gust
			if in := &o.Aircraft.Inputs[i]; air.sets != nil && (in.Path == "day.gust" || in.Path == "day.wind") {
				in.Sigma = 0
			}
		}
		c, err := assess.NewChain(o.Aircraft)
		if err != nil {
			return nil, err
		}
		const n = 4096
		var rate [2]float64
		for range 4 {
			for k := range rate {
				start := time.Now()
				if _, err := c.Run(context.Background(), assess.Options{Seed: 1, OnlyLaunch: true, Launches: n, Count: true, Workers: k + 1}); err != nil {
					return nil, err
				}
				rate[k] = max(rate[k], n/time.Since(start).Seconds())
			}
		}
		rows = append(rows,
			row{what: air.what, got: rate[1], aim: air.aim, unit: "/s", note: note, atLeast: true},
			row{what: "the same over one core", got: rate[1] / rate[0], aim: 1.8, note: note, atLeast: true})
	}
	return rows, nil
}

// evenness compares the error of the odds of drawn launches with that of plain
// draws of equal number, which is the binomial one. An RMS of 16 runs is itself
// known to 18 %.
func evenness(string) ([]row, error) {
	var rows []row
	for _, name := range []string{"tern", "tern-corrected", "swift"} {
		o, err := app.Open(app.Request{Path: "examples/" + name + ".yaml"})
		if err != nil {
			return nil, err
		}
		c, err := assess.NewChain(o.Aircraft)
		if err != nil {
			return nil, err
		}
		for _, n := range []int{256, 1024, 4096} {
			const runs = 16
			var p [runs]float64
			mean, said := 0.0, 0.0
			for s := range p {
				r, err := c.Run(context.Background(), assess.Options{Seed: uint64(s + 1), OnlyLaunch: true, Launches: n, Count: true, Workers: runtime.GOMAXPROCS(0)})
				if err != nil {
					return nil, err
				}
				p[s] = r.Launch.Odds.Value
				mean += p[s] / runs
				said += r.Launch.Outcome.SE * r.Launch.Outcome.SE / runs
			}
			v := 0.0
			for _, x := range p {
				v += (x - mean) * (x - mean) / (runs - 1)
			}
			plain := math.Sqrt(mean * (1 - mean) / float64(n))
			rows = append(rows, row{what: fmt.Sprintf("odds of %s (%.2f), %d launches: error over plain draws'", name, mean, n), got: math.Sqrt(v) / plain, aim: 0.5, note: fmt.Sprintf("  (said: %.2f)", math.Sqrt(said)/plain)})
		}
	}
	return rows, nil
}

// checks times the main job. Cold and warm use a cache folder of their own.
func checks(build string) ([]row, error) {
	dir, err := os.MkdirTemp("", "fledge-bench")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if err := os.Setenv("XDG_CACHE_HOME", dir); err != nil {
		return nil, err
	}
	var rows []row
	for _, r := range []struct {
		what string
		aim  float64
		q    app.Request
	}{
		{"check, cold, without remedies", 3, app.Request{Fast: true}},
		{"check, cold, with remedies", 10, app.Request{Cached: true}},
		{"check, warm, with remedies", 2, app.Request{Cached: true}},
	} {
		r.q.Path, r.q.Seed = build, 1
		start := time.Now()
		if _, _, err := app.Check(context.Background(), r.q); err != nil {
			return nil, err
		}
		rows = append(rows, row{what: r.what, got: time.Since(start).Seconds(), aim: r.aim, unit: "s"})
	}
	return rows, nil
}
