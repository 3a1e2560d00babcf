package main

// learnWords are those of what was learned.
var learnWords = map[string]string{
	"taught": "learned factors in use; empty when nothing was learned or with `--untaught`", "TaughtJSON.name": "of the factor", "TaughtJSON.component": "what it is bound to: another part, another factor", "TaughtJSON.input": "path of the input it acts on", "TaughtJSON.value": "multiplier on what the build or model says; a shift for moments and neutral point", "TaughtJSON.sigma": "one standard deviation", "TaughtJSON.from": "in words", "TaughtJSON.aeroplane": "whose evidence it was",
	"launch_record": "launches at these settings beside what physics says; null without any", "RecordJSON.flown": "launches at these settings", "RecordJSON.flew": "of them that flew", "physics": "odds by the models", "with_record": "mean and 90 % interval with the record", "prior_a": "of the beta distribution the models' odds become", "prior_b": "the same", "next_three": "chance that the next three all fly", "chance_as_odd": "of a record as lopsided, if the models' odds are right", "fits": "the record is not too odd for them",
	"LearnJSON.status": "how it ended", "LearnJSON.because": "of a refusal, in words", "LearnJSON.kept": "the lesson was kept in the hangar", "readings_kept": "new ones put into the logbook", "forgotten": "factors that count no more, with `--forget`", "LearnJSON.chance": "of a misfit as large, if model and doubts are right",
	"factors": "before and after", "LearnFactorJSON.name": "of the factor", "LearnFactorJSON.component": "what it is bound to", "LearnFactorJSON.input": "path of the input it acts on", "shift": "added, not multiplied", "LearnFactorJSON.before": "untaught", "LearnFactorJSON.after": "with the evidence", "LearnFactorJSON.share": "of its variance that the data took away", "told": "the data and not the prior tell it", "moved_by": "readings that moved it most",
	"LearnMoveJSON.reading": "by name", "by_sigmas": "how far, in standard deviations of before", "widens": "by how much its doubt would grow without the reading, as a share",
	"correlations": "of the errors of two learned factors, by their names", "LearnReadingJSON.reading": "by name", "LearnReadingJSON.kind": "what was read", "LearnReadingJSON.value": "as read, SI", "LearnReadingJSON.sigma": "one standard deviation", "LearnReadingJSON.unit": "of the numbers beside it", "untaught": "by the model as it was; its interval is of what is not known of the model", "as_learned": "by the model with the learned factors; the same", "off_by_sigmas": "against what the other readings say",
	"refused": "readings that were not used", "LearnRefusedJSON.reading": "by name", "LearnRefusedJSON.why": "in words", "LearnRefusedJSON.value": "as read, SI", "LearnRefusedJSON.expected": "what the others say, where it was set aside", "LearnRefusedJSON.sigma": "of the difference",
	"told_together": "factors of which only a combination is told", "prior_from": "other aeroplanes whose lessons are the prior", "forecasts": "numbers before and after", "LearnForecastJSON.what": "which number", "LearnForecastJSON.untaught": "with nothing learned", "LearnForecastJSON.as_learned": "with the learned factors", "launches_not_counted": "launches at other settings, and which",
	"next": "flights and bench tests that would settle the most, the best first; with `--next`", "NextJSON.name": "of the test", "NextJSON.where": "`bench`, `flight` or both", "steps": "what to do", "tells": "factors it would tell", "gains": "what it would do to each number", "judged_wrongly": "expected number of findings on the wrong side of their limit after it",
	"GainJSON.what": "which number", "GainJSON.finding": "its finding", "sigma_now": "standard deviation now", "sigma_then": "after the test", "wrongly_now": "chance that the number is on the other side of its limit", "wrongly_then": "the same, expected after the test",
}

func init() {
	for k, v := range learnWords {
		if _, there := words[k]; !there {
			words[k] = v
		}
	}
}
