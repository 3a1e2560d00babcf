// Package store is the hangar on disk: it reads build files with the files
// they name and day files, writes edits, and keeps the logbook and the cache. It
// is one of the few packages that touch files.
//
// A file named in a build is read from inside the build's folder only: the
// name is relative, and no step of it, nor any symbolic link on the way,
// leads out (os.Root).
package store

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"fledge/internal/build"
	"fledge/internal/diag"
)

// MaxAttachment is the largest file a build may name, in bytes.
const MaxAttachment = 1 << 20

// Loaded is a build with everything that was read for it.
type Loaded struct {
	Build *build.Build
	Path  string            // as given
	Text  []byte            // the build file, settings applied
	Files map[string][]byte // the files it names, by the name it uses
}

// LoadBuild reads a build file and the files it names, applying settings
// ("--set") to the text first; nothing is written. Every problem found is in
// the list; the result is usable when it has no errors, and its Build is nil
// when the file could not be read at all. Its Text, if any, is always there,
// for excerpts.
func LoadBuild(name string, settings ...build.Setting) (Loaded, diag.List) {
	out := Loaded{Path: name, Files: map[string][]byte{}}
	text, d, ok := readFile(name, build.MaxSize, "a build file")
	if !ok {
		return out, diag.List{d}
	}
	out.Text = text
	if len(settings) > 0 {
		edited, l := build.SetAll(text, settings)
		if l.HasErrors() {
			for i := range l { // of the file itself, if it could not be read
				if l[i].Span.File == "" {
					l[i].Span.File = name
				}
			}
			return out, l
		}
		out.Text = edited
	}
	return Assemble(name, out.Text)
}

// Assemble makes of a build file's text, which need not be on the disk yet,
// what LoadBuild makes of the file of that name: the files it names are read
// from that file's folder.
func Assemble(name string, text []byte) (Loaded, diag.List) {
	out := Loaded{Path: name, Text: text, Files: map[string][]byte{}}
	b, l := build.Parse(name, text)
	out.Build = b
	if b == nil {
		return out, l
	}
	if list := build.Attachments(b); len(list) > 0 {
		attach(filepath.Dir(name), list, out.Files, &l)
		l.Sort()
	}
	return out, l
}

// LoadDay reads a day file.
func LoadDay(name string) (build.Day, []byte, diag.List) {
	text, d, ok := readFile(name, build.MaxSize, "a day file")
	if !ok {
		return build.Day{}, nil, diag.List{d}
	}
	day, l := build.ParseDay(name, text)
	return day, text, l
}

// Excerpts gives the texts that diagnostics of this load point at, for
// [diag.List.Render].
func (l Loaded) Excerpts(settings ...build.Setting) func(file string) []byte {
	return func(file string) []byte {
		switch file {
		case l.Path:
			return l.Text
		case build.SetFile:
			var lines []string
			for _, s := range settings {
				lines = append(lines, s.String())
			}
			return []byte(strings.Join(lines, "\n"))
		}
		return nil
	}
}

// readFile reads a whole regular file of limited size.
func readFile(name string, most int64, what string) ([]byte, diag.Diagnostic, bool) {
	f, d, ok := openFile(name, most, what)
	if !ok {
		return nil, d, false
	}
	defer f.Close()
	bad := func(code, hint, format string, args ...any) ([]byte, diag.Diagnostic, bool) {
		return nil, diag.Diagnostic{Severity: diag.Error, Code: code, Span: diag.Span{File: name}, Message: fmt.Sprintf(format, args...), Hint: hint}, false
	}
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return bad("cannot-read", "", "the file cannot be read: %s", reason(err))
	}
	if int64(len(text)) > most {
		return bad("too-large", "is this the right file?", "the file grew beyond %s while it was read", size(most))
	}
	return text, diag.Diagnostic{}, true
}

// OpenFile opens a regular file of at most so many bytes to be read in one
// pass; the caller closes it. Problems are diagnostics as for [ReadFile].
func OpenFile(name string, most int64, what string) (*os.File, diag.List) {
	f, d, ok := openFile(name, most, what)
	if !ok {
		return nil, diag.List{d}
	}
	return f, nil
}

func openFile(name string, most int64, what string) (*os.File, diag.Diagnostic, bool) {
	bad := func(code, hint, format string, args ...any) (*os.File, diag.Diagnostic, bool) {
		return nil, diag.Diagnostic{Severity: diag.Error, Code: code, Span: diag.Span{File: name}, Message: fmt.Sprintf(format, args...), Hint: hint}, false
	}
	info, err := os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return bad("no-file", nearFile(os.DirFS(filepath.Dir(name)), ".", filepath.Base(name)), "there is no such file")
	case err != nil:
		return bad("cannot-read", "", "the file cannot be read: %s", reason(err))
	case info.IsDir():
		return bad("not-a-file", "name the build file inside it", "this is a folder, not %s", what)
	case !info.Mode().IsRegular():
		return bad("not-a-file", "", "this is not a regular file")
	case info.Size() > most:
		return bad("too-large", "is this the right file?", "the file has %s, %s has at most %s", size(info.Size()), what, size(most))
	}
	f, err := os.Open(name)
	if err != nil {
		return bad("cannot-read", "", "the file cannot be read: %s", reason(err))
	}
	return f, diag.Diagnostic{}, true
}

// attach reads the files a build names.
func attach(dir string, list []build.Attachment, into map[string][]byte, l *diag.List) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		l.Errorf("cannot-read", list[0].Span, "the build's folder cannot be read: %s", reason(err))
		return
	}
	defer root.Close()
	for _, a := range list {
		if _, done := into[a.Path]; done {
			continue
		}
		bad := func(code, hint, format string, args ...any) {
			l.Add(diag.Diagnostic{Severity: diag.Error, Code: code, Span: a.Span, Message: fmt.Sprintf("%s: ", diag.Quote(a.Path)) + fmt.Sprintf(format, args...), Hint: hint})
		}
		if !filepath.IsLocal(filepath.FromSlash(a.Path)) || strings.Contains(a.Path, `\`) {
			continue // build.Parse has said so
		}
		info, err := root.Stat(filepath.FromSlash(a.Path))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			bad("no-file", nearFile(root.FS(), path.Dir(a.Path), path.Base(a.Path)), "there is no such file beside the build")
			continue
		case err != nil && strings.Contains(err.Error(), "escapes"):
			bad("outside", "copy the file beside the build", "a link leads outside the build's folder")
			continue
		case err != nil:
			bad("cannot-read", "", "the file cannot be read: %s", reason(err))
			continue
		case !info.Mode().IsRegular():
			bad("not-a-file", "", "this is not a regular file")
			continue
		case info.Size() > MaxAttachment:
			bad("too-large", "is this the right file?", "the file has %s, at most %s are read", size(info.Size()), size(MaxAttachment))
			continue
		}
		f, err := root.Open(filepath.FromSlash(a.Path))
		if err != nil {
			bad("cannot-read", "", "the file cannot be read: %s", reason(err))
			continue
		}
		text, err := io.ReadAll(io.LimitReader(f, MaxAttachment+1))
		f.Close()
		if err != nil || len(text) > MaxAttachment {
			bad("cannot-read", "", "the file cannot be read whole")
			continue
		}
		into[a.Path] = text
	}
}

// nearFile suggests a file of a similar name in the same folder.
func nearFile(in fs.FS, dir, base string) string {
	entries, err := fs.ReadDir(in, dir)
	if err != nil {
		return ""
	}
	var names []string
	for _, e := range entries {
		if len(names) < 1000 {
			names = append(names, e.Name())
		}
	}
	return diag.DidYouMean(base, names, "")
}

// reason is the cause of a file error without the path, which the
// diagnostic's place already names.
func reason(err error) string {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err.Error()
	}
	return err.Error()
}

func size(n int64) string {
	if n >= 1<<20 {
		return fmt.Sprintf("%.4g MiB", float64(n)/(1<<20))
	}
	return fmt.Sprintf("%.4g KiB", float64(n)/(1<<10))
}

// ErrChanged is returned by Save when the file is not what it was when it was
// read.
var ErrChanged = errors.New("the file was changed by something else meanwhile")

// ErrExists is returned by Create when there is a file of that name.
var ErrExists = errors.New("there is a file of that name already")

// Save replaces the content of a file that still holds before with after,
// all or nothing: a new file is written beside it, flushed, and put in its
// place. Permissions stay; a symbolic link stays a link.
func Save(name string, before, after []byte) error {
	real, err := filepath.EvalSymlinks(name)
	if err != nil {
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	info, err := os.Stat(real)
	if err != nil {
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	now, err := os.ReadFile(real)
	if err != nil {
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	if !bytes.Equal(now, before) {
		return fmt.Errorf("%s: %w", name, ErrChanged)
	}
	if bytes.Equal(before, after) {
		return nil
	}
	tmp, err := writeBeside(real, after, info.Mode().Perm())
	if err != nil {
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	if err := os.Rename(tmp, real); err != nil {
		os.Remove(tmp)
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	return nil
}

// Create writes a new file, all or nothing, and never over an old one.
func Create(name string, text []byte) error {
	if _, err := os.Lstat(name); err == nil {
		return fmt.Errorf("%s: %w", name, ErrExists)
	}
	tmp, err := writeBeside(name, text, 0o644)
	if err != nil {
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	defer os.Remove(tmp)
	// A hard link fails if the name was taken meanwhile; where links are not
	// to be had, the file is made exclusively and filled.
	if err := os.Link(tmp, name); err == nil {
		return nil
	} else if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s: %w", name, ErrExists)
	}
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		if errors.Is(err, fs.ErrExist) {
			err = ErrExists
		}
		return fmt.Errorf("%s: %w", name, err)
	}
	_, err = f.Write(text)
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(name)
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	return nil
}

func writeBeside(name string, text []byte, mode fs.FileMode) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(name), ".fledge-*.tmp")
	if err != nil {
		return "", err
	}
	fail := func(err error) (string, error) {
		f.Close()
		os.Remove(f.Name())
		return "", err
	}
	if _, err := f.Write(text); err != nil {
		return fail(err)
	}
	if err := f.Chmod(mode); err != nil {
		return fail(err)
	}
	if err := f.Sync(); err != nil {
		return fail(err)
	}
	if err := f.Close(); err != nil {
		return fail(err)
	}
	return f.Name(), nil
}
