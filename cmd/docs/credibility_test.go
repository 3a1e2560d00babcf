package main

import (
	"testing"

	"fledge/internal/arch"
	"fledge/internal/credit"
)

// TestCredit holds each assessment to a room that exists, its levels to the
// scale and every level to a reason.
func TestCredit(t *testing.T) {
	rooms := map[string]bool{}
	for _, r := range arch.Rules {
		rooms[r.Room] = true
	}
	seen := map[string]bool{}
	for _, r := range credit.Rooms {
		if !rooms[r.Name] || seen[r.Name] {
			t.Errorf("%s: no such room, or twice", r.Name)
		}
		seen[r.Name] = true
		for f := range credit.Factors {
			if r.Level[f] < 0 || r.Level[f] > 4 || r.Because[f] == "" {
				t.Errorf("%s, %s: level %d because %q", r.Name, credit.Names[f], r.Level[f], r.Because[f])
			}
		}
	}
	if f, n := credit.Find("launch").Weakest(); f != credit.Validation || n != 1 {
		t.Errorf("launch is weakest in %s, %d", credit.Names[f], n)
	}
}
