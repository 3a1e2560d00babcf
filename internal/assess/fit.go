package assess

import (
	"math"

	"fledge/internal/aero"
	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/fit"
	"fledge/internal/section"
	"fledge/internal/strength"
)

// Fit judges whether the parts go in, with the sections' true thickness, the
// drive's current and the swept room of servo arms.
func (c *Chain) Fit() *fit.Sheet {
	ac := c.Aircraft
	g := fit.Given{Air: ac.Day.Temperature, Skin: skinOf(ac)}
	g.Wire = func(gauge int) (float64, float64) {
		return strength.WireArea(gauge), strength.WireResistance(gauge, ac.Day.Temperature)
	}
	if c.Power != nil {
		n := c.Nominal() // as bench and flights tell the drive, as on every page
		g.Current = c.Power.At(0, ac.Power.Throttle, &n.PowerK).Current
	}
	sh := fit.Assess(ac, g)
	sweeps(ac, g.Skin, sh)
	return sh
}

// skinOf gives the true skins of a surface: straight lines between the
// stations' sections, each turned by its twist about its leading edge, where the build places it.
func skinOf(ac *craft.Aircraft) fit.Skin {
	shapes := map[[2]int]*section.Shape{}
	shape := func(s, j int) *section.Shape {
		k := [2]int{s, j}
		sh, ok := shapes[k]
		if !ok {
			sh, _ = aero.ShapeOf(ac.Surfaces[s].Stations[j])
			shapes[k] = sh
		}
		return sh
	}
	one := func(s, j int, u float64) (low, high float64, ok bool) {
		sh := shape(s, j)
		if sh == nil {
			return 0, 0, false
		}
		t := &ac.Surfaces[s].Stations[j]
		droop := -u * math.Sin(t.Twist)
		return t.LE.Z + t.Chord*(sh.Lower(u)+droop), t.LE.Z + t.Chord*(sh.Upper(u)+droop), true
	}
	return func(s int, y, x float64) (float64, float64, bool) {
		if s < 0 || s >= len(ac.Surfaces) {
			return 0, 0, false
		}
		st := ac.Surfaces[s].Stations
		upright := len(st) > 1 && st[0].LE.Y == st[len(st)-1].LE.Y
		at := func(j int) float64 {
			if upright {
				return st[j].LE.Z
			}
			return st[j].LE.Y
		}
		for j := 1; j < len(st); j++ {
			if !(y >= math.Min(at(j-1), at(j)) && y <= math.Max(at(j-1), at(j))) || at(j) == at(j-1) {
				continue
			}
			k := (y - at(j-1)) / (at(j) - at(j-1))
			le, chord := st[j-1].LE.X+k*(st[j].LE.X-st[j-1].LE.X), st[j-1].Chord+k*(st[j].Chord-st[j-1].Chord)
			u := (x - le) / chord
			if u < 0 || u > 1 {
				return 0, 0, false
			}
			l0, h0, ok0 := one(s, j-1, u)
			l1, h1, ok1 := one(s, j, u)
			if !ok0 || !ok1 || upright {
				return 0, 0, false
			}
			return l0 + k*(l1-l0), h0 + k*(h1-h0), true
		}
		return 0, 0, false
	}
}

// sweeps tells, for each servo in the thickness of a surface, how far its arm
// and rod stand in or out of the skin over the whole travel, and the slot
// they need.
func sweeps(ac *craft.Aircraft, skin fit.Skin, sh *fit.Sheet) {
	for i := range ac.Linkages {
		l := &ac.Linkages[i]
		n := ac.PartNamed(l.Servo)
		if n < 0 {
			continue
		}
		p := &ac.Parts[n]
		surface := -1
		for b := range ac.Inside.Bays {
			if bay := &ac.Inside.Bays[b]; bay.Name == p.Bay && bay.Kind == craft.SurfaceBay {
				surface = bay.Surface
			}
		}
		if surface < 0 {
			continue
		}
		for s := range ac.Surfaces {
			for k := range ac.Surfaces[s].Controls {
				c := &ac.Surfaces[s].Controls[k]
				if c.Name != l.Control {
					continue
				}
				f, why := control.FlapOf(&ac.Surfaces[s], c)
				if why != "" {
					continue
				}
				link, guessed, st := control.LinkageOf(l, f)
				if st != control.OK {
					continue
				}
				travel, _ := control.ServoTravel(l)
				w, st := link.Travel(travel, travel, 36)
				if st != control.OK {
					continue
				}
				sh.Sweeps = append(sh.Sweeps, swept(ac, skin, surface, p, l, w, guessed))
			}
		}
	}
}

// swept is the sweep of one arm and rod against the skins beside its servo.
func swept(ac *craft.Aircraft, skin fit.Skin, surface int, p *craft.Part, l *craft.Linkage, w control.Sweep, guessed bool) fit.Swept {
	out := fit.Swept{Control: l.Control, Servo: fit.Called(p), Arm: math.Inf(1), From: math.Inf(1), To: math.Inf(-1), Guessed: guessed}
	rod := l.RodDiameter
	if rod == 0 {
		rod = 1.5e-3
	}
	y := math.Abs(p.At.Y)
	shaft := p.At.Z
	if low, high, ok := skin(surface, y, p.At.X); ok {
		if _, given := ac.Knob(p.Path() + ".at.z"); !given {
			shaft = (low + high) / 2
		}
	} else {
		out.Arm = math.NaN()
		return out
	}
	for _, q := range w.Rows {
		for i := 0; i <= 48; i++ {
			k := float64(i) / 48
			x := q.ArmPin.X + k*(q.HornPin.X-q.ArmPin.X)
			z := shaft + q.ArmPin.Z + k*(q.HornPin.Z-q.ArmPin.Z)
			low, high, ok := skin(surface, y, p.At.X+x)
			if !ok {
				break
			}
			room := math.Min(high-ac.Inside.Wall-z, z-low-ac.Inside.Wall) - rod/2
			if i == 0 {
				out.Arm = math.Min(out.Arm, room)
			}
			// The slot: where arm or rod stands between the skin and a rod's height over it.
			if over := math.Max(z-high, low-z); room < 0 && over < 2*rod {
				out.From, out.To = math.Min(out.From, p.At.X+x-rod), math.Max(out.To, p.At.X+x+rod)
			}
		}
	}
	return out
}
