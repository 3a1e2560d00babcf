package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"runtime/pprof"
	"slices"
	"strings"
	"time"

	"github.com/google/pprof/profile"

	"fledge/internal/app"
)

// split says how much of a check's work each room does, cold and warm, from
// the processor's profile of that run: a sample counts for the innermost room
// on its stack, what no room called for the runtime. They have no aim: they
// show where the time is.
func split(build string) ([]row, error) {
	leave, err := freshCache()
	if err != nil {
		return nil, err
	}
	defer leave()
	var rows []row
	for _, state := range []string{"cold", "warm"} {
		shares, all, err := profiled(func() error {
			_, _, err := app.Check(context.Background(), app.Request{Path: build, Seed: 1, Cached: true})
			return err
		})
		if err != nil {
			return nil, err
		}
		for _, s := range shares {
			if s.time*50 < all {
				break
			}
			rows = append(rows, row{what: fmt.Sprintf("check, %s, with remedies, share of %s", state, s.room), got: float64(s.time) / float64(all), aim: math.NaN(),
				note: fmt.Sprintf("  (%s of %s of processor)", human(s.time.Seconds()), human(all.Seconds()))})
		}
	}
	return rows, nil
}

// share is the processor's time spent in one room.
type share struct {
	room string
	time time.Duration
}

// profiled runs work under the processor's profile and sorts its samples by
// room, largest first.
func profiled(work func() error) (shares []share, all time.Duration, err error) {
	var raw bytes.Buffer
	if err := pprof.StartCPUProfile(&raw); err != nil {
		return nil, 0, err
	}
	err = work()
	pprof.StopCPUProfile()
	if err != nil {
		return nil, 0, err
	}
	p, err := profile.ParseData(raw.Bytes())
	if err != nil {
		return nil, 0, err
	}
	by := map[string]time.Duration{}
	for _, s := range p.Sample {
		d := time.Duration(s.Value[len(s.Value)-1])
		by[innermost(s)] += d
		all += d
	}
	for room, d := range by {
		shares = append(shares, share{room, d})
	}
	slices.SortFunc(shares, func(a, b share) int {
		if a.time != b.time {
			return int(b.time - a.time)
		}
		return strings.Compare(a.room, b.room)
	})
	return shares, all, nil
}

// innermost is the room nearest to where a sample was taken.
func innermost(s *profile.Sample) string {
	for _, l := range s.Location {
		for _, line := range l.Line {
			if in, ok := strings.CutPrefix(line.Function.Name, "fledge/internal/"); ok {
				room, _, _ := strings.Cut(in, ".")
				return room
			}
		}
	}
	return "the runtime"
}
