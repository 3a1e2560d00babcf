package seek

import (
	"context"
	"fmt"
	"math"
	"testing"

	"fledge/internal/assess"
	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/verdict"
)

// A neutral measured 3° from where trim wants it is set back by the ruler,
// both sides alike, and the throws stay as they are.
func TestNeutral(t *testing.T) {
	const deg = math.Pi / 180
	for _, want := range []float64{-2 * deg, 8 * deg} { // of the ruddervator: both ways
		ac := tern(t)
		var at *craft.Control
		surface := ""
		for i := range ac.Surfaces {
			for j := range ac.Surfaces[i].Controls {
				if c := &ac.Surfaces[i].Controls[j]; c.Pitch > 0 {
					at, surface = c, ac.Surfaces[i].Name
				}
			}
		}
		at.Heights = craft.Heights{Chord: 0.04, RightUp: 0.012, RightMid: 0.0025, RightDown: -0.006, LeftUp: 0.011, LeftMid: 0.0017, LeftDown: -0.007}
		angle := func(h float64) float64 { return math.Asin(h / 0.04) }
		judge := func(right, left float64) verdict.Finding {
			f := verdict.Finding{ID: "setup.heights." + at.Name, Limit: verdict.Limit{Min: math.NaN(), Max: 1 * deg}}
			v := math.Abs((angle(right)+angle(left))/2 - want)
			f.Value = assess.Quantity{Value: v, Low: v, High: v}
			f.Status = verdict.Judge(f.Value, f.Limit)
			return f
		}
		v := verdict.Verdict{Findings: []verdict.Finding{judge(at.Heights.RightMid, at.Heights.LeftMid)}}
		eval := func(context.Context, *craft.Aircraft, string) (verdict.Finding, error) {
			t.Error("nothing to look for")
			return verdict.Finding{}, nil
		}
		var got map[string]float64
		rerun := func(_ context.Context, id string, sets []string) (Proof, error) {
			got = map[string]float64{}
			for _, s := range sets {
				set, ds := build.ParseSetting(s)
				if ds.HasErrors() {
					t.Fatalf("%s: %v", s, ds)
				}
				for _, k := range []string{"right_up", "right_mid", "right_down", "left_up", "left_mid", "left_down"} {
					if set.Path == "surfaces."+build.PathKey(surface)+".controls."+build.PathKey(at.Name)+".heights."+k {
						got[k] = millimetres(t, set.Value)
					}
				}
			}
			return Proof{Finding: judge(got["right_mid"], got["left_mid"])}, nil
		}
		if err := Remedies(context.Background(), ac, &v, eval, rerun, Plan{}); err != nil {
			t.Fatal(err)
		}
		r := v.Findings[0].Remedies
		if len(r) != 1 || !r[0].Verified || len(r[0].Set) != 6 || len(got) != 6 {
			t.Fatalf("remedies %+v", r)
		}
		if got["right_mid"] != got["left_mid"] || math.Abs(angle(got["right_mid"])-want) > 0.5*deg {
			t.Errorf("set to %v and %v, %.1f° wanted", got["right_mid"], got["left_mid"], want/deg)
		}
		// Throws within the tenth of a millimetre that is written.
		for _, k := range []struct {
			a, b string
			was  float64
		}{{"right_up", "right_mid", angle(0.012) - angle(0.0025)}, {"right_mid", "right_down", angle(0.0025) - angle(-0.006)}, {"left_up", "left_mid", angle(0.011) - angle(0.0017)}, {"left_mid", "left_down", angle(0.0017) - angle(-0.007)}} {
			if d := angle(got[k.a]) - angle(got[k.b]); math.Abs(d-k.was) > 0.2*deg {
				t.Errorf("throw %s to %s: %.2f°, %.2f° before", k.a, k.b, d/deg, k.was/deg)
			}
		}
	}
}

func millimetres(t *testing.T, text string) float64 {
	t.Helper()
	var v float64
	if n, err := fmt.Sscanf(text, "%g mm", &v); n != 1 || err != nil {
		t.Fatalf("%q is not millimetres", text)
	}
	return v / 1e3
}
