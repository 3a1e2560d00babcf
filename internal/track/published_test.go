package track

import "time"

// Published closed forms that no answer needs: oracles of laws, and checks in
// their own right.

// Leap is GPS time less UTC in seconds; no leap second after 2017 is known
// here.
func Leap(utc time.Time) int {
	n := 0
	for _, d := range leaps {
		if t, err := time.Parse("2006-01-02", d); err == nil && !utc.Before(t) {
			n++
		}
	}
	return n
}

// GPSTime is the whole seconds of GPS time, its week and the second of the
// week, at an instant after 1980-01-06.
func GPSTime(utc time.Time) (seconds int64, week, second int) {
	seconds = utc.Unix() - gpsZero.Unix() + int64(Leap(utc))
	return seconds, int(seconds / 604800), int(seconds % 604800)
}

// RolledBack is the date a receiver shows whose ten-bit week count is one
// round (1024 weeks) behind.
func RolledBack(shown time.Time) time.Time { return shown.Add(-rollover * time.Second) }

// leaps are the days from which UTC is one more second behind GPS time, first
// of them number one. Source: IS-GPS-200 and the bulletins of the earth
// rotation service, from memory.
var leaps = []string{"1981-07-01", "1982-07-01", "1983-07-01", "1985-07-01", "1988-01-01", "1990-01-01", "1991-01-01", "1992-07-01", "1993-07-01",
	"1994-07-01", "1996-01-01", "1997-07-01", "1999-01-01", "2006-01-01", "2009-01-01", "2012-07-01", "2015-07-01", "2017-01-01"}

var gpsZero = time.Date(1980, 1, 6, 0, 0, 0, 0, time.UTC)
