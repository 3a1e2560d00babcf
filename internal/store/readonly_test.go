//go:build unix

package store

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestReadOnly reads a logbook in a folder that may not be written, also one
// whose last changes are still in the write-ahead log, and says plainly that
// nothing can be added.
func TestReadOnly(t *testing.T) {
	t.Run("nothing may be written", func(t *testing.T) { readOnly(t, false) })
	t.Run("the file may, its folder not", func(t *testing.T) { readOnly(t, true) })
}

func readOnly(t *testing.T, file bool) {
	dir := t.TempDir()
	l := logbook(t, dir)
	for i := range 3 {
		if err := addFlight(l, i); err != nil {
			t.Fatal(err)
		}
	}
	// l stays open: the changes are in the -wal file.
	if file {
		l.Close()
		if err := os.Chmod(l.path, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for p := dir; p != "/" && p != "."; p = filepath.Dir(p) {
		if info, err := os.Stat(p); err == nil && info.Mode()&0o005 != 0o005 && os.Getuid() == 0 {
			if strings.HasPrefix(p, os.TempDir()+"/") {
				os.Chmod(p, info.Mode()|0o055)
			}
		}
	}
	old, _ := os.ReadDir(dir)
	os.Chmod(dir, 0o555)
	defer os.Chmod(dir, 0o755)
	run := exe
	cmd := exec.Command(run)
	if os.Getuid() == 0 { // root may write everywhere: run as nobody
		own, err := os.MkdirTemp("", "fledge-ro-")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(own)
		os.Chmod(own, 0o755)
		src, err := os.Open(exe)
		if err != nil {
			t.Fatal(err)
		}
		dst, err := os.OpenFile(filepath.Join(own, "reader"), os.O_CREATE|os.O_WRONLY, 0o755)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(dst, src); err != nil {
			t.Fatal(err)
		}
		src.Close()
		dst.Close()
		cmd = exec.Command(dst.Name())
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	cmd.Env = append(os.Environ(), "FLEDGE_TEST_READER="+dir)
	cmd.Dir = os.TempDir()
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Skipf("cannot run without rights here: %v %s", err, out)
	}
	if !strings.Contains(string(out), "flights: 3 <nil>") || !strings.Contains(string(out), "read-only: nothing was written true") {
		t.Errorf("%s", out)
	}
	if now, _ := os.ReadDir(dir); len(now) != len(old) {
		t.Errorf("files were left: %v", now)
	}
}
