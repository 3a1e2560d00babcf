package assess

import (
	"fmt"
	"math"

	"fledge/internal/perform"
	"fledge/internal/radio"
)

// Lost is what becomes of her when a signal goes at one place of the circuit.
type Lost struct {
	Signal   string // "control" or "picture"
	At       radio.Place
	Say      string  // what she does
	Form     string  // the same with %s for Size; "" where no number is in it
	Size     float64 // m, the number in it
	EndAhead float64 // m, where that ends
	EndRight float64
	Time     float64 // s until then
}

// does says what she does, with its number.
func (l *Lost) does(form string, size float64) {
	l.Form, l.Size, l.Say = form, size, fmt.Sprintf(form, fmt.Sprintf("%.0f", size))
}

// Lost follows the set-up's failsafe and return-home (flight.home) from the
// middle of each leg, all at nominal values: a glide straight on or in a circle,
// drifting with the wind, or the way home. assumed says what was taken where
// the build is silent.
func (c *Chain) Lost(d *Drawn, n *Numbers, w *Way) (list []Lost, assumed string) {
	ac := d.Aircraft
	cruise := n[CruiseSpeed]
	if !cruise.Known() || w.Landing == 0 {
		return nil, ""
	}
	p := c.Plane(d)
	h := ac.Flight.Home
	speed := h.Speed
	if speed == 0 {
		speed = cruise.V
	}
	bank := h.Bank
	if bank == 0 {
		bank = 30 * math.Pi / 180
	}
	control, picture := h.Link, h.Picture
	if control == "" {
		control = "straight down"
		assumed = "flight.home.lost_link is not set: motor off and controls at neutral is taken, a glide straight on at cruise speed; a turn at that moment tightens instead."
	}
	glide := p.GlideAt(speed)
	drift := func(t float64) (a, r float64) {
		s, k := math.Sincos(ac.Day.OffAxis)
		return -k * ac.Day.Wind * t, -s * ac.Day.Wind * t
	}
	from := func(at radio.Place, signal, what string) Lost {
		l := Lost{Signal: signal, At: at}
		z := at.Pos.Z
		switch what {
		case "straight down":
			run := z / math.Tan(glide.Angle)
			l.Time = z / glide.Sink
			a, r := drift(l.Time)
			s, k := math.Sincos(at.Heading)
			l.EndAhead, l.EndRight = at.Pos.X+run*k+a, at.Pos.Y+run*s+r
			l.does("glides straight on for %s m", run)
		case "circle down":
			sink := speed * p.Descent(speed, 1/math.Cos(bank))
			t := p.TurnAt(speed, bank)
			l.Time = z / sink
			a, r := drift(l.Time)
			l.EndAhead, l.EndRight = at.Pos.X+a, at.Pos.Y+r
			l.does("circles down within %s m", t.Radius)
		case "return home":
			dist := math.Hypot(at.Pos.X, at.Pos.Y)
			l.Time = dist / math.Max(1, speed-ac.Day.Wind)
			radius := h.Radius
			if radius == 0 {
				radius = speed * speed / (perform.Gravity * math.Tan(bank))
			}
			l.does(fmt.Sprintf("flies %.0f m home and circles there at %%s m", dist), radius)
		case "climb":
			l.Time = 5
			s, k := math.Sincos(at.Heading)
			l.EndAhead, l.EndRight = at.Pos.X+l.Time*speed*k, at.Pos.Y+l.Time*speed*s
			l.does("climbs straight on, %s m higher after 5 s", 5*math.Max(0, n[ClimbRate].V))
		case "hold":
			l.EndAhead, l.EndRight = at.Pos.X, at.Pos.Y
			l.Say = "holds on as she is, blind"
		}
		return l
	}
	for i := 0; i < w.Landing; {
		j := i
		for j < w.Landing && w.Places[j].Name == w.Places[i].Name {
			j++
		}
		mid := w.Places[(i+j)/2]
		list = append(list, from(mid, "control", control))
		if picture != "" {
			list = append(list, from(mid, "picture", picture))
		}
		i = j
	}
	return list, assumed
}
