package report

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/assess"
	"fledge/internal/doubt"
	"fledge/internal/odds"
)

// half90 is half the width of a 90 % interval in standard deviations.
const half90 = 1.6448536269514722

// failureShares are the ways to fail with the interval that the number of
// launches leaves (Wilson).
func failureShares(list []odds.Share) map[string]Quantity {
	out := map[string]Quantity{}
	for _, f := range list {
		out[f.Class] = Quantity{Value: Float(f.Share), Low: Float(f.Low), High: Float(f.High), Unit: "1"}
	}
	return out
}

// counted is the 90 % interval of a share counted in n launches.
func counted(share float64, n int) (low, high Float) {
	if n < 1 || !(share >= 0 && share <= 1) {
		return Float(math.NaN()), Float(math.NaN())
	}
	l, h := doubt.Score(share, float64(n), 0.90)
	return Float(l), Float(h)
}

// sure is where a part has to sit so that the whole 90 % interval of the
// static margin is in the band, all others staying; NaN where no place is.
func (b *Balanced) sure(c *carry) [2]float64 {
	none := [2]float64{math.NaN(), math.NaN()}
	q := b.Results.Get(assess.StaticMargin)
	if q.Status != "" || !(c.aft > c.fore) {
		return none
	}
	ac := b.Results.Aircraft
	down, up := q.Value-q.Low, q.High-q.Value
	// From the fore end of the band (largest margin) to the aft end.
	width := ac.Limits.StaticMarginMax - ac.Limits.StaticMarginMin
	per := (c.aft - c.fore) / width
	lo, hi := c.fore+up*per, c.aft-down*per
	if !(hi >= lo) {
		return none
	}
	return [2]float64{lo, hi}
}

// scaleDoubt is the 90 % half width of what two scales show, kg: mass and
// balance point are taken as independent.
func (b *Balanced) scaleDoubt(at [2]float64) [2]float64 {
	half := func(q assess.Quantity) float64 {
		if q.Status != "" {
			return math.NaN()
		}
		return (q.High - q.Low) / 2
	}
	m, x := half(b.Results.Get(assess.Mass)), half(b.Results.Get(assess.BalanceX))
	ac := b.Results.Aircraft
	span := at[1] - at[0]
	aft := math.Hypot(m*(ac.Mass.CG.X-at[0])/span, x*ac.Mass.Total/span)
	front := math.Hypot(m*(at[1]-ac.Mass.CG.X)/span, x*ac.Mass.Total/span)
	return [2]float64{front, aft}
}

// scaleDoubt3 is the same of three scales: two in front, side by side, and one
// aft, the balance point's y drawn besides.
func (b *Balanced) scaleDoubt3(at []r3.Vec) [3]float64 {
	two := b.scaleDoubt([2]float64{at[0].X, at[2].X})
	side := half90 * b.Doubt.CG.Y * b.Results.Aircraft.Mass.Total / (at[1].Y - at[0].Y)
	front := math.Hypot(two[0]/2, side)
	return [3]float64{front, front, two[1]}
}

// asDoubted scales a current of the drive by the doubt of the largest one.
func (p *Flight) asDoubted(v float64) (low, high Float) {
	q := p.Results.Get(assess.CurrentMax)
	if q.Status != "" || !(q.Value > 0) {
		return Float(math.NaN()), Float(math.NaN())
	}
	return Float(v * q.Low / q.Value), Float(v * q.High / q.Value)
}

// warmed is the interval of a temperature after a burst, K: the rise is
// doubtful by a factor.
func (p *Flight) warmed(part string, start, after float64) (low, high Float) {
	for _, h := range p.Results.Heat {
		if h.Part == part && h.Sigma >= 0 {
			rise := after - start
			return Float(start + rise*math.Exp(-half90*h.Sigma)), Float(start + rise*math.Exp(half90*h.Sigma))
		}
	}
	return Float(math.NaN()), Float(math.NaN())
}

func (b *Balanced) sureJSON(c *carry) [2]Float {
	s := b.sure(c)
	return [2]Float{Float(s[0]), Float(s[1])}
}

func (b *Balanced) sureWords(c *carry) string {
	s := b.sure(c)
	if math.IsNaN(s[0]) {
		return "nowhere"
	}
	return b.millis(s[0]) + " to " + b.millis(s[1])
}
