package report

import (
	"strings"
	"testing"

	"fledge/internal/cite"
)

// No word is explained twice, every explanation says something, every source
// is listed.
func TestTerms(t *testing.T) {
	seen := map[string]string{}
	for _, x := range Terms() {
		for _, w := range append([]string{x.Term}, x.Also...) {
			k := strings.ToLower(w)
			if other, twice := seen[k]; twice {
				t.Errorf("%q stands under %q and %q", w, other, x.Term)
			}
			seen[k] = x.Term
		}
		if len(x.Say) < 15 || !strings.HasSuffix(x.Say, ".") {
			t.Errorf("%s: %q", x.Term, x.Say)
		}
		for _, key := range x.Sources {
			if _, ok := cite.Lookup(key); !ok {
				t.Errorf("%s: no source %s", x.Term, key)
			}
		}
	}
	if len(seen) < 80 {
		t.Errorf("%d words", len(seen))
	}
}
