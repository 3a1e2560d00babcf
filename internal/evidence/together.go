package evidence

import (
	"fmt"
	"strings"

	"fledge/internal/track"
)

// Together looks for a two-way speed over several files of one session: a
// recorder that begins a new file with every pass gives each only one
// direction. The debrief of all of them as one record is given when its best
// pair lies in two files and no file alone shows as fast a pair; else the
// reason why not, or nothing when the files need no joining.
func Together(list []*Debrief, o Options) (*Debrief, string) {
	var logs []*track.Log
	var names []string
	best := 0.0
	for _, d := range list {
		if d.Path == nil || !d.Path.Placed {
			continue
		}
		logs, names = append(logs, d.Path.Log), append(names, d.Name)
		if d.TwoWay != nil {
			best = max(best, d.TwoWay.Value)
		}
	}
	if len(logs) < 2 {
		return nil, ""
	}
	l, why := track.Join(logs, pairWithin)
	if l == nil {
		if best > 0 {
			return nil, ""
		}
		return nil, "passes in different files are not paired: " + why
	}
	dropped := l.Dropped
	l.Dropped = nil
	p := track.Smooth(l)
	l.Dropped = dropped // counted in the files themselves
	o.Name = strings.Join(names, " and ")
	if len(names) > 3 {
		o.Name = fmt.Sprintf("%s and %d more", names[0], len(names)-1)
	}
	o.Hash = ""
	d := Of(p, o)
	if d.TwoWay == nil || !d.Pairs[d.BestPair].Files || d.TwoWay.Value <= best {
		return nil, ""
	}
	d.remark("these files are of one session and are laid end to end here, so that passes in different files can be paired")
	return &d, ""
}
