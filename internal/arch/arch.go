// Package arch holds the import rules of the house as data; its test reads
// every package's imports and holds them to it. A rule is never relaxed to
// fix a build: move the code instead.
package arch

// Rule says which rooms a room may import (of this module). Anything not
// listed is refused; tests may import check and cite besides.
type Rule struct {
	Room string
	May  []string
	What string // the room's one purpose
}

// Rules is the flow of docs/architecture.md from left to right.
var Rules = []Rule{
	{"cite", nil, "the list of sources"},
	{"check", []string{"cite"}, "published checks, for tests only"},
	{"arch", nil, "these rules"},
	{"unit", []string{"cite"}, "quantities and their units"},
	{"diag", nil, "located diagnostics"},
	{"num", nil, "roots, ODEs, least squares, low-discrepancy points"},
	{"geo", nil, "ellipsoid, local frames"},
	{"air", []string{"cite", "num"}, "atmosphere, wind, gusts, weather reports"},
	{"doubt", []string{"cite", "num"}, "distributions, inputs, draws, intervals, sensitivity"},
	{"tune", nil, "the fitted factors with their doubt"},
	{"typical", []string{"cite"}, "what is assumed of power-train parts"},
	{"build", []string{"diag", "unit"}, "the build file"},
	{"craft", []string{"build", "diag", "unit", "air", "tune", "typical", "cite", "section"}, "build to aircraft"},
	{"fit", []string{"craft", "cite", "num"}, "boxes, bays, routes, weighing"},
	{"section", []string{"cite", "num"}, "section shapes and viscous polars"},
	{"wing", []string{"craft", "section", "cite", "num"}, "vortex lattice"},
	{"aero", []string{"craft", "section", "wing", "air", "cite", "num"}, "whole-aircraft forces"},
	{"prop", []string{"cite", "num", "air", "diag"}, "blade-element propeller"},
	{"power", []string{"craft", "prop", "typical", "air", "cite", "num"}, "the coupled power train"},
	{"control", []string{"craft", "aero", "cite", "num"}, "trim, throws, linkages, servos"},
	{"strength", []string{"craft", "aero", "control", "cite", "num"}, "capacities against loads, flutter"},
	{"mend", []string{"craft", "cite", "num"}, "repairs: joints, scars, proof loads"},
	{"score", []string{"doubt", "num", "chart"}, "our own forecasts scored"},
	{"radio", []string{"craft", "air", "cite", "num"}, "link budgets along a path"},
	{"motion", []string{"num", "cite"}, "rigid-body motion"},
	{"launch", []string{"craft", "air", "aero", "power", "motion", "num", "cite", "doubt"}, "the launch"},
	{"perform", []string{"craft", "air", "aero", "power", "motion", "num", "cite"}, "speeds, climb, endurance, landing"},
	{"odds", []string{"doubt", "num", "cite"}, "repeats a phase over draws"},
	{"credit", []string{"cite"}, "how far each room can be believed, on a published scale"},
	{"assess", []string{"craft", "air", "aero", "power", "control", "strength", "fit", "radio", "launch", "perform", "odds", "doubt", "tune", "section", "num", "cite", "motion", "unit"}, "the whole chain in one place"},
	{"verdict", []string{"assess", "craft", "launch", "perform", "strength", "control", "odds", "doubt", "radio", "cite", "unit"}, "results to findings"},
	{"seek", []string{"craft", "assess", "verdict", "build", "doubt", "odds", "num", "unit", "launch", "cite"}, "remedies, settings, what to measure"},
	{"track", []string{"geo", "num", "cite", "diag"}, "recorder bytes to a clean path"},
	{"evidence", []string{"track", "geo", "air", "doubt", "num", "cite"}, "path to measured quantities"},
	{"learn", []string{"evidence", "track", "tune", "craft", "assess", "perform", "launch", "aero", "power", "air", "doubt", "num", "cite"}, "evidence to learned factors"},
	{"chart", nil, "charts to SVG and PDF from one drawing"},
	{"report", []string{"verdict", "credit", "assess", "seek", "craft", "unit", "chart", "cite", "launch", "perform", "strength", "control", "fit", "section", "wing", "aero", "prop", "power", "evidence", "track", "learn", "odds", "doubt", "diag", "radio", "air", "tune", "num"}, "results to a neutral document"},
	{"prints", []string{"section", "num"}, "gauges and horns as 3MF and STL"},
	{"paper", []string{"report", "chart", "craft", "prints", "section", "unit"}, "cards and templates as PDF"},
	{"store", []string{"build", "diag", "unit", "tune", "craft"}, "files, the logbook, the cache"},
	{"app", []string{"*"}, "one function per use case"},
	{"web", []string{"*"}, "HTTP and the embedded workshop"},
	{"fledge", []string{"app", "web", "diag", "unit", "store", "report", "verdict", "build"}, "flags and wiring"},
	{"accuracy", []string{"chart", "check", "cite"}, "writes docs/accuracy.md"},
	{"bench", []string{"*"}, "ratios for make bench"},
	{"docs", []string{"*"}, "generated pages of docs/"},
	{"release", nil, "packs what make release built"},
}

// Never names imports that only the outer rooms may have, with the reason.
var Never = []struct{ Import, Why string }{
	{"os", "no room reads files but store, app, web and the command"},
	{"os/exec", "nothing inside runs programs"},
	{"net", "no room talks to the network but web"},
	{"net/http", "no room talks to the network but web"},
	{"math/rand", "draws are seeded streams of num"},
	{"C", "no cgo"},
}

// Outer rooms may import what Never forbids.
var Outer = map[string]bool{"store": true, "app": true, "web": true, "fledge": true, "check": true, "accuracy": true, "bench": true, "docs": true, "release": true}
