package app

import (
	"fmt"
	"runtime"
	"runtime/debug"
	"strings"

	"fledge/internal/report"
)

// VersionJSON is the body of `version`.
type VersionJSON struct {
	Schema   int    `json:"schema"`
	Version  string `json:"version"`
	Revision string `json:"revision"`
	Changed  bool   `json:"changed"` // built from a changed tree
	Go       string `json:"go"`
	System   string `json:"system"`
	Format   int    `json:"build_format"`
}

// Version says which Fledge this is.
func Version() *Answer {
	v := VersionJSON{Schema: report.Schema, Version: "development", Go: runtime.Version(), System: runtime.GOOS + " " + runtime.GOARCH, Format: 1}
	if info, ok := debug.ReadBuildInfo(); ok {
		main := info.Main.Version
		for _, s := range info.Settings {
			switch s.Key {
			case "vcs.revision":
				v.Revision = s.Value
			case "vcs.modified":
				v.Changed = s.Value == "true"
			}
		}
		// a version made up of the commit says no more than the commit
		if main != "" && main != "(devel)" && (v.Revision == "" || !strings.Contains(main, v.Revision[:min(12, len(v.Revision))])) {
			v.Version = main
		}
	}
	text := fmt.Sprintf("Fledge %s, build file format %d, JSON %d, %s on %s", v.Version, v.Format, v.Schema, v.Go, v.System)
	if v.Revision != "" {
		text += ", revision " + v.Revision[:min(12, len(v.Revision))]
		if v.Changed {
			text += " and changed"
		}
	}
	return &Answer{Plain: text + "\n", Body: v}
}
