// Command release packs what `make release` built: for each system one archive
// with the program, its manual pages, completion, examples and documents, and
// the licence texts of all that is linked into it. Same commit, same bytes.
//
//	release DIR   DIR holds fledge-OS-ARCH[.exe], man and completion
//
// SOURCE_DATE_EPOCH dates the files. It runs in the root of the repository,
// with the modules and node_modules that the build used.
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"cmp"
	"compress/gzip"
	"crypto/sha256"
	"debug/buildinfo"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: release DIR")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

// file is one file of an archive.
type file struct {
	name string // below fledge/
	text []byte
	runs bool
}

func run(dir string) error {
	seconds, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64)
	if err != nil {
		return fmt.Errorf("SOURCE_DATE_EPOCH: %w", err)
	}
	date := time.Unix(seconds, 0).UTC()
	programs, err := filepath.Glob(filepath.Join(dir, "fledge-*-*"))
	if err != nil || len(programs) == 0 {
		return fmt.Errorf("no programs in %s", dir)
	}
	common, err := shared(dir)
	if err != nil {
		return err
	}
	sums := map[string]string{}
	for _, p := range programs {
		text, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		legal, err := licences(p)
		if err != nil {
			return err
		}
		name, exe := strings.CutSuffix(filepath.Base(p), ".exe")
		program, pack, end := "fledge", tarred, ".tar.gz"
		if exe {
			program, pack, end = "fledge.exe", zipped, ".zip"
		}
		files := append([]file{{program, text, true}, {"LICENCES.txt", legal, false}}, common...)
		slices.SortFunc(files, func(a, b file) int { return cmp.Compare(a.name, b.name) })
		packed, err := pack(files, date)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(dir, name+end), packed, 0o644); err != nil {
			return err
		}
		if err := os.Remove(p); err != nil {
			return err
		}
		sums[name+end] = fmt.Sprintf("%x", sha256.Sum256(packed))
	}
	var out strings.Builder
	for _, name := range slices.Sorted(maps.Keys(sums)) {
		fmt.Fprintf(&out, "%s  %s\n", sums[name], name)
	}
	return os.WriteFile(filepath.Join(dir, "sums.txt"), []byte(out.String()), 0o644)
}

// shared is what every archive holds.
func shared(dir string) ([]file, error) {
	var out []file
	take := func(name, path string) error {
		text, err := os.ReadFile(path)
		out = append(out, file{name: name, text: text})
		return err
	}
	for _, name := range []string{"LICENSE", "README.md", "CHANGELOG.md", "THIRD_PARTY.md"} {
		if err := take(name, name); err != nil {
			return nil, err
		}
	}
	for _, from := range []struct{ root, as, end string }{
		{"examples", "examples", ".yaml"}, {"docs", "docs", ".md"}, {filepath.Join(dir, "man"), "man", ".1"}, {filepath.Join(dir, "completion"), "completion", ""},
	} {
		err := filepath.WalkDir(from.root, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, from.end) {
				return err
			}
			rel, err := filepath.Rel(from.root, path)
			if err != nil {
				return err
			}
			return take(from.as+"/"+filepath.ToSlash(rel), path)
		})
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

var legalName = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|copyright)([-.].*)?$`)

// texts are the licence files of a module's or package's folder.
func texts(dir string) (out []byte, err error) {
	list, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	for _, e := range list {
		if e.Type().IsRegular() && legalName.MatchString(e.Name()) {
			text, err := os.ReadFile(filepath.Join(dir, e.Name()))
			if err != nil {
				return nil, err
			}
			out = append(append(out, bytes.TrimSpace(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")))...), '\n', '\n')
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s holds no licence", filepath.Base(dir))
	}
	return out, nil
}

// licences gathers the texts of every module linked into a program, of Go's own
// library and of the page's packages.
func licences(program string) ([]byte, error) {
	info, err := buildinfo.ReadFile(program)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	add := func(what, dir string) error {
		text, err := texts(dir)
		fmt.Fprintf(&b, "%s\n%s\n\n%s\n", what, strings.Repeat("=", len(what)), text)
		return err
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	if err := add("The Go standard library, "+info.GoVersion, strings.TrimSpace(string(root))); err != nil {
		return nil, err
	}
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", m.Path).Output()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m.Path, err)
		}
		if err := add(m.Path+" "+m.Version, strings.TrimSpace(string(dir))); err != nil {
			return nil, err
		}
	}
	var lock struct {
		Packages map[string]struct {
			Version string
			Dev     bool
		}
	}
	text, err := os.ReadFile(filepath.Join("ui", "package-lock.json"))
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(text, &lock); err != nil {
		return nil, err
	}
	for _, path := range slices.Sorted(maps.Keys(lock.Packages)) {
		name, ok := strings.CutPrefix(path, "node_modules/")
		if p := lock.Packages[path]; ok && !p.Dev {
			if err := add(name+" "+p.Version+" (the workshop's page)", filepath.Join("ui", path)); err != nil {
				return nil, err
			}
		}
	}
	return b.Bytes(), nil
}

func mode(f *file) fs.FileMode {
	if f.runs {
		return 0o755
	}
	return 0o644
}

func tarred(files []file, date time.Time) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	t := tar.NewWriter(z)
	for i := range files {
		f := &files[i]
		if err := t.WriteHeader(&tar.Header{Name: "fledge/" + f.name, Mode: int64(mode(f)), Size: int64(len(f.text)), ModTime: date, Format: tar.FormatUSTAR}); err != nil {
			return nil, err
		}
		if _, err := t.Write(f.text); err != nil {
			return nil, err
		}
	}
	if err := t.Close(); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func zipped(files []file, date time.Time) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := range files {
		f := &files[i]
		h := &zip.FileHeader{Name: "fledge/" + f.name, Method: zip.Deflate, Modified: date}
		h.SetMode(mode(f))
		w, err := z.CreateHeader(h)
		if err != nil {
			return nil, err
		}
		if _, err := w.Write(f.text); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
