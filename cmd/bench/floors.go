package main

import (
	"bytes"
	"fmt"
	"math"
	"runtime"
	"strconv"
	"strings"
	"time"

	"fledge/internal/track"
)

// best is the shortest of a few runs in seconds, the machine being shared.
func best(runs int, work func() error) (float64, error) {
	return least(runs, passed, work)
}

// passed is the time that has passed, s; spent the processor's that this
// process has used, where the system tells.
var (
	begun  = time.Now()
	passed = func() float64 { return time.Since(begun).Seconds() }
	spent  = passed
)

// least is the smallest advance of a clock over a few runs.
func least(runs int, clock func() float64, work func() error) (float64, error) {
	took := math.Inf(1)
	for range runs {
		runtime.GC()
		start := clock()
		if err := work(); err != nil {
			return 0, err
		}
		took = min(took, clock()-start)
	}
	return took, nil
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

// logs holds the reading of a log against plain reading of the same bytes.
func logs(string) ([]row, error) {
	const n = 90_000 // an hour at 25 a second
	whole := table(n)
	ours, err := best(4, func() error {
		l, err := track.Read(bytes.NewReader(whole), track.Options{Name: "bench.csv"})
		if err == nil && l.Records < n/8 {
			err = fmt.Errorf("only %d records were read", l.Records)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	floor, err := best(4, func() error { return plainly(whole) })
	if err != nil {
		return nil, err
	}
	return []row{
		{what: "reading a table of an hour at 25 Hz, over plain reading", got: ours / floor, aim: 6, note: fmt.Sprintf("  (%.0f MB/s)", float64(len(whole))/ours/1e6)},
	}, nil
}
