package verdict

import "strings"

// setup turns the set-up's judged numbers into findings of question 3. Trim
// and control power have findings of their own, with their doubt; what nobody
// described or could judge otherwise stays on the set-up page. A linkage that
// cannot close or that locks within its throw is a matter of safety.
func (j *judged) setup() {
	for _, r := range j.r.Setup {
		f := FromResult(r, 3)
		if r.ID == "setup.trim" || f.Status == NotAsked {
			continue
		}
		f.Safety = r.Safety && (f.Status == Fail || f.Status == Unknown)
		if strings.HasPrefix(r.ID, "setup.linkage.") && f.Status == Fail && !r.Safety {
			f.Status = Doubtful // it moves, worse than it should
		}
		// What nobody wished for by name cannot fail; it is said.
		fl := &j.r.Aircraft.Flight
		if f.Status == Fail && (r.ID == "setup.pitch" && fl.Pull == 0 || r.ID == "setup.roll" && fl.RollRate == 0) {
			f.Status = Doubtful
			f.Because += " That is a usual wish; say yours under flight (pull, roll_rate)."
		}
		if !f.Safety && f.Status == Unknown {
			continue
		}
		j.add(f)
	}
}
