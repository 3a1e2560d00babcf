package app

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"fledge/internal/diag"
	"fledge/internal/report"
	"fledge/internal/track"
)

// ColumnsEnd is how the file of a kept column map ends.
const ColumnsEnd = ".columns.json"

// ColumnsView is how a table of recorded values is read, and how it could be.
type ColumnsView struct {
	Schema    int              `json:"schema"`
	Table     bool             `json:"table"` // false: a log that needs no map
	All       []ColumnCells    `json:"all"`
	Map       *track.ColumnMap `json:"map"`
	Kept      string           `json:"kept"`    // map of the hangar it is read by, "" guessed
	Problem   string           `json:"problem"` // why it cannot be read so
	Channels  []ColumnChannel  `json:"channels"`
	TimeForms []string         `json:"time_forms"`
}

// ColumnCells is one column with its first values.
type ColumnCells struct {
	Index   int      `json:"index"`
	Name    string   `json:"name"`
	Samples []string `json:"samples"`
}

// ColumnChannel is what a column may hold and in which units.
type ColumnChannel struct {
	Channel string             `json:"channel"`
	Units   []ColumnUnitChoice `json:"units"`
}

// ColumnUnitChoice is a unit; a value times Factor is SI.
type ColumnUnitChoice struct {
	Unit   string  `json:"unit"`
	Factor float64 `json:"factor"`
}

// mostLook is how much of a table is looked at for its first rows.
const mostLook = 256 << 10

// Columns says how a log's columns are read: by a map kept in the folder where
// one fits, else as guessed.
func Columns(path, dir string) (*ColumnsView, error) {
	out := &ColumnsView{Schema: report.Schema, All: []ColumnCells{}, Channels: []ColumnChannel{}, TimeForms: track.TimeForms()}
	for _, c := range track.Channels() {
		v := ColumnChannel{Channel: string(c), Units: []ColumnUnitChoice{}}
		for _, u := range track.ColumnUnits(c) {
			v.Units = append(v.Units, ColumnUnitChoice{u.Unit, u.Factor})
		}
		out.Channels = append(out.Channels, v)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	head := make([]byte, mostLook)
	n, err := io.ReadFull(f, head)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && !errors.Is(err, io.EOF) {
		return nil, err
	}
	head = head[:n]
	if k := track.Sniff(head); k != track.CSV {
		return out, nil
	}
	out.Table = true
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	log, err := track.Read(f, track.Options{Name: filepath.Base(path)})
	m := &track.ColumnMap{Delimiter: commonest(head), HeaderLines: 1, TimeForm: "seconds", Columns: []track.Column{}}
	if log != nil && log.Columns != nil {
		m = log.Columns
	}
	if err != nil {
		out.Problem = strings.TrimPrefix(err.Error(), "track: ")
	}
	out.All = cells(head, m)
	out.Map = m
	if kept, by := keptColumns(dir, out.All); kept != nil {
		out.Map, out.Kept, out.Problem = kept, by, ""
	}
	return out, nil
}

// commonest is the delimiter that a table's first lines hold most of.
func commonest(head []byte) string {
	best, most := ",", 0
	for _, d := range []string{",", ";", "\t", "|"} {
		if n := bytes.Count(head[:min(len(head), 4096)], []byte(d)); n > most {
			best, most = d, n
		}
	}
	return best
}

// cells splits the first rows of a table.
func cells(head []byte, m *track.ColumnMap) []ColumnCells {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(head, []byte("\ufeff"))))
	r.LazyQuotes, r.FieldsPerRecord, r.TrimLeadingSpace = true, -1, true
	if m.Delimiter != "" {
		r.Comma = []rune(m.Delimiter)[0]
	}
	var rows [][]string
	for len(rows) < m.HeaderLines+4 {
		row, err := r.Read()
		if row == nil && err != nil {
			break
		}
		rows = append(rows, row)
	}
	out := []ColumnCells{}
	at := min(m.HeaderLines, len(rows))
	var names []string
	if at > 0 {
		names = rows[at-1]
	}
	wide := len(names)
	for _, row := range rows[at:] {
		wide = max(wide, len(row))
	}
	for i := range min(wide, 400) {
		c := ColumnCells{Index: i, Name: fmt.Sprintf("column %d", i+1), Samples: []string{}}
		if i < len(names) && strings.TrimSpace(names[i]) != "" {
			c.Name = clip(strings.TrimSpace(names[i]), 80)
		}
		for _, row := range rows[at:] {
			if i < len(row) {
				c.Samples = append(c.Samples, clip(strings.TrimSpace(row[i]), 40))
			}
		}
		out = append(out, c)
	}
	return out
}

func clip(s string, n int) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	if r := []rune(s); len(r) > n {
		return string(r[:n]) + "..."
	}
	return s
}

// CheckColumns judges the text of a column map.
func CheckColumns(name string, text []byte) error {
	if len(text) > mostColumns {
		return Bad("too-large", "is this a column map?", "the column map is too large")
	}
	if _, bad := columnMap(name, text); bad != nil {
		return bad
	}
	return nil
}

// KeptColumns finds the map kept in a folder that fits a table: every column
// it reads has the name it had then, at its place. "" when none does.
func KeptColumns(path, dir string) string {
	v, err := Columns(path, dir)
	if err != nil || v.Kept == "" {
		return ""
	}
	return filepath.Join(dir, v.Kept)
}

func keptColumns(dir string, all []ColumnCells) (*track.ColumnMap, string) {
	if dir == "" || len(all) == 0 {
		return nil, ""
	}
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil, ""
	}
	var names []string
	for _, e := range list {
		if e.Type().IsRegular() && strings.HasSuffix(e.Name(), ColumnsEnd) {
			names = append(names, e.Name())
		}
	}
	sort.Strings(names)
	for _, n := range names {
		m, bad := readColumns(filepath.Join(dir, n))
		if bad != nil || len(m.Columns) == 0 {
			continue
		}
		if !slices.ContainsFunc(m.Columns, func(c track.Column) bool {
			return c.Index >= len(all) || c.Name == "" || all[c.Index].Name != c.Name
		}) {
			return m, n
		}
	}
	return nil, ""
}

// ColumnFiles sorts what --columns or --save-columns named: FILE, of every table
// that has none of its own, or LOG=FILE, of one of logs, by its path or its name.
func ColumnFiles(flag string, said, logs []string) (all string, of map[string]string, err error) {
	of = map[string]string{}
	for _, s := range said {
		name, file, one := strings.Cut(s, "=")
		if one && file == "" {
			return "", nil, Bad("columns", flag+" flight.csv=map.json", fmt.Sprintf("%s %s names no file", flag, diag.Quote(s)))
		}
		var found []string
		for _, l := range logs {
			if one && (l == name || filepath.Base(l) == name) {
				found = append(found, l)
			}
		}
		if slices.Contains(found, name) {
			found = []string{name}
		}
		switch {
		case len(found) > 1:
			return "", nil, Bad("columns", "name it by its path", fmt.Sprintf("%s %s: %d logs are called %s", flag, diag.Quote(s), len(found), diag.Quote(name)))
		case len(found) == 1 && of[found[0]] != "":
			return "", nil, Bad("columns", "one map for each table", fmt.Sprintf("%s is given twice for %s", flag, diag.Quote(name)))
		case len(found) == 1:
			of[found[0]] = file
		case one && !exists(s) && !strings.ContainsAny(name, `/\`):
			return "", nil, Bad("columns", diag.DidYouMean(name, logs, flag+" LOG=FILE names one of the logs given"), fmt.Sprintf("%s %s: %s is none of the logs", flag, diag.Quote(s), diag.Quote(name)))
		case all != "":
			return "", nil, Bad("columns", flag+" LOG=FILE for a table of its own", fmt.Sprintf("%s is given twice for every table", flag))
		default:
			all = s
		}
	}
	return all, of, nil
}

func exists(name string) bool { _, err := os.Stat(name); return err == nil }
