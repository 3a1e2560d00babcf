package evidence

import (
	"math"

	"fledge/internal/track"
)

// onTheGround is why a record that starts and stops like something driven
// tells of no flight.
const onTheGround = "it starts and stops like something on the ground and never climbs or sinks as an aeroplane does"

// driven reports a record of something on wheels: it sets off from rest, most
// times slower than any hand or bungee throws (2 to 8 m/s within two seconds
// and a sample), and over no stretch of 4 to 8 s at speed its height changes
// by an eighth of the way or more. Roads are no steeper, models always are.
// Our choice.
func driven(p *track.Path) bool {
	s := p.Samples
	starts, thrown := 0, 0
	rest := -1 // the last sample at rest
	for i := range s {
		if i > 0 && s[i].Section != s[i-1].Section {
			rest = -1
		}
		v := s[i].Speed()
		switch {
		case v < 2:
			rest = i
		case v >= 8 && rest >= 0:
			starts++
			if s[i].T-s[rest].T <= 2+math.Max(p.Step, s[i].T-s[i-1].T) {
				thrown++
			}
			rest = -1
		}
	}
	if starts == 0 || 2*thrown >= starts {
		return false
	}
	if p.Heights == "" {
		return true
	}
	j, way := 0, make([]float64, len(s))
	for i := range s {
		if i > 0 && s[i].Section == s[i-1].Section {
			way[i] = way[i-1] + (s[i].Speed()+s[i-1].Speed())/2*(s[i].T-s[i-1].T)
		}
		for s[i].T-s[j].T > 8 || s[j].Section != s[i].Section {
			j++
		}
		if s[i].T-s[j].T < 4 || s[i].Speed() < 8 || s[j].Speed() < 8 {
			continue
		}
		if dh := math.Abs(s[i].Pos[2] - s[j].Pos[2]); dh > 0.125*(way[i]-way[j]) && dh > 8+3*s[i].HeightSD {
			return false
		}
	}
	return true
}
