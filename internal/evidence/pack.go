package evidence

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/track"
)

// Series is a curve of the review pack: columns of equal length, NaN where
// not known. Low and High are a 90 % band and may be nil.
type Series struct {
	Name       string
	XUnit      string
	YUnit      string
	X, Y       []float64
	Low, High  []float64
	Marks      []Mark // stretches to point out
	EqualScale bool   // a map
}

// Mark is a stretch of a series with a name.
type Mark struct {
	From, To float64
	Name     string
}

// Line is one row of the evidence sheet.
type Line struct {
	What      string    `json:"what"`
	Claimed   *Quantity `json:"claimed"`
	Predicted *Quantity `json:"predicted"`
	Measured  *Quantity `json:"measured"`
	Status    Status    `json:"status,omitempty"`
	Method    string    `json:"method,omitempty"`
	Because   string    `json:"because,omitempty"`
}

// Provenance is how the aeroplane, the log and the numbers were come by.
type Provenance struct {
	Aeroplane string   `json:"aeroplane,omitempty"`
	Obtained  string   `json:"obtained,omitempty"` // bought, lent, given
	State     string   `json:"state,omitempty"`    // repairs, parts as fitted
	Flown     string   `json:"flown,omitempty"`    // where, by whom
	Day       string   `json:"day,omitempty"`      // weather
	Logs      []string `json:"logs,omitempty"`     // name and hash of each
}

// Sheet is the review pack as data: what the evidence sheet, the plots and
// the machine-readable results are made of.
type Sheet struct {
	Title      string       `json:"title"`
	Provenance Provenance   `json:"provenance"`
	Lines      []Line       `json:"lines"`
	Conditions []string     `json:"conditions"`
	Budgets    []BudgetOf   `json:"budgets"`
	Dropped    []track.Drop `json:"dropped_by"`
	Noise      string       `json:"noise_model"`
	Cautions   []string     `json:"cautions"`
	Plots      []Series     `json:"-"`
}

// BudgetOf is an uncertainty budget with its total.
type BudgetOf struct {
	What  string  `json:"what"`
	Terms []Term  `json:"terms"`
	Total float64 `json:"standard_uncertainty_m_s"`
	K2    float64 `json:"expanded_k2_m_s"`
}

// NewSheet makes the review pack's data of a debrief.
func NewSheet(title string, d *Debrief, predicted []Item, pv Provenance) Sheet {
	s := Sheet{Title: title, Provenance: pv, Dropped: d.DroppedBy, Noise: d.NoiseModel, Cautions: d.Cautions, Lines: []Line{}, Conditions: []string{}, Budgets: []BudgetOf{}}
	seen := map[string]bool{}
	for _, c := range d.Claims {
		cl := c.Claimed
		s.Lines = append(s.Lines, Line{What: c.Claim, Claimed: &cl, Predicted: c.Predicted, Measured: c.Measured, Status: c.Status, Because: c.Because})
		seen[strings.ToLower(c.Claim)] = true
	}
	for _, it := range d.Items {
		q := about(it.Value, it.Sigma, it.Unit)
		l := Line{What: it.What, Measured: &q, Method: it.Method, Because: it.Remark}
		for _, p := range predicted {
			if strings.EqualFold(p.What, it.What) {
				pq := about(p.Value, p.Sigma, p.Unit)
				l.Predicted = &pq
				seen[strings.ToLower(p.What)] = true
			}
		}
		s.Lines = append(s.Lines, l)
	}
	for _, p := range predicted {
		if !seen[strings.ToLower(p.What)] {
			pq := about(p.Value, p.Sigma, p.Unit)
			s.Lines = append(s.Lines, Line{What: p.What, Predicted: &pq, Because: "not measured"})
		}
	}
	if d.Start != "" {
		s.Conditions = append(s.Conditions, "record begins "+d.Start)
	}
	if d.Wind != nil {
		s.Conditions = append(s.Conditions, fmt.Sprintf("wind %.1f m/s (%.1f to %.1f) from %.0f°, by %s", d.Wind.Speed.Value, d.Wind.Speed.Low, d.Wind.Speed.High, d.Wind.FromDeg, d.Wind.Method))
	} else if d.WindRefused != "" {
		s.Conditions = append(s.Conditions, "wind not known: "+d.WindRefused)
	}
	budget := func(what string, t []Term) {
		u := 0.0
		for _, x := range t {
			u += sq(x.Sigma)
		}
		u = math.Sqrt(u)
		s.Budgets = append(s.Budgets, BudgetOf{what, t, u, 2 * u})
	}
	if d.BestPair >= 0 {
		budget("two-way ground speed", d.Pairs[d.BestPair].Budget)
		budget("two-way airspeed", d.Pairs[d.BestPair].AirBudget)
	}
	if d.Flyby != nil {
		budget("fly-by speed", d.Flyby.Budget)
		c := Series{Name: "tone heard", XUnit: "s", YUnit: "Hz"}
		for _, p := range d.Flyby.Curve {
			c.X, c.Y = append(c.X, p[0]), append(c.Y, p[1])
		}
		s.Plots = append(s.Plots, c)
	}
	if d.Path == nil || len(d.Path.Samples) == 0 {
		return s
	}
	n := len(d.Path.Samples)
	speed := Series{Name: "speed over the ground", XUnit: "s", YUnit: "m/s", X: make([]float64, n), Y: make([]float64, n), Low: make([]float64, n), High: make([]float64, n)}
	air := Series{Name: "airspeed", XUnit: "s", YUnit: "m/s", X: speed.X, Y: d.Air}
	path := Series{Name: "path over the field", XUnit: "m", YUnit: "m", X: make([]float64, n), Y: make([]float64, n), EqualScale: true}
	height := Series{Name: "height", XUnit: "s", YUnit: "m", X: speed.X, Y: make([]float64, n)}
	energy := Series{Name: "energy height", XUnit: "s", YUnit: "m", X: speed.X, Y: d.Energy}
	for i := range d.Path.Samples {
		x := &d.Path.Samples[i]
		speed.X[i], speed.Y[i] = x.T, x.Speed()
		speed.Low[i], speed.High[i] = math.Max(0, speed.Y[i]-z90*x.SpeedSD), speed.Y[i]+z90*x.SpeedSD
		path.X[i], path.Y[i] = x.Pos[0], x.Pos[1]
		height.Y[i] = x.Pos[2]
	}
	if d.BestPair >= 0 {
		for k, p := range d.Pairs[d.BestPair].Passes {
			speed.Marks = append(speed.Marks, Mark{p.T0, p.T1, fmt.Sprintf("pass %d", k+1)})
		}
	}
	if l := d.LevelSpeed; l != nil {
		speed.Marks = append(speed.Marks, Mark{l.FromS, l.FromS + l.WindowS, "level speed"})
	}
	if d.Peak != nil {
		speed.Marks = append(speed.Marks, Mark{d.Peak.At, d.Peak.At, "peak (" + d.Peak.Kind + ")"})
	}
	s.Plots = append(s.Plots, speed)
	if d.Wind != nil {
		s.Plots = append(s.Plots, air)
	}
	s.Plots = append(s.Plots, path)
	if d.Path.Heights != "" {
		s.Plots = append(s.Plots, height, energy)
	}
	if d.BestPair >= 0 {
		for k, p := range d.Pairs[d.BestPair].Passes {
			q := Series{Name: fmt.Sprintf("pass %d over the base", k+1), XUnit: "s", YUnit: "m/s"}
			for i := range d.Path.Samples {
				x := &d.Path.Samples[i]
				if x.T >= p.T0-2 && x.T <= p.T1+2 {
					q.X, q.Y = append(q.X, x.T), append(q.Y, x.Speed())
					q.Low, q.High = append(q.Low, x.Speed()-z90*x.SpeedSD), append(q.High, x.Speed()+z90*x.SpeedSD)
				}
			}
			q.Marks = []Mark{{p.T0, p.T1, "base"}}
			s.Plots = append(s.Plots, q)
		}
	}
	return s
}

// OfSound debriefs a recording: the same result with nothing but the sound's
// evidence in it. rs and err are [Flybys]'s.
func OfSound(snd *track.Sound, rs []*FlybyResult, err error, o Options) Debrief {
	d := bare("wav", o)
	d.Samples, d.Used = len(snd.Samples), len(snd.Samples)
	d.Duration = exactly(float64(len(snd.Samples))/snd.Rate, "s")
	d.WindRefused = "a sound does not tell the wind"
	d.Refused = "a sound tells one speed over the ground, not whether the flight was level"
	d.TwoWayRefused = "a sound does not tell the direction: note it, and give two passings as readings"
	if err != nil {
		d.remark("no speed from the sound: " + err.Error())
	}
	for _, r := range rs {
		if d.Flyby == nil || r.Speed.Value > d.Flyby.Speed.Value {
			d.Flyby = r
		}
		d.Flybys = append(d.Flybys, r)
		d.Items = append(d.Items, r.Item(), Item{What: "blade-passing tone", Value: r.Tone.Value, Sigma: r.Tone.SD(), Unit: "Hz", Method: "Doppler curve of the sound", Window: [2]float64{r.At, r.At}})
		for _, x := range r.Remarks {
			d.remark(x)
		}
	}
	return finishBare(d, o)
}

// OfReadings debriefs typed readings alone.
func OfReadings(rs []Reading, o Options) Debrief {
	d := bare("readings", o)
	items, pairs, remarks := Readings(rs)
	d.Samples, d.Used = len(rs), len(items)
	d.Items, d.Typed = append(d.Items, items...), pairs
	for _, r := range rs {
		if r.Outcome != "" {
			d.remark("outcome as told: " + r.Outcome)
		}
	}
	for _, r := range remarks {
		d.remark(r)
	}
	d.WindRefused = "no log"
	d.Refused = "readings without a log do not tell a level airspeed"
	d.TwoWayRefused = "no log"
	if len(pairs) > 0 {
		d.WindRefused = "readings both ways tell the wind along them, not across"
		d.TwoWayRefused = "no log; the typed passes are paired by themselves"
	}
	return finishBare(d, o)
}

func bare(format string, o Options) Debrief {
	return Debrief{SchemaName: Schema, Name: o.Name, Format: format, Hash: o.Hash, BestPair: -1, DroppedBy: []track.Drop{},
		Pairs: []Pair{}, Runs: []Run{}, Phases: []Phase{}, Items: []Item{}, Claims: []Judged{}, Cautions: cautions,
		Duration: unknown("s"), AirTime: unknown("s")}
}

func finishBare(d Debrief, o Options) Debrief {
	d.Items, d.Typed = append(d.Items, o.Facts...), append(d.Typed, o.Typed...)
	for _, c := range o.Claims {
		d.Claims = append(d.Claims, Judge(c, &d, o))
	}
	return d
}
