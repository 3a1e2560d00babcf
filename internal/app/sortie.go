package app

import (
	"context"

	"fledge/internal/assess"
	"fledge/internal/report"
)

// Sortie answers whether she comes home whole.
func Sortie(ctx context.Context, q Request) (*Answer, error) {
	s, o, _, err := subject(ctx, q, assess.Options{Sortie: true})
	if err != nil {
		return nil, err
	}
	p := report.Whole{Subject: s}
	return &Answer{Doc: report.Sortie(p), Body: report.SortieBody(p), Notes: o.RenderNotes()}, nil
}
