package app

import (
	"maps"
	"slices"
	"sort"

	"fledge/internal/assess"
	"fledge/internal/report"
	"fledge/internal/unit"
)

// WordsView is what may be typed in after a flight: the words of readings, how
// a launch may end and the signs that tell why.
type WordsView struct {
	Schema   int        `json:"schema"`
	Readings []WordView `json:"readings"` // of a debrief
	Learn    []WordView `json:"learn"`    // to learn from
	Outcomes []string   `json:"outcomes"` // how a launch ends, as a debrief takes it
	Signs    []string   `json:"signs"`
}

// WordView is one word of a reading.
type WordView struct {
	Key     string `json:"key"`
	Say     string `json:"say"`
	Dim     string `json:"dim"` // "" for words
	Example string `json:"example"`
}

// Words lists what may be typed in.
func Words() WordsView {
	word := func(key, say string, d unit.Dim) WordView {
		v := WordView{Key: key, Say: say}
		if d != unit.None {
			v.Dim, v.Example = d.String(), d.Example()
		}
		return v
	}
	out := WordsView{Schema: report.Schema, Outcomes: append([]string{"airborne", "failed"}, waysToEnd()...), Signs: assess.LaunchSigns()}
	for _, k := range slices.Sorted(maps.Keys(typedKeys)) {
		out.Readings = append(out.Readings, word(k, typedKeys[k].say, typedKeys[k].dim))
	}
	for _, k := range slices.Sorted(maps.Keys(learnKeys)) {
		out.Learn = append(out.Learn, word(k, learnKeys[k].say, learnKeys[k].dim))
	}
	sort.Strings(out.Signs)
	return out
}
