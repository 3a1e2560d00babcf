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
	Doubt  aero.StallDoubt    // by the airframe's own doubt
	Stick  float64            // pitch stick that holds it
	Spread []aero.StationLoad // at the stall
	Main   int                // the wing among the surfaces
	Chord  string             // name of the wing
}

// found reports whether there is a trimmed stall.
func (s *Stall) found() bool { return s.Limit != "none found" && s.CLMax > 0 }

// about is a number with the 90 % interval of a normal doubt.
func about(v, sigma float64, n int) string {
	return fmt.Sprintf("%s (%s to %s)", col(v, n), col(v-1.6449*sigma, n), col(v+1.6449*sigma, n))
}

// section is the page's part on the stall.
func (s *Stall) section(sub Subject) Section {
	out := Section{Title: "How the wing lets go"}
	if !s.found() {
		out.Blocks = []Block{para("No trimmed flight was found at any lift: see the moment and the balance point.")}
		return out
	}
	const deg = 180 / math.Pi
	speed := sub.show(assess.Quantity{Value: s.Speed, Low: s.Speed - 1.6449*s.Doubt.Speed, High: s.Speed + 1.6449*s.Doubt.Speed}, unit.Speed)
	free := s.Speed * math.Sqrt(s.CLMax/s.Untrimmed)
	cost := fmt.Sprintf("%s, %s of stall speed", about(s.TrimCost, s.Doubt.TrimCost, 2), sub.fmt(s.Speed-free, unit.Speed))
	what := "what trimming takes of it"
	if s.TrimCost < 0 {
		what, cost = "what the trimming surface adds to it", fmt.Sprintf("%s, %s of stall speed", about(-s.TrimCost, s.Doubt.TrimCost, 2), sub.fmt(s.Speed-free, unit.Speed))
	}
	roll := "stays"
	if s.DropsWing {
		roll = "is gone"
	}
	label := "stall speed, level"
	if s.Limit == "control" {
		label = assess.Slowest{ByThrow: true}.Label()
	}
	first, where := "first to let go", fmt.Sprintf("%s, %.0f %% of the half span", s.Chord, 100*s.Eta)
	if s.Limit == "control" {
		first = "nearest to letting go"
	}
	out.Blocks = append(out.Blocks, Block{Table: &Table{Wrap: -1, Rows: [][]string{
		{label, speed},
		{"highest lift, trimmed", about(s.CLMax, s.Doubt.CLMax, 2)},
		{"highest lift, no matter the moment", about(s.Untrimmed, s.Doubt.Untrimmed, 2)},
		{what, cost},
		{"angle of attack there, deg", about(s.Alpha*deg, s.Doubt.Alpha*deg, 1)},
		{"stick that holds it, up", share(s.Stick)},
		{first, where},
		{"roll damping a degree past it", fmt.Sprintf("%s (pb/2V %+.2f)", roll, s.RollDamping)},
	}}})
	t := &Table{Head: []string{"along the half span", "carries", "lets go at", "in hand"}, Wrap: -1, Right: rights(4, 0)}
	for _, k := range s.Spread {
		if k.Surface == s.Main && !k.Left {
			t.Rows = append(t.Rows, []string{share(k.Eta), col(k.Cl, 3), col(k.Start, 3), col(k.Room, 3)})
		}
	}
	out.Blocks = append(out.Blocks, para("%s%s.", strings.ToUpper(s.StallReport()[:1]), s.StallReport()[1:]))
	if len(t.Rows) > 1 {
		out.Blocks = append(out.Blocks, Block{Table: t},
			para("Lift coefficients of the wing at that angle; below 0 in hand the flow has begun to leave. Ranges hold the airframe's own doubt in 90 of 100 cases, mass and balance as they stand. Try a stall high up, wings level, before the first landing."))
	}
	return out
}

// StallJSON is how the wing lets go.
type StallJSON struct {
	Speed     Quantity `json:"speed"`
	CLMax     Quantity `json:"cl_max_trimmed"`
	Untrimmed Quantity `json:"cl_max_untrimmed"`
	TrimCost  Quantity `json:"trim_cost"`
	Angle     Quantity `json:"angle"`
	Pitch     Quantity `json:"pitch_deflection"`
	Stick     Float    `json:"stick"`
	Station   Float    `json:"first_station"`
	Tip       bool     `json:"tip_first"`
	Damping   Float    `json:"roll_damping_past"`
	Drops     bool     `json:"drops_wing"`
	Limit     string   `json:"limited_by"`
	Say       string   `json:"say"`
}

// body is the stall in JSON; nil when there is none.
func (s *Stall) body() *StallJSON {
	if !s.found() {
		return nil
	}
	const deg = 180 / math.Pi
	q := func(v, sigma float64, u string) Quantity {
		out := known(v, u, "not found")
		if out.Status == "" {
			out.Low, out.High = Float(v-1.6449*sigma), Float(v+1.6449*sigma)
		}
		return out
	}
	return &StallJSON{
		Speed: q(s.Speed, s.Doubt.Speed, "m/s"), CLMax: q(s.CLMax, s.Doubt.CLMax, "1"), Untrimmed: q(s.Untrimmed, s.Doubt.Untrimmed, "1"), TrimCost: q(s.TrimCost, s.Doubt.TrimCost, "1"),
		Angle: q(s.Alpha*deg, s.Doubt.Alpha*deg, "deg"), Pitch: q(s.Pitch*deg, s.Doubt.Pitch*deg, "deg"), Stick: Float(s.Stick), Station: Float(s.Eta), Tip: s.Tip,
		Damping: Float(s.RollDamping), Drops: s.DropsWing, Limit: s.Limit, Say: s.StallReport(),
	}
}
