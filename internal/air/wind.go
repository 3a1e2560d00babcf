package air

import (
	"fmt"
	"math"
	"strings"
)

// Roughness is how rough a surface is to the wind: aerodynamic roughness
// length and its range, m.
type Roughness struct {
	Word         string
	Z0, Low, Top float64
	From         string // where the figure comes from
}

const davenport = "Davenport classes"

// surfaces in order of roughness. Middle values of a range are geometric.
var surfaces = []Roughness{
	{"water", 0.0002, 0.0001, 0.0005, davenport},
	{"sea", 0.0002, 0.0001, 0.0005, davenport},
	{"sand", 0.005, 0.001, 0.008, davenport},
	{"mud", 0.005, 0.001, 0.008, davenport},
	{"snow", 0.005, 0.001, 0.008, davenport},
	{"tarmac", 0.005, 0.001, 0.008, davenport},
	{"mown grass", 0.012, 0.008, 0.02, "hydrology table: 0.008 to 0.02 m"},
	{"short grass", 0.02, 0.008, 0.03, "between mown grass alone and open grass with few obstacles"},
	{"grass", 0.03, 0.01, 0.06, davenport},
	{"open field", 0.03, 0.01, 0.06, davenport},
	{"long grass", 0.035, 0.02, 0.06, "hydrology table: 0.02 to 0.06 m"},
	{"low crops", 0.10, 0.06, 0.17, davenport},
	{"high crops", 0.25, 0.17, 0.35, davenport},
	{"bushes", 0.5, 0.35, 0.7, davenport},
	{"parkland", 0.5, 0.35, 0.7, davenport},
	{"forest", 1.0, 0.7, 1.4, davenport},
	{"suburb", 1.0, 0.7, 1.4, davenport},
	{"city", 2.0, 1.4, 3.0, davenport},
}

// Surface finds the roughness of a surface by its word, in any case.
func Surface(word string) (Roughness, bool) {
	w := strings.Join(strings.Fields(strings.ToLower(word)), " ")
	for _, s := range surfaces {
		if s.Word == w {
			return s, true
		}
	}
	return Roughness{}, false
}

// DefaultZ0 is the roughness length (m) where none is known: open grass with
// few obstacles; our choice.
const DefaultZ0 = 0.03

// Wind is the mean wind over even ground by the logarithmic law
// U(z) = U(ref) ln(z/z0)/ln(ref/z0), for neutral air in the lowest some 100 m,
// several roughness lengths above the ground and clear of single obstacles.
// Make it with [NewWind]; the zero value is calm.
type Wind struct {
	Speed float64 // m/s at RefHeight
	Ref   float64 // reference height, m
	From  float64 // rad, clockwise from true north
	Z0    float64 // roughness length, m
	k     float64 // u*/0.4: Speed/ln(Ref/Z0)
	inv   float64 // 1/Z0
	n, e  float64 // unit vector the wind blows towards
}

// WindTop is the height (m) up to which the logarithmic law is taken as
// valid; above it [Wind.At] goes on but the caller should flag it.
const WindTop = 100.0

// NewWind makes a mean wind: speed >= 0 at height ref > z0 > 0. It errs on
// impossible values, naming them.
func NewWind(speed, ref, from, z0 float64) (Wind, error) {
	switch {
	case !(speed >= 0) || math.IsInf(speed, 1):
		return Wind{}, fmt.Errorf("wind speed %g m/s is not possible", speed)
	case !(z0 > 0) || z0 > 10:
		return Wind{}, fmt.Errorf("roughness length %g m is outside 0 to 10 m", z0)
	case !(ref > 2*z0) || math.IsInf(ref, 1):
		return Wind{}, fmt.Errorf("a wind known at %g m says nothing over a roughness of %g m: it must be measured well above it", ref, z0)
	case math.IsNaN(from) || math.IsInf(from, 0):
		return Wind{}, fmt.Errorf("wind direction is not a number")
	}
	s, c := math.Sincos(from)
	return Wind{speed, ref, from, z0, speed / math.Log(ref/z0), 1 / z0, -c, -s}, nil
}

// At is the mean wind speed (m/s) at height z (m) above the ground; zero at
// and below the roughness length, where the law ends.
func (w *Wind) At(z float64) float64 {
	r := z * w.inv
	if !(r > 1) {
		return 0
	}
	return w.k * ln(r)
}

// ln is the natural logarithm of a normal positive number, to 1e-13 absolute,
// at about half of the cost of math.Log: the wind is asked at every stage of
// every step of a flight. Table of 64 cells, five terms of the series.
func ln(x float64) float64 {
	b := math.Float64bits(x)
	e := float64(int(b>>52) - 1023)
	c := &lnTable[b>>46&63]
	f := math.Float64frombits(b&(1<<52-1)|1023<<52)*c.inv - 1
	return e*math.Ln2 + c.ln + f*(1-f*(1.0/2-f*(1.0/3-f*(1.0/4-f*(1.0/5)))))
}

var lnTable = func() (t [64]struct{ inv, ln float64 }) {
	for i := range t {
		t[i].inv = 64 / (64.5 + float64(i))
		t[i].ln = -math.Log(t[i].inv)
	}
	return t
}()

// NED is the mean wind vector at height z, m/s towards north, east and down.
func (w *Wind) NED(z float64) (n, e, d float64) {
	u := w.At(z)
	return u * w.n, u * w.e, 0
}

// Turn turns a disturbance given along the wind, to its right and down into
// north, east and down.
func (w *Wind) Turn(along, right, down float64) (n, e, d float64) {
	if w.n == 0 && w.e == 0 { // calm zero value: along north
		return along, right, down
	}
	// blowing towards (n, e); its right-hand side is (-e, n)
	return along*w.n - right*w.e, along*w.e + right*w.n, down
}

// Friction is the friction velocity u* = 0.4 U/ln(ref/z0), m/s.
func (w *Wind) Friction() float64 { return 0.4 * w.k }

// Components splits a wind of the given speed, coming from the direction
// from, for a flight along heading (both rad from north): head positive when
// it blows against, cross positive when it comes from the right.
func Components(speed, from, heading float64) (head, cross float64) {
	s, c := math.Sincos(from - heading)
	return speed * c, speed * s
}

// OneMinusCosine is the full discrete gust U = (peak/2)(1 - cos(pi s/H)) for
// 0 <= s <= 2H, nothing elsewhere; s is the distance flown into it and H the
// distance to its peak, m (14 CFR 25.341(a)).
type OneMinusCosine struct{ Peak, H float64 }

// At is the gust speed at distance s.
func (g OneMinusCosine) At(s float64) float64 {
	if !(s > 0) || s >= 2*g.H {
		return 0
	}
	return 0.5 * g.Peak * (1 - math.Cos(math.Pi*s/g.H))
}
