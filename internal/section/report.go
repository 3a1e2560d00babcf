package section

import "math"

// Report is the result of the polar command, free of any renderer.
type Report struct {
	Section string        `json:"section"`
	Points  []ReportPoint `json:"points"`
	ClMax   []ReportMax   `json:"clmax"`
}

// ReportPoint is one point; numbers are null when Status is not "ok".
// Transition places are in chords from the leading edge, 1 for none.
type ReportPoint struct {
	Re              float64  `json:"re"`
	AlphaDeg        float64  `json:"alpha_deg"`
	Cl              *float64 `json:"cl"`
	Cd              *float64 `json:"cd"`
	Cm              *float64 `json:"cm"`
	Ch              *float64 `json:"ch,omitempty"`
	TransitionUpper *float64 `json:"transition_upper"`
	TransitionLower *float64 `json:"transition_lower"`
	SeparationUpper *float64 `json:"separation_upper,omitempty"`
	SeparationLower *float64 `json:"separation_lower,omitempty"`
	Status          string   `json:"status"`
}

// ReportMax is the largest lift at one Reynolds number; null and a status
// when the angles asked for do not reach it.
type ReportMax struct {
	Re       float64  `json:"re"`
	ClMax    *float64 `json:"clmax"`
	AlphaDeg *float64 `json:"alpha_deg"`
	Status   string   `json:"status"`
}

// NewReport gathers polars, one per Reynolds number.
func NewReport(sh *Shape, polars []Polar) Report {
	r := Report{Section: sh.Name(), Points: []ReportPoint{}, ClMax: []ReportMax{}}
	num := func(v float64) *float64 {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil
		}
		return &v
	}
	for _, p := range polars {
		for _, q := range p.Points {
			out := ReportPoint{Re: q.Re, AlphaDeg: round(q.Alpha*180/math.Pi, 1e9), Status: string(q.Status)}
			if q.Status == OK {
				out.Cl, out.Cd, out.Cm = num(q.Cl), num(q.Cd), num(q.Cm)
				out.TransitionUpper, out.TransitionLower = num(q.Upper.Transition), num(q.Lower.Transition)
				if q.Upper.Separation < 1 {
					out.SeparationUpper = num(q.Upper.Separation)
				}
				if q.Lower.Separation < 1 {
					out.SeparationLower = num(q.Lower.Separation)
				}
				if p.Flap.Hinge != 0 {
					out.Ch = num(q.Ch)
				}
			}
			r.Points = append(r.Points, out)
		}
		m := ReportMax{Re: p.Cond.Re, ClMax: num(p.ClMax), Status: string(p.MaxStatus)}
		if !math.IsNaN(p.AlphaMax) {
			m.AlphaDeg = num(round(p.AlphaMax*180/math.Pi, 1e6))
		}
		r.ClMax = append(r.ClMax, m)
	}
	return r
}

func round(v, k float64) float64 { return math.Round(v*k) / k }
