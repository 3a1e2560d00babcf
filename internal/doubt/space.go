package doubt

import (
	"fmt"

	"fledge/internal/num"
)

// Kind tells the two kinds of doubt apart.
type Kind int

const (
	// Ignorance: the same at every launch, but not known.
	Ignorance Kind = iota
	// Scatter: different at every launch.
	Scatter
)

// String says it in a word.
func (k Kind) String() string {
	if k == Scatter {
		return "scatter"
	}
	return "ignorance"
}

// Input is one uncertain quantity.
type Input struct {
	Path  string // path in the build, or a name of a factor slot; unique in a space
	Label string // in words, for people
	Kind  Kind
	Dist  Dist
	// How says how to measure it at home; empty when it cannot be measured.
	How string
}

// Space is the named list of uncertain inputs. Each input, also an exact one,
// owns a dimension of the draws by its place among the inputs of its kind, so
// that narrowing one input leaves the draws of all others as they were
// (common random numbers). Put the inputs that matter most first: the first
// dimensions of low-discrepancy points are the most even ([Sampler] takes the
// two kinds in turn).
type Space struct {
	inputs    []Input
	ignorance []int
	scatter   []int
}

// NewSpace makes the space; it errs on a path given twice or none, and on
// more inputs than the points have dimensions.
func NewSpace(inputs []Input) (*Space, error) {
	s := &Space{inputs: append([]Input(nil), inputs...)}
	seen := map[string]bool{}
	for i, in := range inputs {
		if in.Path == "" || seen[in.Path] {
			return nil, fmt.Errorf("doubt: input %d: path %q is empty or given twice", i, in.Path)
		}
		seen[in.Path] = true
		if in.Kind == Scatter {
			s.scatter = append(s.scatter, i)
		} else {
			s.ignorance = append(s.ignorance, i)
		}
	}
	if len(inputs) > num.SobolMaxDim {
		return nil, fmt.Errorf("doubt: %d inputs, at most %d", len(inputs), num.SobolMaxDim)
	}
	return s, nil
}

// Inputs of one kind, in the order of the draws.
func (s *Space) Inputs(k Kind) []Input {
	var out []Input
	for _, i := range s.of(k) {
		out = append(out, s.inputs[i])
	}
	return out
}

func (s *Space) of(k Kind) []int {
	if k == Scatter {
		return s.scatter
	}
	return s.ignorance
}

// Len is the number of inputs of a kind.
func (s *Space) Len(k Kind) int { return len(s.of(k)) }

// Nominal writes the nominal values of a kind to out (length Len).
func (s *Space) Nominal(k Kind, out []float64) {
	for j, i := range s.of(k) {
		out[j] = s.inputs[i].Dist.Nominal()
	}
}

// With is the space with one input replaced by path: to ask what measuring it
// would do. It panics when there is no such path.
func (s *Space) With(path string, d Dist) *Space {
	c := *s
	c.inputs = append([]Input(nil), s.inputs...)
	for i := range c.inputs {
		if c.inputs[i].Path == path {
			c.inputs[i].Dist = d
			return &c
		}
	}
	panic("doubt: no input " + path)
}

// Certain tells whether no input has any doubt.
func (s *Space) Certain() bool {
	for _, in := range s.inputs {
		if !in.Dist.Fixed() {
			return false
		}
	}
	return true
}

// Sampler draws from a space. Draw i depends on space, seed and i only: it is
// the same alone or among thousands, on any number of cores.
//
// Draws are split into worlds and repeats: draws Repeats*w, Repeats*w+1, ...
// share the ignorance of world w and differ in scatter. World and scatter of
// every repeat are dimensions of one scrambled low-discrepancy sequence, so
// that each repeat alone is an even sample of all inputs, and two repeats of a
// world are as good as independent, which estimates of the range that
// ignorance spans need. Dimensions are given in turn: the first unknown, the
// first scatter input, the second unknown, and so on, so that what matters most
// of both kinds has the most even ones; those of further repeats follow, so
// that the first repeat of each world is the same however many there are.
type Sampler struct {
	Repeats   int
	space     *Space
	points    *num.Sobol
	ignorance []int   // dimension of each input
	scatter   [][]int // by repeat
}

// NewSampler makes a sampler with the given number of repeats per world, at
// least 1; fewer when the sequence has not enough dimensions for that many.
func NewSampler(s *Space, seed uint64, repeats int) *Sampler {
	if repeats < 1 {
		panic(fmt.Sprintf("doubt: %d repeats", repeats))
	}
	ni, ns := len(s.ignorance), len(s.scatter)
	for ni+repeats*ns > num.SobolMaxDim {
		repeats--
	}
	m := &Sampler{Repeats: repeats, space: s, points: num.NewSobol(max(1, ni+repeats*ns), num.Hash(seed, 1)), scatter: make([][]int, repeats)}
	next := 0
	take := func(list *[]int) {
		*list = append(*list, next)
		next++
	}
	for k := range max(ni, ns) {
		if k < ni {
			take(&m.ignorance)
		}
		if k < ns {
			take(&m.scatter[0])
		}
	}
	for r := 1; r < repeats; r++ {
		for range ns {
			take(&m.scatter[r])
		}
	}
	return m
}

// Points writes the uniform points of draw i: ignorance and scatter, lengths
// Len of each kind.
func (m *Sampler) Points(i int, ignorance, scatter []float64) {
	w, r := uint64(i/m.Repeats), i%m.Repeats
	if len(ignorance) != len(m.ignorance) || len(scatter) != len(m.scatter[r]) {
		panic("doubt: slices of a draw have the wrong lengths")
	}
	for j, d := range m.ignorance {
		m.points.Part(w, d, ignorance[j:j+1])
	}
	for j, d := range m.scatter[r] {
		m.points.Part(w, d, scatter[j:j+1])
	}
}

// Draw writes the values of draw i; arguments as [Sampler.Points].
func (m *Sampler) Draw(i int, ignorance, scatter []float64) {
	m.Points(i, ignorance, scatter)
	for j, k := range m.space.ignorance {
		ignorance[j] = m.space.inputs[k].Dist.At(ignorance[j])
	}
	for j, k := range m.space.scatter {
		scatter[j] = m.space.inputs[k].Dist.At(scatter[j])
	}
}
