package assess

import (
	"sort"
	"strings"

	"fledge/internal/doubt"
)

// leading names, by their beginnings and in order, the inputs on which launches
// were found to hang most, over the bundled examples (share of the variance of
// success that goes with the input or its square): they get the most even
// dimensions of the draws. The order is the same for every aeroplane and
// setting, so that what is compared meets the same draws.
var leading = []string{
	"gust.start.along", "factor.pitch-trim", "gust.along.03", "day.wind", "launch.bungee.cord.returned",
	"launch.bungee.stretch", "launch.throw.", "launch.bungee.pull_test", "launch.bungee.hook.x", "gust.along.04", "factor.neutral-point",
	"launch.held.nose_up", "gust.along.05", "power.motor.resistance", "gust.up.03", "gust.up.04", "factor.damping", "launch.held.", "launch.bungee.hook.",
	"gust.along.02", "day.gust", "gust.along.0", "gust.up.0", "factor.lift-max", "gust.start.", "factor.", "launch.", "gust.across.0", "surfaces.",
	"power.", "parts.battery.", "day.", "gust.",
}

func rank(path string) int {
	for i, p := range leading {
		if strings.HasPrefix(path, p) {
			return i
		}
	}
	return len(leading)
}

// ordered sorts the inputs of a space by how much launches hang on them, and
// the index of each kind with them.
func ordered(list []doubt.Input, index [2][]int) ([]doubt.Input, [2][]int) {
	type entry struct {
		in doubt.Input
		at int
	}
	var next [2]int
	all := make([]entry, len(list))
	for i, in := range list {
		all[i] = entry{in, index[in.Kind][next[in.Kind]]}
		next[in.Kind]++
	}
	sort.SliceStable(all, func(a, b int) bool { return rank(all[a].in.Path) < rank(all[b].in.Path) })
	index = [2][]int{}
	for i, e := range all {
		list[i] = e.in
		index[e.in.Kind] = append(index[e.in.Kind], e.at)
	}
	return list, index
}
