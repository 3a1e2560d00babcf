package verdict

import (
	"math"

	"fledge/internal/assess"
	"fledge/internal/perform"
	"fledge/internal/unit"
)

// information is a finding that nothing limits.
func (j *judged) information(id string, question int, n assess.ID, d unit.Dim, label string) {
	q := j.r.Get(n)
	f := Finding{ID: id, Stage: "field", Question: question, Label: label, Value: q, Dim: d, Limit: Limit{math.NaN(), math.NaN()}, Status: NotAsked, Because: "for information"}
	if q.Status != "" {
		f.Because = q.Status
	}
	j.add(f)
}

func (j *judged) speeds() {
	r, ac := j.r, j.r.Aircraft
	j.information("stall-speed", 6, assess.StallSpeed, unit.Speed, r.Slowest.Label())
	if l := ac.Limits.TopSpeed; l > 0 {
		q := r.Get(assess.DiveSpeed)
		j.add(Finding{
			ID: "never-exceed", Stage: "field", Question: 6, Safety: true, Label: "speed in a 30 degree dive at full throttle", Value: q, Dim: unit.Speed, Limit: atMost(l),
			Because: sayf("a dive of 30 degrees reaches %s; never exceed %s", j.say(q, unit.Speed), unit.Format(l, unit.Speed, j.units)), Sources: []string{"our-choice"}, Release: "throttle back before a dive",
		})
	}
	j.information("top-speed", 6, assess.TopSpeed, unit.Speed, "top speed, level")
	j.information("climb", 6, assess.ClimbRate, unit.Speed, "climb")
	j.information("endurance", 6, assess.EnduranceTime, unit.Time, "endurance at cruise, reserve kept")
	j.reserve()
	j.circle()
	j.link()
}

// slower offers more up throw where that is what lowers the slowest flight.
func (j *judged) slower() string {
	if s := &j.r.Slowest; s.ByThrow {
		return sayf("; %.0f deg more up throw lowers the slowest flight to %s", s.More*180/math.Pi, unit.Format(s.Then, unit.Speed, j.units))
	}
	return ""
}

// reserve asks whether the planned flight ends before the reserve does: in
// laps where a circuit is known, else level at cruise.
func (j *judged) reserve() {
	r, ac := j.r, j.r.Aircraft
	t := ac.Flight.Time
	if t <= 0 {
		j.ask("reserve", "field", 6, "reserve", "no flight time is planned (flight.time)")
		return
	}
	q, how := r.Get(assess.CircuitTime), "in laps of the circuit"
	if q.Status == string(perform.NotDescribed) {
		q, how = r.Get(assess.EnduranceTime), "at cruise"
	}
	j.add(Finding{
		ID: "reserve", Stage: "field", Question: 6, Safety: true, Label: "time to the reserve " + how, Value: q, Dim: unit.Time, Limit: atLeast(t),
		Because: sayf("%s the reserve is reached after %s; the flight is planned for %s", how, j.say(q, unit.Time), unit.Format(t, unit.Time, j.units)), Sources: []string{"common-practice"}, Release: "log what the charger puts back after one flight",
	})
}

// circle compares the loiter circle with the one that is set.
func (j *judged) circle() {
	r, ac := j.r, j.r.Aircraft
	set := ac.Flight.Loiter
	if set <= 0 {
		j.information("loiter", 6, assess.LoiterRadius, unit.Length, "loiter radius")
		return
	}
	q, v := r.Get(assess.LoiterRadius), r.Get(assess.CruiseSpeed)
	f := Finding{
		ID: "loiter", Stage: "field", Question: 6, Label: "loiter radius", Value: q, Dim: unit.Length, Limit: atMost(set), Sources: []string{"ours"},
		Release: "set more bank, less speed or a wider circle",
	}
	f.Because = sayf("at %s and %s of bank the circle has a radius of %s, %s is set", j.say(v, unit.Speed), unit.Format(assess.Bank(ac), unit.Angle, j.units), j.say(q, unit.Length), unit.Format(set, unit.Length, j.units))
	if v.Status == "" {
		bank := perform.BankFor(v.Value, set)
		f.Because += sayf(": %s of bank does it, or %s", unit.Format(bank, unit.Angle, j.units), unit.Format(perform.SpeedFor(assess.Bank(ac), set), unit.Speed, j.units))
	}
	j.add(f)
}

// link judges the worst of the links that matter.
func (j *judged) link() {
	r := j.r
	if len(r.Aircraft.Radios) == 0 {
		j.ask("link-margin", "field", 6, "radio and video margin", "no radio link is described (radio)")
		return
	}
	l := r.WorstLink()
	if l == nil { // only mass and balance were asked for
		return
	}
	f := Finding{
		ID: "link-margin", Stage: "field", Question: 6, Safety: true, Label: "link margin, " + l.Name, Value: l.Margin, Dim: unit.Gain, Limit: atLeast(r.Aircraft.Limits.LinkMargin),
		Sources: []string{"itu-r-p525", "itu-r-p526", "our-choice"}, Caution: "antenna",
		Release: "range-test at the lowest power by the maker's procedure, and note the level shown",
	}
	f.Because = sayf("the weakest moment of %s has %s over its threshold: %s", l.Name, j.say(l.Margin, unit.Gain), l.Where)
	if l.Margin.Status != "" {
		f.Because = sayf("the margin of %s cannot be computed: %s", l.Name, l.Margin.Status)
	}
	j.add(f)
}

func (j *judged) home() {
	r, ac := j.r, j.r.Aircraft
	j.information("touchdown", 7, assess.Touchdown, unit.Speed, "touchdown speed over the ground")
	if p := ac.Landing.Path; p > 0 {
		q := r.Get(assess.GlideAngle)
		j.add(Finding{
			ID: "approach-path", Stage: "field", Question: 7, Label: "steepest path at the approach speed", Value: q, Dim: unit.Angle, Limit: atLeast(p), Sources: []string{"ours"},
			Because: sayf("motor off she comes down at %s; %s is wanted, steeper than that she would gain speed", j.say(q, unit.Angle), unit.Format(p, unit.Angle, j.units)),
			Release: "a brake, a slip or S-turns: fledge land says what each does",
		})
	}
	if r.Get(assess.GoRoundClimb).Status == "" {
		q := r.Get(assess.GoRoundClimb)
		j.add(Finding{
			ID: "go-round", Stage: "field", Question: 7, Label: "climb when the landing is broken off", Value: q, Dim: unit.Speed, Limit: atLeast(1), Sources: []string{"our-choice"},
			Because: sayf("at the approach speed and full throttle, pack at its reserve, she climbs %s", j.say(q, unit.Speed)), Release: "land with more charge left",
		})
	}
	length := assess.FieldLength(ac)
	if length <= 0 {
		j.ask("landing", "field", 7, "landing distance", "the length of the field is not given (landing.length)")
	} else {
		d := r.Get(assess.LandingRun)
		j.add(Finding{
			ID: "landing", Stage: "field", Question: 7, Label: "landing distance from 10 m height", Value: d, Dim: unit.Length, Limit: atMost(length),
			Because: sayf("from 10 m height, motor off, it takes %s to stand still; the field has %s", j.say(d, unit.Length), unit.Format(length, unit.Length, j.units)),
			Sources: []string{"our-choice"}, Release: "land with the brake, or longer; measure one slide on this ground" + j.slower(),
		})
	}
	j.sortie()
}

// sortie says the chance of the whole.
func (j *judged) sortie() {
	s := j.r.Sortie
	if s == nil {
		return
	}
	worst := -1
	for k := range s.Parts {
		if s.Parts[k].Asked && (worst < 0 || s.Parts[k].IfSure > s.Parts[worst].IfSure) {
			worst = k
		}
	}
	f := Finding{ID: "sortie", Stage: "field", Question: 7, Label: "chance that she comes home whole", Value: s.Chance, Dim: unit.Ratio, Limit: Limit{math.NaN(), math.NaN()}, Status: NotAsked, Because: "nothing is known to judge it by"}
	if worst >= 0 {
		f.Because = sayf("were the %s sure, it would be %.2f", s.Parts[worst].Stage, s.Parts[worst].IfSure)
	}
	j.add(f)
}
