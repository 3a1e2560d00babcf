package app

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"fledge/internal/report"
)

// CompareRequest is several builds, or settings, side by side.
type CompareRequest struct {
	Request
	Paths  []string
	Groups []string // "a=1;b=2" each
}

// MaxColumns is how many columns a comparison has at most.
const MaxColumns = 12

// Compare puts builds side by side: each build as it is and, when groups are
// given, under each of them.
func Compare(ctx context.Context, q CompareRequest) (*Answer, error) {
	type column struct {
		path string
		sets []string
	}
	groups := [][]string{nil}
	for _, g := range q.Groups {
		var sets []string
		for _, s := range splitGroup(g) {
			if s = strings.TrimSpace(s); s != "" {
				sets = append(sets, s)
			}
		}
		if len(sets) == 0 {
			return nil, Bad("empty-group", `write it as "launch.bungee.stretch=8 m;day.wind=3 m/s"`, fmt.Sprintf("--set-group %q sets nothing", g))
		}
		groups = append(groups, sets)
	}
	var cols []column
	for _, p := range q.Paths {
		for _, g := range groups {
			cols = append(cols, column{p, g})
		}
	}
	if len(cols) < 2 {
		return nil, Bad("one-column", `name a second build, or give --set-group "path=value;path=value", or --parts FILE`, "one build under one setting is nothing to compare")
	}
	if len(cols) > MaxColumns {
		return nil, Bad("too-many", fmt.Sprintf("at most %d", MaxColumns), fmt.Sprintf("%d columns are too many to read side by side", len(cols)))
	}
	out := report.Comparison{Units: q.Units}
	notes := ""
	seen := map[string]bool{}
	// Look at all inputs before the long work: all that is wrong at once.
	var bad *BadInput
	for _, c := range cols {
		one := q.Request
		one.Path, one.Sets = c.path, append(append([]string(nil), q.Sets...), c.sets...)
		if _, err := Open(one); err != nil {
			var b *BadInput
			if !errors.As(err, &b) {
				return nil, err
			}
			if bad == nil {
				bad = &BadInput{Text: b.Text}
			}
			for _, d := range b.List {
				if k := d.String(); !seen[k] {
					seen[k] = true
					bad.List = append(bad.List, d)
				}
			}
		}
	}
	if bad != nil {
		return nil, bad
	}
	for i, c := range cols {
		one := q.Request
		one.Path, one.Sets, one.Fast = c.path, append(append([]string(nil), q.Sets...), c.sets...), true
		if q.Progress != nil {
			one.Progress = func(stage string, done, total int) {
				q.Progress(fmt.Sprintf("column %d of %d: %s", i+1, len(cols), stage), done, total)
			}
		}
		r, o, err := Check(ctx, one)
		if err != nil {
			return nil, err
		}
		if n := o.RenderNotes(); !seen[n] {
			seen[n] = true
			notes += n
		}
		out.Columns = append(out.Columns, report.Compared{Path: c.path, Sets: c.sets, Checked: *r})
	}
	return &Answer{Doc: report.Compare(out), Body: report.CompareBody(out), Notes: notes}, nil
}

// splitGroup parts a group at semicolons outside quotes.
func splitGroup(s string) []string {
	var out []string
	from, quoted := 0, false
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '"':
			quoted = !quoted
		case s[i] == ';' && !quoted:
			out, from = append(out, s[from:i]), i+1
		}
	}
	return append(out, s[from:])
}
