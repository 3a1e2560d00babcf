package num

import (
	"math/bits"

	"gonum.org/v1/gonum/mathext"
)

// Hash mixes integers into one 64-bit number in which each input bit changes
// about half of the output bits. It names random streams: sample i of a run
// uses Hash(seed, i, axis), whatever else is computed and in what order.
func Hash(parts ...uint64) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for _, p := range parts {
		h = mix(h ^ mix(p+0x9e3779b97f4a7c15))
	}
	return h
}

// mix is the finaliser of the SplitMix64 generator (Steele, Lea & Flood 2014).
func mix(z uint64) uint64 {
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// Stream is a seeded random generator (SplitMix64: 64-bit state, period
// 2^64). The zero value is a valid stream with seed zero. It is a value: a
// copy repeats the original. The bits are part of Fledge's own code, so they
// do not change with the Go version.
type Stream struct{ s uint64 }

// NewStream starts the stream of a seed; use [Hash] to make seeds.
func NewStream(seed uint64) Stream { return Stream{seed} }

// Uint64 is the next 64 random bits.
func (r *Stream) Uint64() uint64 {
	r.s += 0x9e3779b97f4a7c15
	return mix(r.s)
}

// Float64 is uniform in [0, 1), in steps of 2^-53.
func (r *Stream) Float64() float64 { return float64(r.Uint64()>>11) * 0x1p-53 }

// Open is uniform in (0, 1): never 0 nor 1, so any quantile of it is finite.
func (r *Stream) Open() float64 { return (float64(r.Uint64()>>12) + 0.5) * 0x1p-52 }

// Normal is a standard normal deviate, by the quantile of [Stream.Open]
// (one deviate per draw, so streams stay in step).
func (r *Stream) Normal() float64 { return NormalQuantile(r.Open()) }

// IntN is uniform in 0..n-1; n must be positive.
func (r *Stream) IntN(n int) int {
	if n <= 0 {
		panic("num: IntN of a non-positive number")
	}
	// Lemire's multiplication with rejection of the biased part.
	hi, lo := bits.Mul64(r.Uint64(), uint64(n))
	if lo < uint64(n) {
		floor := -uint64(n) % uint64(n)
		for lo < floor {
			hi, lo = bits.Mul64(r.Uint64(), uint64(n))
		}
	}
	return int(hi)
}

// NormalQuantile is the inverse of the standard normal distribution function,
// accurate to about 1e-15 relative for p in (0, 1); 0 and 1 give -Inf, +Inf.
func NormalQuantile(p float64) float64 { return mathext.NormalQuantile(p) }
