package app

import (
	"context"
	"testing"
)

func BenchmarkCheck(b *testing.B) {
	for b.Loop() {
		if _, _, err := Check(context.Background(), Request{Path: "../../examples/tern.yaml", Seed: 1}); err != nil {
			b.Fatal(err)
		}
	}
}
