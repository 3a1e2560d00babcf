package report

import (
	"fmt"

	"fledge/internal/assess"
)

// PrintItem is one thing that can be printed of a build, or why it cannot.
type PrintItem struct {
	What  string   `json:"what"` // "gauge", "throws", "balance", "rod", "bay", "hook", "horn"
	Name  string   `json:"name"` // of the control or part
	Say   string   `json:"say"`  // size, angle, load
	Made  bool     `json:"made"`
	Why   string   `json:"why"` // not made: why
	Files []string `json:"files"`
	Notes []string `json:"notes"`
}

// Printed is what the print page shows.
type Printed struct {
	Subject
	Items  []PrintItem
	Folder string
	Paper  string
}

// PrintJSON is the body of `print`.
type PrintJSON struct {
	Head
	Folder   string      `json:"folder"`
	Paper    string      `json:"paper"`
	Items    []PrintItem `json:"items"`
	Cautions []string    `json:"cautions"`
}

// PrintCautions are those of printed parts and templates.
func PrintCautions() []string { return careful("proof", "propeller", "dust") }

// Print is the page of what was printed.
func Print(p Printed) (page *Doc) {
	defer func() { page.told(p.Units, assess.Slowest{}) }()
	ac := p.Results.Aircraft
	d := &Doc{Title: ac.Name + ": to print"}
	made := 0
	t := &Table{Head: []string{"what", "of", "", "file"}, Wrap: 2, Least: 20}
	var not, notes []string
	for i := range p.Items {
		k := &p.Items[i]
		if !k.Made {
			not = append(not, upper(k.What)+" of "+k.Name+": "+lower(sentence(k.Why)))
			continue
		}
		made++
		for j, f := range k.Files {
			row := []string{"", "", "", f}
			if j == 0 {
				row = []string{k.What, k.Name, k.Say, f}
			}
			t.Rows = append(t.Rows, row)
		}
		for _, n := range k.Notes {
			notes = append(notes, upper(k.What)+" of "+k.Name+": "+n)
		}
	}
	d.Lead = append(d.Lead, fmt.Sprintf("%d of %d things made, in true size on %s, in %s.", made, len(p.Items), p.Paper, p.Folder))
	d.Lead = append(d.Lead, "Print at 100 %, not fitted to the page, and measure the bar on each page first. Plastic parts are in millimetres.")
	d.Lead = append(d.Lead, p.conditions())
	if len(t.Rows) > 0 {
		d.Sections = append(d.Sections, Section{Title: "Made", Blocks: []Block{{Table: t}}})
	}
	if len(notes) > 0 {
		d.Sections = append(d.Sections, Section{Title: "Mind", Blocks: []Block{{List: notes}}})
	}
	if len(not) > 0 {
		d.Sections = append(d.Sections, Section{Title: "Not made", Blocks: []Block{{List: not}}})
	}
	d.Sections = append(d.Sections, cautionSection(PrintCautions()))
	return d
}

// PrintBody is its JSON.
func PrintBody(p Printed) PrintJSON {
	for i := range p.Items {
		p.Items[i].Files, p.Items[i].Notes = strs(p.Items[i].Files), strs(p.Items[i].Notes)
	}
	return PrintJSON{Head: p.head(), Folder: p.Folder, Paper: p.Paper, Items: p.Items, Cautions: PrintCautions()}
}
