package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/control"
	"fledge/internal/unit"
)

// pulseWords says where the pulses of a page come from.
func (p *SetUp) pulseWords() string {
	given, all := 0, 0
	for i := range p.Sheet.Controls {
		if c := &p.Sheet.Controls[i]; c.Described && c.State == control.OK {
			all++
			if c.PulseGiven {
				given++
			}
		}
	}
	out := "Edges up are positive; the right side is given, the left one mirrors it. Heights at the edge are where a control is widest: hold the ruler there."
	switch {
	case all == 0:
		return out
	case given == all:
		return out + " Pulses are those of the servos measured. A servo mounted the other way round turns backwards: reverse it in the transmitter first."
	}
	return out + " Pulses take 1500 us at centre and 10 us a degree where the build does not say (linkages: pulse): set by the edge, not by the number. A servo mounted the other way round turns backwards: reverse it in the transmitter first."
}

// small prints a length in mm with a decimal, or inches.
func (p *SetUp) fine(m float64) string {
	if math.IsNaN(m) {
		return "-"
	}
	if p.Units == unit.Imperial {
		return fmt.Sprintf("%.2f in", m/0.0254)
	}
	return fmt.Sprintf("%.1f mm", m*1e3)
}

// trims is the trim over the speeds.
func (p *SetUp) trims() Section {
	if len(p.Sheet.Trims) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"airspeed", "pitch controls, deg", "±", "nose to the air, deg", "±", ""}, Wrap: 5, Right: rights(6, 5)}
	for i, x := range p.Sheet.Trims {
		row := []string{p.fmt(x.V, unit.Speed), "-", "", "-", "", x.Why}
		if x.Why == "" {
			in := p.tabled().Trims[i].Interval
			row[1], row[2], row[3], row[4] = degrees(x.Pitch), unsigned(in.give("pitch_controls_deg", 1, 1)), degrees(x.Alpha), unsigned(in.give("alpha_deg", 1, 1))
		}
		t.Rows = append(t.Rows, row)
	}
	return Section{Title: "Hands-off trim over the speeds", Blocks: []Block{{Table: t}, para(plusMinus)}}
}

// TrimJSON is the hands-off trim at one speed.
type TrimJSON struct {
	Speed    Float  `json:"speed_m_s"`
	Pitch    Float  `json:"pitch_controls_deg"`
	Alpha    Float  `json:"alpha_deg"`
	Why      string `json:"status"` // "ok", or why there is none
	Interval Spans  `json:"interval,omitempty"`
}

// fineDoubt is what stands after a fine length for its doubt; "" for none.
func (p *SetUp) fineDoubt(in Spans, key string) string {
	low, high, ok := in.Span(key)
	if !ok || math.IsInf(high-low, 0) {
		return ""
	}
	return " ± " + p.fine((high-low)/half90)
}

// givenAfter is what stands after a number for its doubt; "" for none, or for
// one less than its last place.
func givenAfter(in Spans, key string, places int) string {
	if s := unsigned(in.give(key, 1, places)); strings.Trim(s, "0.") != "" {
		return " ± " + s
	}
	return ""
}

// widest is the largest ± of a key in rows, 0 for none.
func widest(key string, rows ...Spans) float64 {
	most := 0.0
	for _, in := range rows {
		if low, high, ok := in.Span(key); ok && !math.IsInf(high-low, 0) {
			most = math.Max(most, (high-low)/half90)
		}
	}
	return most
}

// stopsKnown says how well servo angles and pulses of the settings are known.
func stopsKnown(stops []StopJSON) string {
	var all, neutral []Spans
	for _, s := range stops {
		all = append(all, s.Interval)
		if s.Name == "neutral" {
			neutral = append(neutral, s.Interval)
		}
	}
	us := widest("pulse_us", all...)
	if us == 0 {
		return ""
	}
	return fmt.Sprintf("The edge is what is asked. The servo gets there ± %.1f deg, the pulse ± %.0f us at neutral and up to ± %.0f at the ends, as linkages are measured and built.", widest("servo_deg", all...), widest("pulse_us", neutral...), us)
}

// pulsesKnown says how well the pulses of positions are known.
func pulsesKnown(rows []LaunchRowJSON) string {
	var all []Spans
	for _, r := range rows {
		all = append(all, r.Interval)
	}
	us := math.Max(widest("pulse_right_us", all...), widest("pulse_left_us", all...))
	if us == 0 {
		return ""
	}
	line := fmt.Sprintf("The pulses are good to ± %.0f us, as linkages are measured and built", us)
	if d := math.Max(widest("right_deg", all...), widest("left_deg", all...)); d >= 0.05 {
		line += fmt.Sprintf(", the angles to ± %.1f deg", d)
	}
	return line + "."
}

// sweepKnown says how well the numbers of a linkage's table are known.
func sweepKnown(l *LinkageJSON) string {
	if l == nil {
		return ""
	}
	var all []Spans
	for _, r := range l.Table {
		all = append(all, r.Interval)
	}
	if widest("edge_deg", all...) == 0 {
		return ""
	}
	return fmt.Sprintf(" As linkages are measured and built, the pulse is good to ± %.0f us, the edge to ± %.1f deg, the ratio to ± %.2f, the angles to ± %.0f deg; each row's in --json.",
		widest("pulse_us", all...), widest("edge_deg", all...), widest("edge_per_servo", all...), math.Max(widest("angle_at_arm_deg", all...), widest("angle_at_horn_deg", all...)))
}

func trimsJSON(list []control.Trim) []TrimJSON {
	out := []TrimJSON{}
	for _, x := range list {
		j := TrimJSON{Speed: Float(x.V), Pitch: Float(deg(x.Pitch)), Alpha: Float(deg(x.Alpha)), Why: "ok"}
		if x.Why != "" {
			n := Float(math.NaN())
			j.Pitch, j.Alpha, j.Why = n, n, x.Why
		}
		out = append(out, j)
	}
	return out
}

// linkage is what the page says of a sound linkage.
func (p *SetUp) linkage(c *control.ControlSheet, known *ControlJSON) []string {
	var say []string
	if !math.IsNaN(c.Ends[0]) {
		mid := "-"
		for _, s := range c.Stops {
			if s.Name == "neutral" {
				mid = micro(s.Pulse)
			}
		}
		say = append(say, fmt.Sprintf("Servo midpoint %s us (give or take %.0f; arm square at %s us), end points %s us and %s us.", mid, 2e6*c.PulseSigma, micro(c.Pulse.Centre), micro(c.Ends[0]), micro(c.Ends[1])))
	}
	say = append(say, fmt.Sprintf("It is widest with %s from hinge to edge; the heights are for there.", p.fine(c.Flap.Widest)))
	line := fmt.Sprintf("At neutral the edge moves %.2f%s deg per degree of servo; a step of %.0f us moves it %.2f deg there, %.2f deg where it is coarsest, %.2f mm at the edge.",
		math.Abs(c.Neutral.Ratio), givenAfter(known.Interval, "edge_per_servo", 2), c.Pulse.Step*1e6, deg(c.Step), deg(c.StepMost), 1e3*c.Flap.Widest*math.Sin(c.Step))
	say = append(say, line)
	switch {
	case c.PlayKnown && c.PlayMeasured:
		say = append(say, fmt.Sprintf("Play %.2f deg as measured: %s at the edge.", deg(c.Play), p.fine(c.Flap.Widest*math.Sin(c.Play))))
	case c.PlayKnown:
		say = append(say, fmt.Sprintf("Play up to %.2f deg by the clearances given: %s at the edge.", deg(c.Play), p.fine(c.Flap.Widest*math.Sin(c.Play))))
	default:
		say = append(say, "Play is not given (play, or hole_play and servo_play).")
	}
	built := ""
	if d := widest("least_angle_at_horn_deg", known.Interval); d > 0 {
		built = fmt.Sprintf(", each ± %.0f deg as built", math.Max(d, widest("least_angle_at_arm_deg", known.Interval)))
	}
	say = append(say, fmt.Sprintf("The rod stands at least %.0f deg to the horn and %.0f deg to the arm and leans up to %.0f deg out of their planes; the hinge line is %.0f deg askew%s. The horn's hole slides %s aft and %s forward.",
		deg(c.Travel.LeastAtHorn), deg(c.Travel.LeastAtArm), deg(c.Travel.MostSide), deg(c.Skew), built, p.fine(c.Travel.SlidesAft), p.fine(c.Travel.SlidesFore)))
	var locks []string
	for _, k := range c.Locks {
		locks = append(locks, fmt.Sprintf("%s at %+.0f deg of servo, edge %+.0f deg", k.Kind, deg(k.Theta), deg(k.Delta)))
	}
	if len(locks) > 0 {
		close := ""
		if known.More != nil && len(known.More.Locks) > 0 {
			if d := widest("servo_deg", known.More.Locks[0].Interval); d > 0 {
				close = fmt.Sprintf(" (servo ± %.0f)", d)
			}
		}
		say = append(say, "Dead centres: it "+strings.Join(locks, "; it ")+close+".")
	} else {
		say = append(say, "No dead centre in a half turn of the servo either way.")
	}
	if c.RoomKnown {
		room := ""
		if known.More != nil {
			room = p.fineDoubt(known.More.Interval, "clearance_m")
		}
		say = append(say, fmt.Sprintf("Least room to the skin: %s%s.", p.fine(c.Room), room))
	}
	if c.Guessed {
		say = append(say, "The rod's length is assumed: measure it.")
	}
	if len(c.Shares) == 2 {
		line := fmt.Sprintf("To enter in the mix, of the transmitter's full travel: %s %.0f %%, %s %.0f %%.", c.Shares[0].Axis, 100*c.Shares[0].Share, c.Shares[1].Axis, 100*c.Shares[1].Share)
		if c.Over > 0 {
			line += fmt.Sprintf(" Both sticks in a corner ask %.0f %% more than the servo has and are cut off there: lower both, or move the rod in on the horn.", 100*c.Over)
		}
		say = append(say, line)
	}
	return say
}

// sweep is the linkage table: every third of the rows computed.
func (p *SetUp) sweep(c *control.ControlSheet) *Table {
	t := &Table{Head: []string{"servo, deg", "pulse, us", "edge, deg", "ratio", "at arm", "at horn", "lean"}, Wrap: -1, Right: rights(7)}
	for i, r := range c.Travel.Rows {
		if i%3 != 0 && i != len(c.Travel.Rows)-1 {
			continue
		}
		t.Rows = append(t.Rows, []string{degrees(r.Theta), micro(c.Pulse.Pulse(r.Theta)), degrees(r.Delta), col(math.Abs(r.Ratio), 2), col(deg(r.AtArm), 0), col(deg(r.AtHorn), 0), col(deg(math.Max(r.SideArm, r.SideHorn)), 0)})
	}
	return t
}

// found says what measured heights mean.
func (p *SetUp) found(c *control.ControlSheet) []string {
	if c.FoundState == "" {
		return nil
	}
	f := &c.Found
	out := []string{fmt.Sprintf("By the ruler (%s): neutral %s deg, each angle good to %.1f deg.", c.FoundState, degrees(f.Reflex), 2*deg(f.Sigma))}
	side := func(name string, up, down float64) {
		if !math.IsNaN(up) {
			out = append(out, fmt.Sprintf("%s: %.1f deg up, %.1f deg down from there.", name, deg(up), deg(down)))
		}
	}
	side("Right", f.RightUp, f.RightDown)
	side("Left", f.LeftUp, f.LeftDown)
	if !math.IsNaN(f.Uneven) {
		out = append(out, fmt.Sprintf("The sides differ by %.1f deg at neutral: %.1f deg of roll is held with the stick centred.", math.Abs(deg(f.Uneven)), math.Abs(deg(f.RollAsked))))
	}
	if !math.IsNaN(f.Differential) {
		out = append(out, fmt.Sprintf("Differential %.0f %% as it stands.", 100*f.Differential))
	}
	return out
}

// lost is what to store in the receiver.
func (p *SetUp) lost() Section {
	s := Section{Title: "To store in the receiver for a lost link, if nothing flies it home"}
	if len(p.Sheet.Lost) == 0 {
		return Section{}
	}
	t := &Table{Head: []string{"control", "right, deg", "left, deg", "right, us", "left, us"}, Wrap: 0, Right: rights(5, 0)}
	for _, r := range p.Sheet.Lost {
		t.Rows = append(t.Rows, []string{r.Control, degrees(r.Right), degrees(r.Left), micro(r.PulseR), micro(r.PulseL)})
	}
	k := p.Sheet.LostSticks
	pitch := ""
	if l := p.tabled().Lost; l != nil {
		if v := l.Interval.give("stick_pitch", 100, 0); v != "" {
			pitch = " ± " + unsigned(v)
		}
		if line := pulsesKnown(l.Positions); line != "" {
			s.Blocks = append(s.Blocks, para("%s", line))
		}
	}
	s.Blocks = append([]Block{{Table: t}}, append(s.Blocks, para("Throttle at its lowest pulse. Sticks there: pitch %+.0f%s %%, roll %+.0f %%, yaw %+.0f %%: the glide at 1.3 times the stall speed in an open circle, when no steep descent is wanted. Fly these by hand at height first: it must circle, not spiral. Then test it on the ground, propeller off, by switching the transmitter off.", 100*k[0], pitch, 100*k[1], 100*k[2]))...)
	return s
}

// SweepJSON is one row of a linkage table.
type SweepJSON struct {
	Servo    Float `json:"servo_deg"`
	Pulse    Float `json:"pulse_us"`
	Edge     Float `json:"edge_deg"`
	Ratio    Float `json:"edge_per_servo"`
	AtArm    Float `json:"angle_at_arm_deg"`
	AtHorn   Float `json:"angle_at_horn_deg"`
	Lean     Float `json:"lean_deg"`
	Interval Spans `json:"interval,omitempty"`
}

// LockJSON is one dead centre.
type LockJSON struct {
	Kind     string `json:"kind"`
	Servo    Float  `json:"servo_deg"`
	Edge     Float  `json:"edge_deg"`
	Interval Spans  `json:"interval,omitempty"`
}

// ShareJSON is one axis of a mix.
type ShareJSON struct {
	Axis     string `json:"axis"`
	Share    Float  `json:"share"`
	Interval Spans  `json:"interval,omitempty"`
}

// FoundJSON is what measured heights say is set.
type FoundJSON struct {
	Sides        string `json:"sides"`
	Neutral      Float  `json:"neutral_deg"`
	Sigma        Float  `json:"sigma_deg"`
	RightUp      Float  `json:"right_up_deg"`
	RightDown    Float  `json:"right_down_deg"`
	LeftUp       Float  `json:"left_up_deg"`
	LeftDown     Float  `json:"left_down_deg"`
	Uneven       Float  `json:"right_over_left_deg"`
	Roll         Float  `json:"roll_held_deg"`
	Differential Float  `json:"differential"`
	Interval     Spans  `json:"interval,omitempty"`
}

// LinkageJSON is the linkage of one control.
type LinkageJSON struct {
	PulseGiven  bool        `json:"pulse_measured"`
	Centre      Float       `json:"pulse_centre_us"`
	PerDegree   Float       `json:"pulse_per_servo_deg_us"`
	Midpoint    Float       `json:"midpoint_us"`
	EndLow      Float       `json:"end_low_us"`
	EndHigh     Float       `json:"end_high_us"`
	StepMost    Float       `json:"edge_per_pulse_step_most_deg"`
	Play        Float       `json:"play_deg"`
	PlayFrom    string      `json:"play_from"` // "measured", "clearances", "not given"
	Skew        Float       `json:"skew_deg"`
	Lean        Float       `json:"lean_most_deg"`
	Room        Float       `json:"clearance_m"`
	Complete    bool        `json:"whole_travel_usable"`
	Locks       []LockJSON  `json:"dead_centres"`
	Table       []SweepJSON `json:"table"`
	Shares      []ShareJSON `json:"mix_shares"`
	CornersOver Float       `json:"mix_corners_over"`
	Interval    Spans       `json:"interval,omitempty"`
}

// LostJSON is what to store for a lost link.
type LostJSON struct {
	Pitch     Float           `json:"stick_pitch"`
	Roll      Float           `json:"stick_roll"`
	Yaw       Float           `json:"stick_yaw"`
	Positions []LaunchRowJSON `json:"positions"`
	Trim      Quantity        `json:"pitch"`
	Interval  Spans           `json:"interval,omitempty"`
}

func linkageJSON(c *control.ControlSheet) *LinkageJSON {
	if !c.Described || c.State != control.OK {
		return nil
	}
	n := math.NaN()
	j := &LinkageJSON{
		PulseGiven: c.PulseGiven, Centre: Float(c.Pulse.Centre * 1e6), PerDegree: Float(c.Pulse.PerRad * 1e6 * math.Pi / 180),
		Midpoint: Float(n), EndLow: Float(c.Ends[0] * 1e6), EndHigh: Float(c.Ends[1] * 1e6), StepMost: Float(deg(c.StepMost)),
		Play: Float(n), PlayFrom: "not given", Skew: Float(deg(c.Skew)), Lean: Float(deg(c.Travel.MostSide)), Room: Float(n), Complete: c.Travel.Complete,
		Locks: []LockJSON{}, Table: []SweepJSON{}, Shares: []ShareJSON{}, CornersOver: Float(n),
	}
	for _, s := range c.Stops {
		if s.Name == "neutral" {
			j.Midpoint = Float(s.Pulse * 1e6)
		}
	}
	if c.PlayKnown {
		j.Play, j.PlayFrom = Float(deg(c.Play)), "clearances"
		if c.PlayMeasured {
			j.PlayFrom = "measured"
		}
	}
	if c.RoomKnown {
		j.Room = Float(c.Room)
	}
	for _, k := range c.Locks {
		j.Locks = append(j.Locks, LockJSON{Kind: k.Kind.String(), Servo: Float(deg(k.Theta)), Edge: Float(deg(k.Delta))})
	}
	for _, r := range c.Travel.Rows {
		j.Table = append(j.Table, SweepJSON{Servo: Float(deg(r.Theta)), Pulse: Float(c.Pulse.Pulse(r.Theta) * 1e6), Edge: Float(deg(r.Delta)), Ratio: Float(math.Abs(r.Ratio)), AtArm: Float(deg(r.AtArm)), AtHorn: Float(deg(r.AtHorn)), Lean: Float(deg(math.Max(r.SideArm, r.SideHorn)))})
	}
	for _, s := range c.Shares {
		j.Shares = append(j.Shares, ShareJSON{Axis: s.Axis, Share: Float(s.Share)})
		j.CornersOver = Float(c.Over)
	}
	return j
}

func foundJSON(c *control.ControlSheet) *FoundJSON {
	if c.FoundState == "" {
		return nil
	}
	f := &c.Found
	d := func(v float64) Float { return Float(deg(v)) }
	out := &FoundJSON{Sides: c.FoundState, Neutral: d(f.Reflex), Sigma: d(f.Sigma), RightUp: d(f.RightUp), RightDown: d(f.RightDown), LeftUp: d(f.LeftUp), LeftDown: d(f.LeftDown), Uneven: d(f.Uneven), Roll: d(f.RollAsked), Differential: Float(f.Differential)}
	// One angle is known to Sigma, a difference of two to root two of it.
	one, two := deg(f.Sigma), math.Sqrt2*deg(f.Sigma)
	in := sigmaSpan("neutral_deg", float64(out.Neutral), one)
	for key, v := range map[string]Float{"right_up_deg": out.RightUp, "right_down_deg": out.RightDown, "left_up_deg": out.LeftUp, "left_down_deg": out.LeftDown, "right_over_left_deg": out.Uneven} {
		in = in.and(sigmaSpan(key, float64(v), two))
	}
	in = in.and(sigmaSpan("roll_held_deg", float64(out.Roll), two/2))
	if up, down := float64(out.RightUp), float64(out.RightDown); up > 0 {
		in = in.and(sigmaSpan("differential", f.Differential, two/up*math.Hypot(1, down/up)))
	}
	out.Interval = in
	return out
}

func rowsJSON(rows []control.LaunchRow) []LaunchRowJSON {
	out := []LaunchRowJSON{}
	for _, r := range rows {
		out = append(out, LaunchRowJSON{Control: r.Control, Right: Float(deg(r.Right)), Left: Float(deg(r.Left)), PulseRight: Float(r.PulseR * 1e6), PulseLeft: Float(r.PulseL * 1e6)})
	}
	return out
}

// wanted is a number of the wanted neutral, null when there is none.
func wanted(c *control.ControlSheet, v float64) Float {
	if c.Want.Name == "" {
		return Float(math.NaN())
	}
	return Float(v)
}

// within is a 90 % interval in degrees.
func within(v, sd float64) string {
	return fmt.Sprintf("%s to %s", degrees(v-1.6449*sd), degrees(v+1.6449*sd))
}

// throwSigma is the doubt of the throws wanted of a control: of the pull or
// of the roll, whichever asks more.
func throwSigma(sh *control.Sheet, c *control.ControlSheet) float64 {
	if math.Abs(c.WantUp-math.Abs(sh.RollThrow)) < 1e-12 {
		return sh.RollSigma
	}
	return sh.PullSigma
}

// wantedQ is a wanted angle with its interval.
func wantedQ(v, sd float64, why string) Quantity {
	if math.IsNaN(v) {
		return absent("rad", why)
	}
	return spread(v, sd, "rad")
}

// midpoint is the pulse of a control's neutral, microseconds.
func midpoint(c *control.ControlSheet) Quantity {
	for _, s := range c.Stops {
		if s.Name == "neutral" && !math.IsNaN(s.Pulse) {
			return spread(s.Pulse*1e6, c.PulseSigma*1e6, "us")
		}
	}
	return absent("us", "no linkage that works is described")
}

// spread is a quantity with its 90 % interval from a standard deviation.
func spread(v, sd float64, u string) Quantity {
	return Q(assess.Quantity{Value: v, Low: v - 1.6449*sd, High: v + 1.6449*sd, Unit: u})
}
