package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"runtime"
	"sort"
	"strconv"
	"strings"
	"time"

	"fledge/internal/app"
	"fledge/internal/assess"
	"fledge/internal/track"
)

// more are the parts that only some systems can measure.
var more []func(string) ([]row, error)

// best is the shortest of a few runs in seconds, the machine being shared.
func best(runs int, work func() error) (float64, error) {
	least := 1e9
	for range runs {
		runtime.GC()
		start := time.Now()
		if err := work(); err != nil {
			return 0, err
		}
		least = min(least, time.Since(start).Seconds())
	}
	return least, nil
}

// table is a log of n records as a comma-separated table.
func table(n int) []byte {
	var b bytes.Buffer
	b.WriteString("time_s,latitude_deg,longitude_deg,altitude_m,speed_m_s\n")
	for i := range n {
		fmt.Fprintf(&b, "%.2f,%.7f,%.7f,%.1f,%.2f\n", float64(i)/25, 52+float64(i%5000)*1e-6, 13+float64(i%3000)*2e-6, 140+float64(i%100)/10, 45+float64(i%40)/20)
	}
	return b.Bytes()
}

// plainly reads the same table with nothing but the standard library: each
// line cut at its commas, each cell a number.
func plainly(text []byte) error {
	sum := 0.0
	for line := range strings.Lines(string(text)) {
		for cell := range strings.SplitSeq(strings.TrimSuffix(line, "\n"), ",") {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				break // the head
			}
			sum += v
		}
	}
	if sum == 0 {
		return fmt.Errorf("nothing was read")
	}
	return nil
}

// logs holds the reading of a log against plain reading of the same bytes, and
// says how it grows with the log's length.
func logs(string) ([]row, error) {
	const n = 90_000 // an hour at 25 a second
	read := func(text []byte) func() error {
		return func() error {
			l, err := track.Read(bytes.NewReader(text), track.Options{Name: "bench.csv"})
			if err == nil && l.Records < n/8 {
				err = fmt.Errorf("only %d records were read", l.Records)
			}
			return err
		}
	}
	whole, quarter := table(n), table(n/4)
	ours, err := best(4, read(whole))
	if err != nil {
		return nil, err
	}
	small, err := best(4, read(quarter))
	if err != nil {
		return nil, err
	}
	floor, err := best(4, func() error { return plainly(whole) })
	if err != nil {
		return nil, err
	}
	return []row{
		{what: "reading a table of an hour at 25 Hz, over plain reading", got: ours / floor, aim: 6, note: fmt.Sprintf("  (%.0f MB/s)", float64(len(whole))/ours/1e6)},
		{what: "time of a log four times as long, over four", got: ours / small / 4, aim: 1.2},
	}, nil
}

// growth says how the odds grow with the number of launches.
func growth(build string) ([]row, error) {
	o, err := app.Open(app.Request{Path: build})
	if err != nil {
		return nil, err
	}
	c, err := assess.NewChain(o.Aircraft)
	if err != nil {
		return nil, err
	}
	var took [2]float64
	for i, n := range []int{1024, 4096} {
		if took[i], err = best(3, func() error {
			_, err := c.Run(context.Background(), assess.Options{Seed: 1, OnlyLaunch: true, Launches: n, Count: true, Workers: runtime.GOMAXPROCS(0)})
			return err
		}); err != nil {
			return nil, err
		}
	}
	return []row{{what: "time of four times the launches, over four", got: took[1] / took[0] / 4, aim: 1.1}}, nil
}

// stages says what part of a check each of its stages takes, from its own
// progress, cold and warm; the parts of one run add up to one. They have no
// aim: they show where the time is.
func stages(build string) ([]row, error) {
	dir, err := os.MkdirTemp("", "fledge-bench-stages")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if err := os.Setenv("XDG_CACHE_HOME", dir); err != nil {
		return nil, err
	}
	var rows []row
	for _, state := range []string{"cold", "warm"} {
		took := map[string]float64{}
		last, since := "reading and models", time.Now()
		tick := func(stage string, _, _ int) {
			if stage != last {
				now := time.Now()
				took[last] += now.Sub(since).Seconds()
				last, since = stage, now
			}
		}
		start := time.Now()
		if _, _, err := app.Check(context.Background(), app.Request{Path: build, Seed: 1, Cached: true, Progress: tick}); err != nil {
			return nil, err
		}
		took[last] += time.Since(since).Seconds()
		whole := time.Since(start).Seconds()
		names := make([]string, 0, len(took))
		for n := range took {
			names = append(names, n)
		}
		sort.Slice(names, func(i, j int) bool { return took[names[i]] > took[names[j]] })
		for i, n := range names {
			if i == 5 || took[n] < whole/100 {
				break
			}
			rows = append(rows, row{what: fmt.Sprintf("check, %s, with remedies, share of: %s", state, n), got: took[n] / whole, aim: 1, note: fmt.Sprintf("  (%.2f of %.2f s)", took[n], whole)})
		}
	}
	return rows, nil
}
