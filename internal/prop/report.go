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
	Source   string        `json:"source"` // "geometry", "family", "measured table", with "and zero thrust" when tied
	Diameter float64       `json:"diameter_m"`
	Blades   int           `json:"blades"`
	Doubt    Doubt         `json:"doubt"`
	Points   []ReportPoint `json:"points"`
}

// Doubt is one standard deviation, relative, of the coefficients and of the
// advance ratio of zero thrust: typical.PropellerDoubt, one table for all.
type Doubt struct {
	CT float64 `json:"ct"`
	CP float64 `json:"cp"`
	J0 float64 `json:"advance_ratio_of_zero_thrust"`
	// Eta is absolute. Thrust and power err together, so the efficiency errs
	// less than either; measured blades from their geometry have 0.02 to 0.06
	// at the peak (docs/accuracy.md).
	Eta float64 `json:"efficiency"`
}

// ReportPoint is one point of a [Report].
type ReportPoint struct {
	RPM        Number `json:"rpm"`
	Advance    Number `json:"advance_ratio"`
	CT         Number `json:"ct"`
	CP         Number `json:"cp"`
	Efficiency Number `json:"efficiency"`
	Status     string `json:"status"`         // "ok" or why the numbers are not to be trusted
	Note       string `json:"note,omitempty"` // "braking", "stalled", "driven by the air": trusted
	Airspeed   Number `json:"airspeed_m_s"`
	Thrust     Number `json:"thrust_n"`
	Torque     Number `json:"torque_nm"`
	Power      Number `json:"power_w"`
	Re75       Number `json:"re75"`
	TipMach    Number `json:"tip_mach"`
	Tone       Number `json:"blade_pass_hz"`
	Ideal      Number `json:"ideal_efficiency"`
	// 90 % intervals by the report's doubt: of the coefficients, and of the
	// advance ratio at which they stand.
	CTLow   Number `json:"ct_low"`
	CTHigh  Number `json:"ct_high"`
	CPLow   Number `json:"cp_low"`
	CPHigh  Number `json:"cp_high"`
	EtaLow  Number `json:"efficiency_low"`
	EtaHigh Number `json:"efficiency_high"`
	TLow    Number `json:"thrust_low_n"`
	THigh   Number `json:"thrust_high_n"`
	PLow    Number `json:"power_low_w"`
	PHigh   Number `json:"power_high_w"`
	QLow    Number `json:"torque_low_nm"`
	QHigh   Number `json:"torque_high_nm"`
	// The bound that a loss-free disc sets, by the thrust's ends: the less it
	// pulls, the nearer to 1.
	IdealLow  Number `json:"ideal_efficiency_low"`
	IdealHigh Number `json:"ideal_efficiency_high"`
}

// none makes all numbers but rpm and advance no number.
func (p *ReportPoint) none(status string) {
	nan := Number(math.NaN())
	*p = ReportPoint{RPM: p.RPM, Advance: p.Advance, CT: nan, CP: nan, Efficiency: nan, Airspeed: nan, Thrust: nan, Torque: nan, Power: nan, Re75: nan, TipMach: nan, Tone: nan, Ideal: nan,
		CTLow: nan, CTHigh: nan, CPLow: nan, CPHigh: nan, EtaLow: nan, EtaHigh: nan, TLow: nan, THigh: nan, PLow: nan, PHigh: nan, QLow: nan, QHigh: nan, IdealLow: nan, IdealHigh: nan, Status: status}
}

// interval fills the 90 % intervals: the coefficient's own doubt, at rest
// (stalled) as in flight since it was measured on both, and that of the
// advance ratio by the slope over it.
func (p *ReportPoint) interval(s Source, v, w, diameter float64, g Gas, l Load, d Doubt) {
	const z, h = 1.6449, 0.02
	var sct, scp, seta float64 // slopes times the advance ratio
	if v > 0 {
		a, b := s.At(v*(1+h), w, g), s.At(v*(1-h), w, g)
		sct, scp = (a.CT-b.CT)/(2*h), (a.CP-b.CP)/(2*h)
		switch {
		case a.Thrust > 0 && b.Thrust > 0:
			seta = (a.Eta - b.Eta) / (2 * h)
		case l.Thrust > 0 && b.Thrust > 0: // it stops pulling just above
			seta = (l.Eta - b.Eta) / h
		}
	}
	around := func(x, half float64) (lo, hi Number) { return Number(x - z*half), Number(x + z*half) }
	ct, cp := math.Hypot(d.CT*l.CT, sct*d.J0), math.Hypot(d.CP*l.CP, scp*d.J0)
	p.CTLow, p.CTHigh = around(l.CT, ct)
	p.CPLow, p.CPHigh = around(l.CP, cp)
	n := w / (2 * math.Pi)
	q := g.Rho * n * n * math.Pow(diameter, 4)
	p.TLow, p.THigh = around(l.Thrust, ct*q)
	p.PLow, p.PHigh = around(l.Torque*w, cp*q*n*diameter)
	p.QLow, p.QHigh = Number(float64(p.PLow)/w), Number(float64(p.PHigh)/w)
	p.IdealLow, p.IdealHigh = p.Ideal, p.Ideal
	if l.Thrust > 0 {
		ideal := func(t Number) Number { return Number(IdealDisc(math.Max(0, float64(t)), diameter, v, g.Rho).Eta) }
		p.IdealLow, p.IdealHigh = ideal(p.THigh), ideal(p.TLow)
	}
	p.EtaLow, p.EtaHigh = Number(l.Eta), Number(l.Eta)
	if l.Eta > 0 {
		lo, hi := around(l.Eta, math.Hypot(d.Eta*min(1, l.Eta/0.5), seta*d.J0))
		p.EtaLow, p.EtaHigh = max(lo, 0), min(hi, Number(max(float64(p.Ideal), l.Eta)))
	}
}

// MaxPoints is how many points [Table] computes at most.
const MaxPoints = 20000

// Table computes a source at each rpm and advance ratio. A negative advance
// ratio, or one that is no number, gives a point with null coefficients and a
// status; so does an rpm that is not above zero, or one whose tips are faster
// than sound.
func Table(s Source, diameter float64, blades int, rpm, advance []float64, g Gas, doubt Doubt) []ReportPoint {
	var out []ReportPoint
	for _, r := range rpm {
		for _, j := range advance {
			p := ReportPoint{RPM: Number(r), Advance: Number(j)}
			n := r / 60
			if !(n > 0) || math.IsInf(n, 0) {
				p.none("the speed of rotation must be above zero")
				out = append(out, p)
				continue
			}
			w := 2 * math.Pi * n
			v := j * n * diameter
			l := s.At(v, w, g)
			if l.TipMach > 1 {
				p.none("tips faster than sound: not modelled")
				p.Airspeed, p.TipMach, p.Tone = Number(v), Number(l.TipMach), Number(BladePass(blades, w))
				out = append(out, p)
				continue
			}
			p.CT, p.CP, p.Efficiency, p.Status = Number(l.CT), Number(l.CP), Number(l.Eta), (l.Status &^ (Braking | Stalled)).String()
			if n := l.Status & (Braking | Stalled); n != 0 {
				p.Note = n.String()
			}
			if l.Torque < 0 {
				p.Note = strings.TrimPrefix(p.Note+"; driven by the air", "; ")
			}
			p.Airspeed, p.Thrust, p.Torque, p.Power = Number(v), Number(l.Thrust), Number(l.Torque), Number(l.Torque*w)
			p.Re75, p.TipMach, p.Tone = Number(l.Re75), Number(l.TipMach), Number(BladePass(blades, w))
			p.Ideal = Number(math.NaN())
			if l.Thrust > 0 {
				p.Ideal = Number(IdealDisc(l.Thrust, diameter, v, g.Rho).Eta)
			}
			p.interval(s, v, w, diameter, g, l, doubt)
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
	ZeroThrust              float64 // measured advance ratio at which it stops pulling, 0: not known
	Doubt                   Doubt   // what the caller holds of such a propeller
}

// tied names a source that a zero-thrust point was given for.
const tied = " and zero thrust"

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
		rep.Source = "geometry"
	} else {
		blade, d = Family(b.Diameter, b.Pitch, b.Blades, b.Style)
		rep.Source = "family"
	}
	l = append(l, d...)
	if blade == nil {
		return nil, l
	}
	if b.ZeroThrust != 0 && len(b.RPM) > 0 {
		if blade, d = blade.Tie(b.ZeroThrust, b.RPM[len(b.RPM)/2]*math.Pi/30, b.Gas, Options{}); blade == nil {
			return nil, append(l, d...)
		}
		rep.Source += tied
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
		rep.Source = "measured table"
	}
	rep.Doubt = b.Doubt
	rep.Points = Table(s, b.Diameter, b.Blades, b.RPM, b.Advance, b.Gas, rep.Doubt)
	return rep, l
}
