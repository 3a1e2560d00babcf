package control

import (
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func TestServoPulse(t *testing.T) {
	ref := cite.Common.At("1500 µs centre, 10 µs a degree", cite.Practice)
	for _, r := range [][2]float64{{1100, -40}, {1750, 25}} {
		check.Row{Topic: "servos", Name: "angle of a pulse", Unit: "°", Source: ref}.Near(t, Hobby.Angle(r[0]*1e-6)/deg, r[1], check.ModelAbs(1e-9, "closed form, rounding of degrees"))
	}
	check.Row{Topic: "servos", Name: "resolution of 1 µs", Unit: "°", Source: ref}.Near(t, (Hobby.Angle(1501e-6)-Hobby.Angle(1500e-6))/deg, 0.1, check.ModelAbs(1e-9, "closed form, cancellation"))
	if Hobby.Within(900e-6) || Hobby.Within(2001e-6) || !Hobby.Within(1000e-6) || !Hobby.Within(2000e-6) {
		t.Error("ends of the pulse range")
	}
}

func TestPlay(t *testing.T) {
	ref := cite.Ours.At("sum of clearances over the horn", cite.Derived)
	worst, likely := Play(0.1e-3, 0.1e-3, 10e-3, 0.6*deg, 0.8)
	check.Row{Topic: "linkages", Name: "play, worst case", Unit: "°", Source: ref}.Near(t, worst/deg, 1.626, printed(0.001))
	check.Row{Topic: "linkages", Name: "play, root sum of squares", Unit: "°", Source: ref}.Near(t, likely/deg, 0.942, printed(0.001))
}

func TestServoRate(t *testing.T) {
	ref := cite.Ours.At("linear direct-current line; a bench differs by up to 15 %", cite.Derived)
	for _, r := range []struct{ volts, stall, free, rate, ms float64 }{
		{6.0, 0.20, 600, 450, 66.7},
		{5.0, 0.16667, 500, 350, 85.7},
		{7.4, 0.24667, 740, 590, 50.8},
	} {
		got := ServoRate(0.20, 600*deg, 6.0, r.volts, 0.05) / deg
		check.Row{Topic: "servos", Name: "rate under 0.05 N m", Unit: "°/s", Source: ref}.Near(t, got, r.rate, check.ModelAbs(1e-9, "closed form"))
		check.Row{Topic: "servos", Name: "30° takes", Unit: "ms", Source: ref}.Near(t, 30/got*1e3, r.ms, printed(0.1))
		check.Row{Topic: "servos", Name: "no-load speed", Unit: "°/s", Source: ref}.Near(t, ServoRate(0.20, 600*deg, 6.0, r.volts, 0)/deg, r.free, check.ModelAbs(1e-9, "closed form"))
		if s := ServoRate(0.20, 600*deg, 6.0, r.volts, r.stall*1.001); s >= 0 {
			t.Errorf("turns beyond its stall torque: %g", s)
		}
	}
	// 0.10 s for 60° is 600 degrees a second.
	if got := 60.0 / 0.10; got != 600 {
		t.Error(got)
	}
}
