package assess

import (
	"math"

	"fledge/internal/aero"
)

// stream is what a pull adds to the trimmed drag of a draw, over the pull: the
// propeller's stream on what it meets, and trimming out the pull's moment. At a
// few speeds and lifts of the polar, trimmed under the pull that balances the
// drag and under that of full throttle; straight lines between. Within 1 % of
// the pull up to 0.8 of the largest lift (tested). A point is trimmed when it is
// first asked for. Not for use by several at once.
type stream struct {
	polar *polar
	trim  func(v, lift, pull float64) aero.Trimmed
	pull  func(v float64) float64 // at full throttle, whatever its limit
	share [streamSpeeds][streamLifts]blown
}

// blown is the share of two pulls, N, that the stream takes; the second is not
// the lesser.
type blown struct {
	known       bool
	pull, share [2]float64
}

// at is the share of a pull, held beyond the two.
func (b *blown) at(pull float64) float64 {
	x := 0.0
	if d := b.pull[1] - b.pull[0]; d > 0 {
		x = math.Max(0, math.Min(1, (pull-b.pull[0])/d))
	}
	return b.share[0] + x*(b.share[1]-b.share[0])
}

// Every second speed and every fifth lift of the polar.
const (
	speedStep, liftStep       = 2, 5
	streamSpeeds, streamLifts = (polarSpeeds-1)/speedStep + 1, (polarLifts-1)/liftStep + 1
)

// stream is nil without a propeller or where its stream meets nothing.
func (c *Chain) stream(d *Drawn, p *polar) *stream {
	if !c.Aero.Blown() || p.dcl == 0 {
		return nil
	}
	drawn := *d
	pull := func(v float64) float64 { return c.Power.At(v, 1, &drawn.PowerK).Thrust }
	return &stream{polar: p, pull: pull, trim: func(v, lift, pull float64) aero.Trimmed {
		return c.Aero.Trim(aero.Balance{
			V: v, Rho: drawn.Air.Rho, Mu: drawn.Air.Mu, Lift: lift, CG: drawn.Aircraft.Mass.CG,
			Moment: pullMoment(drawn.Aircraft, pull), PropOn: true, Thrust: pull,
		}, &drawn.AeroK)
	}}
}

func (s *stream) at(i, j int) *blown {
	b := &s.share[i][j]
	if b.known {
		return b
	}
	p := s.polar
	v := math.Exp(p.lnv0 + float64(i*speedStep)*p.dlnv)
	q := 0.5 * p.rho * v * v * p.area
	off := p.at(i*speedStep, j*liftStep)
	b.known = true
	b.pull = [2]float64{off * q, math.Max(s.pull(v), off*q)}
	for k, t := range b.pull {
		if k > 0 && t == b.pull[0] {
			b.share[k] = b.share[0]
			break
		}
		on := s.trim(v, float64(j*liftStep)*p.dcl*q, t)
		switch {
		case on.OK && t > 0:
			b.share[k] = (on.CD - off) * q / t
		case j > 0: // past what can be trimmed
			b.share[k] = s.at(i, j-1).share[k]
		}
	}
	return b
}

// drag is what a pull (N) adds at airspeed v carrying lift, N: straight lines
// between the grid's places, held at its ends.
func (s *stream) drag(v, lift, pull float64) float64 {
	p := s.polar
	if !(v > 0) || !(pull > 0) || math.IsNaN(lift) {
		return 0
	}
	place := func(x float64, n int) (int, float64) {
		x = math.Max(0, math.Min(float64(n-1), x))
		i := min(int(x), n-2)
		return i, x - float64(i)
	}
	i, x := place((math.Log(v)-p.lnv0)/(speedStep*p.dlnv), streamSpeeds)
	j, y := place(math.Abs(lift)/(0.5*p.rho*v*v*p.area*liftStep*p.dcl), streamLifts)
	at := func(i int) float64 {
		a := s.at(i, j).at(pull)
		if y == 0 {
			return a
		}
		return a + y*(s.at(i, j+1).at(pull)-a)
	}
	a, b := at(i), at(i+1)
	return pull * (a + x*(b-a))
}
