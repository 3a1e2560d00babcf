package track

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"fledge/internal/diag"
)

// Format is the kind of a file, told from its contents.
type Format string

// The formats.
const (
	NMEA    Format = "nmea"
	IGC     Format = "igc"
	GPX     Format = "gpx"
	CSV     Format = "csv"
	WAV     Format = "wav"
	Unknown Format = ""
)

// Options of reading. The zero value is what the command uses.
type Options struct {
	Name       string     // for diagnostics
	NoChecksum bool       // accept NMEA sentences without a checksum (they are flagged)
	Columns    *ColumnMap // CSV: use this map instead of guessing
	MaxFixes   int        // fixes kept at a time; 0: two hundred thousand (two hours and a quarter in motion at 25 Hz)
}

const (
	defaultFixes = 200_000
	maxLine      = 64 << 10 // bytes of one line; longer ones are torn
)

// ErrNoFixes is in the chain of the error for a file without one usable
// record.
var ErrNoFixes = errors.New("no usable record")

// Sniff tells the format from the first bytes of a file.
func Sniff(head []byte) Format {
	if len(head) >= 12 && string(head[:4]) == "RIFF" && string(head[8:12]) == "WAVE" {
		return WAV
	}
	head = bytes.TrimPrefix(head, []byte("\xef\xbb\xbf"))
	bad := 0
	for _, c := range head {
		if c == 0 || (c < ' ' && c != '\n' && c != '\r' && c != '\t' && c != 0x1a) {
			bad++
		}
	}
	if len(head) == 0 || bad*20 > len(head) {
		return Unknown
	}
	trim := bytes.TrimLeft(head, " \r\n\t")
	if len(trim) > 0 && trim[0] == '<' {
		return GPX
	}
	var nmea, igc, other int
	for _, line := range bytes.Split(head, []byte("\n")) {
		line = bytes.TrimRight(line, "\r ")
		switch {
		case len(line) == 0 || line[0] == '#':
		case sentenceStart(line) >= 0:
			nmea++
		case len(line) >= 35 && line[0] == 'B' && allDigits(line[1:7]), bytes.HasPrefix(line, []byte("HFDTE")), bytes.HasPrefix(line, []byte("HODTE")):
			igc += 3
		case len(line) >= 4 && bytes.IndexByte([]byte("AHIJCLFDEGK"), line[0]) >= 0 && !bytes.ContainsAny(line, ",;\t"):
			igc++
		default:
			other++
		}
	}
	switch {
	case nmea > 0 && nmea >= igc && nmea*2 >= other:
		return NMEA
	case igc > 2 && igc >= other:
		return IGC
	case bytes.ContainsAny(head, ",;\t") || bytes.IndexByte(head, ' ') >= 0:
		return CSV
	case nmea > 0:
		return NMEA
	case igc > 0:
		return IGC
	}
	return Unknown
}

// sentenceStart finds "$" or "!" followed by a talker and a sentence name.
func sentenceStart(line []byte) int {
	for i := 0; i+6 < len(line); i++ {
		if line[i] != '$' {
			continue
		}
		ok := true
		for _, c := range line[i+1 : i+6] {
			if (c < 'A' || c > 'Z') && (c < '0' || c > '9') {
				ok = false
			}
		}
		if ok && line[i+6] == ',' {
			return i
		}
	}
	return -1
}

func allDigits(b []byte) bool {
	for _, c := range b {
		if c < '0' || c > '9' {
			return false
		}
	}
	return len(b) > 0
}

// Read reads a log of any of the formats, in one pass: memory is bounded by
// Options.MaxFixes and not by the length of the file. A log with more records
// than that is thinned, first where the aeroplane stands still, then evenly,
// and says so. The log is never nil; the error is
// a [diag.List]'s when nothing could be used (and then matches [ErrNoFixes]).
// What was odd but bearable is in Log.Notes.
func Read(r io.Reader, o Options) (*Log, error) {
	if o.MaxFixes <= 0 {
		o.MaxFixes = defaultFixes
	}
	br := bufio.NewReaderSize(r, 64<<10)
	if b, _ := br.Peek(2); len(b) == 2 && (b[0] == 0xff && b[1] == 0xfe || b[0] == 0xfe && b[1] == 0xff) {
		br = bufio.NewReaderSize(&wide{r: br, big: b[0] == 0xfe}, 64<<10)
	}
	head, _ := br.Peek(16 << 10)
	l := &Log{Format: Sniff(head)}
	g := &gather{log: l, opt: o}
	var err error
	switch l.Format {
	case NMEA:
		err = readNMEA(br, g)
	case IGC:
		err = readIGC(br, g)
	case GPX:
		err = readGPX(br, g)
	case CSV:
		err = readCSV(br, g)
	case WAV:
		err = errors.New("this is a sound, not a flight log")
	default:
		if len(head) == 0 {
			err = errors.New("the file is empty")
		} else {
			err = errors.New("this is not a text log of a known kind (NMEA 0183, IGC, GPX or CSV)")
		}
	}
	if err != nil {
		l.note(diag.Error, "log-unreadable", g.line, err.Error(), "")
	}
	g.finish()
	if len(l.Fixes) == 0 {
		if err == nil {
			l.note(diag.Error, "log-empty", 0, "the log holds no usable record"+l.why(), "")
		}
		return l, fmt.Errorf("%w: %w", ErrNoFixes, l.Notes.Err())
	}
	return l, nil
}

// why lists the reasons in words.
func (l *Log) why() string {
	if len(l.Dropped) == 0 {
		return ""
	}
	s := " ("
	for i, d := range l.Dropped {
		if i > 0 {
			s += ", "
		}
		s += fmt.Sprintf("%d × %s", d.Count, d.Reason)
	}
	return s + ")"
}

// gather collects fixes from a reader.
type gather struct {
	log     *Log
	opt     Options
	line    int
	section int32
	based   bool
	base    int64 // unix s of T = 0 (or day seconds when the date is unknown)

	kept    int     // fixes so far: those in log.Fixes and in blocks
	blocks  [][]Fix // what came since the last look at them all
	seen    int     // records offered
	stride  int     // of them, one in this many is kept; 0: all
	resting int     // left out where it stood still
}

// blockFixes is how many fixes are set down in one piece: growing one long
// slice would copy each of them several times.
const blockFixes = 4096

// at converts whole seconds and a fraction to log time.
func (g *gather) at(sec int64, frac float64) float64 {
	if !g.based {
		g.base, g.based = sec, true
	}
	return float64(sec-g.base) + frac
}

// add keeps a fix with its raw T.
func (g *gather) add(f Fix) {
	g.seen++
	if g.stride > 1 && g.seen%g.stride != 0 {
		return
	}
	if g.kept >= g.opt.MaxFixes {
		g.room()
	}
	f.Section, f.Line = g.section, int32(min(g.line, math.MaxInt32))
	last := len(g.blocks) - 1
	if last < 0 || len(g.blocks[last]) == blockFixes {
		g.blocks = append(g.blocks, make([]Fix, 0, min(blockFixes, g.opt.MaxFixes)))
		last++
	}
	g.blocks[last] = append(g.blocks[last], f)
	g.kept++
}

// all is what was kept so far, in one piece, which is the log's.
func (g *gather) all() []Fix {
	if len(g.blocks) > 0 {
		g.log.Fixes = slices.Grow(g.log.Fixes, g.kept-len(g.log.Fixes))
		for i, b := range g.blocks {
			g.log.Fixes = append(g.log.Fixes, b...)
			g.blocks[i] = nil
		}
		g.blocks = g.blocks[:0]
	}
	return g.log.Fixes
}

// lines calls f for each line without its end; lines over the limit are cut
// and dropped. A NUL-ridden line is torn by its reader.
func (g *gather) lines(br *bufio.Reader, f func(line []byte)) error {
	var buf []byte
	for {
		part, err := br.ReadSlice('\n')
		if err == bufio.ErrBufferFull {
			if len(buf) < maxLine {
				buf = append(buf, part...)
			}
			continue
		}
		if len(buf) > 0 || len(part) > 0 {
			g.line++
			whole := part
			if len(buf) > 0 {
				whole = append(buf, part...)
			}
			if g.line == 1 {
				whole = bytes.TrimPrefix(whole, []byte("\xef\xbb\xbf"))
			}
			if len(whole) > maxLine {
				g.log.drop(Torn, g.line, string(whole[:60]))
			} else {
				f(bytes.TrimRight(whole, "\r\n"))
			}
			buf = buf[:0]
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// thin keeps fifty records a second of a log faster than a hundred: no
// receiver is as fast, and what it says is repeated in between.
func (l *Log) thin(f []Fix) []Fix {
	if len(f) < 50 || medianStep(f) > 0.0095 {
		return f
	}
	n := len(f)
	out := f[:1]
	for _, x := range f[1:] {
		p := &out[len(out)-1]
		if x.T-p.T >= 0.0195 || x.Section != p.Section {
			out = append(out, x)
		}
	}
	l.note(diag.Note, "thinned", 0, fmt.Sprintf("the log holds %d records, more than a hundred a second; fifty a second are used (%d)", n, len(out)), "")
	return out
}

const rollover = 7168 * 86400 // s in 1024 weeks

// finish orders the fixes in time, drops repeated times, parts sections at
// jumps of the clock, and finds gaps.
func (g *gather) finish() {
	l := g.log
	l.Records = g.seen
	if g.resting > 0 {
		l.note(diag.Note, "resting", 0, fmt.Sprintf("the log holds %d records; where it stood still one a second is used (%d left out)", g.seen, g.resting), "")
	}
	if g.stride > 1 {
		l.note(diag.Note, "thinned", 0, fmt.Sprintf("the log holds %d records, more than are kept at a time: one in %d is used", g.seen, g.stride), "cut the log to the flight of interest")
	}
	raw := g.all()
	kept := raw[:0]
	var offset float64 // added to raw times after a jump of the clock
	var bump int32     // added to sections
	stuck := 0         // repeats of one time while moving
	clockNotes := 0
	// typical interval, for stepping over clock jumps
	typical := medianStep(raw)
	for i := range raw {
		f := raw[i]
		f.Section += bump
		t := f.T + offset
		if len(kept) == 0 {
			offset = -f.T
			if math.Abs(f.T) < 1 { // keep the fraction of the first second
				offset = 0
			}
			t = f.T + offset
			f.T = t
			kept = append(kept, f)
			continue
		}
		p := &kept[len(kept)-1]
		dt := t - p.T
		switch {
		case math.Abs(dt) < 1e-6:
			moved := f.hasPlace() && p.hasPlace() && (f.Lat != p.Lat || f.Lon != p.Lon)
			if moved {
				stuck++
			}
			l.drop(SameTime, int(f.Line), "")
			continue
		case dt < 0:
			if i+1 < len(raw) && raw[i+1].T+offset > p.T || i+1 == len(raw) {
				l.drop(BackInTime, int(f.Line), "")
				continue
			}
			if clockNotes++; clockNotes <= 20 {
				l.note(diag.Warning, "clock-back", int(f.Line), fmt.Sprintf("the clock goes back by %s and stays there: a new section begins", span(-dt)), "")
			}
			offset += p.T + typical - t
			t = p.T + typical
			bump++
			f.Section++
		case dt > 30*86400:
			msg := fmt.Sprintf("the date jumps ahead by %.0f days: a new section begins", dt/86400)
			hint := ""
			if math.Abs(dt-rollover) < 2*86400 {
				hint = "7168 days are 1024 weeks: the receiver's week count rolled over"
			}
			if clockNotes++; clockNotes <= 20 {
				l.note(diag.Warning, "clock-jump", int(f.Line), msg, hint)
			}
			offset += p.T + typical - t
			t = p.T + typical
			bump++
			f.Section++
		}
		if stuck >= 3 {
			l.note(diag.Warning, "clock-stuck", int(f.Line), fmt.Sprintf("the clock stood still for %d records while the position moved: a new section begins after them", stuck), "")
			bump++
			f.Section++
		}
		stuck = 0
		f.T = t
		kept = append(kept, f)
	}
	if stuck >= 3 {
		l.note(diag.Warning, "clock-stuck", 0, fmt.Sprintf("the clock stood still for the last %d records while the position moved", stuck), "")
	}
	kept = l.thin(kept)
	if len(kept) > 0 && kept[0].T != 0 {
		t0 := kept[0].T
		g.base += int64(math.Floor(t0))
		for i := range kept {
			kept[i].T -= math.Floor(t0)
		}
	}
	for i := range kept { // microseconds: what is below is rounding, and order is kept
		if t := math.Round(kept[i].T*1e6) / 1e6; i == 0 || t > kept[i-1].T {
			kept[i].T = t
		}
	}
	l.Fixes = slices.Clip(kept)
	if l.DateKnown {
		l.Start = time.Unix(g.base, 0).UTC()
	}
	// gaps; and sections never join across a long one
	med := medianStep(l.Fixes)
	bump = 0
	var last int32
	for i := range l.Fixes {
		if i == 0 {
			last = l.Fixes[0].Section
			l.Fixes[0].Section = 0
			continue
		}
		f, p := &l.Fixes[i], &l.Fixes[i-1]
		own := f.Section
		dt := f.T - p.T
		if dt > 2.5*med && dt > med+0.25 && !f.Rested {
			if len(l.Gaps) < 100_000 {
				l.Gaps = append(l.Gaps, Gap{p.T, f.T})
			}
		}
		if own != last || dt > math.Max(10, 6*med) {
			bump++
		}
		last = own
		f.Section = bump
	}
}

// medianStep is the median positive step of time, s, thinned rests left out; 1
// when there is none.
func medianStep(f []Fix) float64 {
	var d []float64
	stride := 1 + len(f)/20000
	for i := 1; i < len(f); i += stride {
		if s := f[i].T - f[i-1].T; s > 1e-6 && s < 3600 && !f[i].Rested {
			d = append(d, s)
		}
	}
	if len(d) == 0 {
		return 1
	}
	slices.Sort(d)
	return d[len(d)/2]
}

// span prints a time span in plain words.
func span(s float64) string {
	switch {
	case s < 120:
		return fmt.Sprintf("%.3g s", s)
	case s < 7200:
		return fmt.Sprintf("%.0f min", s/60)
	case s < 2*86400:
		return fmt.Sprintf("%.1f h", s/3600)
	}
	return fmt.Sprintf("%.0f days", s/86400)
}
