package control

import (
	"math"
	"testing"

	"fledge/internal/aero"
	"fledge/internal/air"
)

// The set-up sheet on the real aerodynamics: trim agrees with the model's own,
// and forward balance wants more up.
func TestOfModel(t *testing.T) {
	ac := swift()
	ac.Surfaces[0].Stations[0].Section, ac.Surfaces[0].Stations[1].Section = "NACA 2409", "NACA 0009"
	ac.Surfaces[0].Stations[1].Twist = -2 * deg
	ac.Ref.Point.X, ac.Ref.Chord, ac.Ref.Area, ac.Ref.Span = 0.24, 0.183, 0.18, 1.0
	st, _ := air.Standard(0)
	m, err := aero.New(ac, st, aero.Options{Spanwise: 12, Chordwise: 4})
	if err != nil {
		t.Fatal(err)
	}
	ac.Mass.CG.X = m.NeutralPoint() - 0.08*ac.Ref.Chord
	sh := Assess(ac, Of(m, ac, st.Rho, st.Mu, nil), Wish{StallSpeed: 11})
	if sh.Trim.Why != "" {
		t.Fatal(sh.Trim.Why)
	}
	neutral := aero.Neutral()
	b := m.Trim(aero.Balance{V: 22, Rho: st.Rho, Mu: st.Mu, Lift: ac.Mass.Total * gravity, CG: ac.Mass.CG}, &neutral)
	if !b.OK || math.Abs(b.Pitch-sh.Trim.Pitch) > 1e-4 || math.Abs(b.Alpha-sh.Trim.Alpha) > 1e-4 {
		t.Errorf("trim %g° at %g°, the model's own %g° at %g°", sh.Trim.Pitch/deg, sh.Trim.Alpha/deg, b.Pitch/deg, b.Alpha/deg)
	}
	forward := *ac
	forward.Mass.CG.X -= 0.05 * ac.Ref.Chord
	f := Assess(&forward, Of(m, &forward, st.Rho, st.Mu, nil), Wish{StallSpeed: 11})
	if !(f.Trim.Pitch > sh.Trim.Pitch) {
		t.Errorf("a balance further forward wants %g° instead of %g°", f.Trim.Pitch/deg, sh.Trim.Pitch/deg)
	}
	if !(sh.Full.Pitch > sh.Trim.Pitch) || !(sh.RollThrow > 0) {
		t.Errorf("pull %g°, roll %g°", sh.Full.Pitch/deg, sh.RollThrow/deg)
	}
	for _, r := range sh.Results {
		t.Logf("%-24s %-10s %8.3g ± %.2g %s", r.ID, r.Status, r.Value, r.Sigma, r.Because)
	}
	for _, n := range sh.Notes {
		t.Log(n)
	}
}
