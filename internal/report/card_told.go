package report

import (
	"fledge/internal/assess"
	"fledge/internal/unit"
)

// told turns the card's sentences and cells into the units asked for, and calls
// the slowest flight what it is.
func (c *Card) told(units unit.System, slow assess.Slowest) {
	say := func(s string) string { return slow.Tell(unit.Retell(s, units)) }
	lists := []*[]string{&c.ToGo, &c.DayMore, &c.LaunchSay, &c.Cautions, &c.Blanks}
	for _, l := range lists {
		out := make([]string, len(*l)) // some are shared with the verdict
		for i, s := range *l {
			out[i] = say(s)
		}
		if *l != nil {
			*l = out
		}
	}
	for _, list := range [][]Pair{c.Day, c.Balance, c.Land, c.Radio, c.Home} {
		for i := range list {
			list[i].Say, list[i].Is = say(list[i].Say), say(list[i].Is)
		}
	}
	for i := range c.Ticks {
		c.Ticks[i].Do, c.Ticks[i].Why = say(c.Ticks[i].Do), say(c.Ticks[i].Why)
	}
	for _, t := range []*Table{c.Launch, c.Wind} {
		if t == nil {
			continue
		}
		for _, row := range append([][]string{t.Head}, t.Rows...) {
			for i := range row {
				row[i] = say(row[i])
			}
		}
	}
	c.Because, c.WindSay = say(c.Because), say(c.WindSay)
}
