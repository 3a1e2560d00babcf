// Package track turns recorder bytes into a clean path: it reads flight logs
// (NMEA 0183, IGC, GPX 1.0 and 1.1, CSV with a guessed column map) and sound
// (RIFF WAVE), drops what cannot be true and says so, and smooths the rest
// with a stated noise model and a doubt on every sample.
//
// Readers stream, keep no more than a set number of records at a time, and are
// tolerant: a torn line, a bad checksum or a stuck
// clock costs that record, never the file; every record set aside is counted
// under a reason in [Log.Dropped]. Inside all is SI and radians; NaN means the
// log does not say.
//
// The path is kept in a local frame on the WGS-84 ellipsoid: east, north and
// up in metres of an origin at the first fix.
package track

import (
	"math"
	"time"

	"fledge/internal/diag"
)

// Fix is one sample as recorded. NaN: not said.
type Fix struct {
	T              float64 // s since Log.Start, never falling
	Lat, Lon       float64 // rad
	Height         float64 // m, GNSS height (above sea level or the ellipsoid, as the log has it)
	Geoid          float64 // m, height of the geoid above the ellipsoid, where the log says it
	PressureHeight float64 // m in the standard atmosphere
	Speed          float64 // m/s over the ground as measured (Doppler)
	Course         float64 // rad clockwise from true north, of Speed
	Climb          float64 // m/s up, as measured
	Airspeed       float64 // m/s as logged: its scale is not to be trusted
	Throttle       float64 // 0..1
	Volts, Amps    float64
	Charge         float64 // A s used, as logged
	RPM            float64 // rad/s of the propeller shaft
	Roll, Pitch    float64 // rad
	Heading        float64 // rad, where the nose points
	HDOP           float64
	Sats           int16 // −1 not said
	Rested         bool  // records between the fix before and this one were left out: it stood still
	Section        int32 // unbroken stretch of the log; never joined across
	Line           int32 // line (or point number) in the file
}

// Reason is why a record was set aside.
type Reason string

// The reasons.
const (
	BadSum      Reason = "checksum does not match"
	NoSum       Reason = "no checksum"
	Torn        Reason = "torn or unreadable"
	Void        Reason = "receiver had no fix"
	OutOfRange  Reason = "value out of range"
	SameTime    Reason = "time repeated"
	BackInTime  Reason = "clock stepped back"
	NoTime      Reason = "no time"
	Repeated    Reason = "position repeated while moving"
	PosSpike    Reason = "position spike"
	SpeedSpike  Reason = "speed spike"
	HeightSpike Reason = "height spike"
	Lone        Reason = "lone fix between a gap and a jump"
)

// Drop counts the records set aside for one reason.
type Drop struct {
	Reason  Reason `json:"reason"`
	Count   int    `json:"count"`
	Line    int    `json:"first_line,omitempty"` // where the first was
	Example string `json:"example,omitempty"`
}

// Gap is a hole in the record, s since the start.
type Gap struct{ From, To float64 }

// RecordedWind is a wind the recorder itself worked out and wrote down.
type RecordedWind struct {
	T           float64
	Speed, From float64 // m/s, rad
}

// Log is a file's contents.
type Log struct {
	Format    Format
	Start     time.Time // UTC of T = 0; zero when the date is unknown
	DateKnown bool
	Fixes     []Fix
	Records   int // records with data: fixes kept and those dropped afterwards by time or physics
	Ignored   int // sentences or lines of kinds that are not used
	Dropped   []Drop
	Gaps      []Gap
	Wind      []RecordedWind
	Columns   *ColumnMap // CSV only: what was guessed
	Landmarks int        // GPX way points, kept out of the path
	Parts     []float64  // of a joined log: where each file after the first begins, s
	Notes     diag.List  // what the reader wants to say
}

// Total counts everything dropped.
func (l *Log) Total() int {
	n := 0
	for _, d := range l.Dropped {
		n += d.Count
	}
	return n
}

// Count is how many records were dropped for one reason.
func (l *Log) Count(r Reason) int {
	for _, d := range l.Dropped {
		if d.Reason == r {
			return d.Count
		}
	}
	return 0
}

func (l *Log) drop(r Reason, line int, example string) { l.dropN(r, 1, line, example) }

func (l *Log) dropN(r Reason, n, line int, example string) {
	for i := range l.Dropped {
		if l.Dropped[i].Reason == r {
			l.Dropped[i].Count += n
			return
		}
	}
	if len(example) > 60 {
		example = example[:60]
	}
	l.Dropped = append(l.Dropped, Drop{r, n, line, clean(example)})
}

// clean keeps printable ASCII of an example.
func clean(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c < ' ' || c > '~' {
			b[i] = ' '
		}
	}
	return string(b)
}

func (l *Log) note(sev diag.Severity, code string, line int, msg, hint string) {
	if len(l.Notes) < 200 {
		l.Notes.Add(diag.Diagnostic{Severity: sev, Code: code, Span: diag.Span{Line: line}, Message: msg, Hint: hint})
	}
}

// Duration is the time from the first to the last fix, s.
func (l *Log) Duration() float64 {
	if len(l.Fixes) == 0 {
		return 0
	}
	return l.Fixes[len(l.Fixes)-1].T - l.Fixes[0].T
}

var nan = math.NaN()

// empty is a fix that says nothing.
func empty() Fix {
	return Fix{T: nan, Lat: nan, Lon: nan, Height: nan, Geoid: nan, PressureHeight: nan, Speed: nan, Course: nan, Climb: nan,
		Airspeed: nan, Throttle: nan, Volts: nan, Amps: nan, Charge: nan, RPM: nan, Roll: nan, Pitch: nan, Heading: nan,
		HDOP: nan, Sats: -1}
}

// known reports a finite number.
func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// hasPlace reports whether the fix has a position.
func (f *Fix) hasPlace() bool { return known(f.Lat) && known(f.Lon) }
