package paper

import (
	"fmt"

	"rsc.io/qr"
)

// symbol draws an ISO/IEC 18004 symbol of the text with its quiet zone of four
// modules, error correction level M, in a square of the given side; text beyond
// what one symbol holds is an error.
func (k *ink) symbol(x, y, side float64, text string) error {
	c, err := qr.Encode(text, qr.M)
	if err != nil {
		return fmt.Errorf("paper: %w", err)
	}
	m := side / float64(c.Size+8)
	k.f.SetFillColor(0, 0, 0)
	for j := range c.Size {
		for i := 0; i < c.Size; i++ {
			n := i
			for n < c.Size && c.Black(n, j) {
				n++
			}
			if n > i { // runs, not squares: no hairlines between them
				k.f.Rect(x+m*float64(i+4), y+m*float64(j+4), m*float64(n-i), m*1.02, "F")
				i = n
			}
		}
	}
	return nil
}
