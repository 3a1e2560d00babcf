package track

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// Sound is one channel of a recording, the mean of all channels, full scale
// ±1, low-passed and thinned to 9 to 18 kHz as it is read: what a propeller
// says lies below 4 kHz.
type Sound struct {
	Rate    float64 // samples a second kept
	Samples []float32
	Read    int // samples read of the file
	Bits    int
	Kinds   int    // channels in the file
	Torn    bool   // the file ends before its header says
	Clipped int    // samples at full scale
	Note    string // what was odd
}

// MaxSound is the most that is read of one recording, s: twenty minutes.
const MaxSound = 20 * 60.0

// keptRate is the least rate that sound is thinned to, Hz.
const keptRate = 9000.0

// thinner low-passes and thins a stream of samples by a whole number.
type thinner struct {
	k, next int
	h       []float64 // windowed sinc, cut at 0.45 of the new rate
	buf     []float32
}

func newThinner(k int) *thinner {
	half := 8 * k
	t := &thinner{k: k, next: half, h: make([]float64, 2*half+1)}
	sum := 0.0
	for i := range t.h {
		x := float64(i - half)
		fc := 0.45 / float64(k)
		t.h[i] = 2 * fc
		if x != 0 {
			t.h[i] = math.Sin(2*math.Pi*fc*x) / (math.Pi * x)
		}
		t.h[i] *= 0.54 + 0.46*math.Cos(math.Pi*x/float64(half))
		sum += t.h[i]
	}
	for i := range t.h {
		t.h[i] /= sum
	}
	return t
}

// add takes a sample and gives the next one that is kept, if it is due.
func (t *thinner) add(v float32) (float32, bool) {
	t.buf = append(t.buf, v)
	half := len(t.h) / 2
	if len(t.buf) <= t.next+half {
		return 0, false
	}
	s := 0.0
	for j, x := range t.buf[t.next-half : t.next+half+1] {
		s += t.h[j] * float64(x)
	}
	t.next += t.k
	if cut := t.next - half; cut > 1<<14 {
		t.buf = t.buf[:copy(t.buf, t.buf[cut:])]
		t.next = half
	}
	return float32(s), true
}

// ReadWAV reads a RIFF WAVE recording: PCM of 8, 16, 24 or 32 bit or float
// of 32 or 64 bit, any number of channels up to 64. Unknown chunks are
// skipped; a file that ends early gives what is there and says so.
func ReadWAV(r io.Reader) (*Sound, error) {
	var h [12]byte
	if _, err := io.ReadFull(r, h[:]); err != nil {
		return nil, errors.New("the file is too short for a RIFF WAVE header")
	}
	if string(h[:4]) != "RIFF" || string(h[8:]) != "WAVE" {
		return nil, errors.New("this is not a RIFF WAVE file")
	}
	s := &Sound{}
	var format, channels, bits, align int
	for {
		var c [8]byte
		if _, err := io.ReadFull(r, c[:]); err != nil {
			if len(s.Samples) > 0 {
				return s, nil
			}
			return nil, errors.New("the file has no sound in it (no data chunk)")
		}
		size := int64(binary.LittleEndian.Uint32(c[4:]))
		switch string(c[:4]) {
		case "fmt ":
			if size < 16 || size > 4096 {
				return nil, fmt.Errorf("the format chunk has %d bytes", size)
			}
			b := make([]byte, size+size&1)
			if n, err := io.ReadFull(r, b); err != nil && int64(n) < size {
				return nil, errors.New("the file ends inside its format chunk")
			}
			le := binary.LittleEndian
			format, channels = int(le.Uint16(b)), int(le.Uint16(b[2:]))
			s.Rate, align, bits = float64(le.Uint32(b[4:])), int(le.Uint16(b[12:])), int(le.Uint16(b[14:]))
			if format == 0xFFFE && size >= 26 {
				format = int(le.Uint16(b[24:]))
			}
			s.Bits, s.Kinds = bits, channels
			switch {
			case s.Rate < 1000 || s.Rate > 1e6:
				return nil, fmt.Errorf("a sampling rate of %g Hz is not believed", s.Rate)
			case channels < 1 || channels > 64 || align > 1024:
				return nil, fmt.Errorf("%d channels are not believed", channels)
			case format == 1 && (bits == 8 || bits == 16 || bits == 24 || bits == 32):
			case format == 3 && (bits == 32 || bits == 64):
			default:
				return nil, fmt.Errorf("sound of format %d with %d bits is not read: save it as 16 bit PCM", format, bits)
			}
			if align < channels*bits/8 {
				return nil, fmt.Errorf("the frame of %d bytes cannot hold %d channels of %d bits", align, channels, bits)
			}
		case "data":
			if s.Rate == 0 {
				return nil, errors.New("the sound comes before its format")
			}
			if err := s.data(r, size, format, channels, bits, align); err != nil {
				return nil, err
			}
			if len(s.Samples) == 0 {
				return nil, errors.New("the recording is empty")
			}
			return s, nil
		default:
			if _, err := io.CopyN(io.Discard, r, size+size&1); err != nil {
				return nil, errors.New("the file ends before any sound")
			}
		}
	}
}

func (s *Sound) data(r io.Reader, size int64, format, channels, bits, align int) error {
	buf := make([]byte, align*4096)
	left := size
	if size == 0 || size == math.MaxUint32 {
		left = math.MaxInt64 // a recorder that never closed its file
	}
	step := bits / 8
	most := int(MaxSound * s.Rate)
	var thin *thinner
	if k := int(s.Rate / keptRate); k > 1 {
		thin = newThinner(k)
		defer func() { s.Rate /= float64(k) }()
	}
	for left > 0 && s.Read < most {
		want := int64(len(buf))
		if left < want {
			want = left - left%int64(align)
			if want == 0 {
				break
			}
		}
		n, err := io.ReadFull(r, buf[:want])
		frames := n / align
		for i := 0; i < frames && s.Read < most; i++ {
			sum := 0.0
			for c := 0; c < channels; c++ {
				sum += sample(buf[i*align+c*step:], format, bits)
			}
			v := sum / float64(channels)
			if math.IsNaN(v) || math.IsInf(v, 0) {
				v = 0
			}
			if math.Abs(v) > 0.999 {
				s.Clipped++
			}
			s.Read++
			x := float32(math.Max(-4, math.Min(4, v)))
			if thin != nil {
				var due bool
				if x, due = thin.add(x); !due {
					continue
				}
			}
			s.Samples = append(s.Samples, x)
		}
		left -= int64(n)
		if err != nil {
			s.Torn = size != 0 && size != math.MaxUint32
			return nil
		}
	}
	if s.Read >= most {
		s.Note = "only the first part of the recording was read"
	}
	return nil
}

func sample(b []byte, format, bits int) float64 {
	le := binary.LittleEndian
	switch {
	case format == 3 && bits == 32:
		return float64(math.Float32frombits(le.Uint32(b)))
	case format == 3:
		return math.Float64frombits(le.Uint64(b))
	case bits == 8:
		return (float64(b[0]) - 128) / 128
	case bits == 16:
		return float64(int16(le.Uint16(b))) / 32768
	case bits == 24:
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23)
	}
	return float64(int32(le.Uint32(b))) / (1 << 31)
}
