package app

import (
	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/diag"
)

// remark adds what the fit has to say of the build's bench rows to the
// warnings, each at its row; once for a build.
func (o *Opened) remark(c *assess.Chain) {
	const code = "bench"
	for _, n := range o.Notes {
		if n.Code == code {
			return
		}
	}
	rows := o.Build.Power.Bench
	for _, r := range c.BenchRemarks() {
		d := diag.Diagnostic{Severity: diag.Warning, Code: code, Message: r.Say, Hint: r.Hint}
		if i := max(r.Row, 0); i < len(rows) {
			row := &rows[i]
			for _, q := range []build.Value{row.Volts, row.Amps, row.RPM, row.Pull, row.Throttle} {
				if q.Given {
					d.Span = q.Span
					break
				}
			}
		}
		o.Notes.Add(d)
	}
}
