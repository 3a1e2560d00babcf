package learn

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"fledge/internal/evidence"
	"fledge/internal/num"
	"fledge/internal/track"
)

// TestPlanComesTrue: the doubt a card is said to leave is the doubt that
// readings of that card leave, whatever they read.
func TestPlanComesTrue(t *testing.T) {
	m := model(t, "tern.yaml")
	r := m.Learn(nil)
	for _, card := range m.Tests(9.5, 32, 55, 300) {
		_, after := m.preposterior(r, card.Readings)
		if after == nil {
			t.Errorf("%s: the model has no answer", card.Name)
			continue
		}
		if len(card.Steps) < 2 {
			t.Errorf("%s: no steps", card.Name)
		}
		// Readings that say just what is expected: the doubt does not hang on them,
		// and no draw makes one of them strange.
		list := make([]Reading, len(card.Readings))
		y := make([]float64, len(list))
		x := make([]float64, len(m.learn))
		for k := range x {
			x[k] = m.learn[k].param.at(0)
		}
		m.all(card.Readings, x, -1, 0, &work{}, y)
		for i := range list {
			list[i] = card.Readings[i]
			list[i].Value = y[i]
			if !additive(list[i].Kind) {
				list[i].SD *= y[i]
			}
		}
		got := m.Learn(list)
		for k := range m.learn {
			if after[k][k] > 0.9 {
				continue
			}
			// One linearisation against the fit's own at its end.
			if d := math.Abs(math.Sqrt(got.post.Cov[k][k]) - math.Sqrt(after[k][k])); d > 0.03 {
				t.Errorf("%s leaves %s ± %.3f of the prior, said %.3f", card.Name, m.learn[k].Name, math.Sqrt(got.post.Cov[k][k]), math.Sqrt(after[k][k]))
			}
		}
	}
}

// TestPlanRanks: where only the top speed is in doubt, what narrows it most
// comes first, and a number with a limit near draws the plan to itself.
func TestPlanRanks(t *testing.T) {
	m := model(t, "tern.yaml")
	r := m.Learn(nil)
	cards := m.Tests(9.5, 32, 55, 300)
	top := Aim{ID: "top-speed", Label: "top speed", Value: 55, SD: 4, Min: math.NaN(), Max: math.NaN(), Of: m.TopAt}
	best := m.Plan(r, []Aim{top}, cards)[0]
	if !strings.Contains(best.Name, "passes") {
		t.Errorf("to know the top speed it plans %s", best.Name)
	}
	stall := Aim{ID: "stall", Label: "stall speed", Value: 9.5, SD: 0.45, Min: math.NaN(), Max: 9.6, Of: func(x []float64) float64 { return m.one(x, Reading{Kind: Stall}) }}
	plan := m.Plan(r, []Aim{top, stall}, cards)
	if plan[0].Name != "stalls at height" {
		t.Errorf("with the stall speed at its limit it plans %s", plan[0].Name)
	}
	for _, g := range plan[0].Gain {
		if g.SDThen > g.SDNow || g.WrongThen > g.WrongNow+1e-9 {
			t.Errorf("a test widens: %+v", g)
		}
	}
}

// TestLog: a log with passes and glides, flown as the models fly, gives the
// drag it was flown with; what was flown with the motor off is no level speed.
func TestLog(t *testing.T) {
	m := model(t, "tern.yaml")
	x := make([]float64, len(m.learn))
	drag := 0
	for k := range x {
		x[k] = m.learn[k].param.at(0)
		if m.learn[k].Name == "drag" {
			drag, x[k] = k, 1.2
		}
	}
	speeds := []float64{18, 24, 30}
	ask := []Reading{{Kind: LevelSpeed, Throttle: 1}}
	for _, v := range speeds {
		ask = append(ask, Reading{Kind: GlideSink, At: v})
	}
	y := make([]float64, len(ask))
	m.all(ask, x, -1, 0, &work{}, y)
	s := num.NewStream(9)
	var csv bytes.Buffer
	csv.WriteString("time_s,latitude_deg,longitude_deg,altitude_m,ground_speed_m_s,course_deg,throttle_percent\n")
	at, east, north, height := 0.0, 0.0, 0.0, 60.0
	step := func(v, climb, course, throttle float64) {
		const dt = 0.1
		h := math.Sqrt(v*v - climb*climb)
		ve, vn := h*math.Sin(course)+3, h*math.Cos(course) // 3 m/s of wind from the west
		at, east, north, height = at+dt, east+ve*dt, north+vn*dt, height+climb*dt
		fmt.Fprintf(&csv, "%.1f,%.8f,%.8f,%.2f,%.3f,%.2f,%.0f\n", at, 52+(north+0.2*s.Normal())/111200, 13+(east+0.2*s.Normal())/68460, height+0.1*s.Normal(), math.Hypot(ve, vn)+0.03*s.Normal(), math.Mod(math.Atan2(ve, vn)*180/math.Pi+360, 360), throttle)
	}
	leg := func(v, climb, course, seconds, throttle float64) {
		for range int(10 * seconds) {
			step(v, climb, course, throttle)
		}
	}
	turn := func(v, from, to, seconds, throttle float64) {
		n := int(10 * seconds)
		for i := range n {
			step(v, 0, from+(to-from)*float64(i)/float64(n), throttle)
		}
	}
	for range 3 {
		leg(y[0], 0, math.Pi/2, 10, 100)
		turn(y[0], math.Pi/2, 3*math.Pi/2, 9, 100)
		leg(y[0], 0, 3*math.Pi/2, 10, 100)
		turn(y[0], 3*math.Pi/2, 5*math.Pi/2, 9, 100)
	}
	for i, v := range speeds {
		leg(v, 6, math.Pi/2, 8, 80)
		leg(v, -y[1+i], math.Pi/2, 7, 0)
		turn(v, math.Pi/2, 3*math.Pi/2, 12, 50)
		leg(v, 6, 3*math.Pi/2, 8, 80)
		leg(v, -y[1+i], 3*math.Pi/2, 7, 0)
		turn(v, 3*math.Pi/2, 5*math.Pi/2, 12, 50)
	}
	log, err := track.Read(&csv, track.Options{Name: "run.csv"})
	if err != nil {
		t.Fatal(err)
	}
	d := evidence.Of(track.Smooth(log), evidence.Options{})
	list := OfDebrief(&d, Told{Name: "run.csv", Print: "log"})
	n := map[Kind]int{}
	for _, r := range list {
		n[r.Kind]++
		t.Logf("%-30s %8.3f ± %.3f %s", r.Key(), r.Value, r.SD, r.Suspicious)
	}
	if n[LevelSpeed] != 1 || n[GlideSink] < 4 {
		t.Fatalf("the log gives %v", n)
	}
	r := m.Learn(list)
	if r.Word != Learned || !r.Factors[drag].Told {
		t.Fatalf("%s %s", r.Word, r.Why)
	}
	if f := r.Factors[drag]; math.Abs(f.After-1.2) > 2.5*f.AfterSD {
		t.Errorf("drag %.3f ± %.3f, flown with 1.2", f.After, f.AfterSD)
	}
	if f := r.Factors[drag]; f.AfterSD > 0.6*f.BeforeSD {
		t.Errorf("six glides leave the drag at ± %.3f of ± %.3f", f.AfterSD, f.BeforeSD)
	}
}
