package num

import (
	"math"
	"math/bits"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func TestSobolPoints(t *testing.T) {
	src := cite.JoeKuo.At("Gray-code order, from a public numerics library", cite.Derived)
	want := [8][4]float64{{0, 0, 0, 0}, {.5, .5, .5, .5}, {.75, .25, .25, .25}, {.25, .75, .75, .75}, {.375, .375, .625, .875}, {.875, .875, .125, .375}, {.625, .125, .875, .625}, {.125, .625, .375, .125}}
	s := PlainSobol(4)
	var x [4]float64
	for i, w := range want {
		s.Point(uint64(i), x[:])
		for d := range w {
			check.Row{Topic: "low-discrepancy points", Name: "Sobol' point", Source: src}.Near(t, x[d], w[d], check.Exact(0))
		}
	}
	big := PlainSobol(256)
	var y [256]float64
	for _, row := range []struct {
		i, dim int
		want   float64
	}{
		{1000, 10, 0.0693359375}, {1000, 40, 0.4794921875}, {1000, 64, 0.4462890625}, {1000, 128, 0.5439453125}, {1000, 256, 0.2490234375},
		{8191, 10, 0.7567138671875}, {8191, 40, 0.5374755859375}, {8191, 64, 0.9986572265625}, {8191, 128, 0.2557373046875}, {8191, 256, 0.2030029296875},
	} {
		big.Point(uint64(row.i), y[:])
		check.Row{Topic: "low-discrepancy points", Name: "Sobol' point, high dimensions", Source: src}.Near(t, y[row.dim-1], row.want, check.Exact(0))
	}
}

func integrands() []struct {
	name  string
	f     func(x []float64) float64
	exact float64
	want  [3]float64 // N = 256, 1024, 4096
} {
	return []struct {
		name  string
		f     func(x []float64) float64
		exact float64
		want  [3]float64
	}{
		{"prod pi/2 sin(pi x)", func(x []float64) float64 {
			p := 1.0
			for _, v := range x {
				p *= math.Pi / 2 * math.Sin(math.Pi*v)
			}
			return p
		}, 1, [3]float64{0.9892103471, 0.9961782878, 0.9998762870}},
		{"g-function", func(x []float64) float64 {
			p := 1.0
			for i, a := range []float64{0, .5, 3, 9} {
				p *= (math.Abs(4*x[i]-2) + a) / (1 + a)
			}
			return p
		}, 1, [3]float64{1.0001594067, 1.0000168900, 1.0000081462}},
		{"exp(sum x)", func(x []float64) float64 { return math.Exp(x[0] + x[1] + x[2] + x[3]) }, math.Pow(math.E-1, 4), [3]float64{8.6362421070, 8.7017870759, 8.7124034407}},
	}
}

func TestSobolMeans(t *testing.T) {
	src := cite.JoeKuo.At("means over unscrambled points with the origin", cite.Derived)
	var x [4]float64
	for _, g := range integrands() {
		for k, n := range []int{256, 1024, 4096} {
			s := PlainSobol(4)
			var sum float64
			for i := range n {
				s.Point(uint64(i), x[:])
				sum += g.f(x[:])
			}
			check.Row{Topic: "low-discrepancy points", Name: "mean of " + g.name, Source: src}.Near(t, sum/float64(n), g.want[k], check.ModelAbs(1e-9, "ten printed decimals and summation order"))
		}
	}
}

func TestScrambledError(t *testing.T) {
	src := cite.Owen95.At("RMS error over 64 scrambles, N = 4096", cite.Derived)
	const n, reps = 4096, 64
	f := integrands()
	var x [4]float64
	indicator := func(x []float64) float64 {
		if x[0]+x[1]+x[2]+x[3] < 2 {
			return 1
		}
		return 0
	}
	for _, row := range []struct {
		name         string
		f            func([]float64) float64
		exact, wantQ float64
		wantMC       float64
	}{{"exp(sum x)", f[2].f, f[2].exact, 2.1e-4, 7.6e-2}, {"g-function", f[1].f, 1, 6.3e-5, 1.2e-2}, {"sum x < 2", indicator, 0.5, 2.4e-3, 7.9e-3}} {
		var q, mc, bias float64
		for r := range reps {
			s := NewSobol(4, Hash(77, uint64(r)))
			rs := NewStream(Hash(78, uint64(r)))
			var a, b float64
			for i := range n {
				s.Point(uint64(i), x[:])
				a += row.f(x[:])
				for d := range x {
					x[d] = rs.Float64()
				}
				b += row.f(x[:])
			}
			bias += a/n - row.exact
			q += sq(a/n - row.exact)
			mc += sq(b/n - row.exact)
		}
		q, mc, bias = math.Sqrt(q/reps), math.Sqrt(mc/reps), bias/reps
		t.Logf("%s: scrambled %.2g plain random %.2g, ratio %.0f", row.name, q, mc, mc/q)
		check.Row{Topic: "low-discrepancy points", Name: "scrambled error, " + row.name, Source: src}.Near(t, math.Log2(q/row.wantQ), 0, check.ModelAbs(1, "accepted within a factor 2 (log2 shown): RMS over 64 scrambles"))
		check.Row{Topic: "low-discrepancy points", Name: "plain random error, " + row.name, Source: src}.Near(t, math.Log2(mc/row.wantMC), 0, check.ModelAbs(1, "accepted within a factor 2 (log2 shown): RMS over 64 runs"))
		if math.Abs(bias) > 4*q/8 {
			t.Errorf("%s: bias %.2g against RMS %.2g over %d scrambles", row.name, bias, q, reps)
		}
	}
}

// Every coordinate alone must be a (0,m,1)-net: one point in each of 2^m equal
// intervals, scrambled or not; and pairs of coordinates must be close to
// (0,m,2): the t of a pair is the smallest so that every box of volume
// 2^(t-m) holds 2^t points.
func TestSobolBalance(t *testing.T) {
	const m, dims = 10, 64
	for _, s := range []*Sobol{PlainSobol(dims), NewSobol(dims, 3)} {
		var pts [1 << m][dims]float64
		for i := range pts {
			s.Point(uint64(i), pts[i][:])
		}
		for d := range dims {
			var seen [1 << m]bool
			for i := range pts {
				seen[int(pts[i][d]*(1<<m))] = true
			}
			for k, ok := range seen {
				if !ok {
					t.Fatalf("dimension %d: interval %d empty", d+1, k)
				}
			}
		}
		worst, sum, pairs := 0, 0, 0
		hist := map[int]int{}
		for a := range dims {
			for b := range a {
				q := pairQuality(pts[:], a, b, m)
				if q > worst {
					worst = q
				}
				hist[q]++
				sum += q
				pairs++
			}
		}
		t.Logf("scrambled %v: 2^%d points, %d pairs: t mean %.2f, worst %d, %v", s.scramble, m, pairs, float64(sum)/float64(pairs), worst, hist)
		if q := pairQuality(pts[:], 1, 0, m); q != 0 {
			t.Errorf("first pair has t = %d, want 0", q)
		}
		if worst > 8 {
			t.Errorf("worst pair has t = %d at m = %d: nearly no balance", worst, m)
		}
	}
}

func pairQuality(pts [][64]float64, a, b, m int) int {
	for q := 0; q < m; q++ {
		if pairIsNet(pts, a, b, m, q) {
			return q
		}
	}
	return m
}

func pairIsNet(pts [][64]float64, a, b, m, q int) bool {
	count := make([]int, 1<<(m-q))
	for ka := 0; ka <= m-q; ka++ {
		kb := m - q - ka
		clear(count)
		for i := range pts {
			count[int(pts[i][a]*float64(int(1)<<ka))<<kb|int(pts[i][b]*float64(int(1)<<kb))]++
		}
		for _, c := range count {
			if c != 1<<q {
				return false
			}
		}
	}
	return true
}

// The scramble must be nested: flipping of a bit depends on the bits above
// only, so two points that share k leading bits of a coordinate share k after.
func TestOwenIsNested(t *testing.T) {
	r := NewStream(5)
	for range 2000 {
		a := uint32(r.Uint64())
		k := r.IntN(32)
		b := a ^ (1 << (31 - k)) ^ (uint32(r.Uint64()) & (1<<(31-k) - 1))
		key := r.Uint64()
		ha, _ := owen(a, key)
		hb, _ := owen(b, key)
		if got := bits.LeadingZeros32(ha ^ hb); got != k {
			t.Fatalf("%032b and %032b share %d bits, scrambled %d", a, b, k, got)
		}
	}
}

// Flips must look like fair, independent coins over seeds.
func TestOwenCoins(t *testing.T) {
	const n = 20000
	var ones [32]float64
	var pair float64
	for s := range n {
		h, _ := owen(0xdeadbeef, mix(uint64(s)))
		g, _ := owen(0xdeadbee0, mix(uint64(s)))
		f := h ^ 0xdeadbeef
		for k := range ones {
			ones[k] += float64(f >> k & 1)
		}
		pair += float64((f ^ (g ^ 0xdeadbee0)) & 1)
	}
	for k, o := range ones {
		if z := (o - n/2) / math.Sqrt(n/4); math.Abs(z) > 4.5 {
			t.Errorf("bit %d flips %g of %d times", k, o, n)
		}
	}
	if z := (pair - n/2) / math.Sqrt(n/4); math.Abs(z) > 4.5 {
		t.Errorf("lowest bits of different prefixes agree too often: z = %.1f", z)
	}
}

func TestPointAlone(t *testing.T) {
	s := NewSobol(40, 9)
	a, b := make([]float64, 40), make([]float64, 40)
	for i := range 100 {
		s.Point(uint64(i), a)
	}
	NewSobol(40, 9).Point(99, b)
	for d := range a {
		if a[d] != b[d] || a[d] <= 0 || a[d] >= 1 {
			t.Fatalf("coordinate %d: %g and %g", d, a[d], b[d])
		}
	}
	NewSobol(40, 10).Point(99, b)
	if a[0] == b[0] {
		t.Error("another seed gives the same point")
	}
}

func TestStream(t *testing.T) {
	// fixed bits: these must never change, or every stored result would
	r := NewStream(Hash(1, 2, 3))
	if h, u := Hash(1, 2, 3), r.Uint64(); h != 0xd56d0264932a233f || u != 0x5bc581b04a97c4df {
		t.Errorf("bits changed: %#x %#x", h, u)
	}
	n := 200000
	var m, v, k float64
	for range n {
		x := r.Normal()
		m += x
		v += x * x
		k += x * x * x * x
	}
	m, v, k = m/float64(n), v/float64(n), k/float64(n)
	if math.Abs(m) > 4/math.Sqrt(float64(n)) || math.Abs(v-1) > 4*math.Sqrt(2/float64(n)) || math.Abs(k-3) > 4*math.Sqrt(96/float64(n)) {
		t.Errorf("normal deviates: mean %g variance %g fourth moment %g", m, v, k)
	}
	var c [7]float64
	for range n {
		c[r.IntN(7)]++
	}
	for i := range c {
		if math.Abs(c[i]-float64(n)/7) > 4.5*math.Sqrt(float64(n)/7) {
			t.Errorf("IntN: %v", c)
		}
	}
}

func BenchmarkSobolPoint40(b *testing.B) {
	s := NewSobol(40, 1)
	x := make([]float64, 40)
	i := uint64(0)
	b.ReportAllocs()
	for b.Loop() {
		s.Point(i&0xffff, x)
		i++
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/40, "ns/coordinate")
}

func BenchmarkNormal(b *testing.B) {
	r := NewStream(1)
	var x float64
	for b.Loop() {
		x += r.Normal()
	}
	_ = x
}
