//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"syscall"
	"time"
)

func init() {
	parts = append(parts, part{"memory", memory, "As the system counts it, of the command as a process."})
	spent = func() float64 {
		var u syscall.Rusage
		if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
			return passed()
		}
		return (time.Duration(u.Utime.Nano() + u.Stime.Nano())).Seconds()
	}
}

// memory says how much the command holds at its peak, as the system counts it.
func memory(build string) ([]row, error) {
	dir, err := os.MkdirTemp("", "fledge-bench-memory")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	bin, err := built(dir, "fledge", "")
	if err != nil {
		return nil, err
	}
	hour := filepath.Join(dir, "hour.csv")
	if err := os.WriteFile(hour, table(90_000), 0o644); err != nil {
		return nil, err
	}
	var rows []row
	for _, r := range []struct {
		what string
		args []string
		aim  float64
	}{
		{"memory at the peak of a check with remedies", []string{"check", build}, 512},
		{"memory at the peak of a debrief of an hour at 25 Hz", []string{"debrief", hour}, 512},
	} {
		cmd := exec.Command(bin, r.args...)
		cmd.Env = append(os.Environ(), "XDG_CACHE_HOME="+dir, "HOME="+dir)
		out, err := cmd.CombinedOutput()
		if code := cmd.ProcessState.ExitCode(); code != 0 && code != 3 {
			return nil, fmt.Errorf("%v: %w: %s", r.args, err, out)
		}
		use, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage)
		if !ok {
			return nil, nil // this system does not count
		}
		kib := float64(use.Maxrss)
		if runtime.GOOS == "darwin" { // counts in bytes
			kib /= 1024
		}
		rows = append(rows, row{what: r.what, got: kib / 1024, aim: r.aim, unit: "MiB"})
	}
	return rows, nil
}
