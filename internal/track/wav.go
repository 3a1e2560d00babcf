package track

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
)

// Sound is one channel of a recording, the mean of all channels, full scale
// ±1.
type Sound struct {
	Rate    float64 // samples a second
	Samples []float32
	Bits    int
	Kinds   int    // channels in the file
	Torn    bool   // the file ends before its header says
	Clipped int    // samples at full scale
	Note    string // what was odd
}

// MaxSound is the most samples read of one recording: twenty minutes at
// 48 kHz.
const MaxSound = 48000 * 60 * 20

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
	for left > 0 && len(s.Samples) < MaxSound {
		want := int64(len(buf))
		if left < want {
			want = left - left%int64(align)
			if want == 0 {
				break
			}
		}
		n, err := io.ReadFull(r, buf[:want])
		frames := n / align
		for i := 0; i < frames && len(s.Samples) < MaxSound; i++ {
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
			s.Samples = append(s.Samples, float32(math.Max(-4, math.Min(4, v))))
		}
		left -= int64(n)
		if err != nil {
			s.Torn = size != 0 && size != math.MaxUint32
			return nil
		}
	}
	if len(s.Samples) >= MaxSound {
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
