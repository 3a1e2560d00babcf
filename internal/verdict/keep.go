package verdict

import (
	"bytes"
	"encoding/gob"
)

// Keep packs the remedies of all findings, exactly.
func (v *Verdict) Keep() []byte {
	all := map[string][]Remedy{}
	for i := range v.Findings {
		if f := &v.Findings[i]; len(f.Remedies) > 0 {
			all[f.ID] = f.Remedies
		}
	}
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(all); err != nil {
		panic("verdict: " + err.Error()) // plain data always packs
	}
	return b.Bytes()
}

// Recall puts kept remedies back into their findings. It reports false, and
// changes nothing, when the bytes are not what Keep made.
func (v *Verdict) Recall(kept []byte) bool {
	all := map[string][]Remedy{}
	if err := gob.NewDecoder(bytes.NewReader(kept)).Decode(&all); err != nil {
		return false
	}
	for i := range v.Findings {
		v.Findings[i].Remedies = all[v.Findings[i].ID]
	}
	return true
}
