package prints

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// STL is the solid as a binary stereolithography file, millimetres: 80 bytes
// of words, the number of triangles, then each with its normal and corners in
// 32-bit floats, little end first.
func (s *Solid) STL() []byte {
	var b bytes.Buffer
	head := make([]byte, 80)
	copy(head, ascii("Fledge, mm: "+s.Name+" "+strings.Join(s.Notes, " "))) // must not begin with "solid"
	b.Write(head)
	word := func(v any) { binary.Write(&b, binary.LittleEndian, v) } // a buffer takes everything
	word(uint32(len(s.tri)))
	for _, f := range s.tri {
		n := s.normal(f)
		l := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2])
		for _, v := range n {
			word(float32(v/l) + 0)
		}
		for _, i := range f {
			for _, v := range s.at[i] {
				word(float32(float64(v)*1e-3) + 0)
			}
		}
		word(uint16(0))
	}
	return b.Bytes()
}

func ascii(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}

// ThreeMF is the solids as one file of the 3MF Core Specification, millimetres.
func ThreeMF(solids ...*Solid) []byte {
	var m bytes.Buffer
	m.WriteString(xml.Header)
	m.WriteString(`<model unit="millimeter" xml:lang="en-US" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">` + "\n")
	title, notes := make([]string, len(solids)), []string(nil)
	for i, s := range solids {
		title[i] = s.Name
		notes = append(notes, s.Notes...)
	}
	fmt.Fprintf(&m, " <metadata name=\"Title\">%s</metadata>\n <metadata name=\"Description\">%s</metadata>\n <metadata name=\"Application\">Fledge</metadata>\n", escape(strings.Join(title, ", ")), escape(strings.Join(notes, "; ")))
	m.WriteString(" <resources>\n")
	mm := func(v int64) string { return strconv.FormatFloat(float64(v)/1e3, 'f', -1, 64) }
	for i, s := range solids {
		fmt.Fprintf(&m, "  <object id=\"%d\" type=\"model\" name=\"%s\">\n   <mesh>\n    <vertices>\n", i+1, escape(s.Name))
		for _, p := range s.at {
			fmt.Fprintf(&m, "     <vertex x=\"%s\" y=\"%s\" z=\"%s\"/>\n", mm(p[0]), mm(p[1]), mm(p[2]))
		}
		m.WriteString("    </vertices>\n    <triangles>\n")
		for _, f := range s.tri {
			fmt.Fprintf(&m, "     <triangle v1=\"%d\" v2=\"%d\" v3=\"%d\"/>\n", f[0], f[1], f[2])
		}
		m.WriteString("    </triangles>\n   </mesh>\n  </object>\n")
	}
	m.WriteString(" </resources>\n <build>\n")
	x := 0.0
	for i, s := range solids { // side by side on the bed, on its positive side
		low, high := s.Box()
		fmt.Fprintf(&m, "  <item objectid=\"%d\" transform=\"1 0 0 0 1 0 0 0 1 %s %s 0\"/>\n", i+1, trim((x-low[0])*1e3), trim(-low[1]*1e3))
		x += high[0] - low[0] + 0.005
	}
	m.WriteString(" </build>\n</model>\n")
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, f := range []struct{ name, text string }{
		{"[Content_Types].xml", xml.Header + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>`},
		{"_rels/.rels", xml.Header + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/3D/3dmodel.model" Id="rel0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`},
		{"3D/3dmodel.model", m.String()},
	} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Deflate}) // no time: the same bytes always
		if err == nil {
			_, err = w.Write([]byte(f.text))
		}
		if err != nil {
			panic("prints: " + err.Error()) // a buffer takes everything
		}
	}
	if err := z.Close(); err != nil {
		panic("prints: " + err.Error())
	}
	return out.Bytes()
}

func trim(v float64) string { return strconv.FormatFloat(math.Round(v*1e3)/1e3+0, 'f', -1, 64) }

func escape(s string) string {
	var b bytes.Buffer
	if xml.EscapeText(&b, []byte(s)) != nil {
		return ""
	}
	return b.String()
}
