package report

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/aero"
	"fledge/internal/assess"
	"fledge/internal/unit"
)

// Stall is how the wing lets go, for the page of the lifting surfaces.
type Stall struct {
	aero.StallPoint
	Stick  float64            // pitch stick that holds it
	Spread []aero.StationLoad // at the stall
	Main   int                // the wing among the surfaces
	Chord  string             // name of the wing
}

// stallRow are the stall's numbers as the page and JSON have them.
type stallRow struct {
	Speed     Float `json:"speed"`
	CLMax     Float `json:"cl_max_trimmed"`
	Untrimmed Float `json:"cl_max_untrimmed"`
	TrimCost  Float `json:"trim_cost"`
	SpeedCost Float `json:"trim_cost_speed"`
	Angle     Float `json:"angle"`
	Pitch     Float `json:"pitch_deflection"`
	Stick     Float `json:"stick"`
	Station   Float `json:"first_station"`
	Damping   Float `json:"roll_damping_past"`
	Stations  []StationJSON
	Interval  Spans
}

// row lists the stall's numbers; none of them without a trimmed stall.
func (s *Stall) row() stallRow {
	if !s.found() {
		n := Float(math.NaN())
		return stallRow{Speed: n, CLMax: n, Untrimmed: n, TrimCost: n, SpeedCost: n, Angle: n, Pitch: n, Stick: n, Station: n, Damping: n}
	}
	free := s.Speed * math.Sqrt(s.CLMax/s.Untrimmed)
	return stallRow{Speed: Float(s.Speed), CLMax: Float(s.CLMax), Untrimmed: Float(s.Untrimmed), TrimCost: Float(s.TrimCost), SpeedCost: Float(s.Speed - free),
		Angle: Float(deg(s.Alpha)), Pitch: Float(deg(s.Pitch)), Stick: Float(s.Stick), Station: Float(s.Eta), Damping: Float(s.RollDamping), Stations: stations(s.Spread)}
}

// found reports whether there is a trimmed stall.
func (s *Stall) found() bool { return s.Limit != "none found" && s.CLMax > 0 }

// section is the page's part on the stall; row holds the intervals.
func (s *Stall) section(sub Subject, row *stallRow) Section {
	out := Section{Title: "How the wing lets go"}
	if !s.found() {
		out.Blocks = []Block{para("No trimmed flight was found at any lift: see the moment and the balance point.")}
		return out
	}
	in := row.Interval
	given := func(key string, v Float, k float64, places int) string {
		return col(k*float64(v), places) + in.ends(key, k, places)
	}
	speed := func(key string, v Float) string {
		return sub.show(in.quantity(key, float64(v), "m/s"), unit.Speed)
	}
	what, k := "what trimming takes of it", 1.0
	if s.TrimCost < 0 {
		what, k = "what the trimming surface adds to it", -1
	}
	roll := "stays"
	if s.DropsWing {
		roll = "is gone"
	}
	label := "stall speed, level"
	if s.Limit == "control" {
		label = assess.Slowest{ByThrow: true}.Label()
	}
	first := "first to let go"
	if s.Limit == "control" {
		first = "nearest to letting go"
	}
	out.Blocks = append(out.Blocks, Block{Table: &Table{Wrap: -1, Rows: [][]string{
		{label, speed("speed", row.Speed)},
		{"highest lift, trimmed", given("cl_max_trimmed", row.CLMax, 1, 2)},
		{"highest lift, no matter the moment", given("cl_max_untrimmed", row.Untrimmed, 1, 2)},
		{what, given("trim_cost", row.TrimCost, k, 2)},
		{"of stall speed", speed("trim_cost_speed", row.SpeedCost)},
		{"angle of attack there, deg", given("angle", row.Angle, 1, 1)},
		{"stick that holds it, up, %", given("stick", row.Stick, 100, 0)},
		{first + ", % of the half span", s.Chord + ", " + given("first_station", row.Station, 100, 0)},
		{"roll damping a degree past it", fmt.Sprintf("%s: pb/2V %+.2f%s", roll, s.RollDamping, in.ends("roll_damping_past", 1, 2))},
	}}})
	t := &Table{Head: []string{"along the half span", "carries", "±", "lets go at", "±", "in hand", "±"}, Wrap: -1, Right: rights(7, 0)}
	for i, k := range s.Spread {
		if k.Surface == s.Main && !k.Left {
			d := row.Stations[i].Interval
			t.Rows = append(t.Rows, []string{share(k.Eta), col(k.Cl, 3), unsigned(d.give("cl", 1, 3)), col(k.Start, 3), unsigned(d.give("cl_separates", 1, 3)), col(k.Room, 3), unsigned(d.give("in_hand", 1, 3))})
		}
	}
	out.Blocks = append(out.Blocks, para("%s%s.", strings.ToUpper(s.StallReport()[:1]), s.StallReport()[1:]))
	if len(t.Rows) > 1 {
		out.Blocks = append(out.Blocks, Block{Table: t},
			para("Lift coefficients of the wing at that angle; below 0 in hand the flow has begun to leave. "+plusMinus+" Try a stall high up, wings level, before the first landing."))
	}
	return out
}

// StallJSON is how the wing lets go.
type StallJSON struct {
	Speed     Quantity      `json:"speed"`
	CLMax     Quantity      `json:"cl_max_trimmed"`
	Untrimmed Quantity      `json:"cl_max_untrimmed"`
	TrimCost  Quantity      `json:"trim_cost"`
	SpeedCost Quantity      `json:"trim_cost_speed"`
	Angle     Quantity      `json:"angle"`
	Pitch     Quantity      `json:"pitch_deflection"`
	Stick     Float         `json:"stick"`
	Station   Float         `json:"first_station"`
	Tip       bool          `json:"tip_first"`
	Damping   Float         `json:"roll_damping_past"`
	Drops     bool          `json:"drops_wing"`
	Limit     string        `json:"limited_by"`
	Say       string        `json:"say"`
	Stations  []StationJSON `json:"stations"`
	Interval  Spans         `json:"interval,omitempty"`
}

// body is the stall in JSON; nil when there is none.
func (s *Stall) body(row *stallRow) *StallJSON {
	if !s.found() {
		return nil
	}
	q := func(key string, v Float, u string) Quantity { return Q(row.Interval.quantity(key, float64(v), u)) }
	out := &StallJSON{
		Speed: q("speed", row.Speed, "m/s"), CLMax: q("cl_max_trimmed", row.CLMax, "1"), Untrimmed: q("cl_max_untrimmed", row.Untrimmed, "1"), TrimCost: q("trim_cost", row.TrimCost, "1"), SpeedCost: q("trim_cost_speed", row.SpeedCost, "m/s"),
		Angle: q("angle", row.Angle, "deg"), Pitch: q("pitch_deflection", row.Pitch, "deg"), Stick: row.Stick, Station: row.Station, Tip: s.Tip,
		Damping: row.Damping, Drops: s.DropsWing, Limit: s.Limit, Say: s.StallReport(), Stations: []StationJSON{}, Interval: Spans{},
	}
	for _, key := range []string{"stick", "first_station", "roll_damping_past"} {
		if v, ok := row.Interval[key]; ok {
			out.Interval[key] = v
		}
	}
	for i, k := range s.Spread {
		if k.Surface == s.Main {
			r := row.Stations[i]
			r.Surface = s.Chord
			out.Stations = append(out.Stations, r)
		}
	}
	return out
}
