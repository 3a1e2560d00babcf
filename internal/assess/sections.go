package assess

import (
	"context"
	"fmt"
	"math"

	"fledge/internal/aero"
	"fledge/internal/craft"
	"fledge/internal/perform"
	"fledge/internal/section"
)

// checkSpec is what a check solves a section at that is flown up to a Reynolds
// number: enough for the traits the aircraft model asks for, and no more.
func checkSpec(reach float64, workers int) section.Spec {
	const degree = math.Pi / 180
	re := []float64{6e4, 1.2e5, 2.5e5, 6e5}
	for _, more := range []float64{1e6, 1.8e6, 3e6} {
		if reach <= 1.1*re[len(re)-1] {
			break
		}
		re = append(re, more)
	}
	return section.Spec{
		Re:        re,
		AlphaFrom: -10 * degree, AlphaTo: 15 * degree, AlphaStep: 1.25 * degree,
		Workers: workers,
	}
}

// reach is the Reynolds number per metre of chord at the fastest that the
// aircraft may fly level: 0.85 of its propeller's pitch times the turns of the
// unloaded motor on the full pack (the fast ones among the examples come to
// 0.75 to 0.78), or three times the stall at a lift coefficient of one.
func reach(ac *craft.Aircraft) float64 {
	st := airOf(ac)
	v := 0.0
	if ac.Ref.Area > 0 {
		v = 3 * math.Sqrt(2*ac.Mass.Total*perform.Gravity/(st.Rho*ac.Ref.Area))
	}
	if p := &ac.Power; p.Place != "" {
		turns := p.Motor.KV * float64(p.Battery.Cells) * p.Battery.RestVoltage(1) / (2 * math.Pi)
		v = math.Max(v, 0.85*turns*p.Propeller.Pitch)
	}
	return v * st.Rho / st.Mu
}

// sameReach tells whether the sections of two aircraft of the same shapes are
// solved at the same Reynolds numbers.
func sameReach(a, b *craft.Aircraft) bool {
	ra, rb := reach(a), reach(b)
	for i := range a.Surfaces {
		for j := range a.Surfaces[i].Stations {
			x, y := checkSpec(ra*a.Surfaces[i].Stations[j].Chord, 1), checkSpec(rb*b.Surfaces[i].Stations[j].Chord, 1)
			if len(x.Re) != len(y.Re) {
				return false
			}
		}
	}
	return true
}

// solveSections solves every distinct section of the aircraft in free
// transition, in parallel, up to the Reynolds number of its widest chord, each
// table kept in memo under its content. It returns the tables by station for the aircraft model, with the number of
// distinct shapes. Sections of unknown shape stay with the handbook: a guess
// is not worth solving.
func solveSections(ctx context.Context, ac *craft.Aircraft, memo section.Memo, workers int) (*aero.Tables, int, error) {
	shapes := map[string]*section.Shape{}
	chord := map[string]float64{} // its widest
	hashes := make([][]string, len(ac.Surfaces))
	of := make([][]*section.Table, len(ac.Surfaces))
	for i := range ac.Surfaces {
		hashes[i] = make([]string, len(ac.Surfaces[i].Stations))
		of[i] = make([]*section.Table, len(ac.Surfaces[i].Stations))
		for j, st := range ac.Surfaces[i].Stations {
			if st.Section == "" && st.Polar == nil {
				continue
			}
			sh, err := aero.ShapeOf(st)
			if err != nil {
				return nil, 0, err
			}
			if st.Polar != nil { // measured: preferred to anything computed
				t, err := section.FromMeasured(st.Section, st.Polar, sh, 0)
				if err != nil {
					return nil, 0, fmt.Errorf("measured polars of %s: %w", st.Section, err)
				}
				of[i][j] = t
				continue
			}
			h := sh.Hash()
			hashes[i][j], shapes[h], chord[h] = h, sh, math.Max(chord[h], st.Chord)
		}
	}
	perMetre := reach(ac)
	seen := map[string]*section.Table{}
	for i := range hashes {
		for j, h := range hashes[i] {
			if h == "" {
				continue
			}
			t, found := seen[h]
			if !found {
				var err error
				if t, err = section.Build(ctx, shapes[h], checkSpec(perMetre*chord[h], workers), memo); err != nil {
					return nil, 0, fmt.Errorf("section %s: %w", ac.Surfaces[i].Stations[j].Section, err)
				}
				seen[h] = t
			}
			of[i][j] = t
		}
	}
	return &aero.Tables{Of: func(surface, station int) *section.Table { return of[surface][station] }}, len(seen), nil
}
