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
// and a sample), never turns one and a half times round one way within a
// minute and a half at speed, as whatever flies does sooner or later, and its
// height never changes by an eighth of the way within 8 s or by 7 in 100
// within 40 s. What is not sure is taken to fly. Our choice.
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
	return !circles(s) && (p.Heights == "" || !steep(s, 4, 8, 0.125, 8) && !steep(s, 25, 40, 0.07, 25))
}

// circles reports one and a half turns one way within ninety seconds, all of
// it faster than 8 m/s.
func circles(s []track.Sample) bool {
	j, turned := 0, make([]float64, len(s))
	for i := range s {
		if i > 0 {
			turned[i] = turned[i-1] + math.Remainder(s[i].Course()-s[i-1].Course(), 2*math.Pi)
		}
		if i > 0 && s[i].Section != s[i-1].Section || s[i].Speed() < 8 {
			j = i
		}
		for s[i].T-s[j].T > 90 {
			j++
		}
		if math.Abs(turned[i]-turned[j]) > 3*math.Pi {
			return true
		}
	}
	return false
}

// steep reports a stretch of from to to seconds at speed over which the height
// changes by a share of the way, and by a number of metres beyond its doubt.
func steep(s []track.Sample, from, to, share, metres float64) bool {
	j, way := 0, make([]float64, len(s))
	for i := range s {
		if i > 0 && s[i].Section == s[i-1].Section {
			way[i] = way[i-1] + (s[i].Speed()+s[i-1].Speed())/2*(s[i].T-s[i-1].T)
		}
		for s[i].T-s[j].T > to || s[j].Section != s[i].Section {
			j++
		}
		if s[i].T-s[j].T < from || s[i].Speed() < 8 || s[j].Speed() < 8 {
			continue
		}
		if dh := math.Abs(s[i].Pos[2] - s[j].Pos[2]); dh > share*(way[i]-way[j]) && dh > metres+3*s[i].HeightSD {
			return true
		}
	}
	return false
}
