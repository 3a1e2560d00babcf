package main

// Words of what a remedy's proof says besides.
func init() {
	for k, v := range map[string]string{
		"RemedyJSON.verdict_after": "of the whole check after it: go, hold, no-go; empty when only its finding was judged",
		"RemedyJSON.spoils":        "labels of safety findings that fail after it and do not now",
	} {
		words[k] = v
	}
}
