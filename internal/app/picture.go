package app

import (
	"path/filepath"

	"fledge/internal/paper"
)

// Picture is a page of a PDF as the workshop shows it.
type Picture struct {
	File string `json:"file"` // the PDF it is a page of
	Page int    `json:"page"` // from 1
	SVG  string `json:"svg"`  // in mm, black on white
}

func pictures(file string, s paper.Shown) []Picture {
	var out []Picture
	for i, p := range s.Pages {
		out = append(out, Picture{filepath.Base(file), i + 1, p})
	}
	return out
}
