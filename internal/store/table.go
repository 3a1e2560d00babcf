package store

import (
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"math"
	"reflect"
	"strings"

	"fledge/internal/unit"
)

// Column is one column of a table as the tags of its struct tell.
type Column struct {
	Name  string   // of the column, the JSON key and the CSV head
	Key   string   // as typed: the name without the unit
	Dim   unit.Dim // None when it is not a quantity
	Ref   string   // table that it points into
	OneOf []string
	Need  bool
	Is    string // "day", "clock", "sd", "dim", "text", "money", "currency" or bounds "[0,)"
	SD    string // column that takes the standard deviation
	Doc   string
	Go    reflect.Type
	index []int
}

type table struct {
	kind, name string
	make       func() Row
	columns    []Column
}

var suffixes = map[unit.Dim]string{
	unit.Length: "_m", unit.Speed: "_m_s", unit.Angle: "_rad", unit.Time: "_s", unit.Temperature: "_k", unit.Charge: "_c",
	unit.Acceleration: "_m_s2", unit.Mass: "_kg", unit.Area: "_m2", unit.Force: "_n", unit.Torque: "_nm", unit.Resistance: "_ohm", unit.Voltage: "_v",
}

func newTable(kind string, make func() Row) *table {
	r := make()
	t := &table{kind: kind, name: r.table(), make: make}
	for _, f := range reflect.VisibleFields(reflect.TypeOf(r).Elem()) {
		if f.Anonymous {
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		c := Column{Name: name, Key: name, Ref: f.Tag.Get("ref"), Need: f.Tag.Get("need") != "", Is: f.Tag.Get("is"), SD: f.Tag.Get("sd"), Doc: f.Tag.Get("doc"), Go: f.Type, index: f.Index}
		if d := f.Tag.Get("dim"); d != "" {
			dim, ok := unit.DimNamed(d)
			if !ok {
				panic("store: no dimension " + d)
			}
			c.Dim = dim
			c.Key = strings.TrimSuffix(name, suffixes[dim])
		}
		if s := f.Tag.Get("oneof"); s != "" {
			c.OneOf = strings.Split(s, "|")
		}
		t.columns = append(t.columns, c)
	}
	return t
}

func tableOf(name string) *table {
	for _, t := range tables {
		if t.name == name {
			return t
		}
	}
	return nil
}

// cell is one stored value: nil, int64, float64, string or []byte.
func (c *Column) cell(r Row) any {
	v := reflect.ValueOf(r).Elem().FieldByIndex(c.index)
	switch x := v.Interface().(type) {
	case string:
		if x == "" {
			return nil
		}
		return x
	case int64:
		if x == 0 {
			return nil
		}
		return x
	case *float64:
		if x == nil {
			return nil
		}
		return *x
	case *bool:
		if x == nil {
			return nil
		}
		if *x {
			return int64(1)
		}
		return int64(0)
	case []byte:
		if x == nil {
			return nil
		}
		return x
	}
	panic("store: a column of type " + v.Type().String())
}

// put writes a stored value back; it reports whether the type fits.
func (c *Column) put(r Row, value any) bool {
	v := reflect.ValueOf(r).Elem().FieldByIndex(c.index)
	if value == nil {
		v.SetZero()
		return true
	}
	switch v.Interface().(type) {
	case string:
		s, ok := value.(string)
		v.SetString(s)
		return ok
	case int64:
		n, ok := value.(int64)
		v.SetInt(n)
		return ok
	case *float64:
		switch x := value.(type) {
		case float64:
			v.Set(reflect.ValueOf(&x))
			return true
		case int64: // SQLite packs whole numbers
			f := float64(x)
			v.Set(reflect.ValueOf(&f))
			return true
		}
		return false
	case *bool:
		n, ok := value.(int64)
		b := n != 0
		v.Set(reflect.ValueOf(&b))
		return ok && (n == 0 || n == 1)
	case []byte:
		b, ok := value.([]byte)
		v.SetBytes(append([]byte{}, b...))
		return ok
	}
	return false
}

// write adds the row's values, but for some columns, to a hash. NULLs are
// left out, so that a column added later changes no sum.
func (t *table) write(h hash.Hash, r Row, but ...string) {
	h.Write([]byte(t.name))
next:
	for i := range t.columns {
		c := &t.columns[i]
		for _, b := range but {
			if c.Name == b {
				continue next
			}
		}
		v := c.cell(r)
		if v == nil {
			continue
		}
		var b []byte
		kind := byte('t')
		switch x := v.(type) {
		case int64:
			kind, b = 'i', binary.BigEndian.AppendUint64(nil, uint64(x))
		case float64:
			kind, b = 'f', binary.BigEndian.AppendUint64(nil, math.Float64bits(x))
		case string:
			b = []byte(x)
		case []byte:
			kind, b = 'b', x
		}
		var head []byte
		head = append(head, 0, byte(len(c.Name)))
		head = append(head, c.Name...)
		head = append(head, kind)
		head = binary.BigEndian.AppendUint64(head, uint64(len(b)))
		h.Write(head)
		h.Write(b)
	}
}

// sum is the row's checksum: 64 bits of SHA-256 over table, id and all values.
func (t *table) sum(r Row) string {
	h := sha256.New()
	t.write(h, r, "sum")
	return hex.EncodeToString(h.Sum(nil)[:8])
}

func (t *table) uid(r Row) string {
	h := sha256.New()
	h.Write([]byte("uid"))
	t.write(h, r, "sum", "uid")
	return hex.EncodeToString(h.Sum(nil)[:8])
}

// finite says which column holds a number that is none.
func (t *table) finite(r Row) error {
	for i := range t.columns {
		if f, ok := t.columns[i].cell(r).(float64); ok && (math.IsNaN(f) || math.IsInf(f, 0)) {
			return fmt.Errorf("%s: %s is not a finite number", t.kind, t.columns[i].Key)
		}
	}
	return nil
}

func (t *table) names() string {
	names := make([]string, len(t.columns))
	for i, c := range t.columns {
		names[i] = "`" + c.Name + "`" // in double quotes SQLite takes an unknown name for a text
	}
	return strings.Join(names, ", ")
}

// scan reads the row under the cursor.
func (t *table) scan(rows *sql.Rows) (Row, error) {
	cells := make([]any, len(t.columns))
	into := make([]any, len(t.columns))
	for i := range cells {
		into[i] = &cells[i]
	}
	if err := rows.Scan(into...); err != nil {
		return nil, err
	}
	r := t.make()
	for i := range t.columns {
		if !t.columns[i].put(r, cells[i]) {
			return r, &badRow{t.kind, r.meta().ID, t.columns[i].Name + " has a value of another type"}
		}
	}
	if got := t.sum(r); got != r.meta().Sum {
		return r, &badRow{t.kind, r.meta().ID, "its content is not what was written"}
	}
	return r, nil
}

type badRow struct {
	kind string
	id   int64
	why  string
}

func (b *badRow) Error() string { return fmt.Sprintf("%s %d: %s", b.kind, b.id, b.why) }

// Kinds lists what may be added by hand, by the word typed.
func Kinds() []string {
	var out []string
	for _, t := range tables {
		if t.kind != "file" && t.kind != "build" {
			out = append(out, t.kind)
		}
	}
	return out
}

// Columns of a kind of entry that a person may give; nil for an unknown kind.
func Columns(kind string) []Column {
	for _, t := range tables {
		if t.kind == kind {
			n := reflect.TypeFor[Meta]().NumField()
			return append([]Column(nil), t.columns[n:]...)
		}
	}
	return nil
}

// New makes an empty entry of a kind.
func New(kind string) Row {
	for _, t := range tables {
		if t.kind == kind {
			return t.make()
		}
	}
	return nil
}

// KindOf is the word for a row's kind.
func KindOf(r Row) string { return tableOf(r.table()).kind }

// MetaOf is what every row has.
func MetaOf(r Row) *Meta { return r.meta() }

// Cell is the value of a column of an entry: nil when not noted.
func (c *Column) Cell(r Row) any { return c.cell(r) }

// Put writes a value of the column's own type into an entry.
func (c *Column) Put(r Row, v any) {
	if !c.put(r, v) {
		panic(fmt.Sprintf("store: %T into %s", v, c.Name))
	}
}
