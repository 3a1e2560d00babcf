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

// part is a group of rows that are measured together, with what is to be said
// of them on the page.
type part struct {
	name string
	rows func(build string) ([]row, error)
	say  string
}

// parts are what is measured, in the order of the table.
var parts = []part{
	{"lattice", lattice, "The lattice solves ten right-hand sides and sums all derivatives. It beats the factors of a full matrix of its order because a symmetric aeroplane falls apart into two of half the order. LAPACK is called through cgo behind the build tag `lapack`, where it is installed; nothing that ships uses it. Growth lies between the influences (the square of the panels) and the factors (the cube)."},
	{"rooms", rooms, "Each room's own benchmark. A flight looks its drive up at one throttle with one draw's factors: both are folded in once a draw, and the bar is on that lookup; who asks a few times a draw does without. A launch is held against its evaluations of the models alone (its whole arithmetic is the next part), a section's step against the factors of a matrix of its own order: what is above one is spent on forces of the gear, integration and the laws of the boundary layer."},
	{"arithmetic", arithmetic, "The floor of a launch is counted, not guessed: the floating-point additions, subtractions, multiplications and divisions written in the source of everything it calls, each as often as it was run, and the time of as many in a plain loop of multiply-adds. A model is a chain in parts (a force needs its flow, a step the one before) and wide in parts, so its floor lies between the two loops."},
	{"launches", launches, "Drawn launches of the whole build."},
	{"evenness", evenness, "Error of the odds over 16 seeds, over that of plain draws of equal number. Where failures are few there is little for evenness to even out."},
	{"aloft", aloft, ""},
	{"logs", logs, "Plain reading cuts lines at commas and makes numbers of the cells, nothing more; ours also finds out what each column is, in which unit, and what is torn."},
	{"growth", growth, "Exponents of a line through the logarithms of the processor's times: one is in proportion."},
	{"checks", checks, ""},
	{"split", split, "Share of the processor's samples by the innermost room on the stack: where the time of a check goes."},
	{"guided", guided, "A profile of the check itself, given to the compiler. None is kept in the repository, for with one every package is compiled once more; this row says what is forgone."},
	{"workshop", workshop, "Over the loopback address, bodies read to their end."},
}

func main() {
	log.SetFlags(0)
	only := flag.String("only", "", "measure the part of this `name` alone")
	page := flag.String("page", "", "write the table to this `file` as well")
	flag.Parse()
	build := "examples/tern.yaml"
	if flag.NArg() == 1 {
		build = flag.Arg(0)
	}
	var doc strings.Builder
	fmt.Fprintf(&doc, "# Speed\n\nWritten by `make bench` from one run; do not edit. %s, %s/%s, %d cores%s. Ratios are of two things measured side by side and hold anywhere; plain times are of this machine, on which others worked too when the load is above its cores. A missed aim is marked.\n", runtime.Version(), runtime.GOOS, runtime.GOARCH, runtime.NumCPU(), load())
	fmt.Printf("%-*s %9s %11s\n", wide, "", "measured", "aim")
	for _, p := range parts {
		if *only != "" && p.name != *only {
			continue
		}
		rows, err := p.rows(build)
		if err != nil {
			log.Fatal("bench: ", err)
		}
		fmt.Fprintf(&doc, "\n## %s%s\n\n", strings.ToUpper(p.name[:1]), p.name[1:])
		if p.say != "" {
			doc.WriteString(p.say + "\n\n")
		}
		doc.WriteString("| what | measured | aim | |\n|---|---:|---:|---|\n")
		for _, r := range rows {
			got, aim, note := r.words()
			fmt.Println(strings.TrimRight(fmt.Sprintf("%-*s %9s %11s %s", wide, r.what, got, aim, note), " "))
			fmt.Fprintf(&doc, "| %s | %s | %s | %s |\n", r.what, got, aim, note)
		}
	}
	if *page != "" {
		if err := os.WriteFile(*page, []byte(doc.String()), 0o644); err != nil {
			log.Fatal("bench: ", err)
		}
	}
}

// words are a row's figures as printed.
func (r row) words() (got, aim, note string) {
	note = strings.TrimSpace(r.note)
	if math.IsNaN(r.got) {
		return "-", "", note
	}
	got = number(r.got)
	if math.IsNaN(r.aim) {
		return got, "", note
	}
	sign, met := "<=", r.got <= r.aim
	if r.atLeast {
		sign, met = ">=", r.got >= r.aim
	}
	aim = strings.TrimSpace(sign + " " + number(r.aim) + " " + r.unit)
	if !met {
		note = strings.TrimSpace("missed " + note)
	}
	return got, aim, note
}

// load says how many processes wanted a core in the last minute, where the
// system tells.
func load() string {
	text, err := os.ReadFile("/proc/loadavg")
	one, _, ok := strings.Cut(string(text), " ")
	if err != nil || !ok {
		return ""
	}
	return ", load at the start " + one
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
		{"launch", "^(BenchmarkAgainstModels|BenchmarkLaunch)$"}, {"section", "^(BenchmarkPoint|BenchmarkAgainstLU|BenchmarkFullTable)$"}, {"evidence", "^(BenchmarkHour|BenchmarkLongLog)$"}, {"learn", "^BenchmarkLearn$"},
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
		{what: "power lookup, neutral factors", got: get("power Lookup/neutral", "ns-quiet"), aim: 60, unit: "ns"},
		{what: "power lookup in flight, a draw's factors and throttle", got: get("power Lookup/line", "ns-quiet"), aim: 60, unit: "ns"},
		{what: "  what it is made from once a draw, us", got: get("power Lookup/hold", "ns-quiet") / 1e3, aim: math.NaN()},
		{what: "  lookup without it, for few questions, ns", got: get("power Lookup/factors", "ns-quiet"), aim: math.NaN()},
		{what: "one launch over its evaluations of the models", got: get("launch AgainstModels", "launch/models"), aim: 2},
		{what: "one section point", got: get("section Point", "ns/op") / 1e6, aim: 15, unit: "ms"},
		{what: "full section table, 12 Re x 41 angles x 5 flaps, cold", got: get("section FullTable", "ns/op") / 1e9, aim: 20, unit: "s", note: fmt.Sprintf("(%.0f of 2460 points did not converge)", get("section FullTable", "failed"))},
		{what: "the same from its cache", got: get("section FullTable", "ms-cached"), aim: 10, unit: "ms"},
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
		const n = 2048 // short turns, many of them: the best of each is one that nobody disturbed
		var rate [2]float64
		for range 12 {
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
	for _, name := range []string{"tern", "tern-corrected", "swift", "wren", "heron"} {
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
			if few := math.Min(mean, 1-mean) * float64(n) * runs; few < 20 {
				rows = append(rows, row{what: fmt.Sprintf("odds of %s (%.4f), %d launches: error over plain draws'", name, mean, n), got: math.NaN(), aim: 0.5,
					note: fmt.Sprintf("  (%.0f failures in %d launches: none to tell it by)", few, n*runs)})
				continue
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

// freshCache gives what follows an empty cache folder of its own until leave.
func freshCache() (leave func(), err error) {
	dir, err := os.MkdirTemp("", "fledge-bench")
	if err != nil {
		return nil, err
	}
	return func() { os.RemoveAll(dir) }, os.Setenv("XDG_CACHE_HOME", dir)
}

// checks times the main job. Cold and warm use a cache folder of their own.
func checks(build string) ([]row, error) {
	leave, err := freshCache()
	if err != nil {
		return nil, err
	}
	defer leave()
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
