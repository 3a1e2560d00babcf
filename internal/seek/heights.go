package seek

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fledge/internal/build"
	"fledge/internal/craft"
	"fledge/internal/verdict"
)

// rulerStep is what a ruler at the trailing edge is set to, m.
const rulerStep = 0.0005

// neutral gives the remedy of a neutral that was measured where trim does not
// want it: both sides set to one height at the ruler, the throws as they are.
// The finding says how far it is off, not which way: both ways are proved.
func neutral(ctx context.Context, ac *craft.Aircraft, f *verdict.Finding, rerun Rerun) error {
	const kind = "setup.heights."
	for si := range ac.Surfaces {
		for ci := range ac.Surfaces[si].Controls {
			c := &ac.Surfaces[si].Controls[ci]
			if f.ID != kind+strings.ReplaceAll(c.Name, "_", "-") && f.ID != kind+c.Name || !(c.Heights.Chord > 0) {
				continue
			}
			h := &c.Heights
			path := "surfaces." + build.PathKey(ac.Surfaces[si].Name) + ".controls." + build.PathKey(c.Name) + ".heights."
			sides := []struct {
				name          string
				up, mid, down float64
			}{{"right", h.RightUp, h.RightMid, h.RightDown}, {"left", h.LeftUp, h.LeftMid, h.LeftDown}}
			now, n := 0.0, 0.0
			for _, s := range sides {
				if a := math.Asin(s.mid / h.Chord); !math.IsNaN(a) {
					now, n = now+a, n+1
				}
			}
			if n == 0 {
				return nil
			}
			now /= n
			for _, off := range []float64{f.Value.Value, -f.Value.Value} {
				mid := math.Round(h.Chord*math.Sin(now+off)/rulerStep) * rulerStep
				var sets []string
				for _, s := range sides {
					turn := math.Asin(mid/h.Chord) - math.Asin(s.mid/h.Chord)
					for _, k := range []struct {
						key string
						at  float64
					}{{"up", s.up}, {"mid", s.mid}, {"down", s.down}} {
						if v := h.Chord * math.Sin(math.Asin(k.at/h.Chord)+turn); !math.IsNaN(v) {
							sets = append(sets, fmt.Sprintf("%s%s_%s=%.1f mm", path, s.name, k.key, v*1e3))
						}
					}
				}
				say := fmt.Sprintf("set the neutral of the %s so that the ruler reads %.1f mm %s, both sides alike", c.Name, math.Abs(mid)*1e3, map[bool]string{true: "up", false: "down"}[mid >= 0])
				p, err := rerun(ctx, f.ID, sets)
				if err != nil {
					return err
				}
				if p.Finding.Status == verdict.Pass {
					f.Remedies = append(f.Remedies, verdict.Remedy{
						Set: sets, Say: say, Verified: true, ValueAfter: p.Finding.Value.Value, After: p.Finding.Value,
						StatusAfter: p.Finding.Status, WordAfter: p.Word, Spoils: p.Spoils, Cost: 3,
					})
					return nil
				}
			}
			return nil
		}
	}
	return nil
}
