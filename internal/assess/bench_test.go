package assess

import (
	"context"
	"testing"
)

func BenchmarkLaunches(b *testing.B) {
	c, err := NewChain(example(b, "tern.yaml"))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := c.Run(context.Background(), Options{Seed: 1, OnlyLaunch: true, Launches: 1024}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)*1024/b.Elapsed().Seconds(), "launches/s")
}

func BenchmarkScalars(b *testing.B) {
	c, err := NewChain(example(b, "tern.yaml"))
	if err != nil {
		b.Fatal(err)
	}
	d := c.Nominal()
	for b.Loop() {
		c.numbers(&d, Everything)
	}
}
