package main

// Words of the card and print bodies.
func init() {
	for k, v := range map[string]string{
		"CardJSON.files": "what was written", "CardJSON.paper": "sheet and layout", "CardJSON.code": "what the card's symbol says: `fledge logbook add flight --card CODE`",
		"CardJSON.settings": "of the launch, each with how far it may stray, all others as set", "CardRangeJSON.path": "of the build file", "CardRangeJSON.unit": "of the numbers beside it", "CardRangeJSON.now": "as set",
		"CardRangeJSON.low": "least value that keeps the odds wanted; null when they are short as it is", "CardRangeJSON.high": "largest", "CardRangeJSON.low_free": "they hold to the lower end of the range looked at", "CardRangeJSON.high_free": "and to the upper end",
		"CardJSON.winds": "the launch in one wind after the other", "CardWindJSON.wind_m_s": "steady", "CardWindJSON.gust_m_s": "in today's proportion", "CardWindJSON.odds": "as set, counted", "CardWindJSON.set": "`--set` strings of the smallest change looked at that does, or of the best", "odds_then": "with that change; null without one", "odds_then_low": "lower end of the 90 % interval of counting; null without a change", "odds_then_high": "upper end; null without a change",
		"land_cell_v": "per cell at cruise with the reserve left; null when not known", "CardJSON.checks": "before the flight, in order", "Tick.do": "the check", "Tick.why": "why it is on this build's list", "CardJSON.blanks": "to fill in at the field",
		"PrintJSON.folder": "written into", "PrintJSON.paper": "sheet of the pages", "PrintJSON.items": "made or not", "PrintItem.what": "`gauge`, `throws`, `balance`, `rod`, `bay`, `hook`, `horn`", "PrintItem.name": "of the control or part", "PrintItem.say": "size, angle, load",
		"PrintItem.made": "whether it was", "PrintItem.why": "why not; empty when made", "PrintItem.files": "written", "PrintItem.notes": "to mind",
		"PrintJSON.cautions": "that concern it",
	} {
		words[k] = v
	}
}
