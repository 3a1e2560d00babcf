package main

func init() {
	for k, v := range map[string]string{
		"rests_on": "the rooms behind the verdict, each by its weakest point on the scale of docs/credibility.md", "RestJSON.room": "package", "answers": "what it contributes",
		"RestJSON.factor": "which of the scale's factors", "RestJSON.level": "0, no evidence, to 4",
	} {
		words[k] = v
	}
}
