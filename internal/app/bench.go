package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"

	"fledge/internal/air"
	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/diag"
	"fledge/internal/power"
	"fledge/internal/power/typical"
	"fledge/internal/prop"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/unit"
)

// PropRequest asks for a propeller's table: of a build, of a blade file, or of
// a blade known by diameter x pitch.
type PropRequest struct {
	Request
	Blade    string // file, instead of a build
	Pitch    string // instead of a file: a blade of that nominal pitch
	Style    string // of it, one of prop.Styles; "": sport
	Diameter string
	Blades   int
	RPM      string // list or range; empty: what the build's drive turns
	Advance  string
	// Of a blade by itself: the measured advance ratio of zero thrust ("": not
	// known), and a file of measured coefficients.
	ZeroThrust, Measured string
}

// doubtOf is the bench's doubt of a propeller that is so well known, of this
// pitch over diameter (0: not known).
func doubtOf(k typical.Knowledge, pitch float64) prop.Doubt {
	s := typical.PropellerDoubt(k)
	if k == typical.Drawn || k == typical.Sized {
		s = s.At(pitch)
	}
	return prop.Doubt{CT: s.Thrust.Sigma, CP: s.Torque.Sigma, J0: s.Advance.Sigma, Eta: s.Efficiency.Sigma}
}

// Prop computes a propeller's table.
func Prop(_ context.Context, q PropRequest) (*Answer, error) {
	advance, list := prop.Range("--advance", q.Advance)
	var rpm []float64
	if q.RPM != "" {
		var ds diag.List
		rpm, ds = prop.Range("--rpm", q.RPM)
		list = append(list, ds...)
		for _, r := range rpm {
			if !(r > 0) {
				return nil, Bad("range", "as in --rpm 6000 or --rpm 4000:8000:1000", fmt.Sprintf("--rpm: %g is not above zero", r))
			}
		}
	}
	if list.HasErrors() {
		return nil, &BadInput{List: list}
	}
	if q.Blade == "" && q.Pitch == "" {
		return propOf(q, rpm, advance)
	}
	by := "--blade"
	switch {
	case q.Blade != "" && q.Pitch+q.Style != "":
		return nil, Bad("both", "leave --pitch and --style out: the file has the angles", "--blade and --pitch or --style are both given")
	case q.Blade == "":
		by = "--pitch"
	}
	if q.Path != "" {
		hint := "leave one out"
		if q.Pitch != "" {
			hint = "leave one out, or change the build's with --set power.propeller.pitch=" + q.Pitch
		}
		return nil, Bad("both", hint, "a build and "+by+" are both given")
	}
	if q.Diameter == "" {
		return nil, Bad("missing", "as in --diameter 9in or --diameter 230mm", by+" needs --diameter")
	}
	d, bad := Length("--diameter", q.Diameter)
	if bad != nil {
		return nil, bad
	}
	if q.Blades < 1 || q.Blades > 8 {
		return nil, Bad("range", "from 1 to 8", fmt.Sprintf("--blades %d is out of range", q.Blades))
	}
	if len(rpm) == 0 {
		return nil, Bad("missing", "as in --rpm 6000 or --rpm 4000:8000:1000", by+" needs --rpm")
	}
	var text []byte
	var ds diag.List
	var nominal float64
	if q.Blade == "" {
		if nominal, bad = Length("--pitch", q.Pitch); bad != nil {
			return nil, bad
		}
	} else if text, ds = store.ReadFile(q.Blade, store.MaxAttachment, "a blade file"); ds.HasErrors() {
		return nil, &BadInput{List: ds}
	}
	st, _ := air.Standard(0)
	b := prop.Bench{BladeName: q.Blade, BladeText: text, Diameter: d, Pitch: nominal, Style: q.Style, Blades: q.Blades, RPM: rpm, Advance: advance, Gas: prop.Gas{Rho: st.Rho, Mu: st.Mu, A: st.A}}
	known, pitch := typical.Drawn, 0.0
	if q.Blade == "" {
		known, pitch = typical.Sized, nominal/d
	}
	if q.ZeroThrust != "" {
		j, err := strconv.ParseFloat(strings.TrimSpace(q.ZeroThrust), 64)
		if err != nil || !(j > 0) {
			return nil, Bad("range", "as in --zero-thrust 0.87: V/(nD) where it neither pulls nor brakes", fmt.Sprintf("--zero-thrust %s is no advance ratio", diag.Quote(q.ZeroThrust)))
		}
		b.ZeroThrust, known = j, typical.Tied
	}
	if q.Measured != "" {
		if b.MeasuredText, ds = store.ReadFile(q.Measured, store.MaxAttachment, "a file of measured coefficients"); ds.HasErrors() {
			return nil, &BadInput{List: ds}
		}
		b.MeasuredName, known = q.Measured, typical.Tabled
	}
	if g, _ := prop.ReadBlade(q.Blade, text, d, q.Blades); g != nil { // its faults are told by Run
		pitch = g.PitchRatio()
	}
	b.Doubt = doubtOf(known, pitch)
	rep, ds := b.Run()
	from := func(f string) []byte {
		switch f {
		case q.Blade:
			return text
		case q.Measured:
			return b.MeasuredText
		}
		return nil
	}
	if rep == nil || ds.HasErrors() {
		return nil, &BadInput{List: ds, Text: from}
	}
	name := filepath.Base(q.Blade)
	if q.Blade == "" {
		name = strings.TrimSpace(q.Diameter) + " x " + strings.TrimSpace(q.Pitch)
		if q.Style != "" {
			name += ", " + q.Style
		}
	}
	p := report.Propeller{Name: name, Report: *rep, Units: q.Units}
	return &Answer{Doc: report.Prop(p), Body: report.PropBody(p), Chart: report.PropChart(p), Notes: ds.Render(from)}, nil
}

func propOf(q PropRequest, rpm, advance []float64) (*Answer, error) {
	if q.Path == "" {
		return nil, Bad("missing", "name a build, or give --blade FILE.csv or --pitch with --diameter, --blades and --rpm", "there is no propeller to compute")
	}
	if q.ZeroThrust != "" || q.Measured != "" {
		return nil, Bad("both", "write power.propeller.zero_thrust or power.propeller.measured into the build", "--zero-thrust and --measured go with --blade or --pitch, and a build is given")
	}
	if q.Style != "" {
		return nil, Bad("both", "change the build's with --set power.propeller.style="+q.Style, "--style goes with --pitch, and a build is given")
	}
	if q.Diameter != "" {
		return nil, Bad("both", "change the build's with --set power.propeller.diameter=9in", "--diameter goes with --blade or --pitch, and a build is given")
	}
	o, err := Open(q.Request)
	if err != nil {
		return nil, err
	}
	if o.Aircraft.Power.Place == "" {
		return nil, &BadInput{List: diag.List{{Severity: diag.Error, Code: "no-drive", Span: diag.Span{File: q.Path}, Message: "the build has no propeller", Hint: "write a power: block"}}}
	}
	chain, err := assess.NewChain(o.Aircraft)
	if err != nil {
		return nil, located(o, err)
	}
	m := chain.Power
	if len(rpm) == 0 {
		neutral := power.Neutral()
		rpm = []float64{math.Round(m.At(0, 1, &neutral).Omega*30/math.Pi/100) * 100}
		if !(rpm[0] > 0) {
			return nil, Bad("no-rpm", "give --rpm, as in --rpm 6000", "at full throttle the drive of this build hardly turns its propeller")
		}
	}
	if len(rpm)*len(advance) > prop.MaxPoints {
		return nil, Bad("range", fmt.Sprintf("at most %d", prop.MaxPoints), "too many points")
	}
	rep := prop.Report{Source: "family", Diameter: m.Blade.Diameter, Blades: m.Blade.Blades}
	switch pr := &o.Aircraft.Power.Propeller; {
	case pr.Measured != nil:
		rep.Source = "measured table"
	case pr.Geometry != nil:
		rep.Source = "geometry"
	}
	if o.Aircraft.Power.Propeller.Known() == typical.Tied {
		rep.Source += " and zero thrust"
	}
	rep.Doubt = doubtOf(o.Aircraft.Power.Propeller.Known(), chain.Power.Blade.PitchRatio())
	rep.Points = prop.Table(m.Source, m.Blade.Diameter, m.Blade.Blades, rpm, advance, m.Gas, rep.Doubt)
	o.remark(chain)
	p := report.Propeller{Name: o.Aircraft.Name, Report: rep, Units: q.Units, Drive: driveOf(chain)}
	return &Answer{Doc: report.Prop(p), Body: report.PropBody(p), Chart: report.PropChart(p), More: report.DriveCharts(o.Aircraft.Name, p.Drive), Notes: o.RenderNotes()}, nil
}

// driveOf is the whole drive over airspeed, to a little beyond where it stops
// pulling.
func driveOf(c *assess.Chain) *report.Drive {
	ac, m := c.Aircraft, c.Power
	k := c.Nominal().PowerK
	most := ac.Power.Throttle
	end := 10.0
	for end < 150 && m.At(end, most, &k).Thrust > 0 {
		end += 1
	}
	var speeds []float64
	for _, f := range []float64{0, 0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1} {
		speeds = append(speeds, math.Round(2*f*end)/2)
	}
	d := &report.Drive{Rows: c.DriveAlong(most, speeds), Throttle: most, Fitted: k, Told: len(ac.Power.Bench) > 0 || len(ac.Taught) > 0, Pack: m.Train.Pack, Battery: ac.Power.Battery, Remarks: c.BenchRemarks()}
	d.Drop = m.Train.Pack.Rest(m.Charge) - d.Rows[0].Voltage
	return d
}

// Length reads a length of a flag. A bare number under one is metres; a larger
// one may be inches, centimetres or millimetres and is refused.
func Length(flag, text string) (float64, *BadInput) {
	if v, err := strconv.ParseFloat(strings.TrimSpace(text), 64); err == nil {
		if v >= 1 {
			return 0, Bad("quantity", fmt.Sprintf("write the unit: %[1]g in, or %[1]g cm, or %[1]g mm, whichever it is", v), fmt.Sprintf("%s %s has no unit", flag, diag.Quote(text)))
		}
		text = fmt.Sprintf("%g m", v)
	}
	q, err := unit.Parse(text, unit.Length)
	if err != nil || !(q.Value > 0) {
		say := fmt.Sprintf("%s %q is not a length", flag, text)
		hint := "as in 9 in, 230 mm or 0.23 m"
		var e *unit.Error
		if errors.As(err, &e) && e.Hint != "" {
			hint = e.Hint
		}
		return 0, Bad("quantity", hint, say)
	}
	return q.Value, nil
}

// claimUnit is the SI unit of a claim's value.
func claimUnit(b *build.Build, c craft.Claim) string {
	for i := range b.Claims {
		if b.Claims[i].What.S == c.What {
			switch b.Claims[i].Value.Dim {
			case unit.Speed:
				return "m/s"
			case unit.Mass:
				return "kg"
			case unit.Time:
				return "s"
			case unit.Length:
				return "m"
			case unit.Force:
				return "N"
			case unit.Power:
				return "W"
			case unit.Current:
				return "A"
			case unit.Rotation:
				return "rad/s"
			case unit.Ratio:
				return "1"
			}
		}
	}
	return ""
}
