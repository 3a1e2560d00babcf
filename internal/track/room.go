package track

import "math"

// Where it stands still: slower than this over the ground, or no farther than
// this in the time before; and how long around motion everything is kept.
const (
	restSpeed = 1.5 // m/s
	restPlace = 8.0 // m within restTime
	restTime  = 5.0 // s
	around    = 10.0
	restStep  = 1.0 // s between the records kept of a rest
)

// room thins what has been kept so far, so that another quarter of the limit
// fits: rests first, then every second record of the whole log.
func (g *gather) room() {
	g.rest()
	if f := g.log.Fixes; len(f) > g.opt.MaxFixes*3/4 {
		n := 0
		rested := false // in a record that goes
		for i := range f {
			rested = rested || f[i].Rested
			if i%2 == 1 || len(f) < 2 {
				f[n] = f[i]
				f[n].Rested = rested
				rested = false
				n++
			}
		}
		g.log.Fixes, g.kept = f[:n], n
		g.stride = 2 * max(1, g.stride)
	}
}

// rest keeps one record a second where nothing moves for more than ten
// seconds on either side.
func (g *gather) rest() {
	f := g.all()
	if wholeSeconds(f) {
		return // the rows of a second are spread over it by their number
	}
	moves := make([]bool, len(f))
	k := 0
	for i := range f {
		for k < i && (f[i].T-f[k].T > restTime || f[k].T > f[i].T) {
			k++
		}
		moves[i] = f[i].moving(&f[k])
	}
	// the time of the last motion before, and of the next behind
	quiet := make([]bool, len(f))
	last := math.Inf(-1)
	for i := range f {
		if moves[i] || i > 0 && (f[i].Section != f[i-1].Section || f[i].T < f[i-1].T) {
			last = f[i].T
		}
		quiet[i] = f[i].T-last > around
	}
	next := math.Inf(1)
	for i := len(f) - 1; i >= 0; i-- {
		if moves[i] || i+1 < len(f) && (f[i].Section != f[i+1].Section || f[i].T > f[i+1].T) {
			next = f[i].T
		}
		quiet[i] = quiet[i] && next-f[i].T > around
	}
	n := 0
	rested := false
	for i := range f {
		if quiet[i] && n > 0 && i+1 < len(f) && f[i].T-f[n-1].T < restStep && f[i].T >= f[n-1].T {
			rested = true
			g.resting++
			continue
		}
		f[n] = f[i]
		f[n].Rested = f[i].Rested || rested
		rested = false
		n++
	}
	g.log.Fixes, g.kept = f[:n], n
}

// moving reports whether anything says that it moves or its motor runs; was
// is a fix some seconds earlier.
func (f *Fix) moving(was *Fix) bool {
	switch {
	case known(f.Speed):
		if f.Speed > restSpeed {
			return true
		}
	case f.hasPlace() && was.hasPlace():
		const r = 6.371e6
		if math.Hypot(f.Lat-was.Lat, (f.Lon-was.Lon)*math.Cos(f.Lat))*r > restPlace {
			return true
		}
	default:
		return true // nothing says that it rests
	}
	return f.Airspeed > 8 || f.Throttle > 0.05 || f.Amps > 2 || f.RPM > 30
}

// wholeSeconds reports a clock in whole seconds with several records in each.
func wholeSeconds(f []Fix) bool {
	same := 0
	for i := 1; i < len(f); i++ {
		if f[i].T != math.Floor(f[i].T) {
			return false
		}
		if f[i].T == f[i-1].T {
			same++
		}
	}
	return same > len(f)/4
}
