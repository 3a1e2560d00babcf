package report

import (
	"math"
	"slices"

	"fledge/internal/evidence"
)

// LogDrawn holds a log's curves for the workshop's own drawing: of equal
// length, thinned to about [mostPoints] without losing a peak, null where the log
// does not tell. A hole in the record stands as a null in all but the time.
type LogDrawn struct {
	Name   string  `json:"name"`
	Time   []Float `json:"t_s"`
	East   []Float `json:"east_m"` // of the start
	North  []Float `json:"north_m"`
	Height []Float `json:"height_m"`         // over the start; empty when the log has no heights
	Ground []Float `json:"ground_speed_m_s"` // horizontal
	Low    []Float `json:"ground_low_m_s"`   // 90 % interval
	High   []Float `json:"ground_high_m_s"`
	Air    []Float `json:"airspeed_m_s"`    // empty when the wind is not known
	Energy []Float `json:"energy_height_m"` // empty when the log has no heights
}

// DrawnLogs are the curves of the logs that have a path, in the logs' order; a
// log without one (a sound, a reading) has empty curves.
func DrawnLogs(p Debriefed) []LogDrawn {
	out := make([]LogDrawn, len(p.Logs))
	for i := range p.Logs {
		out[i] = drawnLog(&p.Logs[i])
	}
	return out
}

func drawnLog(b *evidence.Debrief) LogDrawn {
	l := LogDrawn{Name: b.Name, Time: []Float{}, East: []Float{}, North: []Float{}, Height: []Float{}, Ground: []Float{}, Low: []Float{}, High: []Float{}, Air: []Float{}, Energy: []Float{}}
	if b.Path == nil || len(b.Path.Samples) < 2 {
		return l
	}
	all := b.Path.Samples
	plots := evidence.NewSheet(b.Name, b, nil, evidence.Provenance{}).Plots
	at := slices.IndexFunc(plots, func(s evidence.Series) bool { return s.Name == "speed over the ground" })
	if at < 0 {
		return l
	}
	speed := &plots[at]
	high, wind := b.Path.Heights != "" && len(b.Energy) == len(all), b.Wind != nil && len(b.Air) == len(all)
	nan := Float(math.NaN())
	put := func(t, e, n, g, lo, hi Float, k int) {
		l.Time, l.East, l.North, l.Ground, l.Low, l.High = append(l.Time, t), append(l.East, e), append(l.North, n), append(l.Ground, g), append(l.Low, lo), append(l.High, hi)
		h, en, air := nan, nan, nan
		if k >= 0 && high {
			h, en = Float(all[k].Pos[2]), Float(b.Energy[k])
		}
		if k >= 0 && wind {
			air = Float(b.Air[k])
		}
		if high {
			l.Height, l.Energy = append(l.Height, h), append(l.Energy, en)
		}
		if wind {
			l.Air = append(l.Air, air)
		}
	}
	long := math.Max(1, 3.5*b.Path.Step)
	last := -1
	for _, k := range thin(speed.Y) {
		for j := last + 1; last >= 0 && j <= k; j++ {
			if q, r := &all[j-1], &all[j]; q.Section != r.Section || r.T-q.T > long {
				put(Float((q.T+r.T)/2), nan, nan, nan, nan, nan, -1)
				break
			}
		}
		s := &all[k]
		e, n := nan, nan
		if b.Path.Placed {
			e, n = Float(s.Pos[0]), Float(s.Pos[1])
		}
		put(Float(s.T), e, n, Float(speed.Y[k]), Float(speed.Low[k]), Float(speed.High[k]), k)
		last = k
	}
	return l
}
