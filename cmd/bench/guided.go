package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/pprof"
	"time"

	"fledge/internal/app"
)

// built is the command, built into a folder with a profile or without one.
func built(dir, name, profile string) (string, error) {
	if profile == "" {
		profile = "off"
	}
	bin := filepath.Join(dir, name)
	if out, err := exec.Command("go", "build", "-trimpath", "-pgo="+profile, "-o", bin, "fledge/cmd/fledge").CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w: %s", err, out)
	}
	return bin, nil
}

// guided holds a build that was shown where its time goes against a plain one,
// by the processor's time of a cold check, in turns, the least of each.
func guided(build string) ([]row, error) {
	dir, err := os.MkdirTemp("", "fledge-bench-guided")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	var raw bytes.Buffer
	if err := pprof.StartCPUProfile(&raw); err != nil {
		return nil, err
	}
	_, _, err = app.Check(context.Background(), app.Request{Path: build, Seed: 1})
	pprof.StopCPUProfile()
	if err != nil {
		return nil, err
	}
	profile := filepath.Join(dir, "cpu.pprof")
	if err := os.WriteFile(profile, raw.Bytes(), 0o644); err != nil {
		return nil, err
	}
	var bins [2]string
	var size [2]int64
	for i, p := range []string{"", profile} {
		if bins[i], err = built(dir, fmt.Sprintf("fledge%d", i), p); err != nil {
			return nil, err
		}
		at, err := os.Stat(bins[i])
		if err != nil {
			return nil, err
		}
		size[i] = at.Size()
	}
	least := [2]time.Duration{time.Hour, time.Hour}
	for range 3 {
		for i, bin := range bins {
			cmd := exec.Command(bin, "check", build, "--no-cache")
			out, err := cmd.CombinedOutput()
			if code := cmd.ProcessState.ExitCode(); code != 0 && code != 3 {
				return nil, fmt.Errorf("check: %w: %s", err, out)
			}
			least[i] = min(least[i], cmd.ProcessState.UserTime()+cmd.ProcessState.SystemTime())
		}
	}
	return []row{{what: "check, cold, profile-guided build over plain, processor", got: least[1].Seconds() / least[0].Seconds(), aim: 1,
		note: fmt.Sprintf("  (%s over %s; profile %d kB; the command grows by %.1f %%)", human(least[1].Seconds()), human(least[0].Seconds()), raw.Len()/1000, 100*(float64(size[1])/float64(size[0])-1))}}, nil
}
