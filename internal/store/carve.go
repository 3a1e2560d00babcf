package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sort"
)

// Salvaged is what [Salvage] saved.
type Salvaged struct {
	Path string         `json:"path"` // a dump, to be imported
	Rows map[string]int `json:"rows"`
	All  int            `json:"all"`
}

// Salvage reads what can still be read of a damaged logbook and saves it
// beside, as a dump whose name holds its hash, so that the same damage is
// saved once. It needs nothing of the file's order to be whole: each page is
// looked at on its own for rows, and a row is taken when its checksum fits
// one of the tables. The damaged file is not touched.
//
// File format: sqlite.org/fileformat2.html.
func Salvage(dir string) (Salvaged, error) {
	path := filepath.Join(dir, LogbookName)
	main, err := os.ReadFile(path)
	if err != nil {
		return Salvaged{}, fmt.Errorf("%s: %s", path, reason(err))
	}
	wal, err := os.ReadFile(path + "-wal")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Salvaged{}, fmt.Errorf("%s-wal: %s", path, reason(err))
	}
	rows := carve(main, wal)
	out := Salvaged{Rows: map[string]int{}, All: len(rows)}
	var b bytes.Buffer
	d := newDumper(&b, "salvaged from a damaged file: entries may be missing")
	for _, tb := range tables {
		for _, r := range rows {
			if r.table() == tb.name {
				d.row(tb, r)
				out.Rows[tb.name]++
			}
		}
	}
	if err := d.end(); err != nil {
		return out, err
	}
	h := sha256.Sum256(b.Bytes())
	out.Path = filepath.Join(dir, "logbook-saved-"+hex.EncodeToString(h[:4])+".jsonl")
	if err := Create(out.Path, b.Bytes()); err != nil && !errors.Is(err, ErrExists) {
		return out, err
	}
	return out, nil
}

// SetAside moves a damaged logbook out of the way, so that a new one can be
// made; it is kept under a name with its hash.
func SetAside(dir string) (string, error) {
	path := filepath.Join(dir, LogbookName)
	text, err := os.ReadFile(path)
	if err != nil {
		return "", fmt.Errorf("%s: %s", path, reason(err))
	}
	h := sha256.Sum256(text)
	to := filepath.Join(dir, "logbook-damaged-"+hex.EncodeToString(h[:4])+".sqlite")
	if _, err := os.Lstat(to); err == nil {
		return "", fmt.Errorf("%s: %w", to, ErrExists)
	}
	for _, tail := range []string{"-wal", "-shm", ""} {
		if err := os.Rename(path+tail, to+tail); err != nil && !(tail != "" && errors.Is(err, fs.ErrNotExist)) {
			return "", fmt.Errorf("%s: %s", path, reason(err))
		}
	}
	return to, nil
}

const pageSize = 4096 // SQLite's default, which all logbooks have

// pages is the file with what the write-ahead log has over it.
type pages struct {
	main []byte
	over map[uint32][]byte
	size int
}

func (p *pages) page(n uint32) []byte {
	if b, ok := p.over[n]; ok {
		return b
	}
	if n == 0 || uint64(n)*uint64(p.size) > uint64(len(p.main)) {
		return nil
	}
	return p.main[(n-1)*uint32(p.size) : n*uint32(p.size)]
}

func carve(main, wal []byte) []Row {
	p := &pages{main: main, over: map[uint32][]byte{}, size: pageSize}
	p.overlay(wal)
	last := uint32(len(main) / p.size)
	for n := range p.over {
		last = max(last, n)
	}
	best := map[string]Row{}
	for n := uint32(1); n <= last; n++ {
		for _, r := range p.leaf(n) {
			best[fmt.Sprintf("%s %d", r.table(), r.meta().ID)] = r
		}
	}
	out := make([]Row, 0, len(best))
	for _, r := range best {
		out = append(out, r)
	}
	sort.Slice(out, func(a, b int) bool { return out[a].meta().ID < out[b].meta().ID })
	return out
}

// overlay takes the frames of the write-ahead log up to the last commit.
func (p *pages) overlay(wal []byte) {
	if len(wal) < 32 {
		return
	}
	size := int(binary.BigEndian.Uint32(wal[8:]))
	if size != p.size {
		return
	}
	pending := map[uint32][]byte{}
	for at := 32; at+24+size <= len(wal); at += 24 + size {
		f := wal[at:]
		if !bytes.Equal(f[8:16], wal[16:24]) { // salt: a frame of an earlier round
			break
		}
		pending[binary.BigEndian.Uint32(f)] = f[24 : 24+size]
		if binary.BigEndian.Uint32(f[4:]) != 0 { // the last frame of a commit
			for n, b := range pending {
				p.over[n] = b
			}
			pending = map[uint32][]byte{}
		}
	}
}

// leaf finds the rows on a page, if it is a leaf of a table.
func (p *pages) leaf(n uint32) []Row {
	b := p.page(n)
	if b == nil {
		return nil
	}
	head := 0
	if n == 1 {
		head = 100
	}
	if b[head] != 0x0d {
		return nil
	}
	cells := int(binary.BigEndian.Uint16(b[head+3:]))
	var out []Row
	for i := range cells {
		k := head + 8 + 2*i
		if k+2 > len(b) {
			break
		}
		if r := p.cell(b, int(binary.BigEndian.Uint16(b[k:]))); r != nil {
			out = append(out, r)
		}
	}
	return out
}

// varint reads SQLite's variable-length integer; n is 0 when it runs out.
func varint(b []byte) (v uint64, n int) {
	for i := 0; i < 9 && i < len(b); i++ {
		if i == 8 {
			return v<<8 | uint64(b[i]), 9
		}
		v = v<<7 | uint64(b[i]&0x7f)
		if b[i] < 0x80 {
			return v, i + 1
		}
	}
	return 0, 0
}

// cell reads one record and gives it to the table whose checksum it fits.
func (p *pages) cell(b []byte, at int) Row {
	if at < 8 || at >= len(b) {
		return nil
	}
	length, n := varint(b[at:])
	if n == 0 || length > 1<<30 {
		return nil
	}
	at += n
	id, n := varint(b[at:])
	if n == 0 {
		return nil
	}
	at += n
	body := p.payload(b, at, int(length))
	if body == nil {
		return nil
	}
	values, ok := record(body)
	if !ok || len(values) < 5 {
		return nil
	}
	sum, ok := values[1].(string)
	if !ok || len(sum) != 16 {
		return nil
	}
	values[0] = int64(id)
next:
	for _, tb := range tables {
		if len(values) > len(tb.columns) {
			continue
		}
		r := tb.make()
		for i, v := range values {
			if !tb.columns[i].put(r, v) {
				continue next
			}
		}
		if tb.sum(r) == sum {
			return r
		}
	}
	return nil
}

// payload joins the part of a record on its page with its overflow pages.
func (p *pages) payload(b []byte, at, length int) []byte {
	u := p.size // no reserved bytes
	local := length
	if most := u - 35; length > most {
		least := (u-12)*32/255 - 23
		local = least + (length-least)%(u-4)
		if local > most {
			local = least
		}
	}
	if at+local > len(b) {
		return nil
	}
	if local == length {
		return b[at : at+length]
	}
	if at+local+4 > len(b) {
		return nil
	}
	out := append(make([]byte, 0, min(length, len(p.main)+len(p.over)*p.size)), b[at:at+local]...)
	next := binary.BigEndian.Uint32(b[at+local:])
	for len(out) < length {
		q := p.page(next)
		if q == nil || len(out) > cap(out) {
			return nil
		}
		next = binary.BigEndian.Uint32(q)
		out = append(out, q[4:min(u, 4+length-len(out))]...)
		if len(out) < length && next == 0 {
			return nil
		}
	}
	return out
}

// record decodes SQLite's record format.
func record(b []byte) ([]any, bool) {
	size, n := varint(b)
	if n == 0 || size > uint64(len(b)) || size < uint64(n) {
		return nil, false
	}
	types, body := b[n:size], b[size:]
	var out []any
	for len(types) > 0 {
		t, n := varint(types)
		if n == 0 {
			return nil, false
		}
		types = types[n:]
		width := 0
		switch {
		case t <= 4:
			width = int(t)
		case t == 5:
			width = 6
		case t == 6 || t == 7:
			width = 8
		case t >= 12:
			if (t-12)/2 > uint64(len(body)) {
				return nil, false
			}
			width = int((t - 12) / 2)
		}
		if width > len(body) {
			return nil, false
		}
		v := body[:width]
		body = body[width:]
		switch {
		case t == 0:
			out = append(out, nil)
		case t <= 6:
			var x int64
			if v[0] >= 0x80 {
				x = -1
			}
			for _, c := range v {
				x = x<<8 | int64(c)
			}
			out = append(out, x)
		case t == 7:
			out = append(out, math.Float64frombits(binary.BigEndian.Uint64(v)))
		case t == 8:
			out = append(out, int64(0))
		case t == 9:
			out = append(out, int64(1))
		case t >= 12 && t%2 == 0:
			out = append(out, append([]byte{}, v...))
		case t >= 13:
			out = append(out, string(v))
		default:
			return nil, false
		}
	}
	return out, true
}
