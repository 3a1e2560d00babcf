package assess

import (
	"context"
	"fmt"
	"math"

	"fledge/internal/aero"
	"fledge/internal/craft"
	"fledge/internal/section"
)

// checkSpec is what a check solves each of its sections at: enough for the
// traits the aircraft model asks for, and no more.
func checkSpec(workers int) section.Spec {
	const degree = math.Pi / 180
	return section.Spec{
		Re:        []float64{6e4, 1.2e5, 2.5e5, 6e5},
		AlphaFrom: -10 * degree, AlphaTo: 15 * degree, AlphaStep: 1.25 * degree,
		Workers: workers,
	}
}

// solveSections solves every distinct section of the aircraft in free
// transition, in parallel, each table kept in memo under its content. It
// returns the tables by station for the aircraft model, with the number of
// distinct shapes. Sections of unknown shape stay with the handbook: a guess
// is not worth solving.
func solveSections(ctx context.Context, ac *craft.Aircraft, memo section.Memo, workers int) (*aero.Tables, int, error) {
	seen := map[string]*section.Table{}
	of := make([][]*section.Table, len(ac.Surfaces))
	for i := range ac.Surfaces {
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
			t, found := seen[sh.Hash()]
			if !found {
				if t, err = section.Build(ctx, sh, checkSpec(workers), memo); err != nil {
					return nil, 0, fmt.Errorf("section %s: %w", st.Section, err)
				}
				seen[sh.Hash()] = t
			}
			of[i][j] = t
		}
	}
	return &aero.Tables{Of: func(surface, station int) *section.Table { return of[surface][station] }}, len(seen), nil
}
