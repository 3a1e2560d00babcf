package aero

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"fledge/internal/craft"
)

// plainGroups is what Eval makes of the groups, the slow and plain way: side by
// side, with vectors, without passes or short cuts.
func plainGroups(m *Model, f *Flow, k *Factors) (force, moment r3.Vec, apart float64) {
	sa, ca := math.Sincos(f.Alpha)
	sb, cb := math.Sincos(f.Beta)
	air := r3.Vec{X: f.V * ca * cb, Y: f.V * sb, Z: f.V * sa * cb}
	turn := r3.Vec{X: f.P, Y: f.Q, Z: f.R}
	node, x := m.place(f.V, f.Rho, f.Mu)
	bent := x + 0.344*x*(1-x)
	bent *= bent * (3 - 2*bent)
	ge := 0.0
	if f.Height < m.groundHi {
		ge, _ = m.near(f.Height)
	}
	stream := 0.0
	if f.PropOn && m.prop.slip {
		stream = 2 * math.Max(0, f.Thrust) / (f.Rho * m.prop.area)
	}
	alike := []float64{air.X, air.Z, k.Damping * f.Q, k.Control * air.X * bend(f.Pitch), k.Control * air.X * bend(f.Brake)}
	opposed := []float64{air.Y, k.Damping * f.P, k.Damping * f.R, k.Control * air.X * bend(f.Roll), k.Control * air.X * bend(f.Yaw)}
	for i := range m.groups {
		g := &m.groups[i]
		du := 0.0
		if stream != 0 && g.slip != 0 {
			u := air.X + f.Q*g.z
			du = inStream(u, stream*g.slip) - u
		}
		for _, side := range []float64{1, -1} {
			if side < 0 && !g.twin {
				break
			}
			at := r3.Vec{X: g.x, Y: side * g.y, Z: g.z}
			ny := side * g.ny
			local := r3.Add(air, r3.Cross(turn, at))
			local.X += du
			against := g.nz*local.Z - ny*local.Y
			outward := side * (ny*local.Z + g.nz*local.Y)
			speed := math.Sqrt(sq(local.X) + sq(against) + 1e-6)
			gam := 0.0
			for c := range alike {
				gam += (g.gs[c]+ge*g.eg[c])*alike[c] + side*g.ga[c]*opposed[c]
			}
			if du != 0 {
				o := m.own[i]
				gam += du * (o[0] + k.Control*(o[1]*bend(f.Pitch)+o[2]*bend(f.Brake)+side*(o[3]*bend(f.Roll)+o[4]*bend(f.Yaw))))
			}
			gam *= k.Lift
			de := k.Control * (g.dp*f.Pitch + g.db*f.Brake + side*(g.dr*f.Roll+g.dy*f.Yaw))
			cl := 2 * gam / (g.c * speed)
			share := 1.0
			s := &m.skins[g.surface]
			free := cl - 0.5*g.dcl*de
			hi, lo := g.hi*s.up.at(node, x)*k.ClMax, g.lo*s.low.at(node, x)*k.ClMax
			switch {
			case free > hi:
				share -= smooth((free - hi) / g.hw)
			case free < lo:
				share -= smooth((lo - free) / g.lw)
			}
			share *= 1 - smooth((0.8-local.X/speed)/0.3)
			if g.main {
				apart += (1 - share) * g.half
			}
			drag := s.drag.at(node, x) * k.Drag * (share*g.profile(cl, node, bent) + (1-share)*g.d0)
			// The plate, normal to itself.
			plate := g.phi + 0.7*de
			wp := against + local.X*plate
			n := (1 - share) * 0.5 * g.s * speed * wp * g.plate * (1/(0.56+0.44*math.Abs(wp)/speed) - g.plateAR)
			lift := share * g.b * gam
			fn := lift*(local.X+g.t*outward) + speed*drag*against + n
			ff := lift*against - speed*drag*local.X - n*plate
			fs := lift * against * g.t
			one := r3.Vec{X: ff, Y: fn*ny + side*fs*g.nz, Z: side*fs*ny - fn*g.nz}
			force = r3.Add(force, one)
			moment = r3.Add(moment, r3.Cross(at, one))
			if share < 1 {
				cp := n * g.c * (0.25 - 0.13*local.X/speed)
				moment = r3.Add(moment, r3.Vec{Y: -cp * g.nz, Z: -cp * ny})
			}
		}
	}
	return force, moment, apart
}

// Eval's passes and short cuts change nothing: with all but the groups taken
// away it is the plain way, to 1e-12 of the largest load, at any attitude,
// rate, deflection, height, thrust and factor.
func TestEvalIsPlain(t *testing.T) {
	fleet := fleet()
	tractor := conventional()
	tractor.Power.Propeller = craft.Propeller{Diameter: 0.25, Pitch: 0.15, Blades: 2, At: r3.Vec{X: -0.02}}
	pusher := tailless()
	pusher.Power.Propeller = craft.Propeller{Diameter: 0.15, Pitch: 0.12, Blades: 2, At: r3.Vec{X: 0.33}}
	for _, ac := range append(fleet, tractor, pusher) {
		full := model(t, ac)
		m := *full
		m.groups = append([]group(nil), full.groups...)
		if ac == fleet[0] { // more groups than go through at a time
			m.groups = append(m.groups, m.groups...)
			m.own = append(append([][5]float64(nil), full.own...), full.own...)
		}
		m.restMy, m.restMx, m.restMz, m.restFy = [5]float64{}, [5]float64{}, [5]float64{}, [5]float64{}
		m.drag, m.dragA, m.dragG, m.yaw = [10]float64{}, [10]float64{}, [10]float64{}, [12]float64{}
		m.cm0, m.munkY, m.munkZ, m.bodyY, m.cross, m.fixed, m.body = 0, 0, 0, 0, [2]cross{}, 0, curve{}
		m.young, m.prop.side, m.prop.scrub = [4]float64{}, 0, 0
		rapid.Check(t, func(rt *rapid.T) {
			d := func(name string, a float64) float64 { return rapid.Float64Range(-a, a).Draw(rt, name) }
			wide := rapid.SampledFrom([]float64{0.1, 0.4, math.Pi}).Draw(rt, "attitude")
			f := Flow{
				V: rapid.Float64Range(0, 90).Draw(rt, "V"), Alpha: d("alpha", wide), Beta: d("beta", wide),
				P: d("p", 10), Q: d("q", 10), R: d("r", 10), Pitch: d("pitch", 0.6), Roll: d("roll", 0.6), Yaw: d("yaw", 0.6),
				Brake: rapid.Float64Range(0, 0.6).Draw(rt, "brake"), Height: rapid.Float64Range(0, 3).Draw(rt, "h"), Rho: 1.2, Mu: 1.8e-5,
				PropOn: rapid.Bool().Draw(rt, "turning"), Thrust: rapid.Float64Range(0, 20).Draw(rt, "thrust"),
			}
			k := Neutral()
			k.Drag, k.Lift, k.ClMax, k.Damping, k.Control = 1+d("drag", 0.2), 1+d("lift", 0.1), 1+d("most", 0.2), 1+d("damping", 0.3), 1+d("control", 0.3)
			var got Loads
			m.Eval(&f, &k, &got)
			force, moment, apart := plainGroups(&m, &f, &k)
			force, moment = r3.Scale(f.Rho, force), r3.Scale(f.Rho, moment)
			size := 1e-12 * (1 + r3.Norm(force) + f.V*f.V)
			if e := r3.Norm(r3.Sub(got.F, force)); !(e < size) {
				rt.Errorf("%s: force %v, plainly %v at %+v", ac.Name, got.F, force, f)
			}
			if e := r3.Norm(r3.Sub(got.M, moment)); !(e < size) {
				rt.Errorf("%s: moment %v, plainly %v at %+v", ac.Name, got.M, moment, f)
			}
			if (got.Flag&Stalled != 0) != (apart > 1./3) {
				rt.Errorf("%s: %v with %g of the wing separated", ac.Name, got.Flag, apart)
			}
		})
	}
}
