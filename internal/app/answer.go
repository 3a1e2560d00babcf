package app

import (
	"bytes"
	"encoding/json"
	"fmt"

	"fledge/internal/chart"
	"fledge/internal/diag"
	"fledge/internal/report"
	"fledge/internal/verdict"
)

// Answer is what a verb says: a page, the same as JSON, and what there is to
// see. The command prints it, the workshop serves it.
type Answer struct {
	Doc     *report.Doc
	Plain   string         // instead of Doc, for what is no page (the schema)
	Body    any            // what --json prints
	Chart   *chart.Chart   // what --plot draws; nil when there is nothing to see
	More    []*chart.Chart // drawn below Chart, in the same file
	Besides []*chart.Chart // drawn by the workshop, not by --plot
	Drawn   any            // numbers behind what the workshop draws itself
	Folder  string         // made, if need be, before the files are written
	Files   []File         // what the person asked to be written
	Notes   string         // warnings, with their excerpts
	Held    bool           // HOLD or NO-GO
}

// File is one file to write.
type File struct {
	Name string
	Text []byte
	Over bool // may replace one of that name
}

// Text is the page for a terminal.
func (a *Answer) Text() string {
	if a.Doc == nil {
		return a.Plain
	}
	return a.Doc.Text()
}

// JSON is the body, indented.
func (a *Answer) JSON() ([]byte, error) {
	if raw, ok := a.Body.([]byte); ok {
		return raw, nil
	}
	out, err := json.MarshalIndent(a.Body, "", "  ")
	return append(out, '\n'), err
}

// SVG is the chart, or several one below the other.
func (a *Answer) SVG() []byte {
	const w, h = 720, 420
	one := a.Chart.SVG(w, h)
	if len(a.More) == 0 {
		return one
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d">`, w, h*(1+len(a.More)), w, h*(1+len(a.More)))
	for i, c := range append([]*chart.Chart{a.Chart}, a.More...) {
		fmt.Fprintf(&b, "\n<g transform=\"translate(0 %d)\">", h*i)
		b.Write(c.SVG(w, h))
		b.WriteString("</g>")
	}
	b.WriteString("\n</svg>\n")
	return b.Bytes()
}

// Bad makes a BadInput of one diagnostic that points nowhere.
func Bad(code, hint, message string) *BadInput {
	return &BadInput{List: diag.List{{Severity: diag.Error, Code: code, Message: message, Hint: hint}}}
}

// BadJSON is the body of a bad input.
type BadJSON struct {
	Schema      int         `json:"schema"`
	Diagnostics []diag.JSON `json:"diagnostics"`
}

// JSON is the body of a bad input, indented.
func (b *BadInput) JSON() []byte {
	out, err := json.MarshalIndent(BadJSON{report.Schema, b.List.JSON()}, "", "  ")
	if err != nil {
		panic(err) // strings and numbers only
	}
	return append(out, '\n')
}

// checked is the answer of a check.
func checked(c *report.Checked, o *Opened) *Answer {
	return &Answer{Doc: report.Check(*c), Body: report.CheckBody(*c), Notes: o.RenderNotes(), Held: c.Verdict.Word != verdict.Go}
}
