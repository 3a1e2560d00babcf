package app

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"fledge/internal/mend"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/strength"
	"fledge/internal/unit"
)

func paragraph(format string, args ...any) report.Block {
	return report.Block{Para: fmt.Sprintf(format, args...)}
}

// printed is a column's value for people; "" when not noted.
func printed(r store.Row, c *store.Column, s unit.System) string {
	switch v := c.Cell(r).(type) {
	case string:
		return strings.ReplaceAll(v, "\n", " ")
	case float64:
		dim := c.Dim
		if dim == unit.Any {
			for _, k := range store.Columns(store.KindOf(r)) {
				if k.Is == "dim" {
					if d, ok := unit.DimNamed(fmt.Sprint(k.Cell(r))); ok {
						dim = d
					}
				}
				if k.Is == "text" {
					if t, ok := k.Cell(r).(string); ok {
						return t
					}
				}
			}
		}
		switch dim {
		case unit.None, unit.Any:
			return strconv.FormatFloat(v, 'g', 4, 64)
		case unit.Time:
			return span(v)
		}
		out := unit.Format(v, dim, s)
		for _, k := range store.Columns(store.KindOf(r)) {
			if c.SD != "" && k.Name == c.SD {
				if sd, ok := k.Cell(r).(float64); ok {
					out += " ± " + unit.Format(2*sd, dim, s)
				}
			}
		}
		return out
	case int64:
		if c.Go.String() == "*bool" {
			if v == 1 {
				return "yes"
			}
			return "no"
		}
		if c.Is == "money" {
			for _, k := range store.Columns(store.KindOf(r)) {
				if k.Is == "currency" {
					cur, _ := k.Cell(r).(string)
					return strings.TrimSpace(cents(v) + " " + cur)
				}
			}
		}
		if c.Ref != "" {
			return strings.TrimSuffix(c.Ref, "s") + " " + strconv.FormatInt(v, 10)
		}
		return strconv.FormatInt(v, 10)
	}
	return ""
}

func sentence(s string) string {
	if s == "" {
		return ""
	}
	return upper(s) + "."
}

// counted is a number of things: 1 log, 2 logs.
func counted(n int, kind string) string {
	if n == 1 || kind == "evidence" || kind == "wear" {
		return fmt.Sprintf("%d %s", n, kind)
	}
	return fmt.Sprintf("%d %ss", n, kind)
}

func cents(v int64) string { return fmt.Sprintf("%d.%02d", v/100, v%100) }

// span prints a time as people say it: 42 s, 6 min 12 s, 3.5 h.
func span(v float64) string {
	switch {
	case v >= 3600:
		return strconv.FormatFloat(v/3600, 'f', 1, 64) + " h"
	case v >= 120:
		s := int(math.Round(v))
		if s%60 == 0 {
			return fmt.Sprintf("%d min", s/60)
		}
		return fmt.Sprintf("%d min %d s", s/60, s%60)
	}
	return strconv.FormatFloat(v, 'g', 3, 64) + " s"
}

// brief is one line of an entry: what it says of itself.
func brief(r store.Row, s unit.System) string {
	switch x := r.(type) {
	case *store.Log:
		return x.Name
	case *store.Build:
		return fmt.Sprintf("%s, %s, %s", x.Aeroplane, x.Path, x.Hash[:min(12, len(x.Hash))])
	case *store.Flight:
		return strings.Join(slices.DeleteFunc([]string{x.Aeroplane, launchWord(x, s), ended(x)}, func(w string) bool { return w == "" || w == "?" }), ", ")
	}
	var parts []string
	for _, c := range store.Columns(store.KindOf(r)) {
		if c.Is == "text" || c.Is == "dim" || c.Is == "sd" || c.Is == "currency" || c.Is == "day" || c.Ref != "" || c.Name == "note" {
			continue
		}
		if p := printed(r, &c, s); p != "" {
			if c.Go.String() == "string" || c.Is == "money" {
				parts = append(parts, p)
			} else {
				parts = append(parts, strings.ReplaceAll(c.Key, "_", " ")+" "+p)
			}
		}
		if len(parts) == 4 {
			break
		}
	}
	return strings.Join(parts, ", ")
}

func day(r store.Row) string {
	for _, c := range store.Columns(store.KindOf(r)) {
		if c.Name == "day" || c.Name == "since" {
			return printed(r, &c, unit.Metric)
		}
	}
	return ""
}

// Text is the page of an add.
func (a *Added) Text(s unit.System) string {
	d := &report.Doc{Lead: append([]string(nil), a.Notes...)}
	for _, e := range a.Added {
		m := store.MetaOf(e.Row)
		word := "Noted"
		if m.Struck != "" {
			word = "Struck"
		}
		d.Lead = append(d.Lead, fmt.Sprintf("%s: %s %d. %s", word, e.Kind, m.ID, brief(e.Row, s)))
		if f, ok := e.Row.(*store.Flight); ok && f.Odds != nil {
			d.Lead = append(d.Lead, fmt.Sprintf("Forecast: odds %.2f, top speed %s; scored by: fledge logbook score", *f.Odds, speedOr(f.Forecast, s)))
		}
	}
	return d.Text()
}

// speedWithin is a speed with the ± it was entered with.
func speedWithin(v float64, sd *float64, s unit.System) string {
	if sd == nil || !(*sd > 0) {
		return unit.Format(v, unit.Speed, s)
	}
	return unit.Format(v, unit.Speed, s) + " ± " + unit.Format(2**sd, unit.Speed, s)
}

func speedOr(v *float64, s unit.System) string {
	if v == nil {
		return "unknown"
	}
	return unit.Format(*v, unit.Speed, s)
}

// Text is the page of a list.
func (l *Listed) Text(s unit.System) string {
	d := &report.Doc{}
	if len(l.Rows) == 0 {
		d.Lead = []string{fmt.Sprintf("No %s is noted yet.", l.Kind)}
		return d.Text()
	}
	t := &report.Table{Head: []string{"no.", "day", "what", "note"}, Right: []bool{true}, Wrap: 2}
	if l.Kind == "flight" {
		t = &report.Table{Head: []string{"no.", "day", "aeroplane", "launch", "ended", "air time", "speed", "note"}, Right: []bool{true, false, false, false, false, true, true}, Wrap: 7}
	}
	for _, r := range l.Rows {
		m := store.MetaOf(r)
		id := strconv.FormatInt(m.ID, 10)
		note := ""
		for _, c := range store.Columns(l.Kind) {
			if c.Name == "note" {
				note = printed(r, &c, s)
			}
		}
		if m.Struck != "" {
			note = strings.TrimSpace("STRUCK: " + m.Struck + ". " + note)
		}
		if f, ok := r.(*store.Flight); ok {
			t.Rows = append(t.Rows, []string{id, f.Day, f.Aeroplane, launchWord(f, s), ended(f), opt(f.Duration, span), opt(f.TopSpeed, func(v float64) string { return speedWithin(v, f.TopSpeedSD, s) }), strings.TrimSpace(strings.Join([]string{note, f.Because}, " "))})
			continue
		}
		t.Rows = append(t.Rows, []string{id, day(r), brief(r, s), note})
	}
	drop(t)
	d.Sections = []report.Section{{Title: upper(counted(len(l.Rows), l.Kind)), Blocks: []report.Block{{Table: t}}}}
	return strings.TrimPrefix(d.Text(), "\n")
}

// drop takes out the columns in which nothing stands.
func drop(t *report.Table) {
	for c := len(t.Head) - 1; c > 0; c-- {
		some := false
		for _, r := range t.Rows {
			some = some || r[c] != ""
		}
		if some {
			continue
		}
		t.Head = slices.Delete(t.Head, c, c+1)
		for i := range t.Rows {
			t.Rows[i] = slices.Delete(t.Rows[i], c, c+1)
		}
		if c < len(t.Right) {
			t.Right = slices.Delete(t.Right, c, c+1)
		}
		if c < t.Wrap {
			t.Wrap--
		} else if c == t.Wrap {
			t.Wrap = -1
		}
	}
}

func opt(v *float64, f func(float64) string) string {
	if v == nil {
		return ""
	}
	return f(*v)
}

func launchWord(f *store.Flight, s unit.System) string {
	out := f.LaunchBy
	if f.Stretch != nil {
		out += " " + unit.Format(*f.Stretch, unit.Length, s)
	} else if f.ThrowSpeed != nil {
		out += " " + unit.Format(*f.ThrowSpeed, unit.Speed, s)
	}
	return strings.TrimSpace(out)
}

func ended(f *store.Flight) string {
	switch {
	case f.Outcome != "":
		return strings.ReplaceAll(f.Outcome, "-", " ")
	case f.Launched == nil:
		return "?"
	case *f.Launched:
		return "flew away"
	}
	return "failed"
}

// Text is the page of the overview.
func (o *Overview) Text(s unit.System) string {
	d := &report.Doc{Title: "Logbook"}
	d.Lead = append(d.Lead, fmt.Sprintf("%s, %s in the air; %d of %s with an outcome flew away.", upper(counted(o.Counts["flights"], "flight")), span(o.Time), o.Away, strings.Replace(counted(o.Launches, "launch"), "launchs", "launches", 1)))
	var counts []string
	for _, k := range []string{"logs", "readings", "evidence", "factors", "repairs", "packs", "cycles", "parts", "wear", "costs"} {
		if o.Counts[k] > 0 {
			counts = append(counts, counted(o.Counts[k], strings.TrimSuffix(k, "s")))
		}
	}
	if len(counts) > 0 {
		d.Lead = append(d.Lead, "Also "+strings.Join(counts, ", ")+".")
	}
	if len(o.Proofs) > 0 {
		sec := report.Section{Title: "Before the next flight"}
		for _, p := range o.Proofs {
			sec.Blocks = append(sec.Blocks, paragraph("Proof load not yet held: %s.", p))
		}
		d.Sections = append(d.Sections, sec)
	}
	if len(o.Last) > 0 {
		t := &report.Table{Head: []string{"no.", "day", "aeroplane", "launch", "ended"}, Right: []bool{true}, Wrap: -1}
		for _, f := range o.Last {
			t.Rows = append(t.Rows, []string{strconv.FormatInt(f.ID, 10), f.Day, f.Aeroplane, launchWord(f, s), ended(f)})
		}
		d.Sections = append(d.Sections, report.Section{Title: "Last flights", Blocks: []report.Block{{Table: t}}})
	}
	if len(o.Packs) > 0 {
		t := &report.Table{Head: []string{"pack", "flights", "charges", "cell resistance", "rise", "remark"}, Right: []bool{false, true, true, true, true}, Wrap: 5}
		for _, p := range o.Packs {
			t.Rows = append(t.Rows, []string{p.Name, strconv.Itoa(p.Flights), strconv.Itoa(p.Cycles), resistance(float64(p.LastResistance)), times(float64(p.Rise)), p.Say})
		}
		d.Sections = append(d.Sections, report.Section{Title: "Packs", Blocks: []report.Block{{Table: t}}})
	}
	if len(o.Parts) > 0 {
		t := &report.Table{Head: []string{"part", "flights", "run", "hard landings", "largest load"}, Right: []bool{false, true, true, true, true}, Wrap: -1}
		for _, p := range o.Parts {
			load := ""
			if v := float64(p.Load); !math.IsNaN(v) {
				load = unit.Format(v, unit.Force, s)
			}
			t.Rows = append(t.Rows, []string{p.Name, strconv.Itoa(p.Flights), span(p.Time), strconv.FormatInt(p.HardLandings, 10), load})
		}
		d.Sections = append(d.Sections, report.Section{Title: "Parts", Blocks: []report.Block{{Table: t}}})
	}
	if len(o.Money) > 0 || o.Work > 0 {
		var parts []string
		for c, v := range o.Money {
			parts = append(parts, strings.TrimSpace(cents(v)+" "+c))
		}
		sort.Strings(parts)
		if o.Work > 0 {
			parts = append(parts, span(o.Work)+" of work")
		}
		d.Sections = append(d.Sections, report.Section{Title: "Spent", Blocks: []report.Block{paragraph("%s.", strings.Join(parts, ", "))}})
	}
	return d.Text()
}

func resistance(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return unit.Format(v, unit.Resistance, unit.Metric)
}

func times(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return fmt.Sprintf("x %.2f", v)
}

// Text is the page of one entry.
func (x *Shown) Text(s unit.System) string {
	m := store.MetaOf(x.Row)
	d := &report.Doc{Title: fmt.Sprintf("%s %d", upper(x.Kind), m.ID)}
	if m.Struck != "" {
		d.Headline = "STRUCK"
		d.Lead = append(d.Lead, "It counts no more: "+m.Struck)
	}
	t := &report.Table{Head: []string{"", ""}, Wrap: 1}
	for _, c := range store.Columns(x.Kind) {
		if c.Is == "dim" || c.Is == "text" || c.Is == "currency" || c.Is == "sd" {
			continue
		}
		if p := printed(x.Row, &c, s); p != "" {
			key := strings.ReplaceAll(c.Key, "_", " ")
			if c.Is == "money" {
				key = "money"
			}
			t.Rows = append(t.Rows, []string{key, p})
		}
	}
	t.Rows = append(t.Rows, []string{"entered", m.Entered[:min(19, len(m.Entered))] + " UTC"})
	d.Sections = append(d.Sections, report.Section{Title: "Noted", Blocks: []report.Block{{Table: t}}})
	if x.Build != nil {
		d.Sections = append(d.Sections, report.Section{Title: "Build", Blocks: []report.Block{paragraph("%s as it was then; get it back with: fledge logbook export build %d", brief(x.Build, s), x.Build.ID)}})
	}
	if p := x.Pack; p != nil {
		d.Sections = append(d.Sections, report.Section{Title: "Adds up to", Blocks: []report.Block{paragraph("%s", strings.TrimSpace(fmt.Sprintf("%s, %s. %s", counted(p.Flights, "flight"), counted(p.Cycles, "charge"), sentence(p.Say))))}})
	}
	if p := x.Part; p != nil {
		d.Sections = append(d.Sections, report.Section{Title: "Adds up to", Blocks: []report.Block{paragraph("%s, %s, %s.", counted(p.Flights, "flight"), span(p.Time), counted(int(p.HardLandings), "hard landing"))}})
	}
	if len(x.Related) > 0 {
		rt := &report.Table{Head: []string{"kind", "no.", "day", "what"}, Right: []bool{false, true}, Wrap: 3}
		for _, e := range x.Related {
			rt.Rows = append(rt.Rows, []string{e.Kind, strconv.FormatInt(store.MetaOf(e.Row).ID, 10), day(e.Row), brief(e.Row, s)})
		}
		d.Sections = append(d.Sections, report.Section{Title: "Belongs to it", Blocks: []report.Block{{Table: rt}}})
	}
	return d.Text()
}

// Text is the page of a search.
func (f *Found) Text() string {
	d := &report.Doc{}
	if len(f.Hits) == 0 {
		d.Lead = []string{fmt.Sprintf("Nothing holds %q.", f.Words)}
		return d.Text()
	}
	t := &report.Table{Head: []string{"kind", "no.", "day", "in", "text"}, Right: []bool{false, true}, Wrap: 4}
	for _, h := range f.Hits {
		t.Rows = append(t.Rows, []string{h.Kind, strconv.FormatInt(h.ID, 10), h.Day, h.Column, strings.ReplaceAll(h.Text, "\n", " ")})
	}
	d.Sections = []report.Section{{Title: fmt.Sprintf("%d found", len(f.Hits)), Blocks: []report.Block{{Table: t}}}}
	return strings.TrimPrefix(d.Text(), "\n")
}

// Text is the page of a check.
func (c *LogbookChecked) Text() string {
	d := &report.Doc{}
	if c.Rescued != "" {
		d.Lead = append(d.Lead, fmt.Sprintf("The logbook was damaged. What could be read is in a new one; the damaged file is kept as %s, what was saved as %s.", c.Rescued, c.Saved))
	}
	word := "whole"
	if len(c.Problems) > 0 {
		word = "NOT WHOLE"
	}
	d.Lead = append(d.Lead, fmt.Sprintf("%s: %s. Format %d, %.1f KiB; %s: each row against its checksum, each kept file against its hash.", c.Path, word, c.Version, float64(c.Bytes)/1024, rowsOf(c.Rows)))
	for _, p := range c.Problems {
		d.Lead = append(d.Lead, "- "+p)
	}
	return d.Text()
}

// Text is the page of an import.
func (i *Imported) Text() string {
	d := &report.Doc{Lead: []string{fmt.Sprintf("%d entries added, %d were there already.", i.Added, i.Known)}}
	if i.Partial != "" {
		d.Lead = append(d.Lead, "This dump is not whole: "+i.Partial+".")
	}
	for _, c := range i.Cut {
		d.Lead = append(d.Lead, "- "+c)
	}
	return d.Text()
}

// Text is the page of the score.
func (x *Scored) Text(s unit.System) string {
	d := &report.Doc{Title: "Our forecasts, scored"}
	o := x.Odds
	sec := report.Section{Title: "Odds against launches"}
	for _, say := range o.Say {
		sec.Blocks = append(sec.Blocks, paragraph("%s.", upper(say)))
	}
	if o.N > 0 {
		t := &report.Table{Head: []string{"forecast", "launches", "flew away", "mean forecast", "achieved", "90 % interval"}, Right: []bool{false, true, true, true, true, true}, Wrap: -1}
		for _, b := range o.Bins {
			t.Rows = append(t.Rows, []string{fmt.Sprintf("%.2f to %.2f", b.From, b.To), strconv.Itoa(b.N), strconv.Itoa(b.Hits), fmt.Sprintf("%.3f", b.Mean), fmt.Sprintf("%.3f", b.Rate), fmt.Sprintf("%.2f to %.2f", b.Low, b.High)})
		}
		sec.Blocks = append(sec.Blocks, report.Block{Table: t})
		iv := fmt.Sprintf("too few for an interval: %d are needed", 10)
		if !math.IsNaN(o.BrierLow) {
			iv = fmt.Sprintf("90 %% interval %.3f to %.3f", o.BrierLow, o.BrierHigh)
		}
		sec.Blocks = append(sec.Blocks, paragraph("Brier score %.3f (0 is perfect; %s). Right forecasts of these odds would score %.3f on the mean, %.3f to %.3f in nine of ten records.", o.Brier, iv, o.Right, o.RightLow, o.RightH))
		sec.Blocks = append(sec.Blocks, paragraph("Its parts: reliability %.4f (0 is best), resolution %.4f (more is better), uncertainty %.4f, within rows %.4f.", o.Reliability, o.Resolution, o.Uncertainty, o.Within))
	}
	d.Sections = append(d.Sections, sec)
	v := x.Speeds
	sec = report.Section{Title: "Speeds forecast against measured"}
	for _, say := range v.Say {
		sec.Blocks = append(sec.Blocks, paragraph("%s.", upper(say)))
	}
	if v.N > 0 {
		t := &report.Table{Head: []string{"flight", "forecast", "90 % interval", "measured", "miss in sigmas", ""}, Right: []bool{false, true, true, true, true}, Wrap: -1}
		for _, r := range v.Rows {
			in := "inside"
			if !r.Within {
				in = "OUTSIDE"
			}
			z := "-"
			if !math.IsInf(r.Z, 0) && !math.IsNaN(r.Z) {
				z = fmt.Sprintf("%+.1f", r.Z)
			}
			span := "not given" // a forecast typed without one is held to its value
			if r.High > r.Low {
				span = unit.Format(r.Low, unit.Speed, s) + " to " + unit.Format(r.High, unit.Speed, s)
			}
			sd := r.SD
			t.Rows = append(t.Rows, []string{r.Name, unit.Format(r.Value, unit.Speed, s), span, speedWithin(r.Measured, &sd, s), z, in})
		}
		sec.Blocks = append(sec.Blocks, report.Block{Table: t})
		line := fmt.Sprintf("%d of %d inside their intervals, 90 %% expected (90 %% interval of the share %.2f to %.2f). Measured over forecast %.3f", v.Within, v.N, v.ShareLow, v.ShareHigh, v.Ratio)
		if !math.IsNaN(v.RatioLow) {
			line += fmt.Sprintf(" (%.3f to %.3f)", v.RatioLow, v.RatioHigh)
		} else {
			line += " (of so few nothing tells its doubt)"
		}
		sec.Blocks = append(sec.Blocks, paragraph("%s.", line))
	}
	d.Sections = append(d.Sections, sec)
	return d.Text()
}

type binJSON struct {
	From float64 `json:"from"`
	To   float64 `json:"to"`
	N    int     `json:"n"`
	Hits int     `json:"hits"`
	Mean float64 `json:"mean_forecast"`
	Rate float64 `json:"achieved"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// JSON is the body of the score.
func (x *Scored) JSON() any {
	o, v := x.Odds, x.Speeds
	F := func(f float64) report.Float { return report.Float(f) }
	bins := []binJSON{}
	for _, b := range o.Bins {
		bins = append(bins, binJSON{b.From, b.To, b.N, b.Hits, b.Mean, b.Rate, b.Low, b.High})
	}
	type row struct {
		Name     string       `json:"name"`
		Forecast report.Float `json:"forecast_m_s"`
		Low      report.Float `json:"low_m_s"`
		High     report.Float `json:"high_m_s"`
		Measured report.Float `json:"measured_m_s"`
		Z        report.Float `json:"miss_sigmas"`
		Within   bool         `json:"within"`
	}
	rows := []row{}
	for _, r := range v.Rows {
		rows = append(rows, row{r.Name, F(r.Value), F(r.Low), F(r.High), F(r.Measured), F(r.Z), r.Within})
	}
	return map[string]any{
		"schema": report.Schema,
		"odds": map[string]any{
			"n": o.N, "hits": o.Hits, "expected_hits": F(o.ExpectedHits), "chance_of_so_few": F(o.FewTail), "chance_of_so_many": F(o.ManyTail),
			"brier": F(o.Brier), "brier_low": F(o.BrierLow), "brier_high": F(o.BrierHigh), "if_right": F(o.Right), "if_right_low": F(o.RightLow), "if_right_high": F(o.RightH), "chance_of_so_bad": F(o.Tail),
			"reliability": F(o.Reliability), "resolution": F(o.Resolution), "uncertainty": F(o.Uncertainty), "within": F(o.Within), "skill": F(o.Skill),
			"table": bins, "say": o.Say,
		},
		"speeds": map[string]any{
			"n": v.N, "within": v.Within, "share": F(v.Share), "share_low": F(v.ShareLow), "share_high": F(v.ShareHigh), "ratio": F(v.Ratio), "ratio_low": F(v.RatioLow), "ratio_high": F(v.RatioHigh),
			"spread": F(v.Spread), "spread_if_right_low": F(v.SpreadLow), "spread_if_right_high": F(v.SpreadHigh), "rows": rows, "say": v.Say,
		},
	}
}

// Text is the page of a repair.
func (r *Repaired) Text(s unit.System) string {
	d := &report.Doc{Title: upper(r.What)}
	if r.WriteOff != "" {
		d.Headline = "WRITE OFF"
		d.Lead = []string{upper(r.WriteOff) + ".", "Look also at " + r.Look + "."}
		d.Sections = []report.Section{{Title: "Cautions", Blocks: []report.Block{{List: r.Cautions}}}}
		return d.Text()
	}
	d.Lead = append(d.Lead, fmt.Sprintf("%s repair at x %s. Look also at %s.", upper(r.Joint), unit.Format(r.At[0], unit.Length, s), r.Look))
	if r.File != "" {
		d.Lead = append(d.Lead, fmt.Sprintf("The repaired revision is %s; %s is kept as it was. Noted: repair %d.", r.File, r.Build, r.Entry))
	} else if r.DryRun {
		d.Lead = append(d.Lead, "Nothing was written.")
	}
	t := &report.Table{Head: []string{"", "value", "90 % interval", ""}, Right: []bool{false, true, true}, Wrap: 3}
	t.Rows = append(t.Rows, []string{"mass added", unit.Format(r.Mass.Value, unit.Mass, s), unit.FormatInterval(r.Mass.Value, r.Mass.Low, r.Mass.High, unit.Mass, s), r.MassFrom})
	if r.Regained != nil {
		t.Rows = append(t.Rows, []string{"strength regained", fmt.Sprintf("%.2f", r.Regained.Value), fmt.Sprintf("%.2f to %.2f", r.Regained.Low, r.Regained.High), r.Governs + " gives first"})
	}
	if r.DragArea != nil {
		mm2 := func(v float64) string { return strconv.FormatFloat(v*1e6, 'f', 1, 64) + " mm2" }
		t.Rows = append(t.Rows, []string{"drag area of the scar", mm2(r.DragArea.Value), mm2(r.DragArea.Low) + " to " + mm2(r.DragArea.High), ""})
	}
	d.Sections = append(d.Sections, report.Section{Title: "The repair", Blocks: []report.Block{{Table: t}}})
	if r.Proof != nil {
		number := "last"
		if r.Entry > 0 {
			number = strconv.FormatInt(r.Entry, 10)
		}
		d.Sections = append(d.Sections, report.Section{Title: "Proof load, before flight", Blocks: []report.Block{paragraph("%s", r.Proof.Say), paragraph("When it has held: fledge logbook amend repair %s proofed=yes", number)}})
	}
	if r.Before != nil && r.After != nil {
		q := func(v report.Quantity, d unit.Dim) string {
			if v.Status != "" || math.IsNaN(float64(v.Value)) {
				return "not computed"
			}
			if d == unit.Ratio {
				return fmt.Sprintf("%.2f (%.2f to %.2f)", float64(v.Value), float64(v.Low), float64(v.High))
			}
			return unit.FormatInterval(float64(v.Value), float64(v.Low), float64(v.High), d, s)
		}
		b, a := r.Before, r.After
		len1 := func(v float64) string { return unit.FormatIn(v, unit.Length, "mm", 1) }
		ine := func(m [3][3]float64) string { return fmt.Sprintf("%.5f %.5f %.5f", m[0][0], m[1][1], m[2][2]) }
		t := &report.Table{Head: []string{"", "before", "after"}, Right: []bool{false, true, true}, Wrap: -1}
		t.Rows = [][]string{
			{"mass", unit.Format(b.Mass, unit.Mass, s), unit.Format(a.Mass, unit.Mass, s)},
			{"balance point x", len1(b.CG[0]), len1(a.CG[0])},
			{"balance point y", len1(b.CG[1]), len1(a.CG[1])},
			{"inertia Ixx Iyy Izz, kg m2", ine(b.Inertia), ine(a.Inertia)},
			{"launch odds", q(b.Odds, unit.Ratio), q(a.Odds, unit.Ratio)},
			{"top speed", q(b.Speed, unit.Speed), q(a.Speed, unit.Speed)},
		}
		d.Sections = append(d.Sections, report.Section{Title: "Before and after", Blocks: []report.Block{{Table: t}}})
	}
	if len(r.Remarks) > 0 {
		var l []string
		for _, m := range r.Remarks {
			l = append(l, upper(m)+".")
		}
		d.Sections = append(d.Sections, report.Section{Title: "Remarks", Blocks: []report.Block{{List: l}}})
	}
	if len(r.Sources) > 0 {
		d.Sections = append(d.Sections, report.Section{Title: "Sources", Blocks: []report.Block{{List: r.Sources}}})
	}
	d.Sections = append(d.Sections, report.Section{Title: "Cautions", Blocks: []report.Block{{List: r.Cautions}}})
	return d.Text()
}

// BreaksText lists what may break.
func BreaksText() string {
	t := &report.Table{Head: []string{"key", "what broke", "usual repair"}, Wrap: 1}
	for _, b := range mend.Breaks {
		fix := string(b.Joint)
		if b.WriteOff != "" {
			fix = "write off"
		}
		t.Rows = append(t.Rows, []string{b.Key, b.Say, fix})
	}
	d := &report.Doc{Lead: []string{"What broke? fledge logbook repair BUILD KEY x=... [key=value ...]"}, Sections: []report.Section{{Title: "Breaks", Blocks: []report.Block{{Table: t}}}}}
	kt := &report.Table{Head: []string{"key", "what"}, Wrap: 1}
	for _, k := range RepairKeys {
		kt.Rows = append(kt.Rows, []string{k.Key, k.Doc})
	}
	d.Sections = append(d.Sections, report.Section{Title: "What may be said of a repair", Blocks: []report.Block{{Table: kt}}})
	return d.Text()
}

// KeysText lists what may be noted in an entry of a kind, or all kinds.
func KeysText(kind string) (string, error) {
	if kind == "" {
		return (&report.Doc{Lead: []string{"Kinds of entry: " + strings.Join(store.Kinds(), ", ") + ".", "What each may hold: fledge logbook add KIND --keys"}}).Text(), nil
	}
	if !known(kind) {
		return "", kindError(kind)
	}
	t := &report.Table{Head: []string{"key", "is", "what"}, Wrap: 2}
	for _, c := range store.Columns(kind) {
		switch c.Is {
		case "sd", "dim", "text", "currency":
			continue
		}
		is, key := "text", c.Key
		switch {
		case c.Is == "money":
			key, is = "money", `"12.50 EUR"`
		case c.Dim == unit.Any:
			is = "with its unit"
		case c.Dim != unit.None:
			is = c.Dim.Article()
		case c.Ref == "builds" || c.Ref == "files":
			is = "a file"
		case c.Ref != "":
			is = "number or last"
		case c.Go.String() == "*bool":
			is = "yes or no"
		case c.Go.String() == "int64":
			is = "a number"
		case c.Is == "day" || c.Is == "clock":
			is = c.Is
		case len(c.OneOf) > 0:
			is = strings.Join(c.OneOf, " or ")
		}
		doc := c.Doc
		if c.Need {
			doc = strings.TrimSpace("needed. " + doc)
		}
		if c.Name == "outcome" {
			doc = "how the launch ended: " + strings.Join(outcomes(), ", ")
		}
		t.Rows = append(t.Rows, []string{key, is, doc})
	}
	return strings.TrimPrefix((&report.Doc{Sections: []report.Section{{Title: upper(kind), Blocks: []report.Block{{Table: t}}}}}).Text(), "\n"), nil
}

// ExportedBody says where an export was written.
func ExportedBody(file string, bytes int) any {
	return map[string]any{"schema": report.Schema, "file": file, "bytes": bytes}
}

// KeyJSON is one thing that an entry may hold.
type KeyJSON struct {
	Key    string   `json:"key"`
	Column string   `json:"column"`
	Is     string   `json:"is"` // dimension, or "text", "number", "yes-no", "day", "clock", "money", or the table referred to
	Words  []string `json:"words,omitempty"`
	Needed bool     `json:"needed"`
	Say    string   `json:"say,omitempty"`
}

// KeysBody is [KeysText] as JSON.
func KeysBody(kind string) any {
	if kind == "" {
		return map[string]any{"schema": report.Schema, "kinds": store.Kinds()}
	}
	keys := []KeyJSON{}
	for _, c := range store.Columns(kind) {
		k := KeyJSON{Key: c.Key, Column: c.Name, Is: "text", Words: c.OneOf, Needed: c.Need, Say: c.Doc}
		switch {
		case c.Is == "sd" || c.Is == "dim" || c.Is == "text" || c.Is == "currency":
			continue
		case c.Is == "money" || c.Is == "day" || c.Is == "clock":
			k.Is = c.Is
			if c.Is == "money" {
				k.Key = "money"
			}
		case c.Dim != unit.None:
			k.Is = c.Dim.String()
		case c.Ref != "":
			k.Is = c.Ref
		case c.Go.String() == "*bool":
			k.Is = "yes-no"
		case c.Go.String() == "int64":
			k.Is = "number"
		}
		if c.Name == "outcome" {
			k.Words = outcomes()
		}
		keys = append(keys, k)
	}
	return map[string]any{"schema": report.Schema, "kind": kind, "keys": keys}
}

// repairWords are the words that a key of a repair takes; nil: any.
func repairWords(key string) []string {
	var out []string
	switch key {
	case "joint":
		for _, k := range mend.Kinds() {
			out = append(out, string(k))
		}
	case "surface":
		return []string{"roughened", "smooth"}
	case "glue":
		for _, g := range strength.Adhesives {
			out = append(out, g.Name)
		}
	case "material", "strap_material":
		for _, m := range strength.Materials {
			out = append(out, m.Name)
		}
	}
	return out
}

// BreaksBody is [BreaksText] as JSON.
func BreaksBody() any {
	type one struct {
		Key      string `json:"key"`
		Say      string `json:"say"`
		Joint    string `json:"joint"`
		WriteOff string `json:"write_off,omitempty"`
		Look     string `json:"look"`
	}
	list := []one{}
	for _, b := range mend.Breaks {
		list = append(list, one{b.Key, b.Say, string(b.Joint), b.WriteOff, b.Look})
	}
	type key struct {
		Key     string   `json:"key"`
		Dim     string   `json:"dim"` // empty: a word
		Say     string   `json:"say"`
		Example string   `json:"example"`
		Words   []string `json:"words,omitempty"`
	}
	keys := []key{}
	for _, k := range RepairKeys {
		one := key{Key: k.Key, Say: k.Doc, Words: repairWords(k.Key)}
		if k.Dim != unit.None {
			one.Dim, one.Example = k.Dim.String(), k.Dim.Example()
		}
		keys = append(keys, one)
	}
	return map[string]any{"schema": report.Schema, "breaks": list, "keys": keys}
}
