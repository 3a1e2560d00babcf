package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/power"
	"fledge/internal/unit"
)

// Drive is the whole drive of a build at full throttle over airspeed, beside
// its propeller's own table.
type Drive struct {
	Rows     []assess.DriveRow
	Throttle float64       // most that is given
	Fitted   power.Factors // on the parts as they say themselves
	Told     bool          // by bench rows or what was learned
	Pack     power.Pack
	Battery  craft.Battery
	Drop     float64 // V of the whole pack under the load at rest
	Remarks  []assess.BenchRemark
}

// section is the page's part about the drive.
func (d *Drive) section(p *Propeller) []Section {
	s := Subject{Units: p.Units}
	v := s.in(1, unit.Speed)
	most := 0.0
	for _, k := range d.Rows {
		most = math.Max(most, math.Abs(k.Thrust))
	}
	f := s.in(most, unit.Force)
	fine := places(most, f.k)
	pull := &Table{Head: []string{v.name, "pull, " + f.name, "A", "V", "rpm", ""}, Wrap: 5, Right: rights(6, 5)}
	shares := &Table{Head: []string{v.name, "controller, %", "motor, %", "propeller, %", "whole, %"}, Wrap: -1, Right: rights(5)}
	last := ""
	rows := d.body().Rows
	for i, k := range d.Rows {
		say := over(k.Flag)
		if was := say; say != "" && say == last {
			say, last = "the same", was
		} else {
			last = was
		}
		in := rows[i].Interval
		put := func(key string, x float64, k float64, places int) string {
			low, high, ok := in.Span(key)
			if !ok {
				return col(k*x, places)
			}
			return col(k*x, places) + giveSpan([2]float64{low, high}, k, places)
		}
		effect := func(key string, x float64) string { // none at rest
			if !(x > 0) {
				return "-"
			}
			return put(key, x, 100, 0)
		}
		at := col(v.k*k.Airspeed, 1)
		pull.Rows = append(pull.Rows, []string{at, col(f.k*k.Thrust, fine) + giveSpan([2]float64{k.ThrustLow, k.ThrustHigh}, f.k, fine), col(k.Current, 1) + giveSpan([2]float64{k.CurrentLow, k.CurrentHigh}, 1, 1), put("voltage_v", k.Voltage, 1, 1),
			col(round10(k.RPM), 0) + " ± " + col(round10((k.RPMHigh-k.RPMLow)/half90), 0), say})
		shares.Rows = append(shares.Rows, []string{at, put("efficiency_controller", k.Controller, 100, 0), put("efficiency_motor", k.Motor, 100, 0), effect("efficiency_propeller", k.Propeller), effect("efficiency", k.Whole)})
	}
	var blocks []Block
	if len(d.Rows) > 0 {
		r := d.Rows[0]
		blocks = append(blocks, para("At rest it pulls %s (%s to %s) for %.1f A (%.1f to %.1f) at %.0f rpm (%.0f to %.0f), 90 %% intervals.",
			s.fmt(r.Thrust, unit.Force), s.fmt(r.ThrustLow, unit.Force), s.fmt(r.ThrustHigh, unit.Force), r.Current, r.CurrentLow, r.CurrentHigh, round10(r.RPM), round10(r.RPMLow), round10(r.RPMHigh)))
	}
	blocks = append(blocks, Block{Table: pull}, para("± is two standard deviations. \"Over\" names whose limit of current or speed is passed. What each part gives on of what it is given:"), Block{Table: shares}, para("Controller, with leads and contacts; motor: shaft over what it is given; propeller: thrust times airspeed over shaft; whole: over what the pack gives."))
	title := "The drive at full throttle, the pack as at launch"
	if d.Throttle < 1 {
		title = fmt.Sprintf("The drive at %.0f %% throttle, its most, the pack as at launch", 100*d.Throttle)
	}
	out := []Section{{Title: title, Blocks: blocks}}
	if c := d.cells(); c != "" {
		out = append(out, Section{Title: "Cell by cell", Blocks: []Block{para("%s", c)}})
	}
	if f := d.fitted(); f != "" {
		out = append(out, Section{Title: "What bench and flights say of it", Blocks: []Block{para("%s", f)}})
	}
	return out
}

// over names in a few words what the drive passes or does at a point.
func over(f power.Flag) string {
	var limits, more []string
	for _, k := range []struct {
		bit  power.Flag
		name string
	}{{power.OverMotor, "motor"}, {power.OverController, "controller"}, {power.OverBattery, "pack"}, {power.OverWire, "wires"}, {power.OverSpeed, "propeller"}} {
		if f&k.bit != 0 {
			limits = append(limits, k.name)
		}
	}
	if len(limits) > 0 {
		more = append(more, "over: "+strings.Join(limits, ", "))
	}
	for _, k := range []struct {
		bit  power.Flag
		name string
	}{{power.Collapsed, "pack collapses"}, {power.BelowCutoff, "under the cut-off"}, {power.Windmilling, "driven by the air"}, {power.NotTurning, "does not turn"}, {power.Fast, "tip too fast"}} {
		if f&k.bit != 0 && !(k.bit == power.BelowCutoff && f&power.Collapsed != 0) {
			more = append(more, k.name)
		}
	}
	return strings.Join(more, "; ")
}

func round10(v float64) float64 { return math.Round(v/10) * 10 }

// cells tells of each cell as read; "" when none were.
func (d *Drive) cells() string {
	if len(d.Battery.Read) == 0 {
		return ""
	}
	var list []string
	worst := 0
	for i, r := range d.Battery.Read {
		list = append(list, col(1e3*r, 1))
		if r > d.Battery.Read[worst] {
			worst = i
		}
	}
	n := float64(d.Pack.Cells)
	below := (d.Pack.Worst - 1) * d.Drop / n
	say := fmt.Sprintf("Read: %s mohm. ", strings.Join(list, ", "))
	if d.Pack.Worst < 1.15 {
		return say + "They are alike."
	}
	say += fmt.Sprintf("Cell %d has %.2g times the mean: at rest, full throttle, it stands %.2f V below the others' mean and is the first to reach the cut-off of %.2f V.", worst+1, d.Pack.Worst, below*n/(n-1), d.Pack.Cutoff)
	if d.Pack.Worst > 1.5 {
		say += " Such a cell ages fast and gets warm: balance it, watch it, retire the pack when it grows."
	}
	return say
}

// fitted tells what the bench rows changed; "" when nothing.
func (d *Drive) fitted() string {
	if !d.Told {
		return ""
	}
	k := d.Fitted
	var list []string
	add := func(name string, v float64) {
		if math.Abs(v-1) >= 0.005 {
			list = append(list, fmt.Sprintf("%s %.2f", name, v))
		}
	}
	add("pull", k.Thrust)
	add("power of the propeller", k.Torque)
	add("its pitch in effect", k.Advance)
	add("motor constant", k.KV)
	add("resistance of motor and controller", k.Resistance)
	add("idle current", k.Idle)
	add("resistance of the cells", k.CellResistance)
	if len(list) == 0 {
		return ""
	}
	return "Times what the parts say by themselves: " + strings.Join(list, ", ") + ". The drive above has them; the propeller's own table has not."
}

// DriveRowJSON is the drive at one airspeed.
type DriveRowJSON struct {
	Airspeed   Float  `json:"airspeed_m_s"`
	Thrust     Float  `json:"thrust_n"`
	ThrustLow  Float  `json:"thrust_low_n"`
	ThrustHigh Float  `json:"thrust_high_n"`
	Current    Float  `json:"current_a"`
	AmpsLow    Float  `json:"current_low_a"`
	AmpsHigh   Float  `json:"current_high_a"`
	Voltage    Float  `json:"voltage_v"`
	RPM        Float  `json:"rpm"`
	RPMLow     Float  `json:"rpm_low"`
	RPMHigh    Float  `json:"rpm_high"`
	Power      Float  `json:"power_w"`
	Shaft      Float  `json:"shaft_power_w"`
	Controller Float  `json:"efficiency_controller"`
	Motor      Float  `json:"efficiency_motor"`
	Propeller  Float  `json:"efficiency_propeller"`
	Whole      Float  `json:"efficiency"`
	Status     string `json:"status"`
	Interval   Spans  `json:"interval,omitempty"`
}

// DriveJSON is the drive of a build, in the body of `prop`.
type DriveJSON struct {
	Throttle Float          `json:"throttle"`
	Rows     []DriveRowJSON `json:"at_speed"`
	Cells    []Float        `json:"cells_ohm"`
	Worst    Float          `json:"worst_cell_ratio"`
	Remarks  []string       `json:"remarks"`
}

func (d *Drive) body() *DriveJSON {
	if d == nil {
		return nil
	}
	out := &DriveJSON{Throttle: Float(d.Throttle), Rows: []DriveRowJSON{}, Cells: []Float{}, Worst: Float(math.NaN()), Remarks: []string{}}
	for _, r := range d.Battery.Read {
		out.Cells = append(out.Cells, Float(r))
		out.Worst = Float(d.Pack.Worst)
	}
	for _, r := range d.Remarks {
		out.Remarks = append(out.Remarks, r.Say)
	}
	for _, k := range d.Rows {
		var in Spans
		for i, v := range []struct {
			key string
			v   float64
		}{{"voltage_v", k.Voltage}, {"power_w", k.Power}, {"shaft_power_w", k.Shaft}, {"efficiency_controller", k.Controller}, {"efficiency_motor", k.Motor}, {"efficiency_propeller", k.Propeller}, {"efficiency", k.Whole}} {
			in = in.and(spanOf(v.key, v.v-k.Half[i], v.v+k.Half[i]))
		}
		out.Rows = append(out.Rows, DriveRowJSON{Float(k.Airspeed), Float(k.Thrust), Float(k.ThrustLow), Float(k.ThrustHigh), Float(k.Current), Float(k.CurrentLow), Float(k.CurrentHigh), Float(k.Voltage),
			Float(k.RPM), Float(k.RPMLow), Float(k.RPMHigh), Float(k.Power), Float(k.Shaft), Float(k.Controller), Float(k.Motor), Float(k.Propeller), Float(k.Whole), k.Status, in})
	}
	return out
}

// DriveCharts draw where each watt out of the pack goes over airspeed, as
// layers from the air up, and pull and current with their doubt.
func DriveCharts(name string, d *Drive) []*chart.Chart {
	var v, air, shaft, given, full, zero []float64
	pull, amps := chart.Series{Name: "pull, N", Ink: 0}, chart.Series{Name: "current, A", Ink: 1}
	pb, ab := chart.Series{Kind: chart.Band, Ink: 0}, chart.Series{Kind: chart.Band, Ink: 1}
	for _, k := range d.Rows {
		if !(k.Power > 0) {
			continue
		}
		x := k.Airspeed
		v, zero, full = append(v, x), append(zero, 0), append(full, 100)
		c := 100 * k.Controller
		given = append(given, c)
		shaft = append(shaft, c*k.Motor)
		air = append(air, math.Max(100*k.Whole, 0))
		pull.X, pull.Y = append(pull.X, x), append(pull.Y, k.Thrust)
		amps.X, amps.Y = append(amps.X, x), append(amps.Y, k.Current)
		pb.X, pb.Y, pb.Y2 = append(pb.X, x), append(pb.Y, k.ThrustLow), append(pb.Y2, k.ThrustHigh)
		ab.X, ab.Y, ab.Y2 = append(ab.X, x), append(ab.Y, k.CurrentLow), append(ab.Y2, k.CurrentHigh)
	}
	if len(v) < 2 {
		return nil
	}
	layers := &chart.Chart{Title: name + ": where a hundred watts of the pack go", X: chart.Axis{Label: "airspeed, m/s"}, Y: chart.Axis{Label: "%, added up from the air", Min: 0, Max: 106},
		Series: []chart.Series{
			{Kind: chart.Band, X: v, Y: zero, Y2: air, Ink: 0}, {X: v, Y: air, Ink: 0},
			{Kind: chart.Band, X: v, Y: air, Y2: shaft, Ink: 1}, {X: v, Y: shaft, Ink: 1},
			{Kind: chart.Band, X: v, Y: shaft, Y2: given, Ink: 2}, {X: v, Y: given, Ink: 2},
			{X: v, Y: full, Ink: 3},
		},
		Caption: "full throttle, at rest to no pull"}
	// Each layer is named inside, where it is broad.
	inside := func(i int, low, high []float64, text string) {
		layers.Notes = append(layers.Notes, chart.Note{X: v[i], Y: (low[i]+high[i])/2 - 1, Text: text})
	}
	n := len(v)
	inside(n/2, zero, air, "moves the aeroplane")
	inside(n/8, air, shaft, "lost by the propeller")
	inside(n/2, shaft, given, "lost in the motor")
	layers.Notes = append(layers.Notes, chart.Note{X: v[n/8], Y: 101.5, Text: "leads, contacts, controller: the rest to 100"})
	return []*chart.Chart{layers, {Title: name + ": pull and current", X: chart.Axis{Label: "airspeed, m/s"}, Y: chart.Axis{Label: "newton, ampere"},
		Series: []chart.Series{pb, ab, pull, amps}, Caption: "shaded: 90 % intervals"}}
}
