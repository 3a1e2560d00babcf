package store

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"sort"
	"sync"
)

// Cache keeps results that can be recomputed, in the user's cache folder. A
// key is the hash of the program and of everything the result depends on, so
// nothing in it is ever stale; deleting the folder changes no answer. Writes
// are atomic; a damaged or missing entry is a miss. A nil *Cache is a cache
// that keeps nothing.
type Cache struct {
	dir     string
	program string
}

// CacheMost is how many bytes of entries are kept; the oldest go first.
const CacheMost = 64 << 20

var program = sync.OnceValues(func() (string, error) {
	name, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
})

// OpenCache opens the cache in dir ("": the user's cache folder). An error
// means no cache; the caller goes on without.
func OpenCache(dir string) (*Cache, error) {
	if dir == "" {
		base, err := os.UserCacheDir()
		if err != nil {
			return nil, err
		}
		dir = filepath.Join(base, "fledge")
	}
	p, err := program()
	if err != nil {
		return nil, err
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	return &Cache{dir: dir, program: p}, nil
}

// Key makes the key of a result from the parts it depends on.
func (c *Cache) Key(parts ...string) string {
	h := sha256.New()
	if c != nil {
		io.WriteString(h, c.program)
	}
	for _, p := range parts {
		fmt.Fprintf(h, "\x00%d\x00%s", len(p), p)
	}
	return hex.EncodeToString(h.Sum(nil))
}

// Get returns an entry whose content still matches its own hash.
func (c *Cache) Get(key string) ([]byte, bool) {
	if c == nil {
		return nil, false
	}
	data, err := os.ReadFile(filepath.Join(c.dir, key))
	if err != nil || len(data) < sha256.Size {
		return nil, false
	}
	sum := sha256.Sum256(data[sha256.Size:])
	if string(sum[:]) != string(data[:sha256.Size]) {
		return nil, false
	}
	return data[sha256.Size:], true
}

// Put keeps an entry. A failure to write only costs the next run its time.
func (c *Cache) Put(key string, data []byte) {
	if c == nil {
		return
	}
	f, err := os.CreateTemp(c.dir, "new-*")
	if err != nil {
		return
	}
	sum := sha256.Sum256(data)
	_, err = f.Write(append(sum[:], data...))
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), filepath.Join(c.dir, key))
	}
	if err != nil {
		os.Remove(f.Name())
		return
	}
	c.prune()
}

// prune removes the oldest entries beyond CacheMost.
func (c *Cache) prune() {
	entries, err := os.ReadDir(c.dir)
	if err != nil {
		return
	}
	type file struct {
		name string
		size int64
		at   int64
	}
	var all []file
	total := int64(0)
	for _, e := range entries {
		if i, err := e.Info(); err == nil && i.Mode().IsRegular() {
			all = append(all, file{e.Name(), i.Size(), i.ModTime().UnixNano()})
			total += i.Size()
		}
	}
	sort.Slice(all, func(i, j int) bool { return all[i].at < all[j].at })
	for _, f := range all {
		if total <= CacheMost {
			return
		}
		if os.Remove(filepath.Join(c.dir, f.name)) == nil {
			total -= f.size
		}
	}
}
