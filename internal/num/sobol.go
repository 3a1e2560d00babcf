package num

import (
	"fmt"
	"math/bits"
	"strconv"
	"strings"
	"sync"
)

// SobolMaxDim is the largest number of dimensions of a [Sobol] sequence.
const SobolMaxDim = 256

const sobolBits = 32

// Sobol is a Sobol' low-discrepancy sequence in base 2 with the direction
// numbers of Joe and Kuo (2008), in Gray-code order, optionally scrambled.
//
// Scrambled by [NewSobol] with a seed, the points are Owen's nested uniform
// scramble (1995): every bit of a coordinate is flipped or not by a hash of
// seed, dimension and the bits above it. Each point is then uniform in the
// open unit cube, means are unbiased, and different seeds are independent
// replicates. Point i depends on seed and i only, so draws may be computed
// alone and in any order. Use counts 2^m for the balance properties.
type Sobol struct {
	dim      int
	seed     uint64
	scramble bool
	v        [][sobolBits]uint32
}

var sobolTable = sync.OnceValue(func() [][sobolBits]uint32 {
	lines := strings.Split(strings.TrimSpace(joeKuo), "\n")
	v := make([][sobolBits]uint32, 1, len(lines)+1)
	for b := range sobolBits {
		v[0][b] = 1 << (sobolBits - 1 - b)
	}
	for _, line := range lines {
		f := strings.Fields(line)
		n := make([]uint32, len(f))
		for i, s := range f {
			x, err := strconv.ParseUint(s, 10, 32)
			if err != nil {
				panic("num: direction numbers: " + err.Error())
			}
			n[i] = uint32(x)
		}
		v = append(v, directions(n[0], n[1:]))
	}
	if len(v) != SobolMaxDim {
		panic("num: direction numbers: table incomplete")
	}
	return v
})

// directions extends initial direction numbers m by the recurrence of the
// primitive polynomial (bits of its coefficients, highest first).
func directions(poly uint32, m []uint32) (v [sobolBits]uint32) {
	s := bits.Len32(poly) - 1
	if s != len(m) {
		panic("num: direction numbers: wrong count for the degree")
	}
	for i := range sobolBits {
		if i < s {
			v[i] = m[i] << (sobolBits - 1 - i)
			continue
		}
		v[i] = v[i-s] ^ v[i-s]>>s
		for k := 1; k < s; k++ {
			if poly>>(s-k)&1 == 1 {
				v[i] ^= v[i-k]
			}
		}
	}
	return v
}

// PlainSobol makes the unscrambled sequence: point 0 is the origin. For
// checks; use [NewSobol] for work.
func PlainSobol(dim int) *Sobol {
	if dim < 1 || dim > SobolMaxDim {
		panic(fmt.Sprintf("num: Sobol sequence of %d dimensions", dim))
	}
	return &Sobol{dim: dim, v: sobolTable()[:dim]}
}

// NewSobol makes the sequence scrambled by a seed; dim in 1..SobolMaxDim.
func NewSobol(dim int, seed uint64) *Sobol {
	s := PlainSobol(dim)
	s.seed, s.scramble = seed, true
	return s
}

// Dim is the number of dimensions.
func (s *Sobol) Dim() int { return s.dim }

// Point writes point i (0 <= i < 2^32) into x, whose length, at most Dim,
// says how many coordinates are wanted. Unscrambled coordinates lie in
// [0, 1), scrambled ones in (0, 1).
func (s *Sobol) Point(i uint64, x []float64) { s.Part(i, 0, x) }

// Part writes the coordinates first, first+1, ... (counted from 0) of point i
// into x.
func (s *Sobol) Part(i uint64, first int, x []float64) {
	if first < 0 || first+len(x) > s.dim || i >= 1<<sobolBits {
		panic(fmt.Sprintf("num: Sobol point %d, coordinates %d to %d of %d", i, first, first+len(x), s.dim))
	}
	gray := uint32(i ^ i>>1)
	for n := range x {
		d := first + n
		v := &s.v[d]
		var b uint32
		for g := gray; g != 0; g &= g - 1 {
			b ^= v[bits.TrailingZeros32(g)]
		}
		if !s.scramble {
			x[n] = float64(b) * 0x1p-32
			continue
		}
		key := mix(s.seed + uint64(d+1)*0x9e3779b97f4a7c15)
		hi, lo := owen(b, key)
		// 52 bits: 32 scrambled ones, then 20 at random below, then a half.
		x[n] = (float64(uint64(hi)<<20|lo) + 0.5) * 0x1p-52
	}
}

// owen applies the nested uniform scramble of one coordinate: bit k is
// flipped by a hash of the key, k and the bits above it. The 20 bits below
// the resolution of the sequence come from a hash of the whole coordinate.
func owen(b uint32, key uint64) (hi uint32, lo uint64) {
	hi = b
	for k := range sobolBits {
		// prefix: the k bits above, with a leading one to tell lengths apart
		prefix := uint64(1)<<k | uint64(b)>>(sobolBits-k)
		h := (key ^ prefix*0x9e3779b97f4a7c15) * 0xd6e8feb86659fd93
		h ^= h >> 32
		h *= 0xd6e8feb86659fd93
		hi ^= uint32(h>>63) << (sobolBits - 1 - k)
	}
	return hi, mix(key^uint64(b)*0xbf58476d1ce4e5b9^0x5851f42d4c957f2d) >> 44
}
