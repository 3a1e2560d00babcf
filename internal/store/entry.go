package store

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"fledge/internal/diag"
	"fledge/internal/unit"
)

// EntryFile is the file name in the spans of diagnostics about "key=value"
// arguments; the line is the number of the argument.
const EntryFile = "entry"

// maxText is the longest text of one value, in bytes.
const maxText = 10000

// Look finds what a word in a column refers to: "blue" among the packs. The
// hint is used when ok is false.
type Look func(c *Column, word string) (id int64, hint string, ok bool)

// wrong is what is wrong with one value; offset counts characters into it.
type wrong struct {
	code, message, hint string
	offset, length      int
}

// word is one value with the key it was given under.
type word struct {
	key, value string
	at         diag.Span // of the key
	from       diag.Span // of the value
}

// ParseEntry reads an entry from "key=value" arguments; every problem is in
// the list.
func ParseEntry(kind string, args []string, look Look) (Row, diag.List) {
	var l diag.List
	var words []word
	for i, a := range args {
		at := diag.Span{File: EntryFile, Line: i + 1, Col: 1, Len: max(1, utf8.RuneCountInString(a))}
		key, value, ok := strings.Cut(a, "=")
		if !ok {
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "no-value", Span: at, Message: diag.Quote(a) + " has no =", Hint: `write it as key=value, for example "note=wet grass"`})
			continue
		}
		w := word{key: strings.TrimSpace(key), value: strings.TrimSpace(value), at: at}
		w.at.Len = max(1, utf8.RuneCountInString(key))
		w.from = diag.Span{File: EntryFile, Line: i + 1, Col: utf8.RuneCountInString(key) + 2 + len(value) - len(strings.TrimLeft(value, " \t"))}
		words = append(words, w)
	}
	r := entry(kind, words, diag.Span{File: EntryFile}, false, look, &l)
	l.Sort()
	return r, l
}

// entry fills a row. bare takes plain SI numbers under a column's own name.
func entry(kind string, words []word, whole diag.Span, bare bool, look Look, l *diag.List) Row {
	r := New(kind)
	if r == nil {
		panic("store: no kind " + kind)
	}
	cols := Columns(kind)
	seen := map[string]bool{}
	for _, w := range words {
		if kind == "cost" && w.key == "money" {
			w.key = "cents"
		}
		c, plain := columnFor(cols, w.key, bare)
		if c == nil {
			var keys []string
			for _, c := range cols {
				if typed(&c) {
					keys = append(keys, c.Key)
				}
			}
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "unknown-key", Span: w.at, Message: fmt.Sprintf("a %s has no %s", kind, diag.Quote(w.key)), Hint: diag.DidYouMean(w.key, keys, "it may have: "+strings.Join(keys, ", "))})
			continue
		}
		if seen[c.Name] {
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "twice", Span: w.at, Message: diag.Quote(w.key) + " is given twice"})
			continue
		}
		seen[c.Name] = true
		if bad := fill(r, cols, c, w.value, plain, look); bad != nil {
			at := w.from
			at.Col += bad.offset
			at.Len = max(1, bad.length)
			if at.Len == 1 && bad.length == 0 {
				at.Len = max(1, utf8.RuneCountInString(w.value))
			}
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: bad.code, Span: at, Message: c.Key + ": " + bad.message, Hint: bad.hint})
		}
	}
	for i := range cols {
		c := &cols[i]
		if c.Need && !seen[c.Name] {
			hint := "add " + c.Key + "=..."
			if c.Doc != "" {
				hint += " (" + c.Doc + ")"
			}
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "missing", Span: whole, Message: fmt.Sprintf("a %s needs its %s", kind, c.Key), Hint: hint})
		}
	}
	return r
}

// typed says whether a person gives the column, rather than the program.
func typed(c *Column) bool {
	switch c.Is {
	case "sd", "dim", "text", "currency":
		return false
	}
	return true
}

func columnFor(cols []Column, key string, bare bool) (c *Column, plain bool) {
	for i := range cols {
		switch {
		case bare && cols[i].Name == key && cols[i].Key != key:
			return &cols[i], true
		case bare && cols[i].Name == key && (cols[i].Dim == unit.Ratio || !typed(&cols[i]) || cols[i].Is == "money"):
			return &cols[i], true
		case bare && cols[i].Name == key && cols[i].Dim == unit.Any:
			return &cols[i], true // with its dim column beside
		case cols[i].Key == key && typed(&cols[i]):
			return &cols[i], false
		}
	}
	return nil, false
}

// fill reads one value into the row; plain: a bare SI number or stored text.
func fill(r Row, cols []Column, c *Column, text string, plain bool, look Look) *wrong {
	if text == "" {
		if plain || !c.Need {
			return nil
		}
		return &wrong{code: "missing", message: "nothing is written here"}
	}
	if bad := decent(text); bad != nil {
		return bad
	}
	set := func(is string, v any) {
		for i := range cols {
			if cols[i].Is == is && (is != "sd" || cols[i].Name == c.SD) {
				cols[i].put(r, v)
			}
		}
	}
	switch {
	case c.Ref != "":
		id, hint, ok := look(c, text)
		if !ok {
			return &wrong{code: "no-such", message: fmt.Sprintf("there is no %s among the %s", diag.Quote(text), c.Ref), hint: hint}
		}
		c.put(r, id)
	case plain && (c.Dim != unit.None || c.Is == "sd"):
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			if c.Dim == unit.Any || c.Dim == unit.Ratio {
				return fill(r, cols, c, text, false, look)
			}
			return &wrong{code: "no-number", message: "a plain number is needed under this name", hint: "or name the column " + c.Key + " and write the unit with the number"}
		}
		if bad := bounds(c, v); bad != nil {
			return bad
		}
		c.put(r, v)
	case c.Dim != unit.None:
		q, err := unit.Parse(text, c.Dim)
		var ue *unit.Error
		if errors.As(err, &ue) {
			return &wrong{ue.Code, ue.Message, ue.Hint, ue.Offset, ue.Len}
		}
		if bad := bounds(c, q.Value); bad != nil {
			return bad
		}
		c.put(r, q.Value)
		if c.Dim == unit.Any {
			set("dim", q.Dim.String())
			set("text", text)
		}
		if c.SD != "" && (q.Stated || q.Word != "") {
			sigma, _ := q.Doubt()
			set("sd", sigma)
		}
	case c.Is == "day":
		if _, err := time.Parse("2006-01-02", text); err != nil {
			return &wrong{code: "bad-day", message: diag.Quote(text) + " is no day", hint: "write it as 2026-05-03"}
		}
		c.put(r, text)
	case c.Is == "clock":
		if _, err := time.Parse("15:04", text); err != nil {
			return &wrong{code: "bad-time", message: diag.Quote(text) + " is no time of day", hint: "write it as 14:30"}
		}
		c.put(r, text)
	case c.Is == "dim":
		if _, ok := unit.DimNamed(text); !ok {
			return &wrong{code: "bad-word", message: diag.Quote(text) + " is no dimension"}
		}
		c.put(r, text)
	case c.Is == "money" && plain:
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return &wrong{code: "no-number", message: "a whole number is needed"}
		}
		c.put(r, n)
	case c.Is == "money":
		cents, currency, ok := money(text)
		if !ok {
			return &wrong{code: "no-number", message: diag.Quote(text) + " is no amount of money", hint: `write it as "12.50 EUR"`}
		}
		c.put(r, cents)
		set("currency", currency)
	case c.Go.String() == "int64":
		n, err := strconv.ParseInt(text, 10, 32)
		if err != nil {
			return &wrong{code: "no-number", message: "a whole number is needed"}
		}
		if bad := bounds(c, float64(n)); bad != nil {
			return bad
		}
		c.put(r, n)
	case c.Go.String() == "*bool":
		switch strings.ToLower(text) {
		case "yes", "true", "1":
			c.put(r, int64(1))
		case "no", "false", "0":
			c.put(r, int64(0))
		default:
			return &wrong{code: "bad-word", message: diag.Quote(text) + " is neither yes nor no", hint: "write yes or no"}
		}
	default:
		if len(c.OneOf) > 0 {
			ok := false
			for _, o := range c.OneOf {
				ok = ok || o == text
			}
			if !ok {
				return &wrong{code: "bad-word", message: diag.Quote(text) + " is not one of its words", hint: diag.DidYouMean(text, c.OneOf, "use one of: "+strings.Join(c.OneOf, ", "))}
			}
		}
		c.put(r, text)
	}
	return nil
}

// decent refuses what no one types and terminals and tables obey: control
// characters, marks that turn the direction of writing, broken UTF-8.
func decent(text string) *wrong {
	if len(text) > maxText {
		return &wrong{code: "too-long", message: fmt.Sprintf("the text has %d bytes, at most %d are kept", len(text), maxText), hint: "keep a long text as a file: add log file=..."}
	}
	if !utf8.ValidString(text) {
		return &wrong{code: "bad-text", message: "the text is not UTF-8"}
	}
	i := 0
	for _, c := range text {
		if unicode.IsControl(c) && c != '\n' || c >= 0x202a && c <= 0x202e || c >= 0x2066 && c <= 0x2069 || c == 0x2028 || c == 0x2029 {
			return &wrong{"bad-text", fmt.Sprintf("the text holds the control character %U", c), "leave it out", i, 1}
		}
		i++
	}
	return nil
}

// bounds holds a number to the interval of its tag, "[0,)".
func bounds(c *Column, v float64) *wrong {
	is := c.Is
	if is == "sd" {
		is = "[0,)"
	}
	if len(is) < 3 || !strings.ContainsAny(is[:1], "[(") {
		return nil
	}
	lo, hi, _ := strings.Cut(is[1:len(is)-1], ",")
	bad := false
	if n, err := strconv.ParseFloat(lo, 64); err == nil {
		bad = v < n || v == n && is[0] == '('
	}
	if n, err := strconv.ParseFloat(hi, 64); err == nil {
		bad = bad || v > n || v == n && is[len(is)-1] == ')'
	}
	if !bad {
		return nil
	}
	say := "must be between " + lo + " and " + hi
	switch {
	case hi == "" && is[0] == '(':
		say = "must be more than " + lo
	case hi == "":
		say = "must be at least " + lo
	}
	return &wrong{code: "out-of-range", message: say}
}

// money reads "12.50 EUR", "€ 12" without going through binary fractions.
func money(text string) (cents int64, currency string, ok bool) {
	q, err := unit.Parse(text, unit.Money)
	if err != nil || math.Abs(q.Value) > 1e9 {
		return 0, "", false
	}
	cents = int64(math.Round(q.Value * 100))
	if math.Abs(float64(cents)/100-q.Value) > 1e-6 {
		return 0, "", false
	}
	return cents, q.Unit, true
}

// guarded text stands in a CSV cell so that no table program takes it for a
// formula, nor a page for markup: what begins like one is led by an
// apostrophe, which is taken off again on import.
const risky = "=+-@\t\r<'＝＋－＠"

func guard(s string) string {
	if r, _ := utf8.DecodeRuneInString(s); s != "" && strings.ContainsRune(risky, r) {
		return "'" + s
	}
	return s
}

func unguard(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok {
		if r, _ := utf8.DecodeRuneInString(rest); rest != "" && strings.ContainsRune(risky, r) {
			return rest
		}
	}
	return s
}

// WriteCSV writes entries of one kind: a head of column names, one line each;
// numbers in SI, texts guarded against being taken for formulas.
func WriteCSV(w io.Writer, kind string, rows []Row) error {
	var t *table
	for _, x := range tables {
		if x.kind == kind {
			t = x
		}
	}
	if t == nil || kind == "file" {
		panic("store: no CSV of " + kind)
	}
	c := csv.NewWriter(w)
	head := make([]string, 0, len(t.columns))
	for _, col := range t.columns {
		head = append(head, col.Name)
	}
	if err := c.Write(head); err != nil {
		return err
	}
	for _, r := range rows {
		line := make([]string, 0, len(head))
		for i := range t.columns {
			switch v := t.columns[i].cell(r).(type) {
			case nil:
				line = append(line, "")
			case string:
				line = append(line, guard(v))
			case int64:
				line = append(line, strconv.FormatInt(v, 10))
			case float64:
				line = append(line, strconv.FormatFloat(v, 'g', -1, 64))
			default:
				line = append(line, "")
			}
		}
		if err := c.Write(line); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// ParseCSV reads entries of one kind from a table: the head names columns as
// exported (plain SI numbers) or as typed (with units). The columns that the
// program keeps itself (id, sum, entered) are read over; a uid is returned
// beside each row, so that what is known already can be left out.
func ParseCSV(name, kind string, text []byte, look Look) (rows []Row, uids []string, l diag.List) {
	if !utf8.Valid(text) {
		l.Errorf("bad-text", diag.Span{File: name}, "the file is not UTF-8 text")
		return nil, nil, l
	}
	c := csv.NewReader(strings.NewReader(strings.TrimPrefix(string(text), "\ufeff")))
	if first, _, _ := strings.Cut(string(text), "\n"); strings.Count(first, ";") > strings.Count(first, ",") {
		c.Comma = ';'
	}
	c.FieldsPerRecord = -1
	head, err := c.Read()
	if err != nil {
		if errors.Is(err, io.EOF) {
			l.Errorf("empty", diag.Span{File: name, Line: 1, Col: 1}, "the table is empty")
		} else {
			l.Add(csvError(name, err))
		}
		return nil, nil, l
	}
	for i := range head {
		head[i] = strings.TrimSpace(head[i])
	}
	cols := Columns(kind)
	own := map[string]bool{"id": true, "sum": true, "uid": true, "entered": true, "struck": true}
	for i, h := range head {
		if own[h] {
			continue
		}
		if col, _ := columnFor(cols, h, true); col == nil && !(kind == "cost" && h == "money") {
			line, at := c.FieldPos(i)
			var keys []string
			for j := range cols {
				keys = append(keys, cols[j].Name)
			}
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: "unknown-key", Span: diag.Span{File: name, Line: line, Col: at, Len: max(1, len(h))}, Message: fmt.Sprintf("a %s has no column %s", kind, diag.Quote(h)), Hint: diag.DidYouMean(h, keys, "")})
		}
	}
	if l.HasErrors() {
		return nil, nil, l
	}
	alike := map[string]int{}
	for len(l) < 100 {
		rec, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			l.Add(csvError(name, err))
			break
		}
		line, _ := c.FieldPos(0)
		if len(rec) != len(head) {
			l.Errorf("bad-table", diag.Span{File: name, Line: line, Col: 1}, "the line has %d cells, the head has %d", len(rec), len(head))
			continue
		}
		var words []word
		uid, struck := "", ""
		for i, v := range rec {
			switch v = unguard(v); {
			case head[i] == "uid":
				uid = v
			case head[i] == "struck":
				struck = v
			case own[head[i]] || strings.TrimSpace(v) == "":
			default:
				ln, at := c.FieldPos(i)
				s := diag.Span{File: name, Line: ln, Col: at}
				words = append(words, word{key: head[i], value: strings.TrimSpace(v), at: s, from: s})
			}
		}
		r := entry(kind, words, diag.Span{File: name, Line: line, Col: 1}, true, look, &l)
		r.meta().Struck = struck
		if uid == "" {
			// From the content, so that the same table read twice adds nothing;
			// lines that are alike count up.
			t := tableOf(r.table())
			h := sha256.New()
			h.Write([]byte("csv"))
			t.write(h, r, "id", "sum", "uid", "entered")
			key := hex.EncodeToString(h.Sum(nil)[:8])
			alike[key]++
			fmt.Fprintf(h, "\x00%d", alike[key])
			uid = hex.EncodeToString(h.Sum(nil)[:8])
		}
		rows, uids = append(rows, r), append(uids, uid)
	}
	l.Sort()
	return rows, uids, l
}

func csvError(name string, err error) diag.Diagnostic {
	d := diag.Diagnostic{Severity: diag.Error, Code: "bad-table", Span: diag.Span{File: name}, Message: "the table cannot be read: " + err.Error()}
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		d.Span.Line, d.Span.Col = pe.Line, max(1, pe.Column)
		d.Message = "the table cannot be read: " + pe.Err.Error()
	}
	return d
}

// KindOfCSV guesses the kind of entry from a table's head: the one whose
// columns it names most of, needed ones all there.
func KindOfCSV(text []byte) string {
	first, _, _ := strings.Cut(strings.TrimPrefix(string(text), "\ufeff"), "\n")
	names := map[string]bool{}
	for _, h := range strings.FieldsFunc(first, func(r rune) bool { return r == ',' || r == ';' || r == '\r' }) {
		names[strings.Trim(strings.TrimSpace(h), `"`)] = true
	}
	best, most := "", 0
	for _, kind := range Kinds() {
		n, whole := 0, true
		for _, c := range Columns(kind) {
			has := names[c.Name] || names[c.Key]
			if has {
				n++
			}
			whole = whole && (has || !c.Need)
		}
		if whole && n > most {
			best, most = kind, n
		}
	}
	return best
}

// Known says whether an entry with this uid is there.
func (t *Tx) Known(kind, uid string) (bool, error) {
	if uid == "" {
		return false, nil
	}
	for _, tb := range tables {
		if tb.kind == kind {
			switch _, err := one(t.ctx, t.tx, tb, "uid = ?", uid); {
			case err == nil:
				return true, nil
			case errors.Is(err, ErrNoEntry):
				return false, nil
			default:
				return false, err
			}
		}
	}
	return false, nil
}

// Amend reads "key=value" arguments into an entry that is there: those given
// are changed, "key=" alone takes a value out. Nothing needed may be taken.
func Amend(r Row, args []string, look Look) diag.List {
	kind := KindOf(r)
	fresh, l := ParseEntry(kind, args, look)
	var out diag.List
	for _, d := range l {
		if d.Code != "missing" { // what is not given stays
			out.Add(d)
		}
	}
	cols := Columns(kind)
	for i, a := range args {
		key, value, ok := strings.Cut(a, "=")
		c, _ := columnFor(cols, strings.TrimSpace(key), false)
		if kind == "cost" && strings.TrimSpace(key) == "money" {
			c, _ = columnFor(cols, "cents", false)
		}
		if !ok || c == nil {
			continue
		}
		if strings.TrimSpace(value) == "" && c.Need {
			out.Add(diag.Diagnostic{Severity: diag.Error, Code: "missing", Span: diag.Span{File: EntryFile, Line: i + 1, Col: 1, Len: max(1, len(a))}, Message: fmt.Sprintf("a %s needs its %s", kind, c.Key), Hint: "change it, or strike the entry"})
			continue
		}
		c.put(r, c.cell(fresh))
		for j := range cols {
			k := &cols[j]
			if c.SD != "" && k.Name == c.SD || c.Dim == unit.Any && (k.Is == "dim" || k.Is == "text") || c.Is == "money" && k.Is == "currency" {
				k.put(r, k.cell(fresh))
			}
		}
	}
	out.Sort()
	return out
}
