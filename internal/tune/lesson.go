package tune

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Lesson is what one look at the evidence taught: factors, each bound to its
// component, and how their errors hang together. Without the correlations a
// speed that is known well would be forecast as vaguely as before, for it is
// thrust over drag that a speed run tells and not either alone.
type Lesson struct {
	Aeroplane string      // whose evidence it was
	Factors   Set         // at most one of each name
	Corr      [][]float64 // correlation of the factors, in their order; nil: none
	From      []string    // fingerprints of all evidence that is in it
	Heirs     []string    // other aeroplanes whose lessons were its prior
	Say       string      // in words: "3 runs, 5 bench rows"
}

// Has reports whether the evidence of that fingerprint is in the lesson.
func (l *Lesson) Has(fingerprint string) bool { return slices.Contains(l.From, fingerprint) }

// Rho is the correlation of factors i and j.
func (l *Lesson) Rho(i, j int) float64 {
	switch {
	case i == j:
		return 1
	case l.Corr == nil:
		return 0
	}
	return l.Corr[i][j]
}

// Check says what is wrong with a lesson that was read from somewhere; "" when
// nothing is.
func (l *Lesson) Check() string {
	n := len(l.Factors)
	seen := map[string]bool{}
	for _, f := range l.Factors {
		switch {
		case f.Name == "" || f.Component == "":
			return "a factor has no name or no component"
		case seen[f.Name]:
			return "the factor " + f.Name + " stands twice"
		case math.IsNaN(f.Value) || math.IsInf(f.Value, 0) || !(f.Sigma >= 0) || math.IsInf(f.Sigma, 0):
			return "the factor " + f.Name + " is no number"
		case !f.Shift && !(f.Value > 0):
			return "the factor " + f.Name + " is not above zero"
		}
		seen[f.Name] = true
	}
	if l.Corr == nil {
		return ""
	}
	if len(l.Corr) != n {
		return "the correlations do not fit the factors"
	}
	for i, row := range l.Corr {
		if len(row) != n {
			return "the correlations do not fit the factors"
		}
		for j, r := range row {
			if !(math.Abs(r) <= 1+1e-9) || math.Abs(r-l.Corr[j][i]) > 1e-9 {
				return "the correlations are impossible"
			}
		}
	}
	if _, ok := Root(l.Corr); !ok {
		return "the correlations are impossible"
	}
	return ""
}

// Root is the lower triangular L with L Lᵀ = corr (Cholesky); ok is false for
// a matrix that is no correlation. Rounding is forgiven: a pivot between
// −1e-9 and 0 counts as 0.
func Root(corr [][]float64) (l [][]float64, ok bool) {
	n := len(corr)
	l = make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			s := corr[i][j]
			for k := range j {
				s -= l[i][k] * l[j][k]
			}
			switch {
			case i == j && s < -1e-9:
				return nil, false
			case i == j:
				l[i][i] = math.Sqrt(math.Max(s, 0))
			case l[j][j] > 0:
				l[i][j] = s / l[j][j]
			case math.Abs(s) > 1e-6:
				return nil, false
			}
		}
	}
	return l, true
}

// Carried leads the reason of a factor that the data do not tell by itself: it
// is in a lesson because its errors hang together with those that are told.
const Carried = "carried along, not told by itself; "

// Told says whether the evidence tells the factor, rather than carries it.
func (f Factor) Told() bool { return !strings.HasPrefix(f.Why, Carried) }

// Hash is the fingerprint of lessons: of every bit that acts on a result.
// Lessons that hold no factor have the hash "".
func Hash(lessons []Lesson) string {
	h := sha256.New()
	any := false
	for _, l := range lessons {
		for i, f := range l.Factors {
			any = true
			fmt.Fprintf(h, "%q %q %x %x %v", f.Name, f.Component, math.Float64bits(f.Value), math.Float64bits(f.Sigma), f.Shift)
			for j := range i {
				fmt.Fprintf(h, " %x", math.Float64bits(l.Rho(i, j)))
			}
			h.Write([]byte{'\n'})
		}
		h.Write([]byte{'\n'})
	}
	if !any {
		return ""
	}
	return hex.EncodeToString(h.Sum(nil)[:6])
}

// Change is the factor against its neutral value in words: "+8 % ± 3 %" (two
// standard deviations), or the shift itself.
func (f Factor) Change() string {
	if f.Shift {
		return fmt.Sprintf("%+.4f ± %.4f", f.Value, 2*f.Sigma)
	}
	return fmt.Sprintf("%s %% ± %s %%", percent(f.Value-1, true), percent(2*f.Sigma, false))
}

func percent(v float64, sign bool) string {
	form := "%.0f"
	if math.Abs(v) < 0.0995 {
		form = "%.1f"
	}
	if sign {
		form = strings.Replace(form, "%", "%+", 1)
	}
	return fmt.Sprintf(form, 100*v)
}

// Current is what counts of many lessons, the oldest first: of each name and
// component the factor learned last. Lessons that hold evidence of the
// aeroplane except are left out (to learn its own evidence anew without
// counting it twice); "" leaves none out.
func Current(lessons []Lesson, except string) []Lesson {
	last := map[[2]string]int{}
	use := func(l *Lesson) bool {
		return except == "" || l.Aeroplane != except && !slices.Contains(l.Heirs, except)
	}
	for i := range lessons {
		if !use(&lessons[i]) {
			continue
		}
		for _, f := range lessons[i].Factors {
			last[[2]string{f.Name, f.Component}] = i
		}
	}
	var out []Lesson
	for i := range lessons {
		if !use(&lessons[i]) {
			continue
		}
		if l := lessons[i].Only(func(f *Factor) bool { return last[[2]string{f.Name, f.Component}] == i }); len(l.Factors) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// Only is the lesson with the factors that keep accepts, and their
// correlations: the others are averaged over, which for a normal posterior
// means left out.
func (l *Lesson) Only(keep func(*Factor) bool) Lesson {
	out := *l
	out.Factors, out.Corr = nil, nil
	var at []int
	for i := range l.Factors {
		if keep(&l.Factors[i]) {
			at = append(at, i)
			out.Factors = append(out.Factors, l.Factors[i])
		}
	}
	if l.Corr == nil {
		return out
	}
	for _, i := range at {
		row := make([]float64, len(at))
		for k, j := range at {
			row[k] = l.Corr[i][j]
		}
		out.Corr = append(out.Corr, row)
	}
	return out
}
