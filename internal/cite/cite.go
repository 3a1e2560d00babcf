// Package cite is the list of sources that documents, tests and findings
// point at. A source is an entry of one table per subject (one file each);
// a [Ref] is a source with the place inside it.
package cite

import (
	"fmt"
	"sort"
)

// Mark says how far the number behind a reference was followed back.
type Mark string

const (
	// Seen: the number was read in the source or in a public copy of it.
	Seen Mark = "seen"
	// Memory: recalled from the source, not read again.
	Memory Mark = "from memory"
	// Derived: computed by us from a stated closed form: a self-check, not evidence.
	Derived Mark = "derived"
	// Practice: common practice of the trade, no source.
	Practice Mark = "common practice, no source"
)

// Kind sorts a source for docs/accuracy.md.
type Kind string

const (
	// Measured: the source reports measurements made elsewhere.
	Measured Kind = "measured elsewhere"
	// Published: a published formula, worked sum or table.
	Published Kind = "published sum or table"
	// Own: derived by us.
	Own Kind = "derived by us"
)

// Source is one published work (or our own derivation).
type Source struct {
	Key    string // short, unique, lower case with dashes: "naca-tr-460"
	Text   string // author, title, number
	Year   int    // 0 when undated
	Kind   Kind
	Where  string // where a copy may be found, in words; may be empty
	Spread string // what the source says of its own uncertainty, in words; may be empty
}

// Ref points into a source.
type Ref struct {
	Key   string
	Place string // "table 3, row 4"; may be empty
	Mark  Mark
}

// At returns a reference to a place in the source with the given mark.
func (s Source) At(place string, m Mark) Ref { return Ref{Key: s.Key, Place: place, Mark: m} }

// String prints "Author, title, number (year), place [mark]".
func (r Ref) String() string {
	s, ok := Lookup(r.Key)
	if !ok {
		return fmt.Sprintf("unlisted source %q", r.Key)
	}
	out := s.Text
	if s.Year != 0 {
		out += fmt.Sprintf(" (%d)", s.Year)
	}
	if r.Place != "" {
		out += ", " + r.Place
	}
	return out + " [" + string(r.Mark) + "]"
}

var table = map[string]Source{}

// add lists sources; a key used twice is a programmer's misuse and panics.
// Each subject file calls it from a package-level var.
func add(list ...Source) []Source {
	for _, s := range list {
		if s.Key == "" || s.Text == "" || s.Kind == "" {
			panic("cite: source without key, text or kind: " + s.Key + s.Text)
		}
		if _, dup := table[s.Key]; dup {
			panic("cite: key listed twice: " + s.Key)
		}
		table[s.Key] = s
	}
	return list
}

// one lists a single source and returns it.
func one(s Source) Source { return add(s)[0] }

// Lookup finds a source by its key.
func Lookup(key string) (Source, bool) { s, ok := table[key]; return s, ok }

// All returns every source, sorted by key.
func All() []Source {
	out := make([]Source, 0, len(table))
	for _, s := range table {
		out = append(out, s)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].Key < out[j].Key })
	return out
}

// Ours is the key for numbers derived by us from a closed form stated beside them.
var Ours = one(Source{Key: "ours", Text: "our own derivation from the closed form stated beside it", Kind: Own})

// Common is the key for facts of the trade without a source.
var Common = one(Source{Key: "common-practice", Text: "common practice, no source", Kind: Own})

// Choice is the key for limits and defaults that are our own choice; the place says why.
var Choice = one(Source{Key: "our-choice", Text: "our choice", Kind: Own})
