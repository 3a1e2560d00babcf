package verdict

import (
	"fmt"
	"math"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/strength"
	"fledge/internal/unit"
)

// strong turns the strength room's results into findings.
func (j *judged) strong() {
	for _, s := range j.r.Strength {
		j.add(fromStrength(s))
	}
}

// statuses maps the strength room's judgements; a number without a limit is
// nothing to judge.
var statuses = map[string]Status{
	"pass": Pass, "doubtful": Doubtful, "fail": Fail, "unknown": Unknown, "not asked": NotAsked, "information": NotAsked,
}

func fromStrength(s strength.Result) Finding {
	low, high := s.Interval()
	f := Finding{
		ID: strings.ReplaceAll(s.ID, "_", "-"), Stage: "bench", Question: 4, Safety: s.Safety, Label: s.Label,
		Status:  statuses[s.Status.String()],
		Value:   assess.Quantity{Value: s.Value, Low: low, High: high, Unit: s.Unit},
		Unit:    s.Unit,
		Limit:   Limit{s.Min, s.Max},
		Because: s.Because, Release: s.How, Caution: s.Caution,
	}
	if f.Status == Unknown {
		f.Value.Status = s.Because
	}
	for _, r := range s.Refs {
		f.Sources = append(f.Sources, r.Key)
	}
	return f
}

// Print says a value of this finding in people's units.
func (f *Finding) Print(v float64, sys unit.System) string {
	if f.Unit == "" {
		if f.Dim == unit.None || math.IsNaN(v) {
			return "unknown"
		}
		return unit.Format(v, f.Dim, sys)
	}
	switch {
	case math.IsNaN(v):
		return "unknown"
	case math.IsInf(v, 0):
		return "unlimited"
	case f.Unit == "1":
		return plain(v)
	case f.Unit == "rad":
		return unit.Format(v, unit.Angle, sys)
	case f.Unit == "m/s":
		return unit.Format(v, unit.Speed, sys)
	case f.Unit == "m":
		return unit.Format(v, unit.Length, sys)
	case f.Unit == "N m":
		return unit.Format(v, unit.Torque, sys)
	case f.Unit == "N":
		return unit.Format(v, unit.Force, sys)
	case f.Unit == "degC":
		return unit.Format(v+273.15, unit.Temperature, sys)
	case f.Unit == "J":
		return unit.Format(v, unit.Energy, sys)
	}
	return plain(v) + " " + f.Unit
}

func plain(v float64) string {
	switch a := math.Abs(v); {
	case a >= 100:
		return fmt.Sprintf("%.0f", v)
	case a >= 10:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.2f", v)
}
