//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// many is how often a soak test does its work: a little in every run, much
// when FLEDGE_SOAK says so.
func many(few, lots int) int {
	if os.Getenv("FLEDGE_SOAK") != "" {
		return lots
	}
	return few
}

// hangar is a folder with one build and a logbook with one pack; the command
// is run as a process of its own, as it is in the field.
func hangar(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "tern.yaml"), text, 0o644); err != nil {
		t.Fatal(err)
	}
	if said, code := fledge(dir, "logbook", "add", "pack", "name=blue"); code != 0 {
		t.Fatal(said)
	}
	return dir
}

// process is the command, ready to start in a folder.
func process(dir string, args ...string) *exec.Cmd {
	cmd := exec.Command("fledge", args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "XDG_CACHE_HOME="+filepath.Join(dir, ".cache"), "HOME="+dir)
	return cmd
}

func fledge(dir string, args ...string) (said string, code int) {
	out, err := process(dir, args...).CombinedOutput()
	var e *exec.ExitError
	if errors.As(err, &e) {
		return string(out), e.ExitCode()
	}
	if err != nil {
		return err.Error(), -1
	}
	return string(out), 0
}

// flights lists the notes of all flights, and holds the logbook to its sums.
func flights(t *testing.T, dir string) []string {
	t.Helper()
	if said, code := fledge(dir, "logbook", "check"); code != 0 {
		t.Fatalf("the logbook is damaged: %s", said)
	}
	out, err := process(dir, "logbook", "list", "flight", "--json").Output()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	var body struct {
		Rows []struct {
			Note string `json:"note"`
		} `json:"rows"`
	}
	if err := json.Unmarshal(out, &body); err != nil {
		t.Fatal(err)
	}
	var notes []string
	for _, r := range body.Rows {
		notes = append(notes, r.Note)
	}
	return notes
}

// TestSoakKilled ends the command without warning at random moments of an
// entry. What it said was noted is there, in order; of the entry under way
// all or nothing; the logbook opens each time.
func TestSoakKilled(t *testing.T) {
	dir := hangar(t)
	r := rand.New(rand.NewPCG(15, 2))
	start := time.Now()
	if said, code := fledge(dir, "logbook", "add", "flight", "build=tern.yaml", "note=first"); code != 0 {
		t.Fatal(said)
	}
	whole := time.Since(start) // how long an entry takes here and now
	acked, killed, tries := []string{"first"}, 0, many(8, 400)
	for i := range tries {
		note := fmt.Sprintf("n%d", i)
		cmd := process(dir, "logbook", "add", "flight", "build=tern.yaml", "pack=blue", "note="+note, "outcome=airborne")
		var out bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &out
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		timer := time.AfterFunc(time.Duration(r.Float64()*1.2*float64(whole)), func() { _ = cmd.Process.Kill() })
		err := cmd.Wait()
		timer.Stop()
		if err == nil {
			acked = append(acked, note)
		} else {
			killed++
			if cmd.ProcessState.ExitCode() != -1 { // it ended by itself
				t.Fatalf("entry %d: %v: %s", i, err, out.String())
			}
		}
		if i%20 != 19 && i != tries-1 {
			continue
		}
		got := flights(t, dir)
		j := 0
		for _, n := range got {
			if j < len(acked) && n == acked[j] {
				j++
			}
		}
		if j != len(acked) || len(got) > i+2 {
			t.Fatalf("after %d entries: %d acknowledged, of these %d found in order among %d", i+1, len(acked), j, len(got))
		}
	}
	t.Logf("%d entries, %d of them killed, %d acknowledged and found", tries, killed, len(acked))
}

// TestSoakTwoProcesses lets several processes write one logbook at once.
func TestSoakTwoProcesses(t *testing.T) {
	dir := hangar(t)
	each := many(2, 60)
	var wg sync.WaitGroup
	for w := range 3 {
		wg.Go(func() {
			for i := range each {
				if said, code := fledge(dir, "logbook", "add", "flight", "build=tern.yaml", fmt.Sprintf("note=w%d-%d", w, i)); code != 0 {
					t.Errorf("writer %d: %s", w, said)
				}
			}
		})
	}
	wg.Wait()
	seen := map[string]bool{}
	for _, n := range flights(t, dir) {
		seen[n] = true
	}
	if len(seen) != 3*each {
		t.Errorf("%d different flights, %d were noted", len(seen), 3*each)
	}
}

// TestSoakFullDisk fills the disk under the logbook: what does not fit is
// refused in plain words, what was noted stays, and with room again it goes
// on. On a small file system of its own where one may be mounted, else by the
// largest size a file may have.
func TestSoakFullDisk(t *testing.T) {
	dir := hangar(t)
	small := filepath.Join(dir, "small")
	if err := os.Mkdir(small, 0o755); err != nil {
		t.Fatal(err)
	}
	mounted := os.Getuid() == 0 && exec.Command("mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", small).Run() == nil
	if mounted {
		defer func() { _ = exec.Command("umount", small).Run() }()
	}
	text, err := os.ReadFile(filepath.Join(dir, "tern.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(small, "tern.yaml"), text, 0o644); err != nil {
		t.Fatal(err)
	}
	add := func(i int) (string, int) {
		args := []string{"logbook", "add", "flight", "build=tern.yaml", fmt.Sprintf("note=%d", i), "because=" + strings.Repeat("wet grass ", 200)}
		if mounted {
			return fledge(small, args...)
		}
		cmd := process(small, append([]string{"-c", `ulimit -f 600; exec fledge "$@"`, "fledge"}, args...)...)
		sh := exec.Command("bash", cmd.Args[1:]...)
		sh.Dir, sh.Env = cmd.Dir, cmd.Env
		out, err := sh.CombinedOutput()
		if err != nil {
			return string(out), sh.ProcessState.ExitCode()
		}
		return string(out), 0
	}
	noted, said, code := 0, "", 0
	for i := range 400 {
		if said, code = add(i); code != 0 {
			break
		}
		noted++
	}
	if code == 0 || noted == 0 {
		t.Fatalf("%d entries and no end: %s", noted, said)
	}
	if !strings.Contains(said, "full") || strings.Contains(said, "fault inside") {
		t.Errorf("a full disk is told so: %s", said)
	}
	if mounted {
		if err := exec.Command("mount", "-o", "remount,size=8m", small).Run(); err != nil {
			t.Fatal(err)
		}
	}
	got := flights(t, small)
	if len(got) != noted {
		t.Errorf("%d entries were noted, %d are there", noted, len(got))
	}
	if said, code := fledge(small, "logbook", "add", "flight", "build=tern.yaml", "note=after"); code != 0 {
		t.Errorf("with room again: %s", said)
	}
	t.Logf("mounted %v; %d entries fit; then: %s", mounted, noted, strings.TrimSpace(said))
}

// TestSoakReadOnly works in a hangar that nobody may write: reading verbs
// answer, writing verbs say why not, nothing is left behind.
func TestSoakReadOnly(t *testing.T) {
	dir := hangar(t)
	if said, code := fledge(dir, "logbook", "add", "flight", "build=tern.yaml", "note=before"); code != 0 {
		t.Fatal(said)
	}
	exe, err := exec.LookPath("fledge")
	if err != nil {
		t.Fatal(err)
	}
	asNobody := os.Getuid() == 0
	if asNobody { // root may write anywhere: run a copy as nobody, in a folder nobody reaches
		open, err := os.MkdirTemp("", "fledge-soak-ro-")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(open)
		for _, f := range []string{"tern.yaml", "logbook.sqlite"} {
			text, err := os.ReadFile(filepath.Join(dir, f))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(open, f), text, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		text, err := os.ReadFile(exe)
		if err != nil {
			t.Fatal(err)
		}
		bin, err := os.MkdirTemp("", "fledge-soak-bin-")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(bin)
		if err := os.Chmod(bin, 0o755); err != nil {
			t.Fatal(err)
		}
		exe = filepath.Join(bin, "fledge")
		if err := os.WriteFile(exe, text, 0o755); err != nil {
			t.Fatal(err)
		}
		dir = open
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = os.Chmod(dir, 0o755) }()
	for _, c := range []struct {
		args []string
		ok   bool
	}{
		{[]string{"balance", "tern.yaml", "--quick"}, true},
		{[]string{"logbook"}, true},
		{[]string{"logbook", "list", "flight"}, true},
		{[]string{"logbook", "add", "flight", "build=tern.yaml"}, false},
		{[]string{"balance", "tern.yaml", "--quick", "--plot", "x.svg"}, false},
		{[]string{"new", "plover.yaml", "--span", "1m"}, false},
	} {
		cmd := process(dir, c.args...)
		cmd.Path, cmd.Err = exe, nil
		cmd.Env = append(os.Environ(), "XDG_CACHE_HOME="+filepath.Join(dir, ".cache"), "HOME="+dir)
		if asNobody {
			cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
		out, err := cmd.CombinedOutput()
		if (err == nil) != c.ok {
			t.Errorf("%q: %v: %s", c.args, err, out)
		}
		if strings.Contains(string(out), "fault inside") || !c.ok && len(bytes.TrimSpace(out)) == 0 {
			t.Errorf("%q does not say why in plain words: %s", c.args, out)
		}
	}
	left, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range left {
		if n := f.Name(); n != "tern.yaml" && n != "logbook.sqlite" && n != ".cache" {
			t.Errorf("%s was left behind", n)
		}
	}
}
