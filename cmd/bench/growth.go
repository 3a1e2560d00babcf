package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"runtime"

	"fledge/internal/app"
	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/track"
)

// growth fits how the time of the main parts grows with what they are given;
// an exponent of one is in proportion. The processor's time is what counts: on
// a shared machine short work is seldom interrupted and long work always.
func growth(name string) ([]row, error) {
	o, err := app.Open(app.Request{Path: name})
	if err != nil {
		return nil, err
	}
	c, err := assess.NewChain(o.Aircraft)
	if err != nil {
		return nil, err
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	run := func(opt assess.Options) error {
		opt.Seed, opt.Workers = 1, runtime.GOMAXPROCS(0)
		_, err := c.Run(context.Background(), opt)
		return err
	}
	var rows []row
	for _, g := range []struct {
		what  string
		sizes []float64
		aim   float64
		work  func(n int) func() error
	}{
		{"launches drawn, 1024 to 8192", []float64{1024, 2048, 4096, 8192}, 1.1, func(n int) func() error {
			return func() error { return run(assess.Options{OnlyLaunch: true, Launches: n, Count: true}) }
		}},
		{"flights drawn, 128 to 1024", []float64{128, 256, 512, 1024}, 1.1, func(n int) func() error {
			return func() error { return run(assess.Options{NoLaunch: true, Draws: n}) }
		}},
		{"reading a log, 15 to 120 minutes at 25 Hz", []float64{15, 30, 60, 120}, 1.1, func(n int) func() error {
			log := table(n * 60 * 25)
			return func() error {
				l, err := track.Read(bytes.NewReader(log), track.Options{Name: "bench.csv"})
				if err == nil && l.Records < n*100 {
					err = fmt.Errorf("only %d records were read", l.Records)
				}
				return err
			}
		}},
		{"build file to aircraft with parts, 50 to 400", []float64{50, 100, 200, 400}, 1.3, func(n int) func() error {
			many := withParts(text, n)
			return func() error {
				b, ds := build.Parse("bench.yaml", many)
				if ds.HasErrors() {
					return fmt.Errorf("%v", ds)
				}
				ac, ds := craft.New(b, nil)
				if ds.HasErrors() {
					return fmt.Errorf("%v", ds)
				}
				if len(ac.Parts) < n {
					return fmt.Errorf("%d parts of %d", len(ac.Parts), n)
				}
				return nil
			}
		}},
	} {
		var took []float64
		for _, n := range g.sizes {
			s, err := least(3, spent, g.work(int(n)))
			if err != nil {
				return nil, fmt.Errorf("%s: %w", g.what, err)
			}
			took = append(took, s)
		}
		rows = append(rows, grows(g.what, g.sizes, took, g.aim))
	}
	return rows, nil
}

// withParts is a build file with n small parts more.
func withParts(text []byte, n int) []byte {
	var b bytes.Buffer
	for i := range n {
		fmt.Fprintf(&b, "  - {name: clip %d, kind: other, mass: 0.1 g ± 0.02 g, at: {x: %d mm}}\n", i, 50+i)
	}
	head, tail, _ := bytes.Cut(text, []byte("\nparts:\n"))
	return bytes.Join([][]byte{head, []byte("\nparts:\n"), b.Bytes(), tail}, nil)
}
