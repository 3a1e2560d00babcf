package track

import (
	"slices"
	"time"
)

// Join lays logs of one session end to end on one clock, each in sections of
// its own: the way to passes that lie in different files. The logs may come
// in any order. It refuses, with the reason, logs without a date or without
// positions of the globe, logs that overlap in time (two recorders, or the
// same file twice), and logs more than apart seconds from the next. The logs
// themselves are left as they are.
func Join(logs []*Log, apart float64) (*Log, string) {
	if len(logs) < 2 {
		return nil, "there is one log"
	}
	list := slices.Clone(logs)
	for _, l := range list {
		switch {
		case len(l.Fixes) == 0:
			return nil, "a log is empty"
		case !l.DateKnown:
			return nil, "a log has no date, so it is not known how long before or after the other it was flown"
		case l.Local():
			return nil, "a log has positions of an unknown origin"
		}
	}
	begins := func(l *Log) time.Time { return l.Start.Add(time.Duration(l.Fixes[0].T * float64(time.Second))) }
	slices.SortStableFunc(list, func(a, b *Log) int { return begins(a).Compare(begins(b)) })
	out := &Log{Format: list[0].Format, Start: list[0].Start, DateKnown: true}
	var section int32
	for k, l := range list {
		shift := l.Start.Sub(out.Start).Seconds()
		if k > 0 {
			gap := l.Fixes[0].T + shift - out.Fixes[len(out.Fixes)-1].T
			switch {
			case gap <= 0:
				return nil, "the logs overlap in time"
			case gap > apart:
				return nil, "the logs are more than " + span(apart) + " apart"
			}
			out.Parts = append(out.Parts, l.Fixes[0].T+shift)
			section++
		}
		first := l.Fixes[0].Section
		for _, f := range l.Fixes {
			f.T += shift
			f.Section += section - first
			out.Fixes = append(out.Fixes, f)
		}
		section = out.Fixes[len(out.Fixes)-1].Section
		out.Records += l.Records
		out.Gaps = append(out.Gaps, l.Gaps...)
		for _, d := range l.Dropped {
			out.dropN(d.Reason, d.Count, d.Line, d.Example)
		}
	}
	return out, ""
}

// Part is the file of a joined log that a time belongs to, from 0.
func (l *Log) Part(t float64) int {
	n := 0
	for n < len(l.Parts) && t >= l.Parts[n] {
		n++
	}
	return n
}
