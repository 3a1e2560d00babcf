package power

import (
	"math"
	"slices"
	"testing"

	"fledge/internal/craft"
)

// made are full bench rows of known factors, each reading a little off.
func made(m *Model, k *Factors, volts ...float64) (rows []craft.BenchRow) {
	off := []float64{1.004, 0.98, 1.02, 0.993, 1.015, 0.97, 1.006, 1.01, 0.985}
	for i, v := range volts {
		r := m.OnBench(craft.BenchRow{Volts: v}, k)
		r.Omega *= off[(3*i)%len(off)]
		r.Amps *= off[(3*i+1)%len(off)]
		r.Pull *= off[(3*i+2)%len(off)]
		rows = append(rows, r)
	}
	return rows
}

// One wrong row, whichever reading is wrong and wherever it stands, is set
// aside and the factors come out as without it; rows that agree all stay.
func TestWrongRow(t *testing.T) {
	m := mustModel(t, sample())
	k := Neutral()
	k.Thrust, k.Torque, k.KV, k.Resistance = 1.08, 0.93, 0.97, 1.2
	volts := []float64{10, 12, 13.5, 15}
	near := func(name string, a, b Factors, tol float64) {
		t.Helper()
		for _, x := range [][2]float64{{a.Thrust, b.Thrust}, {a.Torque, b.Torque}, {a.KV, b.KV}} {
			if math.Abs(x[0]/x[1]-1) > tol {
				t.Errorf("%s: factors %+v, want %+v", name, a, b)
				return
			}
		}
	}
	m.rows = made(m, &k, volts...)
	b := m.FitBench(nil)
	if b.Aside != nil || b.Doubted || b.Far != "" || len(b.Predicted) != 4 {
		t.Fatalf("rows that agree: %+v", b)
	}
	near("all", b.Factors, k, 0.03) // readings are off by up to 3 %
	for at := range volts {
		for name, spoil := range map[string]func(*craft.BenchRow){
			"rpm halved":      func(r *craft.BenchRow) { r.Omega /= 2 },
			"pull in kgf":     func(r *craft.BenchRow) { r.Pull /= 9.80665 },
			"amps tenfold":    func(r *craft.BenchRow) { r.Amps *= 10 },
			"volts of a cell": func(r *craft.BenchRow) { r.Volts /= 4 },
		} {
			rows := made(m, &k, volts...)
			m.rows = slices.Delete(slices.Clone(rows), at, at+1)
			want := m.FitBench(nil)
			spoil(&rows[at])
			m.rows = rows
			b := m.FitBench(nil)
			if !slices.Equal(b.Aside, []int{at}) || b.Doubted {
				t.Errorf("%s in row %d: set aside %v, doubted %t, misfit %.1f", name, at, b.Aside, b.Doubted, b.Chi)
				continue
			}
			near(name, b.Factors, want.Factors, 1e-6)
		}
	}
	// Of two rows the one goes that alone is against the parts; two that both
	// are near enough are both kept and doubted.
	m.rows = made(m, &k, 11, 14)
	m.rows[1].Pull /= 9.80665
	if b := m.FitBench(nil); !slices.Equal(b.Aside, []int{1}) || b.Doubted || math.Abs(b.Factors.Thrust/k.Thrust-1) > 0.04 {
		t.Errorf("two rows that differ tenfold: %+v", b)
	}
	m.rows = made(m, &k, 11, 14)
	m.rows[0].Pull *= 1.15
	m.rows[1].Pull /= 1.15
	if b, wide := m.FitBench(nil), m.DefaultSpread().Thrust; b.Aside != nil || !(b.Spread.Thrust <= wide) {
		t.Errorf("two rows a third apart: %+v", b)
	}
	// The only row, absurd: the parts are believed.
	for _, r := range []craft.BenchRow{{Volts: 15, Amps: 4100, Omega: 2300, Pull: 12}, {Volts: 15, Amps: 40, Omega: 23000}} {
		m.rows = []craft.BenchRow{r}
		if b := m.FitBench(nil); !slices.Equal(b.Aside, []int{0}) || b.Readings != 0 || math.Abs(b.Factors.Torque-1) > 1e-9 || b.Spread.Torque < m.DefaultSpread().Torque {
			t.Errorf("an absurd row: %+v", b)
		}
	}
	// Half of the rows of another propeller: none is set aside, all doubted.
	other := k
	other.Torque, other.Thrust = 1.9, 1.6
	m.rows = append(made(m, &k, 10, 13), made(m, &other, 11, 14)...)
	if b := m.FitBench(nil); b.Aside != nil || !b.Doubted {
		t.Errorf("two propellers: %+v", b)
	}
	// All rows of another propeller: they agree, and the part is far off.
	m.rows = made(m, &other, 10, 12, 14)
	if b := m.FitBench(nil); b.Far == "" {
		t.Errorf("another propeller: moved by %v", b.pull)
	}
	// Rows without a reading to compare.
	m.rows = []craft.BenchRow{{Volts: 12}, {Throttle: 0.5}, {Amps: 20, Throttle: 0.5}, made(m, &k, 12)[0]}
	if b := m.FitBench(nil); !slices.Equal(b.Dumb, []int{0, 1, 2}) || b.Readings != 3 {
		t.Errorf("dumb %v of %d readings", b.Dumb, b.Readings)
	}
	// Nothing read: the expectation comes back.
	about := Neutral()
	about.KV = 0.96
	m.rows = m.rows[:2]
	if b := m.FitBench(&about); math.Abs(b.Factors.KV-0.96) > 1e-12 || b.Readings != 0 {
		t.Errorf("no reading: %+v", b)
	}
}
