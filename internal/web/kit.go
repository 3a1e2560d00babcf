package web

import (
	"net/http"
	"slices"
	"sort"

	"fledge/internal/app"
	"fledge/internal/build"
	"fledge/internal/report"
	"fledge/internal/unit"
)

// KitSteps is the guided weighing and measuring of a kit, in the order it is
// done: one tool after the other.
type KitSteps struct {
	Schema int      `json:"schema"`
	Steps  []KitAsk `json:"steps"`
}

// KitAsk is one thing to weigh, measure or read off.
type KitAsk struct {
	Key     string   `json:"key"`
	Tool    string   `json:"tool"` // with which in hand
	Ask     string   `json:"ask"`
	How     string   `json:"how"`
	Example string   `json:"example"`
	Word    string   `json:"taken_as"` // provenance when the answer says none
	Dim     string   `json:"dim,omitempty"`
	Words   []string `json:"words,omitempty"`
	Count   bool     `json:"count,omitempty"`
	Core    bool     `json:"core"` // one of the dozen that a useful answer needs
}

func (s *Server) kit(w http.ResponseWriter, r *http.Request) error {
	layout := r.URL.Query().Get("layout")
	if layout != "" && !slices.Contains(build.Layouts(), layout) {
		return refuse(http.StatusBadRequest, "bad-request", "", "no layout is called %q", layout)
	}
	out := KitSteps{Schema: report.Schema, Steps: []KitAsk{}}
	for _, k := range build.KitSteps() {
		if layout != "" && len(k.Only) > 0 && !slices.Contains(k.Only, layout) {
			continue
		}
		v := KitAsk{Key: k.Key, Tool: k.Stage, Ask: k.Ask, How: k.How, Example: k.Example, Word: k.Word, Words: k.Words, Count: k.Count, Core: k.Core}
		if k.Dim != unit.None {
			v.Dim = k.Dim.String()
		}
		out.Steps = append(out.Steps, v)
	}
	return s.reply(w, http.StatusOK, out)
}

// KitRequest answers steps of the kit; look only says what would be open.
type KitRequest struct {
	Answers map[string]string `json:"answers"`
	File    string            `json:"file,omitempty"`
	Look    bool              `json:"look,omitempty"`
}

// KitMade is a build made of a kit's answers.
type KitMade struct {
	Schema int               `json:"schema"`
	File   string            `json:"file"`    // "" when only looked at
	Given  int               `json:"answers"` // how many were given
	Open   []app.KitStepJSON `json:"open"`
	Notes  []string          `json:"notes"`
}

func (s *Server) newKit(w http.ResponseWriter, r *http.Request) error {
	var q KitRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	if q.File != "" {
		if ref := plainName(q.File); ref != nil {
			return ref
		}
	}
	ask := app.KitRequest{File: q.File}
	if q.Look {
		ask.File = "-"
	}
	for key, answer := range q.Answers {
		if answer != "" {
			ask.Sets = append(ask.Sets, key+"="+answer)
		}
	}
	sort.Strings(ask.Sets)
	a, err := app.Kit(ask)
	if err != nil {
		return err
	}
	body := a.Body.(app.KitJSON)
	out := KitMade{report.Schema, "", body.Given, body.Open, body.Notes}
	if q.Look {
		return s.reply(w, http.StatusOK, out)
	}
	if err := s.put(body.File, []byte(body.Text)); err != nil {
		return err
	}
	out.File = body.File
	return s.reply(w, http.StatusCreated, out)
}

// kitSheet is the sheet to fill in with a pen or an editor.
func (s *Server) kitSheet(w http.ResponseWriter, r *http.Request) error {
	a, err := app.Kit(app.KitRequest{Sheet: true, Layout: r.URL.Query().Get("layout")})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Disposition", `attachment; filename="kit-sheet.yaml"`)
	_, _ = w.Write([]byte(a.Plain))
	return nil
}

// KitSheetRequest names a filled sheet that was dropped.
type KitSheetRequest struct {
	Upload string `json:"upload"`
}

// KitAnswers is what stands in it.
type KitAnswers struct {
	Schema  int               `json:"schema"`
	Answers map[string]string `json:"answers"`
}

func (s *Server) kitAnswers(w http.ResponseWriter, r *http.Request) error {
	var q KitSheetRequest
	if err := read(w, r, &q); err != nil {
		return err
	}
	f, err := s.uploads.find(q.Upload)
	if err != nil {
		return err
	}
	answers, err := app.KitAnswers(f.path)
	if err != nil {
		return err
	}
	return s.reply(w, http.StatusOK, KitAnswers{report.Schema, answers})
}
