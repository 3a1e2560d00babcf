package app

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"fledge/internal/build"
	"fledge/internal/diag"
	"fledge/internal/report"
	"fledge/internal/store"
	"fledge/internal/unit"
)

// Answers are what is said about a new aeroplane.
type Answers = build.Answers

// Question is one thing that `fledge new` asks.
type Question struct {
	Flag, Ask, Example string
	Dim                unit.Dim // None: a word or a count
	Words              []string // allowed, if only these are
	Count              bool
	put                func(*build.Answers, unit.Quantity, string, int)
}

// Questions lists them in the order they are asked.
func Questions() []Question {
	q := func(flag, ask, example string, dim unit.Dim, put func(*build.Answers, unit.Quantity)) Question {
		return Question{Flag: flag, Ask: ask, Example: example, Dim: dim, put: func(a *build.Answers, v unit.Quantity, _ string, _ int) { put(a, v) }}
	}
	w := func(flag, ask, example string, words []string, put func(*build.Answers, string)) Question {
		return Question{Flag: flag, Ask: ask, Example: example, Words: words, put: func(a *build.Answers, _ unit.Quantity, s string, _ int) { put(a, s) }}
	}
	return []Question{
		w("name", "What is it called", "Plover", nil, func(a *build.Answers, s string) { a.Name = s }),
		w("layout", "Which layout", "conventional", build.Layouts(), func(a *build.Answers, s string) { a.Layout = s }),
		q("span", "Wing span", "1050 mm", unit.Length, func(a *build.Answers, v unit.Quantity) { a.Span = v }),
		q("mass", "Mass ready to fly", "980 g", unit.Mass, func(a *build.Answers, v unit.Quantity) { a.Mass = v }),
		{Flag: "cells", Ask: "Cells in series", Example: "3", Count: true, put: func(a *build.Answers, _ unit.Quantity, _ string, n int) { a.Cells = n }},
		q("capacity", "Battery capacity", "1800 mAh", unit.Charge, func(a *build.Answers, v unit.Quantity) { a.Capacity = v }),
		q("battery-mass", "Battery mass", "170 g", unit.Mass, func(a *build.Answers, v unit.Quantity) { a.BatteryMass = v }),
		q("kv", "Motor constant", "1300 rpm/V", unit.MotorConstant, func(a *build.Answers, v unit.Quantity) { a.KV = v }),
		q("motor-mass", "Motor mass", "80 g", unit.Mass, func(a *build.Answers, v unit.Quantity) { a.MotorMass = v }),
		q("diameter", "Propeller diameter", "8 in", unit.Length, func(a *build.Answers, v unit.Quantity) { a.Diameter = v }),
		q("pitch", "Propeller pitch", "6 in", unit.Length, func(a *build.Answers, v unit.Quantity) { a.Pitch = v }),
		w("place", "Propeller in front or behind", "tractor", []string{"tractor", "pusher"}, func(a *build.Answers, s string) { a.Place = s }),
		w("launch", "Launched by", "bungee", []string{"bungee", "hand"}, func(a *build.Answers, s string) { a.Launch = s }),
	}
}

// Put reads an answer into a; an empty text leaves it open.
func (q *Question) Put(a *build.Answers, text string) *BadInput {
	text = strings.TrimSpace(text)
	if text == "" {
		return nil
	}
	switch {
	case q.Dim != unit.None:
		v, err := unit.Parse(text, q.Dim)
		if err != nil {
			hint := "as in " + q.Example
			say := err.Error()
			var e *unit.Error
			if errors.As(err, &e) {
				say = e.Message
				if e.Hint != "" {
					hint = e.Hint
				}
			}
			return Bad("bad-answer", hint, fmt.Sprintf("--%s %s: %s", q.Flag, diag.Quote(text), say))
		}
		q.put(a, v, "", 0)
	case q.Count:
		n, err := strconv.Atoi(text)
		if err != nil {
			return Bad("bad-answer", "as in "+q.Example, fmt.Sprintf("--%s %s is not a whole number", q.Flag, diag.Quote(text)))
		}
		if n == 0 {
			return Bad("bad-answer", "leave it out if you do not know", fmt.Sprintf("--%s 0 is out of range", q.Flag))
		}
		q.put(a, unit.Quantity{}, "", n)
	case q.Words != nil && !slices.Contains(q.Words, strings.ToLower(text)):
		return Bad("bad-answer", diag.DidYouMean(text, q.Words, "one of: "+strings.Join(q.Words, ", ")), fmt.Sprintf("--%s %s is not known", q.Flag, diag.Quote(text)))
	case q.Words != nil:
		q.put(a, unit.Quantity{}, strings.ToLower(text), 0)
	default:
		q.put(a, unit.Quantity{}, text, 0)
	}
	return nil
}

// NewJSON is the body of `new`.
type NewJSON struct {
	Schema int    `json:"schema"`
	File   string `json:"file"`
	Bytes  int    `json:"bytes"`
	Text   string `json:"text"`
}

// New writes a starting file. An empty name takes that of the aeroplane; "-"
// writes nothing and prints the file. It never writes over a file.
func New(a build.Answers, file string) (*Answer, error) {
	text, ds := build.Starter(a)
	if ds.HasErrors() {
		return nil, &BadInput{List: ds}
	}
	if file == "-" {
		return &Answer{Plain: string(text), Body: NewJSON{report.Schema, "", len(text), string(text)}}, nil
	}
	if file == "" {
		file = fileName(a.Name)
	}
	return &Answer{
		Plain: fmt.Sprintf("Wrote %s: what you said, and the rest assumed and marked so.\nNext: weigh and measure what is marked, then run  fledge check %s\n", file, file),
		Body:  NewJSON{report.Schema, file, len(text), string(text)},
		Files: []File{{Name: file, Text: text}},
	}, nil
}

// fileName makes a file name of an aeroplane's.
func fileName(name string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(strings.TrimSpace(name)) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	if s := strings.Trim(b.String(), "-"); s != "" {
		return s + ".yaml"
	}
	return "aeroplane.yaml"
}

// Write puts the files of an answer on the disk.
func (a *Answer) Write() error {
	if a.Folder != "" {
		if err := os.MkdirAll(a.Folder, 0o755); err != nil {
			return Bad("cannot-write", "name a folder that can be made", fmt.Sprintf("the folder %s cannot be made", diag.Quote(a.Folder)))
		}
	}
	for _, f := range a.Files {
		var err error
		if f.Over {
			err = store.Replace(f.Name, f.Text)
		} else {
			err = store.Create(f.Name, f.Text)
		}
		switch {
		case errors.Is(err, store.ErrExists):
			return &BadInput{List: diag.List{{Severity: diag.Error, Code: "exists", Span: diag.Span{File: f.Name}, Message: "there is a file of that name already", Hint: "choose another name; fledge writes over no build"}}}
		case err != nil:
			return &BadInput{List: diag.List{{Severity: diag.Error, Code: "cannot-write", Message: err.Error()}}}
		}
	}
	return nil
}

// Schema is the JSON Schema of the build file.
func Schema() *Answer {
	s := build.Schema()
	return &Answer{Plain: string(s), Body: s}
}
