// Package aero is the whole aeroplane in the air: forces and moments at any
// attitude, without the propeller. It is built once from a vortex lattice
// (package wing) and section data (package section), and then evaluated in a
// few hundred nanoseconds.
//
// Attached flow is the lattice's, exactly: circulation of spanwise groups of
// strips is linear in the velocities, rates and deflections, and the
// Kutta-Joukowski law turns it into loads that depend on them to second
// order, so that sideslip with sweep and dihedral, adverse yaw and rate
// couplings come with it. Each group stalls on its own when its lift passes
// the section's limit at the Reynolds number of the moment, and goes over
// smoothly into flat-plate flow that holds all the way round; a stall
// therefore starts where the loading is highest, spreads, and rolls the
// aeroplane off when one side goes first. The body has its unstable moment
// (Munk, Multhopp), its cross-flow drag; small parts have their drag; the
// ground is an image.
//
// Axes: forces and moments in body axes (x forward, y right, z down), about
// craft's reference point. Deflections are those of the axes: Pitch nose up,
// Roll right wing down, Yaw nose right, positive, in radians at the hinge.
//
// Sources: NACA TR-572 and TN 1269 (critical section), ECN-C-03-025 (flat
// plate), NACA TR-184 and TM 1036 (bodies), Hoerner (parasite drag).
package aero

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"fledge/internal/wing"
)

// Flow is what the airframe feels.
type Flow struct {
	V, Alpha, Beta   float64 // m/s, rad; any attitude
	P, Q, R          float64 // rad/s, body axes
	Pitch, Roll, Yaw float64 // axis deflections, rad
	Brake            float64 // rad, >= 0
	Height           float64 // of the reference point above the ground, m; +Inf in free air
	Rho, Mu          float64 // kg/m³, Pa s
	PropOn           bool    // the propeller turns: its side force and its stream act
	Thrust           float64 // N, when PropOn; sets the strength of the stream
}

// Flag says how far a result is outside the model's sure range; 0 is inside.
type Flag uint16

// The bits of a Flag.
const (
	Stalled       Flag = 1 << iota // more than a third of the main wing is separated
	TipStall                       // an outer group of the main wing is separated while the inner ones are not
	TailStalled                    // more than half of another surface is separated
	BeyondAlpha                    // |alpha| above 25 degrees: flat-plate law, about 15 %
	BeyondBeta                     // |beta| above 20 degrees
	LowRe                          // mean chord below Re 40,000
	HighRe                         // mean chord above Re 3 million
	BeyondControl                  // a deflection above 35 degrees
	NotFinite                      // an argument was not finite: loads are zero
)

var flagWords = []struct {
	f Flag
	s string
}{
	{Stalled, "wing stalled"},
	{TipStall, "tip stalled"},
	{TailStalled, "tail stalled"},
	{BeyondAlpha, "angle of attack outside the sure range"},
	{BeyondBeta, "sideslip outside the sure range"},
	{LowRe, "very low Reynolds number"},
	{HighRe, "high Reynolds number"},
	{BeyondControl, "deflection outside the sure range"},
	{NotFinite, "not a finite flow"},
}

// String lists the set bits in words.
func (f Flag) String() string {
	s := ""
	for _, w := range flagWords {
		if f&w.f != 0 {
			if s != "" {
				s += ", "
			}
			s += w.s
		}
	}
	return s
}

// Loads are force (N) and moment (N m) in body axes about the reference
// point.
type Loads struct {
	F, M r3.Vec
	Flag Flag
}

// Factors are the doubts of a draw: multipliers around 1 and additions
// around 0.
type Factors struct {
	Drag     float64 // of all profile and parasite drag
	Lift     float64 // of circulation
	ClMax    float64 // of every section's limits
	Damping  float64 // of the rate terms
	Control  float64 // of the control effectiveness
	Cm0, CL0 float64 // added
	NP       float64 // neutral point moved aft, m
	DragArea float64 // m², added at the reference point
	Induced  float64 // of the induced drag
	Dihedral float64 // Cl per rad of beta, added (geometry doubts)
}

// Neutral returns the factors that change nothing.
func Neutral() Factors {
	return Factors{Drag: 1, Lift: 1, ClMax: 1, Damping: 1, Control: 1, Induced: 1}
}

// group is a few neighbouring strips of one surface, and their mirror image
// when twin.
type group struct {
	twin    bool
	main    bool
	tip     bool
	surface int
	// circulation per unit of each column, alike and opposed; change of the
	// alike ones close to the ground
	gs, ga, eg [5]float64
	x, y, z    float64 // body axes from the reference point, right side
	ny, nz     float64 // normal in build axes
	t          float64 // effective tangent of sweep
	b, c, s    float64 // width, chord, area
	// control deflection, trailing edge down, per axis: pitch, brake (both
	// sides alike), roll, yaw (opposed)
	dp, db, dr, dy float64
	dcl            float64 // lift of the deflection at constant angle, per rad
	// stall: lift at which separation starts and its width, both sides
	hi, lo   float64
	hw, lw   float64
	phi      float64 // angle of the plate to the body axis
	plate    float64 // CN at 90 degrees, two-dimensional
	plateAR  float64 // 0.41(1-exp(-17/A))
	hwi, lwi float64 // 1/hw, 1/lw
	half1    float64 // dcl/2
	// Made of the above for Eval's passes: b times gs (but the brake's) and ga;
	// nz y + ny z; t times ny, nz and nz z - ny y; 2/(b c).
	lift              [9]float64
	np, tny, tnz, tnq float64
	per               float64
	hs                float64 // s/2
	d0                float64 // s/2 times cd0
	flapped           bool
	slip              float64 // share of the area in the propeller's stream
	reach             float64 // half the group's extent in eta
	cd0               float64 // least profile drag at the reference Reynolds number
	clFrom            float64 // lift coefficient where the polar begins, and its bins per unit
	perBin            float64
	polar             *polar
	half              float64 // area of one side over the main wing's
	eta               float64
}

// nRe nodes of Reynolds number, each twice the one before.
const nRe = 7

// curve is a quantity over the grid of Reynolds numbers: a cubic in each
// interval, continuous slope.
type curve [nRe - 1][4]float64

// newCurve runs through the values at the nodes with slopes of the
// neighbours' chords (in Reynolds number, the nodes being unevenly spaced),
// level at both ends.
func newCurve(v [nRe]float64) (c curve) {
	var slope [nRe]float64 // per Reynolds number, in units of the first node
	x := func(i int) float64 { return math.Exp2(float64(i)) }
	for i := 1; i < nRe-1; i++ { // level at the ends, beyond which it is held
		// Weighted as a parabola through three points has it.
		d0, d1 := (v[i]-v[i-1])/(x(i)-x(i-1)), (v[i+1]-v[i])/(x(i+1)-x(i))
		slope[i] = (2*d0 + d1) / 3
	}
	for i := range c {
		h := x(i+1) - x(i)
		m0, m1, d := slope[i]*h, slope[i+1]*h, v[i+1]-v[i]
		c[i] = [4]float64{v[i], m0, 3*d - 2*m0 - m1, m0 + m1 - 2*d}
	}
	return c
}

func (c *curve) at(i int, t float64) float64 {
	k := &c[i]
	return k[0] + t*(k[1]+t*(k[2]+t*k[3]))
}

// reynolds places a Reynolds number over that of the first node in the grid.
func reynolds(r float64) (i int, t float64) {
	if !(r > 1) {
		return 0, 0
	}
	if r >= 1<<(nRe-1) {
		return nRe - 2, 1
	}
	b := math.Float64bits(r)
	i = int(b>>52) - 1023
	return i, math.Float64frombits(b&(1<<52-1)|1023<<52) - 1
}

// skin is what a surface's Reynolds number changes, relative to the
// reference Reynolds number.
type skin struct{ up, low, drag curve }

// Model is one aeroplane's aerodynamics; immutable, safe for parallel use.
type Model struct {
	Area, Span, Chord float64 // reference, as craft's
	point             r3.Vec  // reference point, build axes

	groups []group
	own    [][5]float64 // per group, of its own surface: see ownParts
	skins  []skin       // by surface
	perRe0 float64
	re0    float64 // Reynolds number of the mean chord at the first node
	body   curve   // drag area of the body and of all that follows friction

	// What the groups' places miss of the lattice's loads, per unit of the
	// columns and of u.
	restMy, restMx, restMz, restFy [5]float64

	// Induced drag as quadratic forms of the columns: alike (free air and the
	// ground's change), opposed, and the yawing moment of both together.
	// The brake's and the rudder's part is left to their profile drag, the
	// pitch rate's yaw is left out.
	drag, dragG, dragA [10]float64
	yaw                [12]float64 // shape, w, pitch by v, p, r, roll

	cm0                float64 // of the sections, times S c
	munkY, munkZ       float64 // My = rho u w munkY, Mz = rho u v munkZ
	bodyY              float64 // Fy = rho |V| v bodyY
	bodyAt             r3.Vec
	cross              [2]cross
	fixed              float64 // drag area of small parts
	fixedAt            r3.Vec
	young              [4]float64           // drag area per deflection squared: pitch, roll, yaw, brake
	ground, groundDrag [groundNodes]float64 // the ground's lift and drag over those at the middle node
	groundHi           float64
	groundBend         float64
	clAlpha            float64

	prop     prop
	wake     struct{ taper, sweep float64 } // of the main wing
	lattice  *wing.Lattice
	columns  [2][5][]float64 // circulation of the strips per unit of each column, alike and opposed
	derive   wing.Derivatives
	itemsRaw []item
	throws   throws
	hinges   []hinge
	np       float64
	notes    []string
	air      struct{ rho, mu float64 }
	vRef     float64
	foils    map[string]*foil
	doubts   Factors
	opt      Options
}

// groundNodes heights, denser near the ground: x = 8 h (1 + c/H)/(h + c).
const groundNodes = 9

// cross is a half of the body, fore or aft, that the wind crosses: where it is
// and half its drag area across, from the side and from below.
type cross struct{ x, z, side, plan float64 }

// smooth is the quintic step: 0 below 0, 1 above 1, two continuous
// derivatives.
func smooth(t float64) float64 {
	if t <= 0 {
		return 0
	}
	if t >= 1 {
		return 1
	}
	return t * t * t * (10 + t*(-15+6*t))
}

// bend reduces a large deflection to what a plain flap still achieves: 0.94
// at 12 degrees, 0.78 at 25, 0.59 at 40 (after DATCOM 6.1, from memory).
func bend(d float64) float64 { return d / (1 + 1.45*d*d) }
