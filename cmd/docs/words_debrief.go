package main

func init() {
	for k, v := range map[string]string{
		"Judged.by":               "who claims it",
		"BesideJSON.what":         "which quantity",
		"BesideJSON.by":           "which evidence",
		"BesideJSON.note":         "what to mind in comparing",
		"build_hash":              "of the build, its attachments and the day",
		"compared":                "predicted beside measured beside claimed",
		"post_mortem":             "why a launch failed, by the launch model",
		"MortemJSON.outcome":      "as told",
		"MortemJSON.log":          "the log whose launch it is",
		"MortemJSON.odds":         "share of the model's launches that fly",
		"MortemJSON.share":        "share of the model's launches that end so",
		"matching":                "effective number of launches that match what was seen",
		"flies_as_meant":          "it flies with everything as the build says and no gust",
		"MortemJSON.status":       "why no cause is given",
		"typical":                 "the best matching launch, in a sentence",
		"causes":                  "by what they explain, the largest first",
		"cause":                   "in words",
		"explains":                "share of those launches that this alone would have saved",
		"as_meant":                "the same, as the build says it",
		"otherwise":               "the same, with one setting changed",
		"CauseJSON.set":           "that change, as `--set` takes it",
		"inputs":                  "how they lay in those launches",
		"meant":                   "as the build says, SI",
		"mean":                    "in those launches, SI",
		"shift_sd":                "mean less that of all launches, in standard deviations",
		"CauseJSON.check":         "how to check it",
		"ends":                    "how the matching launches ended",
		"signs":                   "share of them that showed it",
		"tell_next":               "signs that would tell the causes apart",
		"typed_pairs":             "speeds typed in opposite directions, paired: the wind along them is not in their mean",
		"TypedPair.passes":        "the two",
		"TypedPair.best":          "the fastest of its kind, timed or read: this one is the evidence, less what picking it adds",
		"wind_along":              "half their difference, the way of the first pass when positive",
		"TypedPair.two_way_speed": "arithmetic mean of the two",
		"TypedPass.ground_speed":  "as read or timed, by itself",
		"TypedPass.reading":       "which of those typed, from 1",
		"TypedPass.course_deg":    "null when no course was typed",
		"TypedPass.way":           "with or against the wind, where that was typed",
		"TypedPass.how":           "how it was read",
		"same_settings":           "failed after the same settings flew",
		"share_after_success":     "share that end so after a launch that flew",
		"luck":                    "share of the explanation",
		"something_changed":       "share of the explanation",
		"SameJSON.say":            "in words",
	} {
		if _, ok := words[k]; !ok {
			words[k] = v
		}
	}
}
