package app

import (
	"fmt"
	"strings"

	"fledge/internal/build"
	"fledge/internal/diag"
	"fledge/internal/report"
	"fledge/internal/store"
)

// KitStep and KitDeviation are one step of the intake and one deviation from
// the manual.
type (
	KitStep      = build.KitStep
	KitDeviation = build.KitDeviation
)

// KitRequest is the guided intake of a kit: answers from a file, from flags,
// and from whoever sits at the terminal.
type KitRequest struct {
	File    string   // build file to write; "" takes the aeroplane's name, "-" prints it
	Answers string   // answers file; "" for none
	Sets    []string // key=value
	Sheet   bool     // print the sheet to fill in
	Layout  string   // of the sheet
	// Ask puts one step to a person and returns the answer, "" to leave it
	// open; more is false when nobody answers any more. Nil: nobody is there.
	Ask func(step build.KitStep, at, of int) (answer string, more bool)
	// Deviate asks for one deviation from the manual; ok is false when there
	// is none more.
	Deviate func(n int) (build.KitDeviation, bool)
	Say     func(text string) // what to tell the person meanwhile
}

// KitJSON is the body of `new --kit`.
type KitJSON struct {
	Schema int           `json:"schema"`
	File   string        `json:"file"`
	Bytes  int           `json:"bytes"`
	Text   string        `json:"text"`
	Given  int           `json:"answers"`
	Open   []KitStepJSON `json:"open"`
	Notes  []string      `json:"notes"`
}

// KitStepJSON is one step that is open.
type KitStepJSON struct {
	Key  string `json:"key"`
	Tool string `json:"tool"`
	Ask  string `json:"ask"`
	How  string `json:"how"`
	Word string `json:"taken_as"`
	Core bool   `json:"core"`
}

// KitAnswers reads the answers of a filled sheet.
func KitAnswers(name string) (map[string]string, error) {
	k, err := loadKit(name)
	if err != nil {
		return nil, err
	}
	return k.Answers, nil
}

func loadKit(name string) (build.Kit, error) {
	k, text, l := store.LoadKit(name)
	if l.HasErrors() {
		return k, &BadInput{List: l, Text: func(file string) []byte {
			if file == name {
				return text
			}
			return nil
		}}
	}
	return k, nil
}

// Kit makes a build file by weighing and measuring a kit.
func Kit(q KitRequest) (*Answer, error) {
	if q.Sheet {
		if q.Layout != "" {
			known := false
			for _, l := range build.Layouts() {
				known = known || l == q.Layout
			}
			if !known {
				return nil, Bad("bad-answer", diag.DidYouMean(q.Layout, build.Layouts(), "one of: "+strings.Join(build.Layouts(), ", ")), fmt.Sprintf("--layout %s is not known", diag.Quote(q.Layout)))
			}
		}
		text := build.KitSheet(q.Layout)
		if q.File != "" && q.File != "-" {
			return &Answer{Plain: fmt.Sprintf("Wrote %s: fill it in, then run  fledge new --kit --answers %s\n", q.File, q.File), Body: KitJSON{Schema: report.Schema, File: q.File, Bytes: len(text), Text: string(text), Open: []KitStepJSON{}, Notes: []string{}},
				Files: []File{{Name: q.File, Text: text}}}, nil
		}
		return &Answer{Plain: string(text), Body: KitJSON{Schema: report.Schema, Bytes: len(text), Text: string(text), Open: []KitStepJSON{}, Notes: []string{}}}, nil
	}
	k := build.Kit{Answers: map[string]string{}}
	if q.Answers != "" {
		read, err := loadKit(q.Answers)
		if err != nil {
			return nil, err
		}
		k = read
	}
	steps := build.KitSteps()
	find := func(key string) *build.KitStep {
		for i := range steps {
			if steps[i].Key == key {
				return &steps[i]
			}
		}
		return nil
	}
	var l diag.List
	for _, set := range q.Sets {
		key, value, ok := strings.Cut(set, "=")
		key, value = strings.TrimSpace(key), strings.TrimSpace(value)
		s := find(key)
		switch {
		case !ok || value == "":
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "bad-answer", Message: fmt.Sprintf("--set %s gives no answer", diag.Quote(set)), Hint: `as in --set "mass.wing=258 g"`})
		case s == nil:
			var keys []string
			for i := range steps {
				keys = append(keys, steps[i].Key)
			}
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "unknown-key", Message: "the intake has no " + diag.Quote(key), Hint: diag.DidYouMean(key, keys, "fledge new --kit --sheet lists all")})
		default:
			if _, d := s.Read(value); d != nil {
				l.Add(*d)
				continue
			}
			k.Answers[key] = value
		}
	}
	if l.HasErrors() {
		return nil, &BadInput{List: l}
	}
	if q.Ask != nil {
		converse(q, steps, &k)
	} else if len(k.Answers) == 0 {
		return nil, Bad("missing", "fledge new --kit --sheet prints the sheet to fill in; then --answers FILE, or --set key=value", "fledge new --kit needs answers when nobody is there to ask")
	}
	text, open, l := build.KitFile(k)
	if l.HasErrors() {
		return nil, &BadInput{List: l}
	}
	body := KitJSON{Schema: report.Schema, Bytes: len(text), Text: string(text), Given: len(k.Answers), Open: []KitStepJSON{}, Notes: []string{}}
	for _, s := range open {
		body.Open = append(body.Open, KitStepJSON{s.Key, s.Stage, s.Ask, s.How, s.Word, s.Core})
	}
	notes := ""
	for _, d := range l {
		body.Notes = append(body.Notes, d.Message)
	}
	if len(l) > 0 {
		notes = l.Render(func(string) []byte { return nil })
	}
	if q.File == "-" {
		return &Answer{Plain: string(text), Body: body, Notes: notes}, nil
	}
	file := q.File
	if file == "" {
		file = fileName(k.Answers["name"])
	}
	body.File = file
	return &Answer{Plain: fmt.Sprintf("Wrote %s with your %d answers.\n%s\nNext: fledge check %s\n", file, len(k.Answers), still(open), file), Body: body, Notes: notes, Files: []File{{Name: file, Text: text}}}, nil
}

// still says what of the dozen is open.
func still(open []build.KitStep) string {
	var core []string
	for _, s := range open {
		if s.Core {
			core = append(core, s.Key)
		}
	}
	switch {
	case len(open) == 0:
		return "Nothing is open."
	case len(core) == 0:
		return fmt.Sprintf("The dozen are in, %d more would narrow the doubt.", len(open))
	}
	return fmt.Sprintf("Of the dozen %d are open, first %s.", len(core), core[0])
}

// converse asks what is open, in order, again when an answer cannot be read.
func converse(q KitRequest, steps []build.KitStep, k *build.Kit) {
	stage := ""
	for i, s := range steps {
		if k.Answers[s.Key] != "" || !s.ForLayout(strings.ToLower(k.Answers["layout"])) {
			continue
		}
		if s.Stage != stage {
			stage = s.Stage
			q.Say("\n" + stage + "\n" + strings.Repeat("-", len(stage)) + "\n")
		}
		for {
			answer, more := q.Ask(s, i+1, len(steps))
			if !more {
				return
			}
			if answer = strings.TrimSpace(answer); answer == "" {
				break
			}
			if _, d := s.Read(answer); d != nil {
				q.Say(diag.List{*d}.Render(func(string) []byte { return nil }))
				continue
			}
			k.Answers[s.Key] = answer
			break
		}
	}
	for q.Deviate != nil {
		d, ok := q.Deviate(len(k.Deviations) + 1)
		if !ok {
			return
		}
		k.Deviations = append(k.Deviations, d)
	}
}
