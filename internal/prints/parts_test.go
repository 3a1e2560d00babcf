package prints

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"fledge/internal/section"
)

func shape(t *testing.T, name string) *section.Shape {
	t.Helper()
	s, err := section.Parse(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Gauges of many sections and angles are sound and closed; the arm's underside
// stands one clearance over the section with its control turned.
func TestGauge(t *testing.T) {
	for _, name := range []string{"NACA 0006", "NACA 2409", "NACA 4415", "NACA 23012"} {
		for _, chord := range []float64{0.06, 0.156, 0.4} {
			for _, angle := range []float64{-20, -2.1, 0, 3, 25} {
				g := Gauge{Shape: shape(t, name), Chord: chord, Hinge: 0.72, Angle: angle * math.Pi / 180, Thick: 0.005, Lean: 0.3, Lines: []string{"TERN 5B7B995B", "AILERON +3.0°"}}
				p, missing, _, err := g.Plate("gauge", nil)
				if err != nil {
					t.Fatalf("%s %g %g: %v", name, chord, angle, err)
				}
				if len(missing) > 0 {
					t.Errorf("missing %q", string(missing))
				}
				if _, err := p.Solid(); err != nil {
					t.Errorf("%s %g %g: %v", name, chord, angle, err)
				}
				bent := g.Shape
				if angle != 0 {
					bent = g.Shape.WithFlap(g.Hinge, -g.Angle)
				}
				_, edge, _ := g.Outline()
				want := bent.Upper(edge.X/chord) * chord
				if d := edge.Y - want; d < 0.05e-3 || d > 0.3e-3 {
					t.Errorf("%s %g %g: the tip stands %.3f mm over the trailing edge", name, chord, angle, d*1e3)
				}
				// Between hinge and edge the turned chord line has moved by the angle.
				if angle != 0 {
					arm := chord * (1 - g.Hinge)
					up := (bent.Upper(edge.X/chord) - g.Shape.Upper(1)) * chord
					if d := up - arm*math.Sin(g.Angle); math.Abs(d) > 0.03*chord {
						t.Errorf("%s %g %g: the edge moves %.2f mm", name, chord, angle, up*1e3)
					}
				}
			}
		}
	}
	g := Gauge{Shape: shape(t, "NACA 2409"), Chord: 0.15, Hinge: 0.2}
	if _, _, err := g.Outline(); err == nil {
		t.Error("a hinge at 20 % makes a gauge")
	}
}

func TestHorn(t *testing.T) {
	for _, h := range []Horn{
		{Height: 0.012, Root: 0.008, Width: 0.003, Hole: 0.002, Tip: 0.003, Lines: []string{"TERN RUDDERVATOR", "PETG PROOF 45 N", "5B7B995B"}},
		{Height: 0.025, Root: 0.03, Width: 0.008, Hole: 0.0015, Tip: 0.0022},
		{Height: 0.012, Root: 0.005, Width: 0.003, Hole: 0.002, Tip: 0.003},
	} {
		p, _, _, err := h.Plate("horn", nil)
		if err != nil {
			t.Fatal(err)
		}
		s, err := p.Solid()
		if err != nil {
			t.Fatal(err)
		}
		a, err := p.Base.Area()
		if err != nil {
			t.Fatal(err)
		}
		letters := 0.0
		for _, l := range p.Raised {
			la, _ := l.Area()
			letters += la * p.Proud
		}
		if got, want := s.Volume(), a*h.Width+letters; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("volume %g, want %g", got, want)
		}
	}
	for _, h := range []Horn{{Height: 0.012, Root: 0.008, Width: 0.003, Hole: 0.02, Tip: 0.003}, {Height: 0.002, Root: 0.008, Width: 0.003, Hole: 0.002, Tip: 0.003}, {}} {
		if _, _, err := h.Outline(); err == nil {
			t.Errorf("%+v makes a horn", h)
		}
	}
}

// Both files are read back as any reader would: the same closed body, facing
// out, in millimetres, and the same bytes each time.
func TestFiles(t *testing.T) {
	h := Horn{Height: 0.012, Root: 0.008, Width: 0.003, Hole: 0.002, Tip: 0.003, Lines: []string{"TERN"}}
	make1 := func() *Solid {
		p, _, _, err := h.Plate("solid horn", []string{"PETG", "鳥"})
		if err != nil {
			t.Fatal(err)
		}
		s, err := p.Solid()
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	s := make1()
	stl, mf := s.STL(), ThreeMF(s)
	if !bytes.Equal(stl, make1().STL()) || !bytes.Equal(mf, ThreeMF(make1())) {
		t.Error("bytes differ on repeat")
	}
	want := s.Volume() * 1e9
	if bytes.HasPrefix(stl, []byte("solid")) {
		t.Error("the STL file looks like one in text")
	}
	n := int(binary.LittleEndian.Uint32(stl[80:]))
	if n != len(s.tri) || len(stl) != 84+50*n {
		t.Fatalf("%d triangles in %d bytes", n, len(stl))
	}
	type v3 [3]float32
	edges := map[[2]v3]int{}
	vol := 0.0
	for i := range n {
		var f [12]float32
		if err := binary.Read(bytes.NewReader(stl[84+50*i:]), binary.LittleEndian, &f); err != nil {
			t.Fatal(err)
		}
		var c [3]v3
		for k := range 3 {
			copy(c[k][:], f[3+3*k:])
		}
		var u, w, nrm [3]float64
		for k := range 3 {
			u[k], w[k] = float64(c[1][k]-c[0][k]), float64(c[2][k]-c[0][k])
		}
		nrm = [3]float64{u[1]*w[2] - u[2]*w[1], u[2]*w[0] - u[0]*w[2], u[0]*w[1] - u[1]*w[0]}
		dot := 0.0
		for k := range 3 {
			dot += nrm[k] * float64(f[k])
			vol += float64(c[0][k]) * nrm[k] / 6
			edges[[2]v3{c[k], c[(k+1)%3]}]++
		}
		if dot <= 0 {
			t.Fatalf("triangle %d: its normal points in", i)
		}
	}
	for e, k := range edges {
		if k != 1 || edges[[2]v3{e[1], e[0]}] != 1 {
			t.Fatal("the STL body is not closed")
		}
	}
	if math.Abs(vol/want-1) > 1e-4 { // 32-bit corners
		t.Errorf("STL encloses %g mm3, want %g", vol, want)
	}

	z, err := zip.NewReader(bytes.NewReader(mf), int64(len(mf)))
	if err != nil {
		t.Fatal(err)
	}
	names := ""
	var model struct {
		Unit    string `xml:"unit,attr"`
		Objects []struct {
			Vertices []struct {
				X float64 `xml:"x,attr"`
				Y float64 `xml:"y,attr"`
				Z float64 `xml:"z,attr"`
			} `xml:"mesh>vertices>vertex"`
			Triangles []struct {
				A int `xml:"v1,attr"`
				B int `xml:"v2,attr"`
				C int `xml:"v3,attr"`
			} `xml:"mesh>triangles>triangle"`
		} `xml:"resources>object"`
		Items []struct {
			ID int `xml:"objectid,attr"`
		} `xml:"build>item"`
	}
	for _, f := range z.File {
		names += f.Name + " "
		if f.Name == "3D/3dmodel.model" {
			r, err := f.Open()
			if err != nil {
				t.Fatal(err)
			}
			text, _ := io.ReadAll(r)
			if err := xml.Unmarshal(text, &model); err != nil {
				t.Fatal(err)
			}
			if !strings.Contains(string(text), "鳥") {
				t.Error("the file's words lost a letter")
			}
		}
	}
	if names != "[Content_Types].xml _rels/.rels 3D/3dmodel.model " || model.Unit != "millimeter" || len(model.Objects) != 1 || len(model.Items) != 1 {
		t.Fatalf("parts %q, unit %q", names, model.Unit)
	}
	o := model.Objects[0]
	vol = 0
	side := map[[2]int]int{}
	for _, f := range o.Triangles {
		a, b, c := o.Vertices[f.A], o.Vertices[f.B], o.Vertices[f.C]
		vol += (a.X*(b.Y*c.Z-b.Z*c.Y) + a.Y*(b.Z*c.X-b.X*c.Z) + a.Z*(b.X*c.Y-b.Y*c.X)) / 6
		side[[2]int{f.A, f.B}]++
		side[[2]int{f.B, f.C}]++
		side[[2]int{f.C, f.A}]++
	}
	for e, k := range side {
		if k != 1 || side[[2]int{e[1], e[0]}] != 1 {
			t.Fatal("the 3MF body is not closed")
		}
	}
	if math.Abs(vol/want-1) > 1e-9 {
		t.Errorf("3MF encloses %g mm3, want %g", vol, want)
	}
}

// A name of 80 letters is cut, and said to be; it never leaves its plate.
func TestLongWords(t *testing.T) {
	g := Gauge{Shape: shape(t, "NACA 2409"), Chord: 0.1, Hinge: 0.75, Angle: 0.05, Thick: 0.005, Lines: []string{strings.Repeat("Sehr lange ", 8), "aileron"}}
	p, _, short, err := g.Plate("g", nil)
	if err != nil || len(short) != 1 {
		t.Fatalf("short %q, %v", short, err)
	}
	if _, err := p.Solid(); err != nil {
		t.Error(err)
	}
}
