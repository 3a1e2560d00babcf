package prop

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fledge/internal/diag"
)

// Number prints as JSON null when it is not a finite number.
type Number float64

// MarshalJSON implements json.Marshaler.
func (n Number) MarshalJSON() ([]byte, error) {
	if f := float64(n); math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// Report is a propeller's table on its own.
type Report struct {
	Schema   string        `json:"schema"`
	Source   string        `json:"source"` // "geometry", "family", "measured table"
	Diameter float64       `json:"diameter_m"`
	Blades   int           `json:"blades"`
	Doubt    Doubt         `json:"doubt"`
	Points   []ReportPoint `json:"points"`
}

// Doubt is one standard deviation, relative, of the coefficients, and of the
// advance ratio of zero thrust.
type Doubt struct {
	CT float64 `json:"ct"`
	CP float64 `json:"cp"`
	J0 float64 `json:"advance_ratio_of_zero_thrust"`
}

// ReportPoint is one point of a [Report].
type ReportPoint struct {
	RPM        Number `json:"rpm"`
	Advance    Number `json:"advance_ratio"`
	CT         Number `json:"ct"`
	CP         Number `json:"cp"`
	Efficiency Number `json:"efficiency"`
	Status     string `json:"status"`         // "ok" or why the numbers are not to be trusted
	Note       string `json:"note,omitempty"` // "braking", "stalled": trusted, with more doubt when stalled
	Airspeed   Number `json:"airspeed"`
	Thrust     Number `json:"thrust"`
	Torque     Number `json:"torque"`
	Power      Number `json:"power"`
	Re75       Number `json:"re75"`
	TipMach    Number `json:"tip_mach"`
	Tone       Number `json:"blade_pass_hz"`
	Ideal      Number `json:"ideal_efficiency"`
}

// MaxPoints is how many points [Table] computes at most.
const MaxPoints = 20000

// Table computes a source at each rpm and advance ratio. A negative advance
// ratio, or one that is no number, gives a point with null coefficients and a
// status; so does an rpm that is not above zero.
func Table(s Source, diameter float64, blades int, rpm, advance []float64, g Gas) []ReportPoint {
	var out []ReportPoint
	for _, r := range rpm {
		for _, j := range advance {
			p := ReportPoint{RPM: Number(r), Advance: Number(j)}
			n := r / 60
			if !(n > 0) || math.IsInf(n, 0) {
				nan := Number(math.NaN())
				p.CT, p.CP, p.Efficiency, p.Airspeed, p.Thrust, p.Torque, p.Power, p.Re75, p.TipMach, p.Tone, p.Ideal = nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan
				p.Status = "the speed of rotation must be above zero"
				out = append(out, p)
				continue
			}
			w := 2 * math.Pi * n
			v := j * n * diameter
			l := s.At(v, w, g)
			p.CT, p.CP, p.Efficiency, p.Status = Number(l.CT), Number(l.CP), Number(l.Eta), (l.Status &^ (Braking | Stalled)).String()
			if n := l.Status & (Braking | Stalled); n != 0 {
				p.Note = n.String()
			}
			p.Airspeed, p.Thrust, p.Torque, p.Power = Number(v), Number(l.Thrust), Number(l.Torque), Number(l.Torque*w)
			p.Re75, p.TipMach, p.Tone = Number(l.Re75), Number(l.TipMach), Number(BladePass(blades, w))
			p.Ideal = Number(math.NaN())
			if l.Thrust > 0 {
				p.Ideal = Number(IdealDisc(l.Thrust, diameter, v, g.Rho).Eta)
			}
			out = append(out, p)
		}
	}
	return out
}

// Range reads "from:to:step" or a list "a,b,c" of numbers; what names it in
// messages. At most [MaxPoints] values.
func Range(what, text string) ([]float64, diag.List) {
	var l diag.List
	bad := func(hint, format string, args ...any) ([]float64, diag.List) {
		l.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: fmt.Sprintf(format, args...), Hint: hint})
		return nil, l
	}
	const hint = "from:to:step as in 0:0.9:0.05, or values with commas"
	num := func(s string) (float64, bool) {
		v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
		return v, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
	}
	if !strings.Contains(text, ":") {
		var out []float64
		for _, s := range strings.Split(text, ",") {
			v, ok := num(s)
			if !ok {
				return bad(hint, "%s: %q is not a number", what, s)
			}
			out = append(out, v)
		}
		return out, nil
	}
	p := strings.Split(text, ":")
	if len(p) != 3 {
		return bad(hint, "%s: %q has %d parts, not three", what, text, len(p))
	}
	var v [3]float64
	for i, s := range p {
		x, ok := num(s)
		if !ok {
			return bad(hint, "%s: %q is not a number", what, s)
		}
		v[i] = x
	}
	if v[2] == 0 || (v[1]-v[0])/v[2] < 0 {
		return bad(hint, "%s: a step of %g does not lead from %g to %g", what, v[2], v[0], v[1])
	}
	n := math.Floor((v[1]-v[0])/v[2]+1e-9) + 1
	if !(n <= MaxPoints) {
		return bad(fmt.Sprintf("at most %d", MaxPoints), "%s: %.0f values are too many", what, n)
	}
	out := make([]float64, int(n))
	for i := range out {
		out[i] = v[0] + float64(i)*v[2]
		if math.Abs(out[i]) < 1e-12*math.Abs(v[2]) {
			out[i] = 0
		}
	}
	return out, nil
}

// Bench is what the propeller bench is asked for: a blade file or diameter x
// pitch, possibly a measured table, and the points.
type Bench struct {
	BladeName, MeasuredName string
	BladeText, MeasuredText []byte // nil: none
	Diameter, Pitch         float64
	Blades                  int
	Style                   string
	RPM, Advance            []float64
	Gas                     Gas
}

// Run makes the report of a [Bench]; on errors the report is nil.
func (b Bench) Run() (*Report, diag.List) {
	var l diag.List
	rep := &Report{Schema: "fledge/prop/1", Diameter: b.Diameter, Blades: b.Blades}
	if len(b.RPM)*len(b.Advance) > MaxPoints {
		l.Errorf("range", diag.Span{}, "%d points are too many (%d at most)", len(b.RPM)*len(b.Advance), MaxPoints)
		return nil, l
	}
	var blade *Blade
	var d diag.List
	if b.BladeText != nil {
		blade, d = ReadBlade(b.BladeName, b.BladeText, b.Diameter, b.Blades)
		rep.Source, rep.Doubt = "geometry", Doubt{0.11, 0.12, 0.05}
	} else {
		blade, d = Family(b.Diameter, b.Pitch, b.Blades, b.Style)
		rep.Source, rep.Doubt = "family", Doubt{0.15, 0.18, 0.06}
	}
	l = append(l, d...)
	if blade == nil {
		return nil, l
	}
	r := New(blade, Options{})
	var s Source = r
	if b.MeasuredText != nil {
		m, d := ReadMeasured(b.MeasuredName, b.MeasuredText, r, b.Gas)
		l = append(l, d...)
		if m == nil {
			return nil, l
		}
		s = m
		rep.Source, rep.Doubt = "measured table", Doubt{0.03, 0.04, 0.01}
	}
	rep.Points = Table(s, b.Diameter, b.Blades, b.RPM, b.Advance, b.Gas)
	return rep, l
}
