package app

import (
	"context"
	"strings"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/report"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// judgedWith runs what a check runs without its launches and remedies.
func judgedWith(t *testing.T, sets ...string) (*search, *report.Checked) {
	t.Helper()
	q := Request{Path: examples + "tern.yaml", Seed: 1, Draws: 24, Launches: 64, Sets: sets}
	o, err := Open(q)
	if err != nil {
		t.Fatal(err)
	}
	chain, err := models(context.Background(), o, q)
	if err != nil {
		t.Fatal(err)
	}
	r, err := chain.Run(context.Background(), assess.Options{Seed: 1, Draws: 24, Workers: workers(), NoLaunch: true})
	if err != nil {
		t.Fatal(err)
	}
	c := &report.Checked{Results: r, Verdict: verdict.Of(r), Units: unit.Metric}
	return &search{chain: chain, opened: o, query: q, base: r, now: &c.Verdict}, c
}

func findingOf(t *testing.T, v *verdict.Verdict, id string) *verdict.Finding {
	t.Helper()
	for i := range v.Findings {
		if v.Findings[i].ID == id {
			return &v.Findings[i]
		}
	}
	t.Fatalf("no finding %s", id)
	return nil
}

// A link that no single number saves is saved by the antenna and the power
// together, proved by a rerun.
func TestLinkRemedy(t *testing.T) {
	s, c := judgedWith(t, "radio.video.power=5 mW", "radio.video.intended=400 mW", "radio.video.ground_antenna=patch", "radio.video.ground_aim=ahead")
	f := findingOf(t, &c.Verdict, "link-margin")
	if f.Status != verdict.Fail {
		t.Fatalf("the link stands at %s, %v", f.Status, f.Value)
	}
	if err := s.link(context.Background(), &c.Verdict, c.Results); err != nil {
		t.Fatal(err)
	}
	if len(f.Remedies) != 1 || !f.Remedies[0].Verified || f.Remedies[0].After.Low < f.Limit.Min {
		t.Fatalf("remedies: %+v", f.Remedies)
	}
	if say := f.Remedies[0].Say; !strings.Contains(say, "the power that was meant, 400 mW, where local law allows it") {
		t.Errorf("said: %s", say)
	}
	// What is advised can be typed in and gives what was said.
	_, again := judgedWith(t, append([]string{"radio.video.power=5 mW", "radio.video.ground_aim=ahead", "radio.video.ground_antenna=patch"}, f.Remedies[0].Set...)...)
	if g := findingOf(t, &again.Verdict, "link-margin"); g.Status != verdict.Pass {
		t.Errorf("as advised it is %s: %+v", g.Status, g.Value)
	}
}

// A tail-heavy aeroplane out of reach of its battery is told the ballast, never
// only to weigh it; a quick look does not say that nothing cures.
func TestNeverABareNo(t *testing.T) {
	_, c := judgedWith(t, "parts.battery.at.x=240 mm", `parts."tail shell".mass=160 g`)
	f := findingOf(t, &c.Verdict, "balance")
	if f.Status != verdict.Fail || !strings.Contains(f.Release, "ballast of ") || !strings.Contains(f.Release, "in the place ahead of the controller") {
		t.Errorf("%s: %s", f.Status, f.Release)
	}
	c.Verdict.Findings = append(c.Verdict.Findings, verdict.Finding{ID: "launch-odds", Label: "launch odds", Safety: true, Status: verdict.Fail, Dim: unit.Ratio, Limit: verdict.Limit{Min: 0.9}})
	for _, quick := range []bool{true, false} {
		c.Quick = quick
		text := strings.ToLower(strings.Join(strings.Fields(report.Check(*c).Text()), " "))
		if said := strings.Contains(text, "changes were not looked for"); said != quick {
			t.Errorf("quick %v: %v: %q", quick, said, text)
		}
		if said := strings.Contains(text, "none of the changes tried"); said == quick {
			t.Errorf("quick %v says that nothing cures: %v", quick, said)
		}
	}
}
