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

// readingExamples are what such a reading looks like, where the dimension's own example
// is far from it.
var readingExamples = map[string]string{
	"speed": "54 m/s or 194 km/h", "digit": "1 km/h", "direction": "240 or with", "tail_wind": "3 m/s or -3 m/s",
	"base": "100 m", "base_doubt": "0.3 m", "time": "1.85 s", "watches": "2", "frames": "87", "frame_rate": "60", "aside": "10 m", "to_marks": "40 m",
	"volts_before": "16.7 V", "volts_after": "15.0 V", "cells": "4", "put_back": "1210 mAh", "capacity": "1800 mAh", "flown": "4 min", "mean_volts": "14.6 V",
	"mass": "980 g", "build_time": "31 h", "endurance": "6 min", "span": "1050 mm", "thrust": "8.2 N", "current": "38 A", "range": "4 km", "stall_speed": "9 m/s",
	"release_speed": "14 m/s", "release_pitch": "20 deg", "release_time": "0.9 s",
}

// Words lists what may be typed in.
func Words() WordsView {
	word := func(key, say string, d unit.Dim) WordView {
		v := WordView{Key: key, Say: say}
		if d != unit.None {
			v.Dim, v.Example = d.String(), d.Example()
			if e := readingExamples[key]; e != "" {
				v.Example = e
			}
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
