package store

import (
	"bytes"
	"compress/gzip"
	"errors"
	"testing"
)

// A packed file whose row claims a size beyond what is ever kept is refused
// before it is unpacked.
func TestPackedBomb(t *testing.T) {
	var b bytes.Buffer
	w := gzip.NewWriter(&b)
	if _, err := w.Write(make([]byte, 1<<20)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	for _, size := range []int64{-1, MaxLog + 1, 1 << 62} {
		f := File{Packing: "gzip", Packed: b.Bytes(), Size: size}
		var bad *badRow
		if _, err := f.content(); !errors.As(err, &bad) {
			t.Errorf("size %d: %v", size, err)
		}
	}
}
