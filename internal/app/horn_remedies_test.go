package app

import (
	"context"
	"strings"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/verdict"
)

// A printed horn that breaks is cut from plate or printed lying before it is
// made thicker, and no remedy does much more than is asked: half a millimetre
// less would not do.
func TestHornRemedies(t *testing.T) {
	ctx := context.Background()
	const weak = "linkages.ruddervator.horn_material=PETG"
	find := func(id string, sets ...string) (verdict.Finding, *search, *verdict.Verdict) {
		q := Request{Path: "../../examples/tern-corrected.yaml", Seed: 1, Launches: 64, Draws: 16, Sets: sets}
		o, err := Open(q)
		if err != nil {
			t.Fatal(err)
		}
		chain, err := models(ctx, o, q)
		if err != nil {
			t.Fatal(err)
		}
		r, err := chain.Run(ctx, assess.Options{Seed: q.Seed, Launches: q.Launches, Draws: q.Draws, Workers: workers(), Brief: true})
		if err != nil {
			t.Fatal(err)
		}
		v := verdict.Of(r)
		f := find(&v, id)
		if f == nil {
			t.Fatal("no finding " + id)
		}
		one := v
		one.Findings = []verdict.Finding{*f}
		return *f, &search{chain: chain, opened: o, query: q, base: r, now: &v}, &one
	}
	f, s, one := find("horn.ruddervator", weak)
	if f.Status != verdict.Fail {
		t.Fatalf("a printed horn holds: %+v", f)
	}
	if err := s.remedies(ctx, one); err != nil {
		t.Fatal(err)
	}
	list := one.Findings[0].Remedies
	if len(list) < 2 || list[0].Say != "cut the horn of the ruddervator from GRP plate" {
		t.Fatalf("remedies of a printed horn: %+v", list)
	}
	lying := 0
	for _, m := range list {
		if !m.Verified {
			t.Errorf("not proved: %+v", m)
		}
		if len(m.Set) == 2 && m.Set[1] == "linkages.ruddervator.print=along" && strings.HasPrefix(m.Say, "print the horn of the ruddervator lying, ") {
			lying++
			// Half a millimetre less is too little.
			at := strings.LastIndex(m.Set[0], "=")
			less := map[string]string{"13.0 mm": "12.5 mm", "4.0 mm": "3.5 mm"}[m.Set[0][at+1:]]
			if less == "" {
				t.Errorf("another size than by hand (13.0 mm deep or 4.0 mm thick): %s", m.Set[0])
				continue
			}
			if g, _, _ := find("horn.ruddervator", weak, m.Set[1], m.Set[0][:at+1]+less); g.Status == verdict.Pass {
				t.Errorf("%s does as well as %v", less, m.Set)
			}
		}
	}
	if lying == 0 {
		t.Errorf("nothing is printed lying: %+v", list)
	}
}
