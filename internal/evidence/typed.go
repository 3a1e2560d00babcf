package evidence

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Way of a typed pass when no course was noted: with or against the wind.
type Way int

// The ways a pilot knows without a compass.
const (
	WayUnknown  Way = 0
	WithWind    Way = 1
	AgainstWind Way = -1
)

// String is the way in words, "" when not known.
func (w Way) String() string {
	return map[Way]string{WithWind: "with the wind", AgainstWind: "against the wind"}[w]
}

// What pairs of typed speeds are called as evidence, and a remark on them.
const (
	typedTimed   = "timed two-way speed"
	typedRead    = "two-way speed read"
	notLevelSaid = "not stated to be level"
)

// TypedPass is one typed speed over the ground in one direction.
type TypedPass struct {
	Reading   int      `json:"reading"` // which of those typed, from 1
	Ground    Quantity `json:"ground_speed"`
	CourseDeg *float64 `json:"course_deg"`    // null: not noted
	Way       string   `json:"way,omitempty"` // with or against the wind, where that was noted
	How       string   `json:"how"`
}

// TypedPair is two typed speeds in opposite directions: their mean is free of
// the wind along them, half their difference is that wind.
type TypedPair struct {
	Passes    [2]TypedPass `json:"passes"`
	TwoWay    Quantity     `json:"two_way_speed"` // arithmetic mean
	AlongWind Quantity     `json:"wind_along"`    // half the difference: blows the way of the first pass when positive
	Budget    []Term       `json:"budget"`
	Best      bool         `json:"best"` // of its kind, timed or read
	Remarks   []string     `json:"remarks,omitempty"`
	scatter   float64      // the part of the doubt that differs from pair to pass, m/s
	timed     bool
	unsaid    bool // not stated to be level
}

// gustShare is the standard deviation of the wind along a short pass a few
// metres up, over the mean wind: turbulence over open grass. Common practice,
// no source.
const gustShare = 0.2

// oneWay is a typed speed that may be paired, with its doubt by cause.
type oneWay struct {
	TypedPass
	v        float64
	way      Way
	level    bool
	timed    bool
	own      float64 // m/s: of this pass alone (hand, film's frames, last digit)
	ownWhat  string
	base     float64 // relative: of the base, the same for every pass over it
	baseID   [3]float64
	rate     float64 // relative: of the film's frame rate, the same for one camera
	tailWind *float64
}

func opposite(a, b *oneWay) bool {
	if a.CourseDeg != nil && b.CourseDeg != nil {
		return math.Abs(math.Remainder(*a.CourseDeg-*b.CourseDeg-180, 360)) <= 25
	}
	return a.way != WayUnknown && a.way == -b.way
}

// pairTyped pairs typed speeds in opposite directions as a log's passes are;
// what could not be paired is said. Timed passes are paired among themselves and
// speeds off a screen too, the best of each marked: the doubts of the two are too
// unlike for a best of both. One of each is paired where nothing else is.
func pairTyped(list []oneWay) (pairs []TypedPair, remarks []string) {
	paired := make([]bool, len(list))
	kind := func(want func(a, b *oneWay) bool) {
		var some []TypedPair
		var from [][2]int
		for i := range list {
			for j := i + 1; j < len(list); j++ {
				if a, b := &list[i], &list[j]; want(a, b) && opposite(a, b) {
					paired[i], paired[j] = true, true
					from = append(from, [2]int{i, j})
					some = append(some, a.with(b))
				}
			}
		}
		if len(some) == 0 {
			return
		}
		pick(some, from)
		if most := 50; len(some) > most {
			remarks = append(remarks, fmt.Sprintf("%d pairs of typed passes were found; the best %d are listed", len(some), most))
			slices.SortStableFunc(some, func(p, q TypedPair) int {
				return cmp.Or(-cmp.Compare(b2f(p.Best), b2f(q.Best)), -cmp.Compare(p.TwoWay.Value, q.TwoWay.Value))
			})
			some = some[:most]
		}
		pairs = append(pairs, some...)
	}
	kind(func(a, b *oneWay) bool { return !a.timed && !b.timed })
	kind(func(a, b *oneWay) bool { return a.timed && b.timed })
	if len(pairs) == 0 {
		kind(func(a, b *oneWay) bool { return a.timed != b.timed })
	}
	for i := range list {
		if paired[i] || len(list) < 2 {
			continue
		}
		why := "nothing was read in the opposite direction"
		if list[i].CourseDeg == nil && list[i].way == WayUnknown {
			why = "its direction is not known: type direction=240, or with or against (the wind)"
		}
		remarks = append(remarks, fmt.Sprintf("reading %d is not paired: %s", list[i].Reading, why))
	}
	return pairs, remarks
}

// pick marks the fastest pair and takes off what picking it among others as
// good has added. from is the two passes of each.
func pick(pairs []TypedPair, from [][2]int) {
	best := 0
	for k := range pairs {
		if pairs[k].TwoWay.Value > pairs[best].TwoWay.Value {
			best = k
		}
	}
	b := &pairs[best]
	seen := map[int]bool{}
	for k := range pairs {
		if pairs[k].TwoWay.Value > b.TwoWay.Value-3*b.TwoWay.SD() {
			seen[from[k][0]], seen[from[k][1]] = true, true
		}
	}
	if bias := b.scatter * PeakBias((len(seen)+1)/2); bias > 0 {
		b.TwoWay = about(b.TwoWay.Value-bias, b.TwoWay.SD(), "m/s")
		b.Remarks = append(b.Remarks, fmt.Sprintf("the best of %d passes was picked: %.1f m/s, which luck alone would add, is taken off", len(seen), bias))
	}
	b.Best = true
}

// with is the pair of a and b.
func (a *oneWay) with(b *oneWay) TypedPair {
	p := TypedPair{Passes: [2]TypedPass{a.TypedPass, b.TypedPass}, timed: a.timed && b.timed}
	mean, along := (a.v+b.v)/2, (a.v-b.v)/2
	own := math.Hypot(a.own, b.own) / 2
	what := a.ownWhat
	if b.ownWhat != what {
		what += ", " + b.ownWhat
	}
	p.Budget = append(p.Budget, Term{what + " over both passes", own})
	shared := func(what string, x, y float64, same bool) {
		u := math.Hypot(x*a.v, y*b.v) / 2
		if same {
			u = (x*a.v + y*b.v) / 2
			what += ", the same both ways"
		}
		if u > 0 {
			p.Budget = append(p.Budget, Term{what, u})
		}
	}
	shared("length of the base", a.base, b.base, a.baseID == b.baseID)
	shared("the film's frame rate", a.rate, b.rate, true)
	// the cross wind is not known: as strong as the wind along, or 2 m/s, as for a log
	cross := math.Max(2, math.Abs(along))
	p.Budget = append(p.Budget, Term{"cross wind, not known", sq(cross) / (2 * mean)})
	gust := gustShare * math.Hypot(cross, along) / math.Sqrt2
	p.Budget = append(p.Budget, Term{"gusts and change of wind between the passes", gust})
	if !a.level || !b.level { // a habit, so not halved
		p.Budget = append(p.Budget, Term{"a dive into the passes (not stated to be level)", diveSD})
		p.unsaid = true
	}
	u := 0.0
	for _, t := range p.Budget {
		u += sq(t.Sigma)
	}
	p.scatter = math.Hypot(own, gust)
	p.TwoWay = about(mean, math.Sqrt(u), "m/s")
	p.AlongWind = about(along, p.scatter, "m/s")
	for k, x := range []*oneWay{a, b} {
		if x.tailWind == nil {
			continue
		}
		told := *x.tailWind
		if k == 1 {
			told = -told
		}
		if math.Abs(told-along) > 2*math.Hypot(p.scatter, 1) {
			p.Remarks = append(p.Remarks, fmt.Sprintf("a tail wind of %.1f m/s was typed for reading %d, the two passes show %.1f m/s: the mean needs neither", *x.tailWind, x.Reading, map[bool]float64{true: along, false: -along}[k == 0]))
		}
	}
	if w := a.way; w != WayUnknown && float64(w)*along < -2*p.scatter {
		p.Remarks = append(p.Remarks, "the pass with the wind was the slower one: are the directions the right way round?")
	}
	return p
}

// item is the pair as evidence.
func (p *TypedPair) item() Item {
	it := Item{What: typedRead, Value: p.TwoWay.Value, Sigma: p.TwoWay.SD(), Unit: "m/s", Method: "arithmetic mean of two typed passes in opposite directions"}
	if p.timed {
		it.What, it.Method = typedTimed, "arithmetic mean of two timed passes in opposite directions"
	}
	if p.unsaid {
		it.Remark = notLevelSaid
	}
	return it
}

// Narrow says which reading would narrow the pair's doubt most, or "".
func (p *TypedPair) Narrow() string {
	sum, most := 0.0, p.Budget[0]
	for _, t := range p.Budget {
		sum += sq(t.Sigma)
		if t.Sigma > most.Sigma {
			most = t
		}
	}
	if sq(most.Sigma) < 0.5*sum {
		return ""
	}
	switch {
	case most == p.Budget[0] && p.timed:
		return "the timing is most of the doubt: a base twice as long halves it; so does a film at 60 frames a second beside a watch"
	case most == p.Budget[0]:
		return "the screen is most of the doubt: a log of the receiver's own speeds tells more"
	case most.Sigma == diveSD:
		return "whether they were level is most of the doubt: say level=yes where somebody watched the height"
	case most.What == "gusts and change of wind between the passes":
		return "the wind is most of the doubt: fly both ways within a minute or two, or on a calmer day"
	}
	return ""
}
