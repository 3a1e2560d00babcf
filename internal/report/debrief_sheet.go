package report

import (
	"bytes"
	"fmt"
	"html/template"
	"strings"

	"fledge/internal/evidence"
)

// PackLog is one log of a review pack with what was made of it.
type PackLog struct {
	Debrief *evidence.Debrief
	Plots   []PackPlot
	Exports []string
}

// PackPlot is one drawing of a review pack.
type PackPlot struct {
	File, Title string
	SVG         []byte
}

type sheetData struct {
	Title      string
	Provenance evidence.Provenance
	Build      string
	Doc        *Doc
	Logs       []PackLog
	Sheets     []evidence.Sheet
	Method     []string
}

// EvidenceSheet is the review pack's page: one HTML file that any viewer
// shows, with its drawings inside, without scripts and without the network.
// Every text is escaped by html/template; the drawings are our own.
func EvidenceSheet(p Debriefed, logs []PackLog, pv evidence.Provenance) []byte {
	d := sheetData{Title: "Evidence sheet", Provenance: pv, Doc: DebriefPage(p), Logs: logs}
	if p.Build != "" {
		d.Title = p.Build + ": evidence sheet"
		d.Build = "build " + p.BuildHash
	}
	for i := range p.Logs {
		d.Sheets = append(d.Sheets, evidence.NewSheet(p.Logs[i].Name, &p.Logs[i], nil, pv))
	}
	d.Method = []string{
		"A speed is measured by its position and receiver velocities, smoothed over the whole record with the noise stated below; brackets and bands hold 90 in 100.",
		"Wind comes from ground velocities on several headings; an airspeed is the ground velocity less that wind.",
		"A level speed needs heights and a wind, and a stretch in which neither height nor speed pays for it. A two-way speed is the arithmetic mean of two level passes over one base in opposite directions.",
		"A claim is shown when it is met with 95 in 100 or more by what was measured. A speed claim is refuted only by a measurement that stays below it with 95 in 100, level and steady, at full throttle, with the claimed parts and a sound airframe. All else is not shown: neither true nor false.",
		"A peak, a reading without direction or wind, or one pass alone shows nothing.",
	}
	var b bytes.Buffer
	if err := sheetPage.Execute(&b, &d); err != nil {
		panic("report: evidence sheet: " + err.Error()) // our own template and types
	}
	return b.Bytes()
}

var sheetPage = template.Must(template.New("sheet").Funcs(template.FuncMap{
	"drawing": func(b []byte) template.HTML { return template.HTML(b) },
	"two":     func(v float64) string { return fmt.Sprintf("%.2f", v) },
	"or": func(s, other string) string {
		if strings.TrimSpace(s) == "" {
			return other
		}
		return s
	},
}).Parse(`<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>
body{max-width:46rem;margin:2rem auto;padding:0 1rem;font:1rem/1.5 Georgia,'DejaVu Serif',serif;color:#1d1a16;background:#fbf8f1}
h1{font-size:1.6rem;border-bottom:3px double #1d1a16}h2{font-size:1.15rem;margin-top:2rem;border-bottom:1px solid #b9b09e}
table{border-collapse:collapse;margin:.6rem 0;font-size:.92rem}th{text-align:left;border-bottom:1px solid #1d1a16}td,th{padding:.15rem .9rem .15rem 0;vertical-align:top}
svg{max-width:100%;height:auto}figure{margin:1.2rem 0}figcaption{font-style:italic}code{overflow-wrap:anywhere}
@media print{body{margin:0;background:none}figure,table{break-inside:avoid}}
</style></head><body>
<h1>{{.Title}}</h1>
<h2>What this is of</h2>
<table>
<tr><th scope="row">aeroplane</th><td>{{or .Provenance.Aeroplane "not stated"}} {{.Build}}</td></tr>
<tr><th scope="row">how it was come by</th><td>{{or .Provenance.Obtained "not stated"}}</td></tr>
<tr><th scope="row">its state, repairs</th><td>{{or .Provenance.State "not stated"}}</td></tr>
<tr><th scope="row">flown</th><td>{{or .Provenance.Flown "not stated"}}</td></tr>
<tr><th scope="row">the day</th><td>{{or .Provenance.Day "not stated"}}</td></tr>
{{range .Provenance.Logs}}<tr><th scope="row">log</th><td><code>{{.}}</code></td></tr>
{{end}}</table>
{{range .Doc.Lead}}<p>{{.}}</p>{{end}}
{{range .Doc.Sections}}{{if .Blocks}}<h2>{{.Title}}</h2>
{{range .Blocks}}{{if .Table}}<table>{{if .Table.Head}}<tr>{{range .Table.Head}}<th scope="col">{{.}}</th>{{end}}</tr>{{end}}
{{range .Table.Rows}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>
{{end}}</table>
{{else if .List}}<ul>{{range .List}}<li>{{.}}</li>{{end}}</ul>
{{else}}<p>{{.Para}}</p>
{{end}}{{end}}{{end}}{{end}}
{{range .Sheets}}{{if .Budgets}}<h2>{{.Title}}: what the doubt is made of</h2>
{{range .Budgets}}<table><tr><th scope="col">{{.What}}</th><th scope="col">one standard deviation, m/s</th></tr>
{{range .Terms}}<tr><td>{{.What}}</td><td>{{two .Sigma}}</td></tr>
{{end}}<tr><th scope="row">together (k = 1)</th><td>{{two .Total}}</td></tr><tr><th scope="row">expanded (k = 2)</th><td>{{two .K2}}</td></tr></table>
{{end}}{{end}}{{end}}
<h2>Drawings</h2>
{{range .Logs}}{{range .Plots}}<figure>{{drawing .SVG}}<figcaption>{{.Title}} (also in {{.File}})</figcaption></figure>
{{end}}{{end}}
<h2>How it was done</h2>
<ul>{{range .Method}}<li>{{.}}</li>{{end}}{{range .Sheets}}{{if .Noise}}<li>{{.Title}}: {{.Noise}}</li>{{end}}{{end}}</ul>
<h2>To check it</h2>
<p>results.json holds every number of this page; logs.sha256 the fingerprints of the logs it was made from, which stay with whoever flew.
{{range .Logs}}{{if .Exports}}The cleaned path of {{.Debrief.Name}}: {{range $i, $e := .Exports}}{{if $i}}, {{end}}{{$e}}{{end}}. {{end}}{{end}}</p>
</body></html>
`))
