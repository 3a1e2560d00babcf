package radio

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

// A range that no attitude can reach is none: between a circular and a linear
// antenna the polarisation is lost at every place.
func TestFreeRangeKnowsTheKinds(t *testing.T) {
	circular := func(axial float64, left bool) Antenna {
		return Antenna{Gain: 2, Kind: Kind{Circular: true, Axial: axial}, Left: left}
	}
	line := Antenna{Gain: 2}
	for _, r := range []struct {
		name string
		a, b Antenna
		want float64
	}{
		{"two linear", line, line, 0},
		{"ideal circular and linear", circular(0, false), line, 3.0103},
		{"ideal circular, the same hand", circular(0, true), circular(0, true), 0},
		{"axial ratio 3 dB and linear", circular(3, false), line, 10 * math.Log10(1+math.Pow(10, -0.3))},
	} {
		l := Link{Frequency: 5.8e9, Power: 14, Threshold: -90, Air: r.a, Station: r.b}
		row := func(name string) check.Row {
			return check.Row{Topic: "radio", Name: name, Unit: "dB", Source: cite.Balanis.At("polarisation loss factor", cite.Memory)}
		}
		row("least polarisation loss, "+r.name).Near(t, l.Unmatched(), r.want, check.Printed(1e-4))
		whole := FreeRange(l.Frequency, 14+2+2+90)
		row(fmt.Sprintf("what it takes of the range, %s", r.name)).Near(t, 20*math.Log10(whole/l.FreeSpaceRange(0)), r.want, check.Printed(1e-4))
	}
	l := Link{Frequency: 5.8e9, Power: 14, Threshold: -90, Air: circular(1, false), Station: circular(1, true)}
	if got := l.Unmatched(); got < 10 {
		t.Errorf("circular against the other hand loses %.1f dB only", got)
	}
}
