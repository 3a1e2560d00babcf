package app

import (
	"context"
	"path/filepath"

	"fledge/internal/assess"
	"fledge/internal/learn"
	"fledge/internal/store"
)

// recordOf sets the launches on record, flown at the settings of the build,
// beside the odds that physics gives; nil when there are none. A logbook that
// cannot be read was warned of when the build was opened.
func recordOf(ctx context.Context, o *Opened, r *assess.Results) *learn.Record {
	if r == nil || !r.Launch.Asked || r.Launch.N == 0 {
		return nil
	}
	book, err := glance(ctx, filepath.Dir(o.Loaded.Path))
	if err != nil {
		return nil
	}
	defer book.Close()
	flights, err := store.List[store.Flight](ctx, book)
	if err != nil {
		return nil
	}
	n, k := 0, 0
	for _, f := range flights {
		if f.Aeroplane != o.Aircraft.Name || f.Launched == nil {
			continue
		}
		x := recorded(f, o.untaught, aircraftThen(ctx, book, f.Build))
		if x.Other != "" {
			continue
		}
		n++
		if x.Flew {
			k++
		}
	}
	if n == 0 {
		return nil
	}
	rec := learn.Odds(r.Launch.Odds.Value, r.Launch.Odds.Low, r.Launch.Odds.High, n, k)
	return &rec
}
