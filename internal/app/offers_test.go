package app

import (
	"context"
	"strings"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/verdict"
)

// What a room computes that would cure a finding is proved by a whole rerun
// like any other remedy, and says which part, which way and how far.
func TestOffersAreProved(t *testing.T) {
	if testing.Short() {
		t.Skip("runs whole checks")
	}
	ctx := context.Background()
	type plain struct {
		o     *Opened
		chain *assess.Chain
	}
	bases := map[string]plain{} // models that the settings leave are taken over
	for _, k := range []struct {
		what, build, id string
		sets            []string
		say, set        string // of one of the remedies
	}{
		{"receiver and picture sender too near", "tern-corrected", "clearances", []string{"parts.video transmitter.at.x=375 mm", "parts.video transmitter.bay=nose", "parts.video transmitter.at.z=10 mm", "inside.bays.nose.sections[2].x=420 mm"}, "move receiver 30 mm forward to x = 238 mm", "parts.receiver.at.x=238 mm"},
		{"a servo that only goes in without its lugs", "tern-corrected", "fit", []string{"inside.bays.aileron bay.to=358 mm"}, "cut the lugs off aileron servo", "parts.aileron servo.lugs.x=0 mm"},
		{"a motor wired to turn backwards", "tern-corrected", "motor-direction", []string{"power.motor.turns=clockwise"}, "swap any two", "power.motor.turns=counter-clockwise"},
		{"tail-heavy, and nothing may move far", "heron", "balance", []string{"parts.battery.may_move.x=230 mm to 240 mm", "parts.battery.at.x=238 mm", "parts.motor.mass=60 g"}, "of ballast at nose", "kind=ballast"},
		{"a wire too thin", "tern-corrected", "wire", []string{"power.wiring.gauge=20"}, "a battery lead of ", "power.wiring.gauge="},
		{"a stake that holds little", "tern-corrected", "stake", []string{"launch.bungee.stake_holds=40 N"}, "a stake that stands a pull of ", "launch.bungee.stake_holds="},
		{"a spar proved for less", "tern-corrected", "spar", []string{"strength.spar.moment=3 N m"}, "a spar that stands a proof load of ", "strength.spar.moment="},
		{"a part on one side", "heron", "lateral-balance", []string{"parts.battery.at.y=60 mm"}, "of ballast in the left tip", "parts[7].at.y=-"},
		{"a sender in a closed bay", "tern-corrected", "fit", []string{"inside.bays.tail.closed=yes", "parts.video transmitter.heat=6 W"}, "let air through tail", "inside.bays.tail.closed=no"},
	} {
		q := Request{Path: "../../examples/" + k.build + ".yaml", Seed: 1, Launches: 64, Draws: 16}
		b, ok := bases[k.build]
		if !ok {
			var err error
			if b.o, err = Open(q); err != nil {
				t.Fatal(err)
			}
			if b.chain, err = models(ctx, b.o, q); err != nil {
				t.Fatal(err)
			}
			bases[k.build] = b
		}
		q.memo, q.Sets = b.o.memo, k.sets
		o, err := Open(q)
		if err != nil {
			t.Fatalf("%s: %v", k.what, err)
		}
		chain, err := b.chain.Renew(ctx, o.Aircraft)
		if err != nil {
			t.Fatal(err)
		}
		r, err := chain.Run(ctx, assess.Options{Seed: q.Seed, Launches: q.Launches, Draws: q.Draws, Workers: workers(), Brief: true})
		if err != nil {
			t.Fatal(err)
		}
		v := verdict.Of(r)
		f := find(&v, k.id)
		if f == nil || f.Status != verdict.Fail {
			t.Errorf("%s: %+v", k.what, f)
			continue
		}
		one := v
		one.Findings = []verdict.Finding{*f}
		s := &search{chain: chain, opened: o, query: q, base: r, now: &v}
		if err := s.remedies(ctx, &one); err != nil {
			t.Fatal(err)
		}
		found := false
		for _, m := range one.Findings[0].Remedies {
			// The tern's servo goes in with less room than its sizes are known to.
			if !m.Verified && !(k.id == "fit" && m.StatusAfter == verdict.Doubtful) || m.WordAfter == "" {
				t.Errorf("%s: not proved: %+v", k.what, m)
			}
			found = found || strings.Contains(m.Say, k.say) && strings.Contains(strings.Join(m.Set, "\n"), k.set)
		}
		if !found {
			t.Errorf("%s: %+v; %s", k.what, one.Findings[0].Remedies, f.Release)
		}
	}
}
