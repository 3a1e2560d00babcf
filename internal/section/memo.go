package section

import (
	"encoding/binary"
	"math"
)

// Memo keeps results by content: a pure function's value under the hash of
// its inputs. Implementations live outside this package.
type Memo interface {
	Get(key string) ([]byte, bool)
	Put(key string, data []byte)
}

// encode and decode keep exact bits.
func (t *Table) encode() []byte {
	b := []byte(version + "\x00" + t.key + "\x00")
	put := func(v ...float64) {
		for _, x := range v {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(x))
		}
	}
	b = binary.LittleEndian.AppendUint32(b, uint32(len(t.re)))
	b = binary.LittleEndian.AppendUint32(b, uint32(len(t.flaps)))
	put(t.re...)
	put(t.flaps...)
	for i := range t.nodes {
		put(t.nodes[i][:]...)
	}
	for _, c := range t.codes {
		b = append(b, byte(c))
	}
	for _, list := range [][]Peak{t.top, t.low} {
		for _, p := range list {
			put(p.Cl, p.Alpha)
			b = binary.LittleEndian.AppendUint16(b, uint16(len(p.Status)))
			b = append(b, p.Status...)
		}
	}
	for _, c := range t.curve {
		b = binary.LittleEndian.AppendUint32(b, uint32(c.failed))
	}
	return b
}

// decode returns nil for anything that is not a whole table.
func decode(b []byte) *Table {
	bad := false
	take := func(n int) []byte {
		if bad || n < 0 || n > len(b) {
			bad = true
			return make([]byte, max(n, 0)%(1<<20))
		}
		v := b[:n]
		b = b[n:]
		return v
	}
	text := func() string {
		for i, c := range b {
			if c == 0 {
				s := string(b[:i])
				b = b[i+1:]
				return s
			}
		}
		bad = true
		return ""
	}
	if text() != version {
		return nil
	}
	key := text()
	head := take(8)
	nr, nf := int(binary.LittleEndian.Uint32(head)), int(binary.LittleEndian.Uint32(head[4:]))
	if bad || nr < 1 || nf < 1 || nr > 1000 || nf > 1000 || len(b) < nr*nf*nAlpha*65 {
		return nil
	}
	num := func() float64 { return math.Float64frombits(binary.LittleEndian.Uint64(take(8))) }
	re, flaps := make([]float64, nr), make([]float64, nf)
	for i := range re {
		re[i] = num()
	}
	for i := range flaps {
		flaps[i] = num()
	}
	t := newTable("", re, flaps)
	t.key = key
	for i := range t.nodes {
		for k := range t.nodes[i] {
			t.nodes[i][k] = num()
		}
	}
	for i := range t.codes {
		c := code(take(1)[0])
		if int(c) >= len(codeStatus) {
			return nil
		}
		t.codes[i] = c
	}
	for _, list := range [][]Peak{t.top, t.low} {
		for i := range list {
			list[i].Cl, list[i].Alpha = num(), num()
			list[i].Status = Status(take(int(binary.LittleEndian.Uint16(take(2)))))
			if bad {
				return nil
			}
		}
	}
	for i := range t.curve {
		t.curve[i].failed = int(binary.LittleEndian.Uint32(take(4)))
	}
	if bad || len(b) != 0 {
		return nil
	}
	return t
}
