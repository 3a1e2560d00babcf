package verdict

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fledge/internal/assess"
)

func q(v, lo, hi float64) assess.Quantity { return assess.Quantity{Value: v, Low: lo, High: hi} }

// The rule of design §1, case by case.
func TestJudge(t *testing.T) {
	nan := math.NaN()
	for _, r := range []struct {
		name string
		q    assess.Quantity
		l    Limit
		want Status
	}{
		{"whole interval inside", q(0.95, 0.92, 0.98), Limit{0.9, nan}, Pass},
		{"value inside, low end not", q(0.95, 0.80, 0.98), Limit{0.9, nan}, Doubtful},
		{"value outside", q(0.85, 0.80, 0.95), Limit{0.9, nan}, Fail},
		{"high end over the most", q(1, 0.9, 1.2), Limit{nan, 1.1}, Doubtful},
		{"two-sided pass", q(0.1, 0.06, 0.2), Limit{0.05, 0.25}, Pass},
		{"two-sided fail below", q(0.04, 0.03, 0.06), Limit{0.05, 0.25}, Fail},
		{"on the limit", q(0.9, 0.9, 0.9), Limit{0.9, nan}, Pass},
		{"not computed", assess.Quantity{Value: nan, Status: "no motor"}, Limit{0.9, nan}, Unknown},
		{"nothing to judge", q(1, 1, 1), Limit{nan, nan}, NotAsked},
		{"open interval", q(1, math.Inf(-1), math.Inf(1)), Limit{0.9, nan}, Doubtful},
	} {
		if got := Judge(r.q, r.l); got != r.want {
			t.Errorf("%s: %s, want %s", r.name, got, r.want)
		}
	}
}

func TestOverall(t *testing.T) {
	f := func(safety bool, s Status) Finding {
		return Finding{ID: "x", Safety: safety, Status: s, Because: string(s), Limit: Limit{math.NaN(), math.NaN()}, Release: "weigh it"}
	}
	for _, r := range []struct {
		name string
		list []Finding
		want Word
	}{
		{"all pass", []Finding{f(true, Pass), f(false, Pass)}, Go},
		{"not asked is never counted", []Finding{f(true, Pass), f(true, NotAsked)}, Go},
		{"a safety finding fails", []Finding{f(true, Fail), f(true, Doubtful)}, NoGo},
		{"a safety finding is doubtful", []Finding{f(true, Pass), f(true, Doubtful)}, Hold},
		{"a safety finding is unknown", []Finding{f(true, Unknown)}, Hold},
		{"another one fails", []Finding{f(true, Pass), f(false, Fail)}, Hold},
		{"another one is doubtful", []Finding{f(true, Pass), f(false, Doubtful)}, Go},
	} {
		word, because := overall(r.list)
		if word != r.want || because == "" {
			t.Errorf("%s: %s (%q), want %s", r.name, word, because, r.want)
		}
		if word == Hold && because == string(Doubtful) {
			t.Errorf("%s: a HOLD names what would release it", r.name)
		}
	}
}

// Tightening a limit never improves a status; widening an interval never does.
func TestJudgeIsMonotone(t *testing.T) {
	order := map[Status]int{Fail: 0, Doubtful: 1, Pass: 2}
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1, 1).Draw(t, "v")
		w := rapid.Float64Range(0, 1).Draw(t, "w")
		more := rapid.Float64Range(0, 1).Draw(t, "more")
		lim := rapid.Float64Range(-1, 1).Draw(t, "limit")
		a := Judge(q(v, v-w, v+w), Limit{lim, math.NaN()})
		if b := Judge(q(v, v-w-more, v+w+more), Limit{lim, math.NaN()}); order[b] > order[a] {
			t.Fatalf("wider doubt improved %s to %s", a, b)
		}
		if b := Judge(q(v, v-w, v+w), Limit{lim + more, math.NaN()}); order[b] > order[a] {
			t.Fatalf("a tighter limit improved %s to %s", a, b)
		}
	})
}

// Keep and Recall are each other's inverse, not-a-number included.
func TestKeep(t *testing.T) {
	v := Verdict{Findings: []Finding{{ID: "a", Remedies: []Remedy{{Set: []string{"x=1"}, Say: "s", ValueAfter: math.NaN(), After: q(1, 0.1, math.Inf(1)), Verified: true, Cost: 1.0 / 3}}}, {ID: "b"}}}
	w := Verdict{Findings: []Finding{{ID: "a"}, {ID: "b"}}}
	if !w.Recall(v.Keep()) {
		t.Fatal("not recalled")
	}
	a, b := v.Findings[0].Remedies[0], w.Findings[0].Remedies[0]
	if b.Set[0] != "x=1" || math.Float64bits(a.ValueAfter) != math.Float64bits(b.ValueAfter) || a.Cost != b.Cost || b.After != a.After || len(w.Findings[1].Remedies) != 0 {
		t.Errorf("%+v became %+v", a, b)
	}
	if w.Recall([]byte("junk")) {
		t.Error("junk recalled")
	}
}
