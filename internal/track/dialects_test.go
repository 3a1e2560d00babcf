package track

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
)

// Places in one cell under a name of its own, knots that no one says, and a
// voltage told by its unit alone.
func TestMoreDialects(t *testing.T) {
	var b strings.Builder
	b.WriteString("t,latlon,altitude,gspd,bus one(V),Main(V)\n")
	for i := range 900 {
		x := 0.0
		if i > 300 {
			x = 20 * float64(i-300) / 5 // m north at 20 m/s
		}
		v := 0.0
		if i > 300 {
			v = 20 * 3600 / 1852.0
		}
		fmt.Fprintf(&b, "%.2f,%.7f 8.3000000,%.1f,%.2f,5.02,%.2f\n", float64(i)/5, 47.2+x/111180, 10.0, v, 16.4-float64(i)/1000)
	}
	l, err := Read(bytes.NewReader([]byte(b.String())), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c, ok := l.Columns.Of(ChPlace); !ok || c.Name != "latlon" {
		t.Errorf("place: %+v", l.Columns)
	}
	if c, ok := l.Columns.Of(ChVolts); !ok || c.Name != "Main(V)" {
		t.Errorf("voltage: %+v", c)
	}
	f := l.Fixes[len(l.Fixes)-1]
	if math.Abs(f.Speed-20) > 0.1 || math.Abs(f.Lat-(47.2+20*599/5.0/111180)*math.Pi/180) > 1e-8 {
		t.Errorf("last fix: speed %.2f m/s at %.6f rad", f.Speed, f.Lat)
	}
}
