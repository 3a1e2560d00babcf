package report

import (
	"fmt"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/credit"
)

// RestJSON is the weakest point of a room that an answer rests on.
type RestJSON struct {
	Room    string `json:"room"`
	Answers string `json:"answers"`
	Factor  string `json:"factor"`
	Level   int    `json:"level"`
	Because string `json:"because"`
}

// verdictRooms are the rooms that a verdict rests on.
var verdictRooms = []string{"launch", "radio", "strength", "perform", "control", "aero", "section", "prop", "power"}

// restJSON lists the rooms with their weakest points.
func restJSON() []RestJSON {
	var out []RestJSON
	for _, name := range verdictRooms {
		r := credit.Find(name)
		f, n := r.Weakest()
		out = append(out, RestJSON{r.Name, r.Answers, credit.Names[f], n, r.Because[f]})
	}
	return out
}

// rests says in two sentences what a verdict rests on: the numbers, given or
// assumed, and the rooms by their weakest points, the weakest with reasons.
func rests(r *assess.Results) []string {
	given, assumed := pedigree(r)
	var poor, rest []string
	for _, w := range restJSON() {
		if w.Level < 2 {
			poor = append(poor, fmt.Sprintf("%s %d (%s: %s)", w.Room, w.Level, w.Factor, w.Because))
		} else {
			rest = append(rest, fmt.Sprintf("%s %d", w.Room, w.Level))
		}
	}
	return []string{
		fmt.Sprintf("Of the %d numbers with a doubt that it rests on, you gave %d; the rest are assumed.", given+assumed, given),
		fmt.Sprintf("How far to believe it, 0 to 4, on NASA-STD-7009's scale as we judge ourselves, each room by its weakest point: %s; %s. All of it: docs/credibility.md.", strings.Join(poor, ", "), strings.Join(rest, ", ")),
	}
}

// pedigree counts the uncertain numbers of the build by who gave them.
func pedigree(r *assess.Results) (given, assumed int) {
	ac := r.Aircraft
	none := map[string]bool{}
	for _, a := range ac.Assumed {
		none[a.Path] = true
	}
	for _, in := range ac.Inputs {
		switch {
		case in.Model:
		case none[in.Path]:
			assumed++
		default:
			given++
		}
	}
	return given, assumed
}
