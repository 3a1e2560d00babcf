package store

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fledge/internal/build"
)

const wren = `fledge: 1 # format
aeroplane: {name: Wren}
surfaces:
  - name: wing
    mirrored: true
    stations:
      - {x: 0 mm, y: 0 mm, chord: 180 mm, section: sections/root.dat}
      - {x: 20 mm, y: 400 mm, chord: 120 mm, section: SECTION}
`

// hangar makes a folder with a build, its section file, and things a build
// must not reach.
func hangar(t *testing.T, section string) string {
	t.Helper()
	top := t.TempDir()
	dir := filepath.Join(top, "hangar")
	for _, d := range []string{dir, filepath.Join(dir, "sections"), filepath.Join(dir, "sections", "folder.txt")} {
		if err := os.MkdirAll(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	write := func(name, text string) {
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write(filepath.Join(top, "secret.txt"), "secret")
	write(filepath.Join(dir, "sections", "root.dat"), "1 0\n0 0\n1 0\n")
	write(filepath.Join(dir, "sections", "tip.txt"), "1 0\n0 0\n1 0\n")
	write(filepath.Join(dir, "sections", "huge.txt"), strings.Repeat("0 0\n", 1<<19))
	for link, to := range map[string]string{"out.txt": "../../secret.txt", "in.txt": "tip.txt", "loop.txt": "loop.txt", "abs.txt": filepath.Join(top, "secret.txt")} {
		if err := os.Symlink(to, filepath.Join(dir, "sections", link)); err != nil {
			t.Skip("no symbolic links here")
		}
	}
	name := filepath.Join(dir, "wren.yaml")
	write(name, strings.Replace(wren, "SECTION", section, 1))
	return name
}

func TestLoadBuild(t *testing.T) {
	for _, c := range []struct{ section, code, hint string }{
		{"NACA 2409", "", ""},
		{"sections/tip.txt", "", ""},
		{"sections/in.txt", "", ""},
		{"sections/tipp.txt", "no-file", `did you mean "tip.txt"?`},
		{"sections/out.txt", "outside", "copy the file beside the build"},
		{"sections/abs.txt", "outside", "copy the file beside the build"},
		{"../secret.txt", "outside", "put the file beside the build and name it relative to it, with forward slashes"},
		{"sections/../../secret.txt", "outside", "put the file beside the build and name it relative to it, with forward slashes"},
		{"/etc/passwd", "outside", "put the file beside the build and name it relative to it, with forward slashes"},
		{"sections/loop.txt", "cannot-read", ""},
		{"sections/folder.txt", "not-a-file", ""},
		{"sections/huge.txt", "too-large", "is this the right file?"},
	} {
		name := hangar(t, c.section)
		got, l := LoadBuild(name)
		if c.code == "" {
			if len(l) > 0 || got.Build == nil || len(got.Files["sections/root.dat"]) == 0 {
				t.Errorf("%s: %v", c.section, l)
			}
			continue
		}
		if len(l) != 1 || l[0].Code != c.code || l[0].Hint != c.hint || l[0].Span.Line != 8 || l[0].Span.Col != 55 {
			t.Errorf("%s: %v", c.section, l)
		}
		for _, text := range got.Files {
			if bytes.Contains(text, []byte("secret")) {
				t.Errorf("%s: a file outside the folder was read", c.section)
			}
		}
	}
}

func TestLoadBuildSettings(t *testing.T) {
	name := hangar(t, "NACA 2409")
	before, _ := os.ReadFile(name)
	set := build.Setting{Path: "surfaces.wing.stations[1].chord", Value: "110 mm"}
	got, l := LoadBuild(name, set)
	if len(l) > 0 || got.Build.Surfaces[0].Stations[1].Chord.Value != 0.11 {
		t.Errorf("%v", l)
	}
	wrong := build.Setting{Path: "surfaces.wing.stations[1].chrd", Value: "110 mm"}
	got, l = LoadBuild(name, set, wrong)
	if len(l) != 1 || l[0].Span.Line != 2 || !strings.Contains(l.Render(got.Excerpts(set, wrong)), "    2 | surfaces.wing.stations[1].chrd=110 mm\n") {
		t.Errorf("%s", l.Render(got.Excerpts(set, wrong)))
	}
	if after, _ := os.ReadFile(name); !bytes.Equal(before, after) {
		t.Error("a setting was written")
	}
}

func TestLoadBuildRefuses(t *testing.T) {
	dir := t.TempDir()
	big := filepath.Join(dir, "big.yaml")
	if err := os.WriteFile(big, bytes.Repeat([]byte("# padding\n"), 1<<20), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, code, hint, says string }{
		{big, "too-large", "is this the right file?", "the file has 10 MiB, a build file has at most 1 MiB"},
		{filepath.Join(dir, "bigg.yaml"), "no-file", `did you mean "big.yaml"?`, "there is no such file"},
		{dir, "not-a-file", "name the build file inside it", "this is a folder, not a build file"},
		{filepath.Join(dir, "no", "such"), "no-file", "", "there is no such file"},
		{os.DevNull, "not-a-file", "", "this is not a regular file"},
	} {
		got, l := LoadBuild(c.name)
		if got.Build != nil || len(l) != 1 || l[0].Code != c.code || l[0].Hint != c.hint || l[0].Message != c.says {
			t.Errorf("%s: %v", c.name, l)
		}
		if _, _, l := LoadDay(c.name); !l.HasErrors() {
			t.Errorf("%s taken as a day", c.name)
		}
	}
}

func TestSave(t *testing.T) {
	dir := t.TempDir()
	name, link := filepath.Join(dir, "a.yaml"), filepath.Join(dir, "link.yaml")
	if err := Create(name, []byte("one")); err != nil {
		t.Fatal(err)
	}
	if err := Create(name, []byte("two")); !errors.Is(err, ErrExists) {
		t.Errorf("written over: %v", err)
	}
	if err := os.Chmod(name, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("a.yaml", link); err != nil {
		t.Skip("no symbolic links here")
	}
	if err := Save(link, []byte("one"), []byte("two")); err != nil {
		t.Fatal(err)
	}
	if err := Save(name, []byte("one"), []byte("three")); !errors.Is(err, ErrChanged) {
		t.Errorf("another's change was lost: %v", err)
	}
	got, _ := os.ReadFile(name)
	info, _ := os.Stat(name)
	l, _ := os.Lstat(link)
	if string(got) != "two" || info.Mode().Perm() != 0o600 || l.Mode()&os.ModeSymlink == 0 {
		t.Errorf("%q %v %v", got, info.Mode(), l.Mode())
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".fledge-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if err := Create(filepath.Join(dir, "no", "such.yaml"), []byte("x")); err == nil {
		t.Error("a folder was invented")
	}
}
