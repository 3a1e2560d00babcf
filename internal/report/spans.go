package report

import (
	"fmt"
	"math"
	"reflect"
	"strings"

	"fledge/internal/assess"
)

// Spans are the 90 % intervals of a row's numbers by their keys. A number that
// was asked for or that is exact has none; an end that is null is open: more
// than one draw in twenty has no such number.
type Spans map[string][2]Float

// Span is the interval of a number; ok is false when it has none.
func (s Spans) Span(key string) (low, high float64, ok bool) {
	v, ok := s[key]
	return float64(v[0]), float64(v[1]), ok
}

// Doubt fills the Spans of every row of nominal by the same rows in draws of
// what is not known. Rows of a list are the same where the
// word they begin with is, else where their place is.
func Doubt[T any](nominal *T, draws []T) {
	list := make([]reflect.Value, len(draws))
	for i := range draws {
		list[i] = reflect.ValueOf(draws[i])
	}
	walk(reflect.ValueOf(nominal).Elem(), list)
}

var (
	floatType = reflect.TypeFor[Float]()
	spansType = reflect.TypeFor[Spans]()
)

// walk goes over the rows; a draw that lacks a row is the zero Value there.
func walk(n reflect.Value, draws []reflect.Value) {
	switch n.Kind() {
	case reflect.Slice:
		for i := range n.Len() {
			rows := make([]reflect.Value, len(draws))
			for j, d := range draws {
				if d.IsValid() {
					rows[j] = twin(n, d, i)
				}
			}
			walk(n.Index(i), rows)
		}
	case reflect.Pointer:
		if n.IsNil() {
			return
		}
		rows := make([]reflect.Value, len(draws))
		for j, d := range draws {
			if d.IsValid() && !d.IsNil() {
				rows[j] = d.Elem()
			}
		}
		walk(n.Elem(), rows)
	case reflect.Struct:
		var to reflect.Value
		spans := Spans{}
		for i := range n.NumField() {
			f := n.Type().Field(i)
			if !f.IsExported() {
				continue
			}
			fields := make([]reflect.Value, len(draws))
			for j, d := range draws {
				if d.IsValid() {
					fields[j] = d.Field(i)
				}
			}
			switch f.Type {
			case spansType:
				to = n.Field(i)
			case floatType:
				if low, high, ok := between(n.Field(i), fields); ok {
					key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
					spans[key] = [2]Float{Float(low), Float(high)}
				}
			default:
				walk(n.Field(i), fields)
			}
		}
		if to.IsValid() && len(spans) > 0 {
			to.Set(reflect.ValueOf(spans))
		}
	}
}

// between is the interval of one number; ok is false when there is no number
// or no doubt.
func between(n reflect.Value, draws []reflect.Value) (low, high float64, ok bool) {
	v := n.Float()
	xs := make([]float64, len(draws))
	for i, d := range draws {
		xs[i] = math.NaN()
		if d.IsValid() {
			if xs[i] = d.Float(); math.IsInf(xs[i], 0) && !math.IsInf(v, 0) {
				xs[i] = math.NaN()
			}
		}
	}
	if math.IsNaN(v) || math.IsInf(v, 0) || len(xs) < 2 {
		return 0, 0, false
	}
	low, high = assess.Interval90(v, xs)
	return low, high, high-low > 1e-9*math.Abs(v)
}

// twin is the row of a draw's list that goes with row i of the nominal one.
func twin(n, d reflect.Value, i int) reflect.Value {
	name := word(n.Index(i))
	if i < d.Len() && word(d.Index(i)) == name { // most often
		return d.Index(i)
	}
	if name != "" {
		for j := range d.Len() {
			if word(d.Index(j)) == name {
				return d.Index(j)
			}
		}
	}
	return reflect.Value{}
}

// word is the text that a row begins with; "" when it begins with a number.
func word(v reflect.Value) string {
	if v.Kind() == reflect.Struct && v.NumField() > 0 && v.Field(0).Kind() == reflect.String {
		return v.Field(0).String()
	}
	return ""
}

// give prints two standard deviations of a row's number, from its interval, k
// times as large; "" when it is exact.
func (s Spans) give(key string, k float64, places int) string {
	low, high, ok := s.Span(key)
	if !ok {
		return ""
	}
	if math.IsInf(low, 0) || math.IsInf(high, 0) {
		return "open"
	}
	return "±" + col(math.Abs(k)*(high-low)/half90, places)
}

// ends prints a row's 90 % interval, k times as large, to stand behind the
// number: " (1.9 to 2.4)"; "" when it is exact.
func (s Spans) ends(key string, k float64, places int) string {
	low, high, ok := s.Span(key)
	if !ok {
		return ""
	}
	if math.IsInf(low, 0) || math.IsInf(high, 0) {
		return unsure
	}
	return fmt.Sprintf(" (%s to %s)", col(k*low, places), col(k*high, places))
}

// after prints two standard deviations of a row's number, k times as large, to
// stand behind it: " ± 0.2"; "" when it is exact or they do not show.
func (s Spans) after(key string, k float64, places int) string {
	low, high, ok := s.Span(key)
	if !ok {
		return ""
	}
	return giveSpan([2]float64{low, high}, math.Abs(k), places)
}

// quantity is a row's number with its interval, as a quantity of the unit u.
func (s Spans) quantity(key string, v float64, u string) assess.Quantity {
	q := assess.Quantity{Value: v, Low: v, High: v, Unit: u}
	if math.IsNaN(v) || math.IsInf(v, 0) {
		q.Value, q.Low, q.High, q.Status = math.NaN(), math.NaN(), math.NaN(), "not found"
		return q
	}
	if low, high, ok := s.Span(key); ok {
		q.Low, q.High = low, high
	}
	return q
}

// unsigned takes the sign off a doubt that stands in a column headed ±.
func unsigned(give string) string { return strings.TrimPrefix(give, "±") }

// under is the row of a table that gives what stands above it its doubt: the
// label, then for each key its ±; an empty key leaves the column empty. ok is
// false when nothing there has doubt.
func (s Spans) under(label string, cells ...cell) (row []string, ok bool) {
	row = []string{label}
	for _, c := range cells {
		text := ""
		if c.key != "" {
			text = s.give(c.key, c.k, c.places)
		}
		ok = ok || text != ""
		row = append(row, text)
	}
	return row, ok
}

// cell is a number of a table's row: its key, by what it is multiplied, and
// its places.
type cell struct {
	key    string
	k      float64
	places int
}

// plusMinus says what ± means under a table.
const plusMinus = "± is two standard deviations of all that is not known; --json has the 90 %% intervals."
