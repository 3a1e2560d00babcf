package build

import "testing"

func BenchmarkParse(b *testing.B) {
	text := puffin(b)
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		if _, l := Parse("", text); len(l) > 0 {
			b.Fatal(l)
		}
	}
}

func BenchmarkSet(b *testing.B) {
	text := puffin(b)
	for b.Loop() {
		if _, l := Set(text, "parts.battery.at.x", "160 mm"); len(l) > 0 {
			b.Fatal(l)
		}
	}
}
