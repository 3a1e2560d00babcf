package verdict

import (
	"strings"

	"fledge/internal/assess"
	"fledge/internal/control"
)

// Cautions are the plain words that go with what a verdict concerns.
var Cautions = map[string]string{
	"pilot":     "A GO is advice. The pilot in command decides, every time, on the spot.",
	"law":       "Registration, height, sight or a spotter, insurance, radio licence, power and band follow local law and the field's rules.",
	"propeller": "Propeller off at the bench. At the field stay clear of its arc from the moment the battery is plugged in.",
	"bungee":    "A stretched bungee stores hundreds of joules: eye protection, nobody in its line, the stake proved before each pull.",
	"launch":    "Nobody ahead of the launch or beside its line; a failed launch goes down within a second, anywhere near.",
	"hand":      "Throw from beside the propeller's plane, never through it; motor by switch, not by stick, until it has left the hand.",
	"lithium":   "Lithium packs burn. Charge watched, carry in a fireproof bag; a pack that was in a crash is kept outside and not used again.",
	"dust":      "Glass and carbon: dust mask and gloves for sanding, splinters in the eyes are for ever.",
	"antenna":   "Antenna fitted before a transmitter is powered.",
	"speed":     "A fast model kills. Fly away from people, behind the crowd line, with a safe direction to go to when anything fails.",
	"proof":     "Printed, glued or repaired parts that carry load need a proof load first and, where people could be hurt, a competent eye.",
}

// cautions picks those that concern these results.
func cautions(r *assess.Results) []string {
	ac := r.Aircraft
	keys := []string{"pilot", "law"}
	if ac.Launch.By == "bungee" {
		keys = append(keys, "bungee", "launch")
	}
	if ac.Launch.By == "hand" {
		keys = append(keys, "hand", "launch")
	}
	if ac.Power.Place != "" {
		keys = append(keys, "propeller", "lithium")
	}
	keys = append(keys, "speed", "proof")
	for _, p := range ac.Parts {
		if p.Kind == "video transmitter" || p.Kind == "antenna" {
			keys = append(keys, "antenna")
			break
		}
	}
	out := make([]string, 0, len(keys))
	for _, k := range keys {
		out = append(out, Cautions[k])
	}
	return append(out, special(r)...)
}

// special are the cautions of what the bench judged: of every flutter screen,
// for a pass clears nothing, and of what does not pass.
func special(r *assess.Results) []string {
	var out []string
	seen := map[string]bool{}
	for _, list := range [][]control.Result{r.Setup, r.Strength} {
		for i := range list {
			s := &list[i]
			passed := s.Status == control.Pass && !strings.HasPrefix(s.ID, "flutter")
			c := s.Caution
			if n := strings.Index(c, "A printed, glued or repaired part"); n >= 0 {
				c = strings.TrimSpace(c[:n]) // "proof" says it
			}
			if c == "" || passed || s.Status == control.NotAsked || s.Status == control.Information || seen[c] {
				continue
			}
			seen[c] = true
			out = append(out, c)
		}
	}
	return out
}
