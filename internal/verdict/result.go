package verdict

import "fledge/internal/strength"

// FromResult turns one judged number of control or strength into a finding of
// the question.
func FromResult(r strength.Result, question int) Finding {
	f := fromStrength(r)
	f.Question = question
	return f
}
