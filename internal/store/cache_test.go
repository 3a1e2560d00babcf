package store

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

func TestCache(t *testing.T) {
	dir := t.TempDir()
	c, err := OpenCache(dir)
	if err != nil {
		t.Fatal(err)
	}
	k := c.Key("check", "a", "b")
	if k == c.Key("check", "ab", "") || k == c.Key("check", "a", "c") {
		t.Error("keys collide")
	}
	if _, ok := c.Get(k); ok {
		t.Error("a hit in an empty cache")
	}
	want := []byte{0, 1, 2, 255}
	c.Put(k, want)
	got, ok := c.Get(k)
	if !ok || !bytes.Equal(got, want) {
		t.Errorf("got %v, %v", got, ok)
	}
	// A damaged entry is a miss, not an answer.
	name := filepath.Join(dir, k)
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	raw[len(raw)-1] ^= 1
	if err := os.WriteFile(name, raw, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, ok := c.Get(k); ok {
		t.Error("a damaged entry was served")
	}
	// No cache keeps nothing and does not mind.
	var none *Cache
	none.Put(k, want)
	if _, ok := none.Get(k); ok {
		t.Error("no cache served something")
	}
}
