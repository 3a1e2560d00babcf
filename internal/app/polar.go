package app

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"fledge/internal/build"
	"fledge/internal/diag"
	"fledge/internal/prop"
	"fledge/internal/report"
	"fledge/internal/section"
	"fledge/internal/store"
	"fledge/internal/unit"
)

// PolarRequest asks for polars of one section.
type PolarRequest struct {
	Section    string // designation or coordinate file
	Re         string // list or range
	Alpha      string // from:to:step, degrees
	Turbulence string // per cent
	Flap       string // degrees, trailing edge down positive; empty: none
	Hinge      string // of the flap, per cent of the chord
	Trip       string // per cent of the chord: both sides, or upper,lower; empty: free
	Units      unit.System
	Progress   func(stage string, done, total int)
}

// mostAngles is how many angles one sweep has at most.
const mostAngles = 400

// Polar computes the polars of a section.
func Polar(ctx context.Context, q PolarRequest) (*Answer, error) {
	var list diag.List
	re, ds := prop.Range("--re", q.Re)
	list = append(list, ds...)
	alpha, ds := prop.Range("--alpha", q.Alpha)
	list = append(list, ds...)
	tu, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(q.Turbulence), "%")), 64)
	if err != nil || !(tu > 0 && tu <= 10) {
		list.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: fmt.Sprintf("--turbulence %q is not a share of the stream's speed in per cent", q.Turbulence), Hint: "0.1 is a calm tunnel or calm air, 1 a gusty day near the ground; above 0 up to 10"})
	}
	for _, r := range re {
		if !(r >= 1e4 && r <= 2e7) {
			list.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: fmt.Sprintf("--re %g is outside what the method covers", r), Hint: "from 10000 to 20000000; a 15 cm chord at 20 m/s is 200000"})
			break
		}
	}
	for _, a := range alpha {
		if math.Abs(a) > 30 {
			list.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: fmt.Sprintf("--alpha %g is beyond 30 degrees, where no section is solved", a), Hint: "degrees, as in -4:12:1"})
			break
		}
	}
	if len(alpha) > mostAngles || len(re) > 20 {
		list.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: "too many points", Hint: fmt.Sprintf("at most %d angles and 20 Reynolds numbers", mostAngles)})
	}
	flap, hinge, ds := flapOf(q.Flap, q.Hinge)
	list = append(list, ds...)
	trips, ds := tripsOf(q.Trip)
	list = append(list, ds...)
	shape, notes, bad := sectionOf(q.Section)
	if bad != nil {
		list = append(list, bad.List...)
	}
	if list.HasErrors() {
		out := &BadInput{List: list}
		if bad != nil {
			out.Text = bad.Text
		}
		return nil, out
	}
	if flap != 0 {
		shape = shape.WithFlap(hinge, flap)
	}
	p := report.Polars{Shape: shape, Turbulence: tu / 100, Notes: notes}
	angles := make([]float64, len(alpha))
	for i, a := range alpha {
		angles[i] = a * math.Pi / 180
	}
	for i, r := range re {
		if q.Progress != nil {
			q.Progress("polars", i, len(re))
		}
		one, err := section.SolveContext(ctx, shape, section.Condition{Re: r, Turbulence: tu / 100, TripUpper: trips[0], TripLower: trips[1]}, angles)
		if err != nil {
			return nil, err
		}
		p.Polars = append(p.Polars, one)
	}
	return &Answer{Doc: report.Polar(p), Body: report.PolarBody(p), Chart: report.PolarChart(p)}, nil
}

// flapOf reads a flap's angle and the place of its hinge.
func flapOf(angle, place string) (rad, chords float64, list diag.List) {
	if strings.TrimSpace(angle) == "" {
		return 0, 0, nil
	}
	a, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(angle), "deg")), 64)
	if err != nil || !(math.Abs(a) <= 60) {
		list.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: fmt.Sprintf("--flap %q is not an angle within 60 degrees either way", angle), Hint: "degrees, trailing edge down positive, as in --flap 10 --hinge 75"})
	}
	h, ok := percent(place, "75")
	if !ok || !(h >= 5 && h <= 98) {
		list.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: fmt.Sprintf("--hinge %q is not a place on the chord", place), Hint: "per cent of the chord from the nose, 5 to 98: 75 is a flap of a quarter of the chord"})
	}
	return a * math.Pi / 180, h / 100, list
}

// tripsOf reads where the layer is made turbulent: one place for both sides,
// or one each.
func tripsOf(text string) (at [2]float64, list diag.List) {
	if strings.TrimSpace(text) == "" {
		return at, nil
	}
	parts := strings.Split(text, ",")
	for i := range at {
		v, ok := percent(parts[min(i, len(parts)-1)], "")
		if !ok || !(v > 0 && v <= 100) || len(parts) > 2 {
			list.Add(diag.Diagnostic{Severity: diag.Error, Code: "range", Message: fmt.Sprintf("--trip %q is not a place on the chord, or two", text), Hint: "per cent of the chord, above 0 to 100 (free): 5 stands for insects or a rough cover, 30,100 for a seam on the upper side"})
			return at, list
		}
		at[i] = v / 100
	}
	return at, nil
}

func percent(text, otherwise string) (float64, bool) {
	if text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%")); text == "" {
		text = otherwise
	}
	v, err := strconv.ParseFloat(text, 64)
	return v, err == nil && !math.IsNaN(v)
}

// sectionOf reads a coordinate file, if there is one of that name or the name
// looks like one, else a designation.
func sectionOf(name string) (*section.Shape, []string, *BadInput) {
	if info, err := os.Stat(name); err == nil && !info.IsDir() || build.IsFile(name) {
		text, ds := store.ReadFile(name, store.MaxAttachment, "a coordinate file")
		if ds.HasErrors() {
			return nil, nil, &BadInput{List: ds}
		}
		base := strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
		sh, notes, err := section.FromCoordinates(base, text)
		if err != nil {
			d := diag.Diagnostic{Severity: diag.Error, Code: "section", Span: diag.Span{File: name}, Message: strings.TrimPrefix(err.Error(), "section: "), Hint: "two columns x y, from the trailing edge over the top to the nose and back below"}
			var at *section.CoordError
			if errors.As(err, &at) {
				d.Span.Line, d.Message = at.Line, at.Msg
				if at.Hint != "" {
					d.Hint = at.Hint
				}
			}
			return nil, nil, &BadInput{List: diag.List{d}, Text: func(f string) []byte {
				if f == name {
					return text
				}
				return nil
			}}
		}
		return sh, notes, nil
	}
	sh, err := section.Parse(name)
	if err != nil {
		say, hint := err.Error(), `a designation as "NACA 2409", or a file of coordinates`
		var at *section.ParseError
		if errors.As(err, &at) {
			say, hint = fmt.Sprintf("section %s: %s", diag.Quote(name), at.Msg), at.Hint
		}
		return nil, nil, Bad("section", hint, say)
	}
	return sh, nil, nil
}
