package aero

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/air"
	"fledge/internal/craft"
)

const deg = math.Pi / 180

// reference fills in the reference lengths of the largest surface.
func reference(ac *craft.Aircraft) {
	best := 0.0
	for i, s := range ac.Surfaces {
		area, mac, x, z := 0.0, 0.0, 0.0, 0.0
		span := 0.0
		for j := 1; j < len(s.Stations); j++ {
			a, b := s.Stations[j-1], s.Stations[j]
			for k := range 200 {
				t := (float64(k) + 0.5) / 200
				c := a.Chord + t*(b.Chord-a.Chord)
				dy := math.Abs(b.LE.Y-a.LE.Y) / 200
				area += c * dy
				mac += c * c * dy
				x += (a.LE.X + t*(b.LE.X-a.LE.X)) * c * dy
				z += (a.LE.Z + t*(b.LE.Z-a.LE.Z)) * c * dy
			}
			span = math.Max(span, b.LE.Y)
		}
		if s.Mirrored {
			if 2*area > best {
				best = 2 * area
				c := mac / area
				ac.Ref = craft.Reference{
					Wing: i, Area: 2 * area, Span: 2 * span, Chord: c, XLE: x / area,
					Point: r3.Vec{X: x/area + c/4, Z: z / area},
				}
			}
		}
	}
}

func station(x, y, z, chord, twist float64, sec string) craft.Station {
	return craft.Station{LE: r3.Vec{X: x, Y: y, Z: z}, Chord: chord, Twist: twist * deg, Section: sec}
}

// conventional is an invented sport model: wing with dihedral and ailerons,
// tail, fin, round-edged body.
func conventional() *craft.Aircraft {
	ac := &craft.Aircraft{Name: "conventional"}
	ac.Surfaces = []craft.Surface{
		{
			Name: "wing", Mirrored: true, Stations: []craft.Station{
				station(0.25, 0, 0.02, 0.20, 1, "NACA 2410"), station(0.26, 0.35, 0.035, 0.17, 0.5, "NACA 2410"), station(0.285, 0.55, 0.05, 0.11, -0.5, "NACA 2409"),
			},
			Controls: []craft.Control{{Name: "aileron", From: 0.3, To: 0.52, ChordShare: 0.24, Roll: 1, ThrowUp: 18 * deg, ThrowDown: 12 * deg}},
		},
		{
			Name: "tail", Mirrored: true, Stations: []craft.Station{
				station(0.80, 0, 0.06, 0.12, 0, "NACA 0008"), station(0.82, 0.2, 0.06, 0.085, 0, "NACA 0008"),
			},
			Controls: []craft.Control{{Name: "elevator", From: 0, To: 0.2, ChordShare: 0.33, Pitch: 1, ThrowUp: 15 * deg, ThrowDown: 12 * deg}},
		},
		{
			Name: "fin", Stations: []craft.Station{
				station(0.78, 0, 0.06, 0.14, 0, "NACA 0008"), station(0.84, 0, 0.22, 0.08, 0, "NACA 0008"),
			},
			Controls: []craft.Control{{Name: "rudder", From: 0.07, To: 0.21, ChordShare: 0.35, Yaw: 1, ThrowUp: 20 * deg, ThrowDown: 20 * deg}},
		},
	}
	ac.Body = []craft.BodyStation{{X: 0, Width: 0.02, Height: 0.02}, {X: 0.1, Width: 0.07, Height: 0.08}, {X: 0.45, Width: 0.06, Height: 0.07}, {X: 0.93, Width: 0.02, Height: 0.03}}
	ac.Power.Place = "tractor"
	ac.Extras = []craft.Extra{{Name: "aerial", Kind: "rod", At: r3.Vec{X: 0.5, Z: -0.05}, Length: 0.08, Width: 0.003}}
	reference(ac)
	ac.Mass.Total = 1.2
	ac.Mass.CG = r3.Vec{X: ac.Ref.XLE + 0.28*ac.Ref.Chord}
	return ac
}

// vtail is the conventional with a V-tail of 40 degrees.
func vtail() *craft.Aircraft {
	ac := conventional()
	ac.Name = "v-tail"
	ac.Surfaces = ac.Surfaces[:2]
	ac.Surfaces[1] = craft.Surface{
		Name: "tail", Mirrored: true, Stations: []craft.Station{
			station(0.78, 0, 0.03, 0.13, 0, "NACA 0008"), station(0.82, 0.19, 0.19, 0.08, 0, "NACA 0008"),
		},
		Controls: []craft.Control{{Name: "ruddervator", From: 0.01, To: 0.19, ChordShare: 0.3, Pitch: 1, Yaw: 1, ThrowUp: 15 * deg, ThrowDown: 15 * deg}},
	}
	reference(ac)
	return ac
}

// tailless is an invented small swept wing with elevons and washout.
func tailless() *craft.Aircraft {
	ac := &craft.Aircraft{Name: "tailless"}
	ac.Surfaces = []craft.Surface{
		{
			Name: "wing", Mirrored: true, Stations: []craft.Station{
				station(0.05, 0, 0, 0.24, 0, "NACA 2309"), station(0.26, 0.42, 0.01, 0.14, -3, "NACA 0009"),
			},
			Controls: []craft.Control{{Name: "elevon", From: 0.12, To: 0.40, ChordShare: 0.22, Pitch: 1, Roll: 1, ThrowUp: 20 * deg, ThrowDown: 20 * deg, Trim: 3 * deg}},
		},
		{Name: "fin", Mirrored: true, Stations: []craft.Station{
			station(0.27, 0.42, 0.01, 0.13, 0, "NACA 0008"), station(0.32, 0.425, 0.12, 0.08, 0, "NACA 0008"),
		}},
	}
	ac.Body = []craft.BodyStation{{X: 0, Width: 0.04, Height: 0.04}, {X: 0.1, Width: 0.06, Height: 0.06}, {X: 0.3, Width: 0.05, Height: 0.05}}
	ac.Power.Place = "pusher"
	reference(ac)
	ac.Mass.Total = 0.6
	ac.Mass.CG = r3.Vec{X: ac.Ref.Point.X - 0.03*ac.Ref.Chord}
	return ac
}

func standard() air.State { s, _ := air.Standard(0); return s }

func model(t testing.TB, ac *craft.Aircraft) *Model {
	t.Helper()
	m, err := New(ac, standard(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func fleet() []*craft.Aircraft { return []*craft.Aircraft{conventional(), vtail(), tailless()} }

// evenDrag gives all sections a share of their least drag at every lift.
func evenDrag(m *Model, share float64) {
	for i := range m.groups {
		g := &m.groups[i]
		g.d0 *= share
		g.polar = new(polar)
		for n := range g.polar {
			for j := range g.polar[n] {
				g.polar[n][j].a0 = g.d0
			}
		}
	}
}
