package build

import (
	"fmt"
	"math"
	"reflect"
)

// Bounds is the room of a number, in SI: infinite where there is no bound,
// open where the bound itself is not allowed.
type Bounds struct {
	Low, High         float64
	OpenLow, OpenHigh bool
}

// Bounds gives the room that the format leaves a number.
func (l Leaf) Bounds() Bounds {
	if l.is == "" {
		return Bounds{Low: math.Inf(-1), High: math.Inf(1)}
	}
	b := parseBounds(l.is)
	return Bounds{b.low, b.high, b.openLow, b.openHigh}
}

// ListInfo is one list of a build, with what an item of it may hold.
type ListInfo struct {
	Path  string // of the list
	Doc   string
	Items []ListItem
	Next  string // the path of an item after the last one
	Keys  []Leaf // what an item holds; their paths begin at the item
}

// ListItem is one item of a list.
type ListItem struct{ Path, Name string }

// Every lists every scalar that a build holds or could hold: those of all
// blocks, and of all items that are there. Given tells them apart.
func Every(b *Build) (leaves []Leaf, lists []ListInfo) {
	var walk func(v reflect.Value, path string)
	walk = func(v reflect.Value, path string) {
		for _, f := range fieldsOf(v.Type()) {
			x, at := v.Field(f.index), join(path, f.key)
			switch {
			case isLeaf(f.typ):
				leaves = append(leaves, leafOf(x, f, at))
			case f.typ.Kind() == reflect.Slice:
				info := ListInfo{Path: at, Doc: f.doc, Next: fmt.Sprintf("%s[%d]", at, x.Len()), Keys: keysBelow(f.typ.Elem(), "")}
				twice := map[string]int{}
				for i := range x.Len() {
					twice[nameOf(x.Index(i))]++
				}
				for i := range x.Len() {
					item := ListItem{itemName(x.Index(i), at, i), nameOf(x.Index(i))}
					if twice[item.Name] > 1 {
						item.Path = fmt.Sprintf("%s[%d]", at, i)
					}
					info.Items = append(info.Items, item)
					walk(x.Index(i), item.Path)
				}
				lists = append(lists, info)
			default:
				walk(x, at)
			}
		}
	}
	walk(reflect.ValueOf(b).Elem(), "")
	return leaves, lists
}

// keysBelow lists the scalars of a struct, lists inside it left out.
func keysBelow(t reflect.Type, path string) []Leaf {
	var out []Leaf
	for _, f := range fieldsOf(t) {
		switch {
		case isLeaf(f.typ):
			out = append(out, leafOf(reflect.New(f.typ).Elem(), f, join(path, f.key)))
		case f.typ.Kind() != reflect.Slice:
			out = append(out, keysBelow(f.typ, join(path, f.key))...)
		}
	}
	return out
}
