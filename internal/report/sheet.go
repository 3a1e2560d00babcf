package report

import (
	"fmt"
	"math"

	"fledge/internal/control"
	"fledge/internal/fit"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// BuildSheet is the sheet for the workshop wall: parts with masses and places,
// the harness, what to set, the limits.
func BuildSheet(s Subject, setup *control.Sheet, fitted *fit.Sheet) (page *Doc) {
	defer func() { page.told(s.Units, s.Results.Slowest) }()
	r := s.Results
	ac := r.Aircraft
	d := &Doc{Title: ac.Name + ": build sheet", Lead: []string{s.conditions()}}
	b := Balanced{Subject: s}
	parts := b.partsSection()
	parts.Blocks = append(parts.Blocks, para("%s in all; balance point %s behind the datum. x aft of the datum, y right, z up: the middle of each part.", s.fmt(ac.Mass.Total, unit.Mass), s.fmt(ac.Mass.CG.X, unit.Length)))
	d.Sections = append(d.Sections, parts)
	if fitted != nil {
		f := Fitted{Subject: s, Sheet: fitted}
		d.Sections = append(d.Sections, f.harness(), f.assembly())
		if fitted.Turn != "" {
			d.Sections = append(d.Sections, Section{Title: "Which way round", Blocks: []Block{para("%s. Try it without the propeller.", upper(fitted.Turn))}})
		}
	}
	p := SetUp{Subject: s, Sheet: setup}
	d.Sections = append(d.Sections, p.wall(), p.launchRows(), p.lost(), p.failsafes(), p.home(), s.limits(), b.weighing(),
		cautionSection(careful("propeller", "lithium", "dust", "proof", "antenna")))
	return d
}

// wall is the set-up of all controls in one table.
func (p *SetUp) wall() Section {
	t := &Table{Head: []string{"control", "setting", "edge, deg", "edge, " + p.small(), "servo, deg", "pulse, µs"}, Wrap: 0, Right: rights(6, 0, 1)}
	for i := range p.Sheet.Controls {
		c := &p.Sheet.Controls[i]
		name := c.Name
		for _, k := range c.Stops {
			t.Rows = append(t.Rows, []string{name, k.Name, degrees(k.Delta), p.edge(k.Edge), degrees(k.Servo), micro(k.Pulse)})
			name = ""
		}
		if !math.IsNaN(c.WantPitch) {
			t.Rows = append(t.Rows, []string{name, "neutral wanted for trim", degrees(c.WantPitch), p.edge(c.Want.Edge), degrees(c.Want.Servo), micro(c.Want.Pulse)})
		}
		for _, m := range c.Shares {
			t.Rows = append(t.Rows, []string{"", fmt.Sprintf("mix: %s %.0f %%", m.Axis, 100*m.Share), "", "", "", ""})
		}
	}
	if len(t.Rows) == 0 {
		return Section{}
	}
	return Section{Title: "Set", Blocks: []Block{{Table: t}, para("Right side; the left one mirrors it. Trailing edge up is positive.")}}
}

// edge prints an edge in tenths of a millimetre, or hundredths of an inch.
func (p *SetUp) edge(m float64) string {
	if p.Units == unit.Imperial {
		return p.millis(m)
	}
	return col(m*1e3, 1)
}

// limits is every limit that this build is held to, with its value now.
func (s *Subject) limits() Section {
	c := Checked{Results: s.Results, Verdict: s.Verdict, Units: s.Units}
	t := &Table{Head: []string{"", "limit", "must be", "is"}, Wrap: 1, Least: 24}
	for i := range s.Verdict.Findings {
		f := &s.Verdict.Findings[i]
		if math.IsNaN(f.Value.Value) || c.limit(f) == "" || f.Status == verdict.NotAsked {
			continue
		}
		t.Rows = append(t.Rows, []string{marks[f.Status], f.Label, c.limit(f), c.value(f)})
	}
	if len(t.Rows) == 0 {
		return Section{}
	}
	return Section{Title: "Limits", Blocks: []Block{{Table: t}}}
}
