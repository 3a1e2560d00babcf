package perform

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func TestTurnTable(t *testing.T) {
	p := &Plane{Mass: 1, Area: 1, Rho: 1, Stall: 0.1}
	src := cite.Ours.At("level co-ordinated turn, reference flight", cite.Derived)
	for _, r := range check.CSV(t, check.RefFile("flight-turn.csv")) {
		get := func(k string) float64 { return check.Number(t, r, k) }
		v, bank := get("V_m_s"), get("bank_deg")*math.Pi/180
		u := p.TurnAt(v, bank)
		row := func(what string, got, want, digit float64) {
			check.Row{Topic: "turns", Name: fmt.Sprintf("%s, %g m/s, %g deg", what, v, get("bank_deg")), Source: src}.Near(t, got, want, check.Printed(digit))
		}
		row("load factor", u.Load, get("n"), 1e-5)
		row("radius", u.Radius, get("radius_m"), 1e-4)
		row("rate", u.Rate*180/math.Pi, get("rate_deg_s"), 1e-4)
		row("period", 2*math.Pi/u.Rate, get("period_s"), 1e-4)
		if b := BankFor(v, u.Radius); math.Abs(b-bank) > 1e-12 {
			t.Errorf("bank for the radius at %g m/s: %g, was %g", v, b, bank)
		}
		if s := SpeedFor(bank, u.Radius); math.Abs(s-v) > 1e-9 {
			t.Errorf("speed for the radius: %g, was %g", s, v)
		}
	}
	loiter := cite.Ours.At("loiter radius, reference evidence 7", cite.Derived)
	for _, r := range []struct{ kmh, bank, want float64 }{{140, 25, 330.7}, {140, 45, 154.2}, {95, 25, 152.3}} {
		check.Row{Topic: "turns", Name: fmt.Sprintf("loiter radius, %g km/h, %g deg", r.kmh, r.bank), Unit: "m", Source: loiter}.
			Near(t, p.TurnAt(r.kmh/3.6, r.bank*math.Pi/180).Radius, r.want, check.Printed(0.11))
	}
}

// flying is a plane with a drive of constant efficiency: current = thrust
// times speed over 0.5 times 12 V.
func flying() *Plane {
	p := parabola(6, 0.1, 0.8, 0.8, 0.03, 1, 1.2)
	p.Thrust = func(float64) float64 { return 5 }
	p.Settle = func(v, thrust, charge float64) Draw {
		if thrust > 5 {
			return Draw{Status: NoLevelFlight}
		}
		return Draw{Throttle: thrust / 5, Current: thrust * v / (0.5 * 12), Volts: 12, Status: OK}
	}
	p.Capacity, p.Charge, p.Reserve = 7200, 1, 0.2
	return p
}

func racetrack(v float64) []Leg {
	return []Leg{
		{Name: "out", Straight: 200, Speed: v, Climb: 10}, {Name: "turn", Turn: math.Pi, Bank: 0.8, Speed: v},
		{Name: "back", Straight: 200, Speed: 0.8 * v, Climb: -10}, {Name: "home", Turn: math.Pi, Bank: 0.8, Speed: v},
	}
}

// Energy closes over a lap: thrust and drag differ by climb and change of
// speed, and both are nil round a lap.
func TestLapEnergy(t *testing.T) {
	p := flying()
	lap := p.LapAt(racetrack(25), 1)
	if lap.Status != OK {
		t.Fatal(lap.Status)
	}
	pulled, dragged := 0.0, 0.0
	for _, l := range lap.Legs {
		pulled += l.Thrust * l.Length
		dragged += l.Drag * l.Length
	}
	if math.Abs(pulled-dragged) > 1e-9*dragged {
		t.Errorf("round a lap thrust did %g J, drag took %g J", pulled, dragged)
	}
	// Charge and energy by the drive's own law.
	if want := pulled / 0.5; math.Abs(lap.Energy-want) > 1e-6*want {
		t.Errorf("energy %g J, want %g", lap.Energy, want)
	}
	laps := p.LapsToReserve(racetrack(25))
	if want := 7200 * 0.8 / lap.Charge; math.Abs(laps.Number-want) > 1e-9*want || math.Abs(laps.Time-want*lap.Time) > 1e-9*laps.Time {
		t.Errorf("%g laps in %g s, want %g", laps.Number, laps.Time, want)
	}
	// A straight climb: the work is drag and height.
	up := []Leg{{Straight: 300, Speed: 20, Climb: 40}}
	one := p.LapAt(up, 1)
	f := one.Legs[0]
	if want := f.Drag*f.Length + 6*40; math.Abs(f.Thrust*f.Length-want) > 1e-9*want {
		t.Errorf("a climb of 40 m: %g J, want %g", f.Thrust*f.Length, want)
	}
	for _, bad := range []struct {
		leg  Leg
		want Status
	}{
		{Leg{Turn: 1, Speed: 20}, NoTurn}, {Leg{Turn: 1, Bank: 1.5, Speed: 15}, TooSlow}, {Leg{Straight: 100, Speed: 90}, TooFast},
		{Leg{Straight: 100, Climb: -60, Speed: 15}, Excess},
	} {
		if got := p.LapAt([]Leg{bad.leg}, 1).Legs[0].Status; got != bad.want {
			t.Errorf("%+v: %q, want %q", bad.leg, got, bad.want)
		}
	}
	p.Settle = nil
	if l := p.LapsToReserve(racetrack(20)); l.Status != NoPower || !math.IsNaN(l.Time) {
		t.Errorf("a glider laps: %+v", l)
	}
}

// A racetrack of equal turns closes; a mirrored one is the mirror image; its
// length is that of the legs.
func TestPath(t *testing.T) {
	legs := []Leg{{Straight: 200, Speed: 30}, {Turn: math.Pi, Bank: 0.8, Speed: 30}, {Straight: 200, Speed: 30}, {Turn: math.Pi, Radius: 30 * 30 / (Gravity * math.Tan(0.8)), Speed: 30}}
	path, open := Path(legs, 40, 100, 50, -math.Pi/2, 2)
	if open > 1e-9 {
		t.Errorf("the racetrack is %g m open", open)
	}
	r := 30 * 30 / (Gravity * math.Tan(0.8))
	for _, n := range path {
		if n.X < 40-1e-9 || n.X > 40+2*r+1e-9 || math.Abs(n.Y) > 100+r+1e-9 || n.Z != 50 {
			t.Fatalf("off the track: %+v", n)
		}
	}
	for i := range legs {
		legs[i].Turn = -legs[i].Turn
	}
	mirror, _ := Path(legs, 40, -100, 50, math.Pi/2, 2)
	for i := range path {
		if math.Abs(path[i].X-mirror[i].X) > 1e-9 || math.Abs(path[i].Y+mirror[i].Y) > 1e-9 || math.Abs(path[i].Bank+mirror[i].Bank) > 1e-12 {
			t.Fatalf("node %d: %+v, mirrored %+v", i, path[i], mirror[i])
		}
	}
	last := path[len(path)-1]
	if want := 400 + 2*math.Pi*r; math.Abs(last.Along-want) > 3 {
		t.Errorf("length %g m, want %g", last.Along, want)
	}
}

func TestStraightAndBleed(t *testing.T) {
	src := cite.Ours.At("decay of an excess of speed at constant thrust, reference evidence 4.3", cite.Derived)
	for _, r := range []struct{ m, s, cd, vm, v0, x, ell, want float64 }{
		{0.7, 0.10, 0.020, 62, 74, 100, 285.714, 70.6686}, {0.7, 0.10, 0.020, 62, 74, 200, 285.714, 68.2234}, {0.5, 0.08, 0.025, 60, 75, 150, 204.082, 67.6092},
	} {
		const rho = 1.225 // the lengths printed are those of m/(rho S CD) at this density
		p := &Plane{Mass: r.m, Area: r.s, Rho: rho, Stall: 8}
		p.Drag = func(v, _ float64) float64 { return 0.5 * rho * v * v * r.s * r.cd }
		top := p.Drag(r.vm, 1)
		p.Thrust = func(float64) float64 { return top }
		name := fmt.Sprintf("%g m/s over a top speed of %g, after %g m", r.v0, r.vm, r.x)
		check.Row{Topic: "run-in", Name: "decay length, " + name, Unit: "m", Source: src}.Near(t, p.DecayLength(r.vm), r.ell, check.Printed(1e-3))
		v, mean := p.Straight(r.v0, r.x)
		check.Row{Topic: "run-in", Name: name, Unit: "m/s", Source: src}.Near(t, v, r.want, check.Printed(1e-4))
		if !(mean < r.v0 && mean > v) {
			t.Errorf("%s: mean %g between %g and %g", name, mean, v, r.v0)
		}
		// Motor off, drag as v²: v falls as exp(-x/ell).
		d, _ := p.Bleed(r.v0, r.v0/2, func(v float64) float64 { return p.Drag(v, 1) })
		if want := 2 * p.DecayLength(r.vm) * math.Ln2; math.Abs(d-want) > 1e-5*want {
			t.Errorf("%s: halved after %g m, want %g", name, d, want)
		}
		// The run up to a share of the top speed, by the closed form of the same law.
		run, _, _ := p.RunTo(0.5*r.vm, 0.95*r.vm)
		if want := p.DecayLength(r.vm) * math.Log((1-0.25)/(1-0.95*0.95)); math.Abs(run-want) > 1e-3*want {
			t.Errorf("%s: run-in %g m, want %g", name, run, want)
		}
	}
}

func TestLandAs(t *testing.T) {
	p := parabola(0.6*Gravity, 0.09, 0.8, 0.85, 0.02, 1.0, 1.225)
	base := Approach{Height: 10, Margin: 1.3, Friction: 0.4}
	plan := p.LandAs(base)
	if old := p.Land(10, 0, 1.3, 0.4); old != plan {
		t.Errorf("Land %+v is not LandAs %+v", old, plan)
	}
	with := func(f func(*Approach)) Landing { a := base; f(&a); return p.LandAs(a) }
	// Laws: wind, slope, brakes and S-turns act the right way; a path may be
	// flatter than the glide (with thrust) but not steeper.
	for _, r := range []struct {
		say    string
		change func(*Approach)
	}{
		{"headwind", func(a *Approach) { a.Wind = 3 }}, {"uphill", func(a *Approach) { a.Slope = 0.05 }}, {"brake", func(a *Approach) { a.Extra = func(v float64) float64 { return 0.002 * v * v } }},
		{"S-turns", func(a *Approach) { a.Weave = 1 }}, {"slower", func(a *Approach) { a.Margin = 1.2 }}, {"rough ground", func(a *Approach) { a.Friction = 0.8 }},
	} {
		if l := with(r.change); l.Status != OK || l.Distance >= plan.Distance {
			t.Errorf("%s: %g m (%s), plain %g m", r.say, l.Distance, l.Status, plan.Distance)
		}
	}
	steep := with(func(a *Approach) { a.Path = 2 * plan.Angle })
	if steep.Status != TooSteep {
		t.Errorf("twice the glide's path: %q", steep.Status)
	}
	flat := with(func(a *Approach) { a.Path = plan.Angle / 2 })
	if want := p.Drag(plan.Approach, math.Cos(plan.Angle/2)) - p.Weight()*math.Sin(plan.Angle/2); flat.Status != OK || math.Abs(flat.Thrust-want) > 1e-9 || flat.Distance <= plan.Distance {
		t.Errorf("half the glide's path: %+v", flat)
	}
	if l := with(func(a *Approach) { a.Wind = 40 }); l.Status != NoReach {
		t.Errorf("in a storm: %q", l.Status)
	}
	// Energy along the approach: height and speed lost are what drag took.
	g := p.GlideAt(plan.Approach)
	if lost, took := p.Weight()*10, p.Drag(plan.Approach, math.Cos(g.Angle))*10/math.Sin(g.Angle); math.Abs(lost-took) > 1e-9*lost {
		t.Errorf("10 m of height are %g J, drag took %g J", lost, took)
	}
	// A slide up a slope, without air: v²/(2 g (mu cos + sin)).
	const mu, slope, v = 0.4, 0.1, 9.0
	d, tm := SlideOn(0.6, 1e-12, mu, 0, 0, 1.2, v, 0, slope)
	a := Gravity * (mu*math.Cos(slope) + math.Sin(slope))
	if math.Abs(d-v*v/(2*a)) > 1e-9*d || math.Abs(tm-v/a) > 1e-9*tm {
		t.Errorf("uphill slide %g m in %g s, want %g and %g", d, tm, v*v/(2*a), v/a)
	}
	if d, _ := SlideOn(0.6, 1e-12, 0.1, 0, 0, 1.2, v, 0, -0.2); !math.IsNaN(d) {
		t.Errorf("a slide that never stops: %g m", d)
	}
	// Going round: thrust that only equals drag climbs nowhere.
	if g := p.Again(12, 0.1, p.Drag(12, 1), 0.5); g.Status != NoLevelFlight || math.Abs(g.Climb) > 1e-9 {
		t.Errorf("thrust equal to drag: %+v", g)
	}
	if g := p.Again(12, 0.1, p.Drag(12, 1)+0.5*p.Weight(), 0.5); math.Abs(g.Climb-6) > 1e-9 || !(g.Sunk > 12*math.Sin(0.1)*0.5) {
		t.Errorf("half her weight to spare at 12 m/s: %+v", g)
	}
}

func TestEnvelope(t *testing.T) {
	p := flying()
	for _, e := range p.Envelope([]float64{p.Stall, 20, 30}, 3, 4.5, 0.11, 8) {
		up, _ := p.GustLoad(e.V, 3, 4.5, 0.11)
		if e.Up != up || math.Abs(e.Stall-e.V*e.V/(p.Stall*p.Stall)) > 1e-12 || e.Allowed > 8 || e.Allowed > e.Stall {
			t.Errorf("%+v", e)
		}
		if !e.StallsUp && math.Abs(e.Up+e.Down-2) > 1e-9 {
			t.Errorf("gusts up and down are no mirror images: %+v", e)
		}
	}
	h := p.HoldAt(25, math.Pi/4)
	if want := 7200 * 0.8 / (p.Drag(25, math.Sqrt2) * 25 / 6); h.Status != OK || math.Abs(h.Time-want) > 1e-9*want {
		t.Errorf("circle %+v, want %g s", h, want)
	}
	if h := p.HoldAt(p.Stall*1.05, math.Pi/3); h.Status != BelowStall {
		t.Errorf("a stalled circle: %+v", h)
	}
}
