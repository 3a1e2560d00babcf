package store

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"fledge/internal/diag"
)

// The dump is the whole logbook as text, one JSON object a line: a head with
// the format's number, each row with its table, and an end with the number of
// rows and the SHA-256 of all lines before it. Restored into an empty logbook
// it gives the same rows, numbers and sums, and the same dump again.

type dumpHead struct {
	Logbook int    `json:"fledge_logbook"`
	Partial string `json:"partial,omitempty"` // why it is not whole
}

type dumpRow struct {
	Table string          `json:"table"`
	Row   json.RawMessage `json:"row"`
}

type dumpEnd struct {
	End    bool   `json:"end"`
	Rows   int    `json:"rows"`
	SHA256 string `json:"sha256"`
}

type dumper struct {
	w    *bufio.Writer
	h    interface{ Sum([]byte) []byte }
	rows int
	err  error
}

func newDumper(w io.Writer, partial string) *dumper {
	h := sha256.New()
	d := &dumper{w: bufio.NewWriter(io.MultiWriter(w, h)), h: h}
	d.line(dumpHead{len(migrations), partial})
	return d
}

func (d *dumper) line(v any) {
	if d.err != nil {
		return
	}
	b, err := json.Marshal(v)
	if err == nil {
		_, err = d.w.Write(append(b, '\n'))
	}
	d.err = err
}

func (d *dumper) row(tb *table, r Row) {
	b, err := json.Marshal(r)
	if err != nil && d.err == nil {
		d.err = err
	}
	d.line(dumpRow{tb.name, b})
	d.rows++
}

func (d *dumper) end() error {
	if d.err == nil {
		d.err = d.w.Flush()
	}
	d.line(dumpEnd{true, d.rows, hex.EncodeToString(d.h.Sum(nil))})
	if d.err == nil {
		d.err = d.w.Flush()
	}
	return d.err
}

// Dump writes everything, as one moment of the logbook.
func (l *Logbook) Dump(ctx context.Context, w io.Writer) error {
	conn, err := l.db.Conn(ctx)
	if err != nil {
		return l.plain(err)
	}
	defer conn.Close()
	// A plain BEGIN: one moment seen throughout, and no lock on writers.
	if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
		return l.plain(err)
	}
	defer conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
	d := newDumper(w, "")
	for _, tb := range tables {
		rows, err := conn.QueryContext(ctx, "SELECT "+tb.names()+" FROM "+tb.name+" ORDER BY id")
		if err != nil {
			return l.plain(err)
		}
		for rows.Next() {
			r, err := tb.scan(rows)
			if err != nil {
				rows.Close()
				return l.plain(err)
			}
			d.row(tb, r)
		}
		rows.Close()
		if err := rows.Err(); err != nil {
			return l.plain(err)
		}
	}
	return d.end()
}

// Restored counts what [Logbook.Restore] did.
type Restored struct {
	Added   int      `json:"added"`
	Known   int      `json:"known"` // were there already
	Partial string   `json:"partial,omitempty"`
	Cut     []string `json:"cut"` // entries whose flight, build or file is lost
}

// Restore reads a dump: into an empty logbook it is the identity; into
// another it adds the entries that are not there yet, under new numbers. It
// is all or nothing. What is wrong with the dump comes back as diagnostics.
func (l *Logbook) Restore(ctx context.Context, name string, text []byte) (Restored, diag.List, error) {
	out := Restored{Cut: []string{}}
	head, rows, ds := readDump(name, text)
	if ds.HasErrors() {
		return out, ds, nil
	}
	out.Partial = head.Partial
	err := l.Write(ctx, func(t *Tx) error {
		if _, err := t.tx.ExecContext(ctx, "PRAGMA defer_foreign_keys = 1"); err != nil {
			return err
		}
		renamed := map[string]map[int64]int64{} // table, number in the dump: number here
		type waiting struct {
			tb *table
			r  Row
		}
		var fresh []waiting
		empty := true
		next := map[string]int64{}
		for _, tb := range tables {
			var most int64
			if err := t.tx.QueryRowContext(ctx, "SELECT coalesce(max(id), 0) FROM "+tb.name).Scan(&most); err != nil {
				return err
			}
			next[tb.name] = most
			empty = empty && most == 0
			renamed[tb.name] = map[int64]int64{}
		}
		for _, d := range rows {
			r, tb := d.r, tableOf(d.r.table())
			old := r.meta().ID
			where, arg := "uid = ?", r.meta().UID
			if f, ok := r.(*File); ok {
				where, arg = "sha256 = ?", f.SHA256
			}
			if b, ok := r.(*Build); ok {
				where, arg = "hash = ?", b.Hash
			}
			var have int64
			var known bool
			if !empty {
				list, err := t.tx.QueryContext(ctx, "SELECT id FROM "+tb.name+" WHERE "+where+" LIMIT 1", arg)
				if err != nil {
					return err
				}
				if list.Next() {
					known = true
					if err := list.Scan(&have); err != nil {
						list.Close()
						return err
					}
				}
				list.Close()
				if err := list.Err(); err != nil {
					return err
				}
			}
			if known {
				renamed[tb.name][old] = have
				out.Known++
				continue
			}
			if !empty {
				next[tb.name]++
				r.meta().ID = next[tb.name]
			}
			renamed[tb.name][old] = r.meta().ID
			fresh = append(fresh, waiting{tb, r})
		}
		for _, f := range fresh {
			for i := range f.tb.columns {
				c := &f.tb.columns[i]
				if c.Ref == "" {
					continue
				}
				old, _ := c.cell(f.r).(int64)
				if old == 0 {
					continue
				}
				to, ok := renamed[c.Ref][old]
				if !ok {
					out.Cut = append(out.Cut, fmt.Sprintf("%s %d: its %s %d is lost", f.tb.kind, f.r.meta().ID, c.Key, old))
					c.put(f.r, nil)
					continue
				}
				c.put(f.r, to)
			}
			if err := t.insert(f.tb, f.r); err != nil {
				return err
			}
			out.Added++
		}
		return nil
	})
	return out, nil, err
}

// read is one row of a dump with its line.
type read struct {
	r    Row
	line int
}

// IsDump says whether a text looks like a dump.
func IsDump(text []byte) bool { return bytes.HasPrefix(text, []byte(`{"fledge_logbook"`)) }

func readDump(name string, text []byte) (dumpHead, []read, diag.List) {
	var l diag.List
	var head dumpHead
	var out []read
	bad := func(line int, code, hint, format string, args ...any) {
		l.Add(diag.Diagnostic{Severity: diag.Error, Code: code, Span: diag.Span{File: name, Line: line, Col: 1}, Message: fmt.Sprintf(format, args...), Hint: hint})
	}
	h := sha256.New()
	seen := map[string]bool{}
	ended := false
	n := 0
	for len(text) > 0 && len(l) < 20 {
		n++
		line := text
		if i := bytes.IndexByte(text, '\n'); i >= 0 {
			line, text = text[:i], text[i+1:]
		} else {
			text = nil
		}
		if ended {
			bad(n, "bad-dump", "", "there is more after the dump's end")
			break
		}
		if n == 1 {
			if err := strict(line, &head); err != nil || head.Logbook < 1 {
				bad(1, "bad-dump", "a dump is made with: fledge logbook export --dump FILE", "this is not a dump of a logbook")
				return head, nil, l
			}
			if head.Logbook > len(migrations) {
				bad(1, "newer-format", "use the newer program", "the dump has format %d, this program knows up to %d", head.Logbook, len(migrations))
				return head, nil, l
			}
		} else if bytes.HasPrefix(line, []byte(`{"end"`)) {
			var e dumpEnd
			if err := strict(line, &e); err != nil {
				bad(n, "bad-dump", "", "the last line cannot be read")
				break
			}
			ended = true
			if e.Rows != len(out) || e.SHA256 != hex.EncodeToString(h.Sum(nil)) {
				bad(n, "bad-dump", "take another copy of the dump", "the dump is not what was written: rows or checksum differ")
			}
		} else {
			var d dumpRow
			if err := strict(line, &d); err != nil {
				bad(n, "bad-dump", "", "the line cannot be read: %s", plainJSON(err))
				continue
			}
			tb := tableOf(d.Table)
			if tb == nil {
				bad(n, "bad-dump", "", "there is no table %s", diag.Quote(d.Table))
				continue
			}
			r := tb.make()
			if err := strict(d.Row, r); err != nil {
				bad(n, "bad-dump", "", "the row cannot be read: %s", plainJSON(err))
				continue
			}
			m := r.meta()
			if m.ID < 1 || m.UID == "" || tb.sum(r) != m.Sum {
				bad(n, "bad-dump", "", "the row's checksum does not fit its content")
				continue
			}
			for _, key := range []string{fmt.Sprintf("%s %d", tb.name, m.ID), tb.name + " " + m.UID} {
				if seen[key] {
					bad(n, "bad-dump", "", "the row stands twice")
				}
				seen[key] = true
			}
			out = append(out, read{r, n})
		}
		h.Write(line)
		h.Write([]byte{'\n'})
	}
	if !ended && !l.HasErrors() {
		bad(max(1, n), "bad-dump", "take another copy of the dump", "the dump breaks off: its last line is missing")
	}
	l.Sort()
	return head, out, l
}

func strict(line []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("more than one value")
	}
	return nil
}

func plainJSON(err error) string { return strings.TrimPrefix(err.Error(), "json: ") }
