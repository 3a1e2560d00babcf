package report

import (
	"fmt"
	"strings"

	"fledge/internal/craft"
)

// TaughtJSON is one learned factor in use.
type TaughtJSON struct {
	Name      string `json:"name"`
	Component string `json:"component"`
	Input     string `json:"input"`
	Value     Float  `json:"value"`
	Sigma     Float  `json:"sigma"`
	From      string `json:"from"`
	Aeroplane string `json:"aeroplane"`
	Told      bool   `json:"told"`
}

func taughtJSON(ac *craft.Aircraft) []TaughtJSON {
	out := []TaughtJSON{}
	for _, t := range ac.Taught {
		out = append(out, TaughtJSON{t.Name, t.Component, t.Path, Float(t.Value), Float(t.Sigma), t.Say, t.Aeroplane, t.Told()})
	}
	return out
}

// taughtLines say which learned factors act, one line for each lesson, and
// why others do not. Factors that a lesson only carries along, because their
// errors hang together with others, are not named.
func taughtLines(ac *craft.Aircraft) []string {
	var out []string
	for i := 0; i < len(ac.Taught); {
		var words []string
		t := &ac.Taught[i]
		j := i
		for ; j < len(ac.Taught) && ac.Taught[j].Say == t.Say && ac.Taught[j].Aeroplane == t.Aeroplane; j++ {
			f := &ac.Taught[j]
			if f.Told() {
				words = append(words, f.Label+" "+f.Change())
			}
		}
		if len(words) > 0 {
			whose := ""
			if t.Aeroplane != ac.Name {
				whose = " of " + t.Aeroplane
			}
			out = append(out, fmt.Sprintf("Taught by %s%s: %s. With --untaught it is left out.", t.Say, whose, strings.Join(words, ", ")))
		}
		i = j
	}
	for _, u := range ac.Unlearned {
		out = append(out, upper(u)+".")
	}
	return out
}
