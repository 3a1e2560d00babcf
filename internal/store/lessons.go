package store

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"fledge/internal/tune"
)

// taught is the JSON of a factor's learned_from column.
type taught struct {
	From  []string `json:"evidence,omitempty"`
	Heirs []string `json:"heirs,omitempty"`
	Say   string   `json:"say,omitempty"`
}

// Lessons returns what was learned, the oldest first; a factor that was typed
// in is a lesson by itself. What cannot be used is an error of kind [Damaged].
func (l *Logbook) Lessons(ctx context.Context) ([]tune.Lesson, error) {
	list, err := List[Factor](ctx, l)
	if err != nil {
		return nil, err
	}
	var out []tune.Lesson
	at := map[string]int{}
	bad := func(f *Factor, why string) error {
		return &Damaged{l.path, fmt.Sprintf("factor %d: %s", f.ID, why)}
	}
	for _, f := range list {
		if f.Value == nil || f.Sigma == nil {
			continue
		}
		k, ok := at[f.Lesson]
		if !ok || f.Lesson == "" {
			k = len(out)
			out = append(out, tune.Lesson{Aeroplane: f.Aeroplane})
			if f.Lesson != "" {
				at[f.Lesson] = k
			}
			var t taught
			if f.From != "" {
				if err := json.Unmarshal([]byte(f.From), &t); err != nil {
					return nil, bad(f, "what it was learned from cannot be read")
				}
			}
			out[k].From, out[k].Heirs, out[k].Say = t.From, t.Heirs, t.Say
		}
		x := &out[k]
		row := map[string]float64{}
		if f.Together != "" {
			if err := json.Unmarshal([]byte(f.Together), &row); err != nil {
				return nil, bad(f, "its correlations cannot be read")
			}
		}
		n := len(x.Factors)
		mine := make([]float64, n+1)
		for i := range x.Corr {
			mine[i] = row[x.Factors[i].Name]
			x.Corr[i] = append(x.Corr[i], mine[i])
		}
		mine[n] = 1
		x.Corr = append(x.Corr, mine)
		x.Factors = append(x.Factors, tune.Factor{Name: f.Name, Component: f.Component, Value: *f.Value, Sigma: *f.Sigma, Shift: f.Shift != nil && *f.Shift, Label: f.Label, Why: f.Why, Ref: f.Ref, How: f.How})
		if why := x.Check(); why != "" {
			return nil, bad(f, why)
		}
	}
	return out, nil
}

// KeepLesson writes a lesson; the earlier lessons of the same aeroplane count
// no more. A lesson without factors only ends those. It returns how many
// factors were ended.
func (t *Tx) KeepLesson(day string, x tune.Lesson) (ended int, err error) {
	if why := x.Check(); why != "" {
		panic("store: a lesson that cannot be: " + why)
	}
	if x.Aeroplane == "" {
		panic("store: a lesson of no aeroplane")
	}
	old, err := query(t.ctx, t.tx, tableOf("factors"), "WHERE struck IS NULL AND aeroplane = ? AND lesson IS NOT NULL ORDER BY id", x.Aeroplane)
	if err != nil {
		return 0, err
	}
	for _, r := range old {
		if err := t.Strike("factor", r.meta().ID, "learned again on "+day); err != nil {
			return 0, err
		}
	}
	from, err := json.Marshal(taught{slices.Clone(x.From), x.Heirs, x.Say})
	if err != nil {
		return 0, err
	}
	lesson := ""
	for i, f := range x.Factors {
		v, sigma, shift := f.Value, f.Sigma, f.Shift
		row := &Factor{Day: day, Name: f.Name, Component: f.Component, Value: &v, Sigma: &sigma, Shift: &shift, Label: f.Label, Why: f.Why, Ref: f.Ref, How: f.How, Aeroplane: x.Aeroplane, Lesson: "new"}
		if i == 0 {
			row.From = string(from)
		}
		together := map[string]float64{}
		for j := range i {
			if r := x.Rho(i, j); r != 0 {
				together[x.Factors[j].Name] = r
			}
		}
		if len(together) > 0 {
			b, err := json.Marshal(together) // keys in order: the same bytes each time
			if err != nil {
				return 0, err
			}
			row.Together = string(b)
		}
		if lesson == "" { // its first row's own uid names the lesson
			row.Lesson = "of " + day + " " + tableOf("factors").uid(row)
			lesson = row.Lesson
		}
		row.Lesson = lesson
		if err := t.Add(row); err != nil {
			return 0, err
		}
	}
	return len(old), nil
}
