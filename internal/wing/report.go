package wing

// Report is the lattice's table as the command prints it; JSON keys are
// stable. Coefficients as in [Derivatives], per radian; lengths in metres in
// build axes.
type Report struct {
	CLAlpha        float64            `json:"cl_alpha"`
	CmAlpha        float64            `json:"cm_alpha"`
	NeutralPoint   float64            `json:"neutral_point_x"`
	SpanEfficiency float64            `json:"span_efficiency"`
	Derivatives    map[string]float64 `json:"derivatives"`
	Controls       []ControlReport    `json:"controls"`
	Strips         []StripReport      `json:"strips"`
	Panels         int                `json:"panels"`
}

// ControlReport is one control: per radian about the hinge line's streamwise
// slope, trailing edge down; opposed is right down, left up.
type ControlReport struct {
	Name        string  `json:"name"`
	CL          float64 `json:"cl"`
	Cm          float64 `json:"cm"`
	CYOpposed   float64 `json:"cy_opposed"`
	ClOpposed   float64 `json:"cl_opposed"`
	CnOpposed   float64 `json:"cn_opposed"`
	HingeDelta  float64 `json:"hinge_delta"`
	HingeAlpha  float64 `json:"hinge_alpha"`
	HingeSweep  float64 `json:"hinge_sweep_tan"`
	ShareOfSpan float64 `json:"share_of_span"`
}

// StripReport is the loading of one strip per radian of alpha, and as built
// at alpha zero: local lift coefficient on the local chord.
type StripReport struct {
	Surface string  `json:"surface"`
	X       float64 `json:"x_m"` // quarter chord
	Y       float64 `json:"y_m"`
	Z       float64 `json:"z_m"`
	Eta     float64 `json:"eta"`
	Chord   float64 `json:"chord_m"`
	Alpha   float64 `json:"cl_per_rad"`
	Built   float64 `json:"cl_built"`
}

// Report makes the table.
func (l *Lattice) Report() Report {
	d := l.Derivatives()
	r := Report{CLAlpha: d.CLAlpha, CmAlpha: d.CmAlpha, NeutralPoint: d.NeutralPoint, SpanEfficiency: d.SpanEfficiency, Panels: len(l.panels)}
	if l.Halved {
		for _, s := range l.Strips {
			if !s.Central {
				r.Panels += s.count
			}
		}
	}
	r.Derivatives = map[string]float64{
		"cl_0": d.CL0, "cm_0": d.Cm0, "cl_q": d.CLQ, "cm_q": d.CmQ,
		"cy_beta": d.CYBeta, "roll_beta": d.ClBeta, "yaw_beta": d.CnBeta,
		"cy_p": d.CYP, "roll_p": d.ClP, "yaw_p": d.CnP, "cy_r": d.CYR, "roll_r": d.ClR, "yaw_r": d.CnR,
		"roll_beta_alpha": d.ClBetaAlpha, "yaw_beta_alpha": d.CnBetaAlpha, "roll_r_alpha": d.ClRAlpha, "yaw_p_alpha": d.CnPAlpha,
	}
	for i, c := range d.Control {
		f := l.Controls[i]
		r.Controls = append(r.Controls, ControlReport{
			Name: c.Name, CL: c.CL, Cm: c.Cm, CYOpposed: c.CY, ClOpposed: c.Cl, CnOpposed: c.Cn,
			HingeDelta: c.Hinge, HingeAlpha: c.HingeAoA, HingeSweep: f.Sweep, ShareOfSpan: f.To - f.From,
		})
	}
	a, b := l.Circulation(Plunge), l.Circulation(Shape)
	for j, s := range l.Strips {
		r.Strips = append(r.Strips, StripReport{
			Surface: l.surfaces[s.Surface].Name, X: s.Mid.X, Y: s.Mid.Y, Z: s.Mid.Z, Eta: s.Eta,
			Chord: s.Chord, Alpha: 2 * a[j] / s.Chord, Built: 2 * b[j] / s.Chord,
		})
	}
	return r
}
