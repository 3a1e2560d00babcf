package app

import (
	"strings"
	"testing"

	"fledge/internal/unit"
)

// What the page shows as an example of a reading can be typed as it stands.
func TestExamplesCanBeTyped(t *testing.T) {
	for key, k := range typedKeys {
		if k.dim == unit.None {
			continue
		}
		if readingExamples[key] == "" {
			t.Errorf("%s has no example", key)
		}
		for _, e := range strings.Split(readingExamples[key], " or ") {
			if key == "direction" && wayOf(e) != 0 {
				continue
			}
			if _, no := readQuantity(key, e, k.dim); no != nil {
				t.Errorf("%s=%s: %s", key, e, no.why)
			}
		}
	}
}
