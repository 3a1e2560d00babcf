// Package evidence turns what was recorded of a flight into measured
// quantities with their doubt: wind, true airspeed, level or dive, two-way
// speeds with an uncertainty budget, a fly-by's speed from its sound, the
// battery as used; and judges claims by them. It takes paths, sounds and
// typed readings and returns values; it opens no file.
//
// The way in is [Of] for a smoothed log, [Flyby] for a sound, [Readings] for
// what a person typed, and [Judge] for claims. [Debrief] is the whole result
// and the JSON of the debrief command.
//
// Doubts are standard uncertainties after the GUM (JCGM 100), intervals are
// 90 %. Nothing here says more than the record allows: a wind needs half a
// turn of headings, a level speed needs heights and a wind, a two-way speed
// needs two level passes over one base.
package evidence

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"fledge/internal/track"
)

// Schema names the form of the JSON.
const Schema = "fledge.debrief/1"

// Options of a debrief. The zero value is the command's default.
type Options struct {
	Name        string
	Hash        string  // of the log's bytes, for the evidence sheet
	Base        *Base   // a marked course
	Ground      float64 // height of the field in the log's own heights, m; only when GroundKnown
	GroundKnown bool
	Claims      []Claim
	Facts       []Item      // from readings, the scales, the logbook
	Typed       []TypedPair // of those readings
	Predicted   []Item      // what the model said, by What
	State       FlightState // as the person states it
	Density     float64     // kg/m³ on the day; 0 unknown
	Washout     float64     // m over which a dive's excess dies away (see Washout); 0 unknown
	Cells       int         // in series; 0 unknown
	HeightLimit float64     // m above the start; 0 none asked
	FarLimit    float64     // m from the start; 0 none asked
}

// FlightState is what only the person can say of a flight.
type FlightState struct {
	FullThrottle  *bool
	ClaimedParts  *bool // the equipment the claim was made for
	SoundAirframe *bool // no repairs or damage that cost speed
	Notes         string
}

// Item is one measured quantity: how it was come by, and where in the log.
type Item struct {
	What   string     `json:"what"`
	Value  float64    `json:"-"`
	Sigma  float64    `json:"-"`
	Unit   string     `json:"-"`
	Window [2]float64 `json:"window_s"` // zeros: no window
	Method string     `json:"method"`
	Remark string     `json:"remark,omitempty"`
}

// MarshalJSON writes the item with its quantity.
func (i Item) MarshalJSON() ([]byte, error) {
	type plain Item
	return json.Marshal(struct {
		plain
		Quantity jsonQuantity `json:"quantity"`
		Sigma    *float64     `json:"sigma"`
	}{plain(i), about(i.Value, i.Sigma, i.Unit).json(), finite(i.Sigma)})
}

func finite(x float64) *float64 {
	if !known(x) {
		return nil
	}
	return &x
}

// Wind in the result.
type Wind struct {
	Speed    Quantity     `json:"speed"`
	FromDeg  float64      `json:"from_deg"`
	FromSD   float64      `json:"from_sd_deg"`
	Spread   float64      `json:"headings_deg"`
	Method   string       `json:"method"`
	Scale    *Quantity    `json:"airspeed_scale,omitempty"` // true over logged
	Residual float64      `json:"residual_m_s"`
	Windows  []WindWindow `json:"windows,omitempty"`
}

// WindWindow is the wind of a part of the flight.
type WindWindow struct {
	From     float64  `json:"from_s"`
	To       float64  `json:"to_s"`
	Speed    float64  `json:"speed_m_s"`
	FromDeg  float64  `json:"from_deg"`
	SpeedSD  float64  `json:"speed_sd_m_s"`
	FromSD   float64  `json:"from_sd_deg"`
	Residual float64  `json:"residual_m_s"`
	Scale    *float64 `json:"airspeed_scale,omitempty"`
}

// LevelSpeed is a quantity and the window it was held over.
type LevelSpeed struct {
	Quantity
	WindowS float64
	FromS   float64
	Height  float64
	Climb   float64
	Excess  float64
	InTurn  bool
	Ground  float64
	Remarks []string
	In      Spans
}

// MarshalJSON writes the quantity's keys and the window's.
func (l LevelSpeed) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		jsonQuantity
		WindowS float64  `json:"window_s"`
		FromS   float64  `json:"from_s"`
		Height  *float64 `json:"height_m"`
		Climb   *float64 `json:"climb_m_s"`
		Excess  *float64 `json:"excess_power_m_s"`
		InTurn  bool     `json:"in_turn"`
		Ground  float64  `json:"ground_speed_m_s"`
		Remarks []string `json:"remarks,omitempty"`
		In      Spans    `json:"interval,omitempty"`
	}{l.json(), l.WindowS, l.FromS, finite(l.Height), finite(l.Climb), finite(l.Excess), l.InTurn, l.Ground, l.Remarks, l.In})
}

// Peak is the fastest moment and what made it fast.
type Peak struct {
	At       float64   `json:"at_s"`
	Kind     string    `json:"kind"` // "level", "dive", "climb", "in a turn"
	Climb    *float64  `json:"climb_m_s"`
	Lost     *float64  `json:"height_lost_m"` // in the ten seconds before
	Dive     *Quantity `json:"dive_share"`    // of the speed, from nothing to all that the height could give
	TailWind *float64  `json:"tail_wind_m_s"` // along the track
	Raw      float64   `json:"raw_m_s"`       // the largest number in the log
	Best1s   *Quantity `json:"best_1s_mean"`
	Best3s   *Quantity `json:"best_3s_mean"`
	Best200  *Quantity `json:"best_200m_mean"`
	Say      string    `json:"say"`
	In       Spans     `json:"interval,omitempty"`
	bests    [3][2]float64
}

// Debrief is what really happened.
type Debrief struct {
	SchemaName    string           `json:"schema"`
	Name          string           `json:"name,omitempty"`
	Format        string           `json:"format"`
	Hash          string           `json:"hash,omitempty"`
	Start         string           `json:"start,omitempty"` // UTC
	Samples       int              `json:"samples"`         // records with data
	Used          int              `json:"used"`            // of them, kept
	Dropped       int              `json:"dropped"`         // everything set aside
	DroppedBy     []track.Drop     `json:"dropped_by"`
	Gaps          int              `json:"gaps"`
	Sections      int              `json:"sections"`
	HeightsFrom   string           `json:"heights_from"` // what heights are counted from
	Duration      Quantity         `json:"duration"`
	AirTime       Quantity         `json:"air_time"`
	PeakGround    *Quantity        `json:"peak_ground_speed"`
	Peak          *Peak            `json:"peak,omitempty"`
	Wind          *Wind            `json:"wind"`
	WindRefused   string           `json:"wind_refused,omitempty"`
	LevelSpeed    *LevelSpeed      `json:"level_speed"`
	Refused       string           `json:"refused,omitempty"` // why there is no level speed
	TwoWay        *Quantity        `json:"two_way_speed"`
	TwoWayAir     *Quantity        `json:"two_way_airspeed"`
	TwoWayRefused string           `json:"two_way_refused,omitempty"`
	Pairs         []Pair           `json:"pairs"`
	BestPair      int              `json:"best_pair"` // index in pairs; −1 none
	Typed         []TypedPair      `json:"typed_pairs,omitempty"`
	Runs          []Run            `json:"runs"`
	Phases        []Phase          `json:"phases"`
	LaunchPhase   *StartNumbers    `json:"launch,omitempty"`
	LandingPhase  *EndNumbers      `json:"landing,omitempty"`
	Flyby         *FlybyResult     `json:"flyby,omitempty"` // the fastest
	Flybys        []*FlybyResult   `json:"flybys,omitempty"`
	Battery       *Battery         `json:"battery,omitempty"`
	Reach         *Reach           `json:"reach,omitempty"`
	Items         []Item           `json:"evidence"`
	Claims        []Judged         `json:"claims"`
	Noise         track.Noise      `json:"-"`
	NoiseModel    string           `json:"noise_model"`
	Latency       *Quantity        `json:"latency,omitempty"`
	Columns       *track.ColumnMap `json:"columns,omitempty"`
	Remarks       []string         `json:"remarks,omitempty"`
	Cautions      []string         `json:"cautions"`
	Path          *track.Path      `json:"-"`
	Air           []float64        `json:"-"` // airspeed at each sample; ground speed when Wind is nil
	Energy        []float64        `json:"-"` // energy height at each sample
}

// StartNumbers is the launch as flown.
type StartNumbers struct {
	At        float64  `json:"at_s"`
	Speed     Quantity `json:"speed_at_release"` // ground speed at the end of the first push
	Push      float64  `json:"mean_acceleration_m_s2"`
	CourseDeg float64  `json:"course_deg"`
	HeadWind  *float64 `json:"head_wind_m_s"`
	Lowest    *float64 `json:"lowest_after_m"` // height against the start in the ten seconds after
	In        Spans    `json:"interval,omitempty"`
}

// EndNumbers is the landing as flown.
type EndNumbers struct {
	At        float64   `json:"at_s"`
	Approach  *Quantity `json:"approach_speed"`
	Touchdown Quantity  `json:"touchdown_speed"` // ground speed when the stop begins
	Slide     float64   `json:"slide_m"`
	Slowing   float64   `json:"mean_deceleration_m_s2"`
	CourseDeg float64   `json:"course_deg"`
	In        Spans     `json:"interval,omitempty"`
}

// Reach is how far and high it went from where the record starts.
type Reach struct {
	Farthest Quantity  `json:"farthest"`
	Highest  *Quantity `json:"highest"`
	AtFar    float64   `json:"farthest_at_s"`
	AtHigh   float64   `json:"highest_at_s"`
	Over     []string  `json:"limits_passed,omitempty"`
}

// Cautions that concern a debrief.
var cautions = []string{
	"A measured speed is a record, not a permission: speed, height, crowd lines, registration and radio power follow local law and the field's rules; the pilot in command decides.",
	"Fly speed trials with a spotter, in a safe direction, and land before the pack is empty; a pack that was crashed or over-discharged is set aside and watched.",
}

// Of debriefs one smoothed log.
func Of(p *track.Path, o Options) Debrief {
	l := p.Log
	ground := math.NaN()
	if o.GroundKnown && p.Heights != "" {
		ground = o.Ground - p.Height0
	}
	f := newFlight(p, ground)
	d := Debrief{SchemaName: Schema, Name: o.Name, Format: string(l.Format), Hash: o.Hash,
		Samples: l.Records, Dropped: l.Total(), DroppedBy: l.Dropped, Gaps: len(l.Gaps), BestPair: -1,
		Noise: p.Noise, NoiseModel: p.Noise.Method, Columns: l.Columns, Cautions: cautions, Path: p, Air: f.air, Energy: f.energy,
		Pairs: []Pair{}, Runs: []Run{}, Phases: []Phase{}, Items: []Item{}, Claims: []Judged{}}
	if d.DroppedBy == nil {
		d.DroppedBy = []track.Drop{}
	}
	if l.DateKnown {
		d.Start = l.Start.Format(time.RFC3339)
	}
	for i := range p.Samples {
		if p.Samples[i].Used {
			d.Used++
		}
	}
	if !p.Placed && !p.Doppler {
		d.Used = len(p.Samples)
	}
	if n := len(p.Samples); n > 0 {
		d.Sections = int(p.Samples[n-1].Section) + 1
	}
	d.Duration = about(l.Duration(), p.Step/math.Sqrt(12), "s")
	d.Duration.Low = math.Max(0, d.Duration.Low)
	for _, n := range l.Notes {
		d.remark(n.Message)
	}
	switch {
	case p.Heights == "":
		d.HeightsFrom = "no heights in the log"
	case o.GroundKnown:
		d.HeightsFrom = "the field's height as given"
	case known(f.ground):
		d.HeightsFrom = "the place where it stood at the start"
	default:
		d.HeightsFrom = "the first fix; the record does not begin at rest, so the field's height is not known"
	}
	if f.driven {
		d.remark("no flight is told: " + onTheGround)
	}
	f.airTime(&d)
	if p.Doppler && p.Noise.Latency != 0 {
		q := about(p.Noise.Latency, p.Noise.LatencySD, "s")
		d.Latency = &q
	}
	if p.Placed || p.Doppler {
		f.windResult(&d)
		f.peak(&d)
		f.level(&d)
		d.Runs = orEmpty(f.runs())
		f.twoWay(&d, o.Base, o.Washout)
		d.Phases = orEmpty(f.phases())
		f.startEnd(&d)
		f.reach(&d, o)
	} else {
		d.WindRefused = "the log has no positions or speeds over the ground"
		if f.readSpeeds(&d) {
			d.WindRefused = "the log has speeds, but neither positions nor courses"
		}
		d.Refused, d.TwoWayRefused = d.WindRefused, d.WindRefused
	}
	d.Battery = batteryOf(p, f, o.Cells)
	f.items(&d)
	d.Items, d.Typed = append(d.Items, o.Facts...), o.Typed
	for _, c := range o.Claims {
		d.Claims = append(d.Claims, Judge(c, &d, o))
	}
	f.rolloverHint(&d)
	return d
}

func orEmpty[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

func (d *Debrief) remark(s string) {
	if s != "" && !slices.Contains(d.Remarks, s) && len(d.Remarks) < 60 {
		d.Remarks = append(d.Remarks, s)
	}
}

func (f *flight) rolloverHint(d *Debrief) {
	y := f.p.Log.Start.Year()
	if f.p.Log.DateKnown && y < 2010 {
		d.remark(fmt.Sprintf("the log is dated %d; if the aeroplane is newer, the receiver's week count may have rolled over: %s would be the date 1024 weeks later", y, track.RolledOn(f.p.Log.Start).Format("2006-01-02")))
	}
}

func (f *flight) airTime(d *Debrief) {
	t := 0.0
	for i := 1; i < len(f.s); i++ {
		if f.flying[i] && f.s[i].Section == f.s[i-1].Section {
			t += f.s[i].T - f.s[i-1].T
		}
	}
	d.AirTime = about(t, math.Hypot(0.5, f.p.Step), "s")
	d.AirTime.Low = math.Max(0, d.AirTime.Low)
}

func (f *flight) windResult(d *Debrief) {
	if !f.windy {
		d.WindRefused = f.refused
		return
	}
	w := f.wind
	r := &Wind{Speed: about(w.Speed(), w.SpeedSD(), "m/s"), FromDeg: w.FromDeg(), FromSD: w.FromSD(), Spread: w.Spread * 180 / math.Pi, Method: w.Method, Residual: w.RMS}
	r.Speed.Low = math.Max(0, r.Speed.Low)
	if known(w.Scale) {
		q := about(w.Scale, w.ScaleSD, "")
		r.Scale = &q
		if math.Abs(w.Scale-1) > 0.02 && math.Abs(w.Scale-1) > 3*w.ScaleSD {
			d.remark(fmt.Sprintf("the logged airspeed must be multiplied by %.3f ± %.3f to agree with the ground speeds: it is probably indicated speed, or its sensor is off", w.Scale, w.ScaleSD))
		}
	}
	for _, k := range f.windows {
		if len(f.windows) < 2 {
			break
		}
		r.Windows = append(r.Windows, WindWindow{From: k.T0, To: k.T1, Speed: k.Speed(), FromDeg: k.FromDeg(), SpeedSD: k.SpeedSD(), FromSD: k.FromSD(), Residual: k.RMS, Scale: finite(k.Scale)})
	}
	d.Wind = r
}

// peak finds the fastest moment: the largest ground speed that is surely
// there, without the bias of picking it.
func (f *flight) peak(d *Debrief) {
	best, at := math.Inf(-1), -1
	byStep := false
	nz := f.p.Noise
	value, sd := 0.0, 0.0
	// positions a second apart say little of a speed inside a hard turn: only
	// samples about as sure as most are looked at, and the others widen the
	// interval upwards
	surest, perhaps := math.Inf(1), 0.0
	if !f.p.Doppler && f.p.Step > 0.35 {
		var sds []float64
		for i := range f.s {
			if f.s[i].Used && f.flying[i] {
				sds = append(sds, f.s[i].SpeedSD)
			}
		}
		if len(sds) > 8 {
			surest = 1.6 * median(sds)
		}
	}
	for i := range f.s {
		s := &f.s[i]
		if !s.Used {
			continue
		}
		if s.SpeedSD > surest {
			perhaps = math.Max(perhaps, s.Speed()+z90*s.SpeedSD)
		} else if x := s.Speed() - z90*s.SpeedSD; x > best {
			best, at, byStep = x, i, false
			value, sd = s.Speed(), s.SpeedSD
		}
		// the mean over a step between positions is a speed that was reached
		if !f.p.Doppler && known(s.ByPlace) && i > 0 {
			T := s.T - f.s[i-1].T
			if T < 0.9 {
				continue
			}
			u := math.Sqrt(2*sq(nz.Place)+2*sq(nz.Drift)*(1-math.Exp(-T/nz.DriftTime))) / T
			if x := s.ByPlace - z90*u; x > best {
				best, at, byStep = x, i, true
				value, sd = s.ByPlace, u
			}
		}
	}
	if at < 0 {
		return
	}
	// equally fast, independent moments
	n := 0
	last := math.Inf(-1)
	k := 1.5
	if !f.p.Doppler {
		k = 2
	}
	for i := range f.s {
		s := &f.s[i]
		if s.Used && s.Speed() > value-k*sd && s.T-last > math.Max(0.3, f.p.Step) {
			n++
			last = s.T
		}
	}
	bias := sd * PeakBias(max(1, n))
	hidden := dopplerBias
	if !f.p.Doppler { // what may happen between two positions
		hidden = 0.45 * math.Min(f.p.Step, 2)
	}
	q := about(value-bias, math.Hypot(sd, hidden), "m/s")
	if perhaps > q.High {
		q.High = math.Min(perhaps, 1.1*q.High)
	}
	q.Low = math.Max(0, q.Low)
	q.Value = math.Max(0, q.Value)
	d.PeakGround = &q
	s := &f.s[at]
	p := &Peak{At: s.T, Kind: "level", Raw: f.p.RawPeak, In: Spans{}}
	if !known(p.Raw) {
		p.Raw = value
	}
	var say []string
	if f.p.Heights != "" {
		c := s.Vel[2]
		p.Climb = finite(c)
		p.In.put("climb_m_s", c, s.ClimbSD)
		from := at
		for i := at; i >= 0 && f.s[i].Section == s.Section && s.T-f.s[i].T <= 10; i-- {
			if f.s[i].Pos[2] > f.s[from].Pos[2] {
				from = i
			}
		}
		lost := f.s[from].Pos[2] - s.Pos[2]
		p.Lost = &lost
		p.In.put("height_lost_m", lost, f.heightSD(from, at))
		p.In.atLeast(0, "height_lost_m")
		v := f.air[at]
		share := 0.0
		if x := v*v - 2*Gravity*lost; x > 0 {
			share = v - math.Sqrt(x)
		} else {
			share = v
		}
		if c < -levelClimb || lost > 5 {
			p.Kind = "dive"
			p.Dive = &Quantity{share / 2, 0, share, "m/s"}
			say = append(say, fmt.Sprintf("%.0f m of height were lost in the ten seconds before: worth up to %.1f m/s", lost, share))
		} else if c > levelClimb {
			p.Kind = "climb"
		}
	} else {
		p.Kind = "unknown"
		say = append(say, "without heights a dive cannot be told from level flight")
	}
	if p.Kind == "level" && f.side[at] > straightAcc {
		p.Kind = "in a turn"
	}
	if f.windy {
		w := windAt(s.T, f.wind, f.windows)
		if v := s.Speed(); v > 0 {
			t := (w.East*s.Vel[0] + w.North*s.Vel[1]) / v
			p.TailWind = &t
			sd := math.Hypot(w.along(s.Vel[0]/v, s.Vel[1]/v), f.gust(0))
			p.In.put("tail_wind_m_s", t, sd)
			if t > 0.5 {
				say = append(say, fmt.Sprintf("%.1f ± %.1f m/s of it is tail wind", t, math.Max(0.1, 2*sd)))
			}
		}
	} else {
		say = append(say, "the wind's part is not known")
	}
	if byStep {
		say = append(say, "it is the mean over one step between positions")
	}
	if p.Raw > value+3*sd+1 {
		say = append(say, fmt.Sprintf("the log's own largest number, %.1f m/s, is a spike", p.Raw))
	}
	p.Say = strings.Join(say, "; ")
	for j, k := range []struct {
		T   float64
		out **Quantity
	}{{1, &p.Best1s}, {3, &p.Best3s}} {
		if w, n, ok := f.bestGround(k.T); ok {
			q := about(w.Ground-w.groundSD*PeakBias(n), w.groundSD, "m/s")
			*k.out = &q
			p.bests[j] = [2]float64{w.T0, w.T1}
		}
	}
	if w, n, ok := f.bestOver(baseLength); ok {
		q := about(w.Ground-w.groundSD*PeakBias(n), w.groundSD, "m/s")
		p.Best200 = &q
		p.bests[2] = [2]float64{w.T0, w.T1}
	}
	d.Peak = p
}

// bestGround is the best mean ground speed over a time, whatever the
// aeroplane was doing.
func (f *flight) bestGround(T float64) (Window, int, bool) {
	return f.slide(func(i, j int) bool { return f.s[j].T-f.s[i].T >= T-1e-6 })
}

// bestOver is the same over a length of ground.
func (f *flight) bestOver(length float64) (Window, int, bool) {
	return f.slide(func(i, j int) bool { return f.dist[j]-f.dist[i] >= length })
}

func (f *flight) slide(long func(i, j int) bool) (Window, int, bool) {
	bi, bj, best := -1, -1, 0.0
	j := 0
	lim := math.Max(1, 3.5*f.p.Step)
	hole := -1 // the last sample before a hole
	for i := range f.s {
		if j < i {
			j = i
		}
		for j+1 < len(f.s) && !long(i, j) {
			j++
			if f.s[j].Section != f.s[j-1].Section || f.s[j].T-f.s[j-1].T > lim {
				hole = j - 1
			}
		}
		if !long(i, j) {
			break
		}
		if hole >= i || j == i {
			continue
		}
		if v := (f.dist[j] - f.dist[i]) / (f.s[j].T - f.s[i].T); v > best {
			bi, bj, best = i, j, v
		}
	}
	if bi < 0 {
		return Window{}, 0, false
	}
	w := f.look(bi, bj)
	n, end := 0, math.Inf(-1)
	for i := range f.s {
		if f.s[i].T >= end && f.s[i].Used && f.s[i].Speed() > w.Ground-3*w.groundSD {
			n++
			end = f.s[i].T + w.T1 - w.T0
		}
	}
	return w, max(n, 1), true
}

// level finds the level top speed through the air.
func (f *flight) level(d *Debrief) {
	switch {
	case f.p.Heights == "":
		d.Refused = "the log has no height, so level flight cannot be told from a dive"
		return
	case f.p.Step > slowestLog:
		d.Refused = fmt.Sprintf("a sample every %.3g s is too slow to tell level flight from a dive: between two of them the aeroplane may fall and rise again", f.p.Step)
		return
	case f.driven:
		d.Refused = onTheGround
		return
	case !f.windy:
		d.Refused = "the wind is not known (" + f.refused + "), so a speed over the ground is no airspeed"
		return
	}
	var why string
	for _, straight := range []bool{true, false} {
		for _, T := range []float64{3, 2} {
			if T < 3*f.p.Step {
				T = 3 * f.p.Step
			}
			w, n, scatter, no := f.best(T, straight, true)
			if no != "" {
				if why == "" {
					why = no
				}
				continue
			}
			if w.airSD > 0.1*w.Air {
				why = fmt.Sprintf("the airspeed is doubtful by %.1f m/s", w.airSD)
				continue
			}
			one := math.Hypot(w.groundSD, w.gustSD)
			if scatter < one {
				one = scatter
			}
			v := w.Air - one*PeakBias(n)
			l := &LevelSpeed{Quantity: about(v, w.airSD, "m/s"), WindowS: w.T1 - w.T0, FromS: w.T0, Height: w.Height, Climb: w.Climb, Excess: w.Excess, InTurn: !straight, Ground: w.Ground, In: f.spans(&w)}
			for _, k := range []string{"airspeed_m_s", "course_deg", "length_m", "side_acceleration_m_s2"} {
				delete(l.In, k) // not among its numbers
			}
			if !straight {
				l.Remarks = append(l.Remarks, "held in a turn: straight flight would be faster")
			}
			if known(w.Throttle) && w.Throttle < 0.95 {
				l.Remarks = append(l.Remarks, fmt.Sprintf("throttle %.0f %%", 100*w.Throttle))
			}
			if math.Abs(w.Excess) > 1 && math.Abs(w.Excess) > 2*w.excessSD {
				// power goes as V³; drag over weight of a half is assumed
				word := "losing"
				if w.Excess > 0 {
					word = "gaining"
				}
				l.Remarks = append(l.Remarks, fmt.Sprintf("%s %.1f m of energy height a second: the speed that lasts may differ by about %.1f m/s", word, math.Abs(w.Excess), math.Abs(w.Excess)/0.5/3))
			}
			d.LevelSpeed = l
			return
		}
	}
	d.Refused = why
}

func (f *flight) twoWay(d *Debrief, base *Base, washout float64) {
	if f.p.Heights == "" {
		d.TwoWayRefused = "the log has no height, so level passes cannot be told from dives"
	}
	if f.p.Step > slowestLog {
		d.TwoWayRefused = fmt.Sprintf("a sample every %.3g s is too slow for a base of 200 m", f.p.Step)
		return
	}
	d.Pairs = orEmpty(f.pairs(d.Runs, base))
	for i := range d.Pairs {
		d.Pairs[i].codeRemarks(washout)
	}
	if most := 200; len(d.Pairs) > most { // a long day at the base: the best are listed
		rank := func(p *Pair) float64 {
			return p.Mean.Value + 1000*(b2f(p.Passes[0].Accepted)+b2f(p.Passes[1].Accepted))
		}
		slices.SortStableFunc(d.Pairs, func(a, b Pair) int { return cmp.Compare(rank(&b), rank(&a)) })
		d.remark(fmt.Sprintf("%d pairs of passes were found; the best %d are listed", len(d.Pairs), most))
		d.Pairs = d.Pairs[:most]
	}
	if d.TwoWayRefused != "" {
		return
	}
	d.BestPair, d.TwoWayRefused = bestPair(d.Pairs, d.Runs)
	if d.BestPair >= 0 {
		p := &d.Pairs[d.BestPair]
		d.TwoWay, d.TwoWayAir = &p.Mean, &p.Airspeed
	}
}

func (f *flight) startEnd(d *Debrief) {
	for i := range d.Phases {
		p := &d.Phases[i]
		switch p.Kind {
		case Launch:
			if d.LaunchPhase != nil {
				continue
			}
			s := &StartNumbers{At: p.T0}
			k := p.i0
			for k < p.i1 && f.s[k+1].Speed() > f.s[k].Speed()-0.05 {
				k++
			}
			s.Speed = about(f.s[k].Speed(), math.Hypot(f.s[k].SpeedSD, 0.2), "m/s")
			if T := f.s[k].T - p.T0; T > 0 {
				s.Push = (f.s[k].Speed() - f.s[p.i0].Speed()) / T
			}
			s.CourseDeg = f.s[k].Course() * 180 / math.Pi
			if f.windy {
				w := windAt(p.T0, f.wind, f.windows)
				h := -(w.East*f.s[k].Vel[0] + w.North*f.s[k].Vel[1]) / math.Max(0.1, f.s[k].Speed())
				s.HeadWind = &h
			}
			if f.p.Heights != "" {
				lo := math.Inf(1)
				for j := k; j < len(f.s) && f.s[j].T-f.s[k].T < 10 && f.s[j].Section == f.s[k].Section; j++ {
					lo = math.Min(lo, f.s[j].Pos[2]-f.s[p.i0].Pos[2])
				}
				s.Lowest = finite(lo)
			}
			in := Spans{}
			a, b := &f.s[p.i0], &f.s[k]
			if T := b.T - a.T; T > 0 {
				in.put("mean_acceleration_m_s2", s.Push, math.Hypot(a.SpeedSD, b.SpeedSD)/T)
			}
			if v := b.Speed(); v > 2 {
				in.put("course_deg", s.CourseDeg, toDeg*courseSD(v, b.SpeedSD))
			}
			if s.HeadWind != nil {
				w := windAt(p.T0, f.wind, f.windows)
				v := math.Max(0.1, b.Speed())
				in.put("head_wind_m_s", *s.HeadWind, math.Hypot(w.along(b.Vel[0]/v, b.Vel[1]/v), f.gust(0)))
			}
			if s.Lowest != nil {
				in.put("lowest_after_m", *s.Lowest, f.heightSD(p.i0, k))
			}
			s.In = in
			d.LaunchPhase = s
		case Approach:
			if d.LandingPhase == nil {
				d.LandingPhase = &EndNumbers{}
			}
			q := about(p.Speed, 0.3, "m/s")
			d.LandingPhase.Approach = &q
		case Landing:
			if d.LandingPhase == nil {
				d.LandingPhase = &EndNumbers{}
			}
			e := d.LandingPhase
			// the stop begins where the slowing is hardest
			k := p.i0
			worst := 0.0
			for j := p.i0; j <= p.i1; j++ {
				if a := f.s[j].Along(); a < worst {
					worst, k = a, j
				}
			}
			for k > p.i0 && f.s[k-1].Along() < worst/3 {
				k--
			}
			e.At = f.s[k].T
			e.Touchdown = about(f.s[k].Speed(), math.Hypot(f.s[k].SpeedSD, 0.5), "m/s")
			e.CourseDeg = f.s[k].Course() * 180 / math.Pi
			j := p.i1
			for j+1 < len(f.s) && f.s[j+1].Section == f.s[k].Section && f.s[j].Speed() > 0.7 {
				j++
			}
			e.Slide = f.dist[j] - f.dist[k]
			if T := f.s[j].T - f.s[k].T; T > 0 {
				e.Slowing = (f.s[k].Speed() - f.s[j].Speed()) / T
			}
			// The moment of touching is known to a step of the log.
			e.In = Spans{}
			a, b := &f.s[k], &f.s[j]
			step := f.p.Step / math.Sqrt(12)
			e.In.put("slide_m", e.Slide, math.Hypot(a.Speed()*step, math.Sqrt2*f.p.Noise.Place))
			if T := b.T - a.T; T > 0 {
				e.In.put("mean_deceleration_m_s2", e.Slowing, math.Hypot(math.Hypot(a.SpeedSD, b.SpeedSD)/T, e.Slowing*step/T))
			}
			if v := a.Speed(); v > 2 {
				e.In.put("course_deg", e.CourseDeg, toDeg*courseSD(v, a.SpeedSD))
			}
			e.In.atLeast(0, "slide_m")
		}
	}
}

func (f *flight) reach(d *Debrief, o Options) {
	r := &Reach{}
	far, at := 0.0, -1
	high, hi := math.Inf(-1), -1
	for i := range f.s {
		s := &f.s[i]
		if !s.Used {
			continue
		}
		if x := math.Hypot(s.Pos[0]-f.s[0].Pos[0], s.Pos[1]-f.s[0].Pos[1]); x > far {
			far, at = x, i
		}
		if known(s.Pos[2]) && s.Pos[2] > high {
			high, hi = s.Pos[2], i
		}
	}
	if at < 0 {
		return
	}
	r.Farthest, r.AtFar = about(far, math.Sqrt2*f.s[at].PosSD, "m"), f.s[at].T
	if hi >= 0 {
		base := f.ground
		if !known(base) {
			base = f.s[0].Pos[2]
		}
		q := about(high-base, math.Sqrt2*f.s[hi].HeightSD, "m")
		r.Highest, r.AtHigh = &q, f.s[hi].T
		if o.HeightLimit > 0 && q.Value > o.HeightLimit {
			r.Over = append(r.Over, fmt.Sprintf("height %.0f m, limit %.0f m", q.Value, o.HeightLimit))
		}
	}
	if o.FarLimit > 0 && far > o.FarLimit {
		r.Over = append(r.Over, fmt.Sprintf("distance %.0f m, limit %.0f m", far, o.FarLimit))
	}
	d.Reach = r
}

// readSpeeds says what a log shows whose speeds have neither places nor
// courses beside them: the largest, as the median of three neighbours so that a
// single spike does not count, and the time in motion. False without speeds.
func (f *flight) readSpeeds(d *Debrief) bool {
	var v, t []float64
	for i := range f.p.Log.Fixes {
		if x := &f.p.Log.Fixes[i]; known(x.Speed) {
			v, t = append(v, x.Speed), append(t, x.T)
		}
	}
	if len(v) < 5 {
		return false
	}
	most, at := 0.0, 0
	var rough []float64
	for i := 1; i+1 < len(v); i++ {
		m := math.Max(math.Min(v[i-1], v[i]), math.Min(math.Max(v[i-1], v[i]), v[i+1]))
		if m > most {
			most, at = m, i
		}
		rough = append(rough, math.Abs(v[i]-(v[i-1]+v[i+1])/2))
	}
	if most < 1 {
		return true // it stood still
	}
	slow, moving := math.Max(4, 0.15*most), 0.0
	for i := 1; i < len(v); i++ {
		if dt := t[i] - t[i-1]; v[i] > slow && v[i-1] > slow && dt < math.Max(2, 4*f.p.Step) {
			moving += dt
		}
	}
	if moving > 0 {
		d.AirTime = about(moving, math.Hypot(0.5, f.p.Step), "s")
		d.AirTime.Low = math.Max(0, d.AirTime.Low)
	}
	if c, ok := f.p.Log.Columns.Of(track.ChSpeed); ok && c.Unit != "" && strings.Contains(c.Because, "assumed") {
		d.remark(fmt.Sprintf("the unit of the column %s is not said, and without positions nothing tells it: its largest value, %.4g, would be %.1f m/s in m/s, %.1f m/s in km/h, %.1f m/s in knots; say which by --save-columns and --columns", c.Name, most/c.Factor, most/c.Factor, most/c.Factor/3.6, most/c.Factor*1852/3600))
		return true
	}
	// a receiver's own noise is a few tenths; what neighbours differ by besides
	sd := math.Hypot(0.3, 1.4826*median(rough)/math.Sqrt(1.5))
	d.Items = append(d.Items, Item{"peak ground speed", most, sd, "m/s", [2]float64{t[at], t[at]},
		"largest of the logged speeds, each the median of three", "no place beside it: a dive, a tail wind or a run of bad fixes cannot be told from level flight"})
	return true
}

// items lists the evidence with its windows and methods.
func (f *flight) items(d *Debrief) {
	add := func(what string, q *Quantity, t0, t1 float64, method, remark string) {
		if q == nil || !known(q.Value) {
			return
		}
		d.Items = append(d.Items, Item{what, q.Value, q.SD(), q.Unit, [2]float64{t0, t1}, method, remark})
	}
	smooth := "smoothed log"
	if d.Wind != nil {
		add("wind speed", &d.Wind.Speed, f.wind.T0, f.wind.T1, d.Wind.Method, fmt.Sprintf("from %.0f° ± %.2g°", d.Wind.FromDeg, 2*d.Wind.FromSD))
	}
	if d.PeakGround != nil {
		add("peak ground speed", d.PeakGround, d.Peak.At, d.Peak.At, smooth+", spikes rejected, bias of picking removed", d.Peak.Say)
		add("best 1 s ground speed", d.Peak.Best1s, d.Peak.bests[0][0], d.Peak.bests[0][1], smooth, "")
		add("best 3 s ground speed", d.Peak.Best3s, d.Peak.bests[1][0], d.Peak.bests[1][1], smooth, "")
		add("best ground speed over 200 m", d.Peak.Best200, d.Peak.bests[2][0], d.Peak.bests[2][1], smooth, "")
	}
	if l := d.LevelSpeed; l != nil {
		add("level airspeed", &l.Quantity, l.FromS, l.FromS+l.WindowS, "ground velocity less wind, over a level stretch", strings.Join(l.Remarks, "; "))
	}
	if d.TwoWay != nil {
		p := d.Pairs[d.BestPair]
		add("two-way ground speed", d.TwoWay, p.Passes[0].T0, p.Passes[1].T1, "arithmetic mean of two level passes over 200 m", strings.Join(p.Remarks, "; "))
		add("two-way airspeed", d.TwoWayAir, p.Passes[0].T0, p.Passes[1].T1, "the same with the cross wind put back", "")
	}
	if s := d.LaunchPhase; s != nil {
		add("launch speed", &s.Speed, s.At, s.At, smooth, "")
	}
	if e := d.LandingPhase; e != nil {
		if e.At > 0 {
			add("touchdown speed", &e.Touchdown, e.At, e.At, smooth, "")
		}
		add("approach speed", e.Approach, 0, 0, smooth, "")
	}
	if d.AirTime.Value > 0 {
		add("time in the air", &d.AirTime, 0, 0, "samples above walking pace", "")
	}
	if d.Reach != nil {
		add("farthest from the start", &d.Reach.Farthest, d.Reach.AtFar, d.Reach.AtFar, smooth, "")
		add("highest above the start", d.Reach.Highest, d.Reach.AtHigh, d.Reach.AtHigh, f.p.Heights, "")
	}
	top := 0.0
	var tp *Phase
	for i := range d.Phases {
		p := &d.Phases[i]
		if p.Kind == Loiter && p.Radius != nil {
			add("loiter radius", &Quantity{*p.Radius, *p.Radius * 0.9, *p.Radius * 1.1, "m"}, p.T0, p.T1, "ground track's speed over its turn rate", "")
		}
		if (p.Kind == ClimbOut || p.Kind == Climb) && p.Climb != nil && p.T1-p.T0 > 2 && *p.Climb > top {
			top, tp = *p.Climb, p
		}
	}
	if tp != nil {
		u := math.Hypot(0.1, f.p.Noise.UpDrift/(tp.T1-tp.T0))
		q := about(top, u, "m/s")
		add("best climb rate over a phase", &q, tp.T0, tp.T1, f.p.Heights, "")
	}
	if b := d.Battery; b != nil {
		add("charge used", b.Charge, 0, 0, "current summed over time", "")
		add("energy used", b.Energy, 0, 0, "voltage times current summed over time", "")
		add("highest current", b.MostAmps, 0, 0, "log", "")
		add("pack resistance as flown", b.Resistance, 0, 0, "voltage against current, the discharge taken out", "")
	}
}

// jsonWindow is how a stretch is written: what is not known is null.
type jsonWindow struct {
	From   float64  `json:"from_s"`
	To     float64  `json:"to_s"`
	Ground float64  `json:"ground_speed_m_s"`
	Air    *float64 `json:"airspeed_m_s"`
	Climb  *float64 `json:"climb_m_s"`
	Excess *float64 `json:"excess_power_m_s"`
	Height *float64 `json:"height_m"`
	Course float64  `json:"course_deg"`
	Length float64  `json:"length_m"`
	Side   float64  `json:"side_acceleration_m_s2"`
	In     Spans    `json:"interval,omitempty"`
}

func (w Window) json() jsonWindow {
	return jsonWindow{w.T0, w.T1, w.Ground, finite(w.Air), finite(w.Climb), finite(w.Excess), finite(w.Height), w.CourseDeg, w.Length, w.MostSide, w.In}
}

// MarshalJSON writes a run.
func (r Run) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		jsonWindow
		Level   bool   `json:"level"`
		Because string `json:"because,omitempty"`
	}{r.json(), r.Level, r.Because})
}

// MarshalJSON writes a pass.
func (p Pass) MarshalJSON() ([]byte, error) {
	type plain Pass
	return json.Marshal(struct {
		plain
		Height *float64 `json:"height_m"`
		Climb  *float64 `json:"climb_m_s"`
		Excess *float64 `json:"excess_power_m_s"`
	}{plain(p), finite(p.Height), finite(p.Climb), finite(p.Excess)})
}
