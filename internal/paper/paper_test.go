package paper

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"rsc.io/qr"

	"fledge/internal/build"
	"fledge/internal/chart"
	"fledge/internal/check"
	"fledge/internal/cite"
	"fledge/internal/craft"
	"fledge/internal/prints"
	"fledge/internal/report"
	"fledge/internal/unit"
)

// tool runs one of poppler's programs; CI must have them.
func tool(t *testing.T, name string, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is missing: apt-get install poppler-utils", name)
		}
		t.Skipf("%s is missing: apt-get install poppler-utils", name)
	}
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return out
}

func write(t *testing.T, pdf []byte) string {
	t.Helper()
	f := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(f, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	return f
}

// words are all words of a PDF with their boxes, mm, page by page.
type pageWords struct {
	W, H  float64 `xml:"-"`
	Width string  `xml:"width,attr"`
	High  string  `xml:"height,attr"`
	Words []struct {
		X0   float64 `xml:"xMin,attr"`
		Y0   float64 `xml:"yMin,attr"`
		X1   float64 `xml:"xMax,attr"`
		Y1   float64 `xml:"yMax,attr"`
		Text string  `xml:",chardata"`
	} `xml:"word"`
}

func wordsOf(t *testing.T, file string) []pageWords {
	t.Helper()
	out := tool(t, "pdftotext", "-bbox", file, "-")
	var doc struct {
		Pages []pageWords `xml:"body>doc>page"`
	}
	d := xml.NewDecoder(bytes.NewReader(out))
	d.Strict, d.Entity = false, xml.HTMLEntity
	if err := d.Decode(&doc); err != nil {
		t.Fatal(err)
	}
	for i := range doc.Pages {
		p := &doc.Pages[i]
		fmt.Sscan(p.Width, &p.W)
		fmt.Sscan(p.High, &p.H)
	}
	return doc.Pages
}

// picture renders one page; px dots a millimetre.
func picture(t *testing.T, file string, page int, px float64) image.Image {
	t.Helper()
	out := filepath.Join(t.TempDir(), "p")
	tool(t, "pdftoppm", "-r", fmt.Sprintf("%.3f", px*25.4), "-f", fmt.Sprint(page), "-l", fmt.Sprint(page), "-png", "-singlefile", file, out)
	f, err := os.Open(out + ".png")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	m, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func dark(m image.Image, x, y int) bool {
	r, g, b, _ := m.At(x, y).RGBA()
	return r+g+b < 3*0x8000
}

// unclipped proves that no word and no ink comes nearer than 4 mm to the edge
// of any page.
func unclipped(t *testing.T, file string) {
	t.Helper()
	pages := wordsOf(t, file)
	for n, p := range pages {
		const edge = 4 / pt
		tiled := false // what a tile cuts off stands on its neighbour
		for i, w := range p.Words {
			tiled = tiled || w.Text == "sheet" && i+3 < len(p.Words) && p.Words[i+2].Text == "of"
		}
		for _, w := range p.Words {
			if tiled {
				break
			}
			if w.X0 < edge || w.Y0 < edge || w.X1 > p.W-edge || w.Y1 > p.H-edge {
				t.Errorf("page %d: %q at %.0f %.0f to %.0f %.0f of %.0f x %.0f pt", n+1, w.Text, w.X0, w.Y0, w.X1, w.Y1, p.W, p.H)
			}
		}
		m := picture(t, file, n+1, 2)
		b := m.Bounds()
		for y := b.Min.Y; y < b.Max.Y; y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				if x >= 8 && y >= 8 && x < b.Max.X-8 && y < b.Max.Y-8 {
					continue
				}
				if dark(m, x, y) {
					t.Fatalf("page %d: ink at %.1f, %.1f mm", n+1, float64(x)/2, float64(y)/2)
				}
			}
		}
	}
}

func aircraft(t *testing.T) *craft.Aircraft {
	t.Helper()
	text, err := os.ReadFile("../../examples/tern.yaml")
	if err != nil {
		t.Fatal(err)
	}
	b, ds := build.Parse("tern.yaml", text)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	ac, ds := craft.New(b, nil)
	if ds.HasErrors() {
		t.Fatal(ds)
	}
	return ac
}

var symbols = "µs Ω mΩ m² kg/m³ °C ± − · × Ø ½ ≤ ≥ → α β γ δ λ ρ σ ω Δ Σ Φ"

func card(t *testing.T, name string) *report.Card {
	ac := aircraft(t)
	c := &report.Card{
		Name: name, Headline: "NO-GO", Because: "Launch odds 0.58; with the hook 12 mm too far back the line lifts the nose.",
		ToGo: []string{"Launch odds, any one of: hook 14 mm forward (verified); battery 22 mm forward (verified)"},
		Code: report.CardCode{Hash: "0123456789abcdef", Seed: 7, By: "bungee", Stretch: 10, Stick: 0.12, NoseUp: 0.17, MotorDelay: 0.5, Wind: 2.5, Gust: 4.5, OffAxis: 0, Odds: 0.58, Low: 0.4, High: 0.7, Top: 55, TopL: 50, TopH: 60}.String(),
		Made: "build 0123456789abcdef, seed 7, 1024 launches",
		Day:  []report.Pair{{Say: "wind, gust", Is: "2.5 m/s, 4.5 m/s"}}, DayMore: []string{symbols},
		Balance: []report.Pair{{Say: "mass", Is: "988 g (981 to 995)"}, {Say: strings.Repeat("long name ", 8), Is: strings.Repeat("long value ", 8)}},
		Launch:  &report.Table{Head: []string{"set", "to", "may stray"}, Wrap: 2, Rows: [][]string{{"up stick", "12 %", "0 % or more"}, {"stretch", "10.0 m", "8.9 m or more"}}},
		Wind:    &report.Table{Head: []string{"wind", "gust", "odds as set", "then set"}, Wrap: 3, Rows: [][]string{{"0 m/s", "0 m/s", "68 %", "up stick 32 %: 94 %"}}},
		WindSay: "128 launches a look", Speeds: &report.Table{Head: []string{"airspeed", "km/h", "m/s", ""}, Wrap: 3, Rows: [][]string{{"stall", "35", "9.7", "33 to 37"}}}, SpeedSay: "Airspeeds.",
		Land: []report.Pair{{Say: "land by", Is: "6:45"}, {Say: "volts per cell", Is: ""}}, Radio: []report.Pair{{Say: "video transmitter, power set", Is: ""}}, Home: []report.Pair{{Say: "loiter", Is: "157 m"}},
		Cautions: []string{"A GO is advice.", "Lithium packs burn."}, Blanks: []string{"date, place", "outcome", "volts left per cell"},
		Draw: report.Drawing{Aircraft: ac, Balance: 0.319, BandLow: 0.303, BandAft: 0.335, HookX: 0.29, HoldY: 0.05, HoldEdge: 0.264},
	}
	for i := range 18 {
		c.Ticks = append(c.Ticks, report.Tick{Do: fmt.Sprintf("Check number %d of the things that this build asks for", i+1), Why: "for a reason"})
	}
	return c
}

// The card is one page of the paper asked for, with every piece of its text,
// nothing at the edges, whatever the name.
func TestCard(t *testing.T) {
	for _, name := range []string{"Tern", strings.Repeat("Wide Name ", 8), strings.Repeat("W", 80), "鳥 Vogel 🛩", "Чайка Ω", "שחף"} {
		for i, o := range []Options{{Paper: A4}, {Paper: Letter, TwoUp: true}, {Paper: Letter}, {Paper: A4, TwoUp: true}} {
			if i > 1 && name != "Tern" {
				continue
			}
			c := card(t, name)
			pdf, err := Card(c, o)
			if err != nil {
				t.Fatal(err)
			}
			again, _ := Card(card(t, name), o)
			if !bytes.Equal(pdf, again) {
				t.Errorf("%s: bytes differ on repeat", name)
			}
			f := write(t, pdf)
			unclipped(t, f)
			pages := wordsOf(t, f)
			if len(pages) != 1 {
				t.Fatalf("%q on %s: %d pages", name, o.Paper.Name, len(pages))
			}
			w, h := o.Paper.W/pt, o.Paper.H/pt
			if o.TwoUp {
				w, h = h, w
			}
			if math.Abs(pages[0].W-w) > 0.5 || math.Abs(pages[0].H-h) > 0.5 {
				t.Errorf("%s: page %g x %g pt", o.Paper.Name, pages[0].W, pages[0].H)
			}
			var all []string
			for _, w := range pages[0].Words {
				all = append(all, w.Text)
			}
			text := strings.Join(all, " ")
			for _, want := range []string{"NO-GO", "hook 14 mm", "988 g", "up stick", "BY WIND", "SPEEDS", "land by", "video transmitter", "Check number 18", "Lithium packs burn", "volts left per cell", "LAUNCH", "hook", "balance"} {
				if !strings.Contains(text, want) {
					t.Errorf("%q on %s: %q is missing", name, o.Paper.Name, want)
				}
			}
			for _, s := range strings.Fields(symbols) {
				if !strings.Contains(text, s) {
					t.Errorf("the sign %q is missing", s)
				}
			}
			if flat := strings.Join(strings.Fields(text), ""); name[0] == 'W' && !strings.Contains(flat, strings.ReplaceAll(strings.TrimSpace(name), " ", "")) {
				t.Errorf("the name %q is not whole on the page", name)
			}
			if note := strings.Contains(text, "stands for a letter"); note != strings.ContainsAny(name, "鳥🛩") {
				t.Errorf("%q: note on missing letters: %v", name, note)
			} else if note && !(strings.Contains(text, "U+9CE5") && strings.Contains(text, "U+1F6E9")) {
				t.Error("the missing letters are not named")
			}
		}
	}
}

// What the symbol says is read back by an independent decoder from the page as
// printed (ISO/IEC 18004), and parsed.
func TestSymbol(t *testing.T) {
	for _, o := range []Options{{Paper: A4}, {Paper: Letter, TwoUp: true}} {
		c := card(t, "Tern")
		pdf, err := Card(c, o)
		if err != nil {
			t.Fatal(err)
		}
		m := picture(t, write(t, pdf), 1, 8)
		side := m.Bounds().Dx()
		if o.TwoUp {
			side /= 2
		}
		crop := m.(interface {
			SubImage(image.Rectangle) image.Image
		}).SubImage(image.Rect(side-45*8, 0, side-4, 45*8))
		bits, err := gozxing.NewBinaryBitmapFromImage(crop)
		if err != nil {
			t.Fatal(err)
		}
		r, err := qrcode.NewQRCodeReader().Decode(bits, nil)
		if err != nil {
			t.Fatalf("%v: %v", o, err)
		}
		if r.GetText() != c.Code {
			t.Errorf("read %q, want %q", r.GetText(), c.Code)
		}
		if got, err := report.ParseCardCode(r.GetText()); err != nil || got.Hash != "0123456789abcdef" || math.Abs(got.Stick-0.12) > 1e-9 {
			t.Errorf("%+v, %v", got, err)
		}
	}
}

// runs are the lengths of all dark runs in a row, in dots, that are at least
// least long.
func runs(m image.Image, y, least int) (out [][2]int) {
	b := m.Bounds()
	for x := b.Min.X; x < b.Max.X; x++ {
		n := x
		for n < b.Max.X && dark(m, n, y) {
			n++
		}
		if n-x >= least {
			out = append(out, [2]int{x, n})
		}
		x = max(x, n)
	}
	return out
}

// The calibration bar of every template measures what it says, within a
// rendered dot, on both papers, in both systems.
func TestBar(t *testing.T) {
	for _, c := range []struct {
		size     Size
		imperial bool
		want     float64 // mm
		say      string
	}{{A4, false, 100, "100.0 mm"}, {Letter, false, 100, "100.0 mm"}, {A4, true, 101.6, "4.000 in"}, {Letter, true, 101.6, "4.000 in"}} {
		pdf := Templates("t", []Template{Cutout("Cut-out", []string{"battery"}, 0.076, 0.035, 0.2, c.imperial)}, []string{"A caution."}, c.size, c.imperial)
		f := write(t, pdf)
		unclipped(t, f)
		const px = 20.0
		m := picture(t, f, 1, px)
		best := 0.0
		for y := m.Bounds().Dy() * 3 / 4; y < m.Bounds().Dy(); y++ {
			for _, r := range runs(m, y, int(50*px)) {
				// The pen is 0.3 mm wide with round ends: half of it on each.
				best = math.Max(best, float64(r[1]-r[0])/px-0.3)
			}
		}
		if math.Abs(best-c.want) > 0.1 {
			t.Errorf("%s: the bar is %.2f mm, want %.1f", c.size.Name, best, c.want)
		}
		text := string(tool(t, "pdftotext", f, "-"))
		if !strings.Contains(text, c.say) || !strings.Contains(text, "A caution.") {
			t.Errorf("%s: %q is missing", c.size.Name, c.say)
		}
	}
}

// An opening of 76 x 35 mm is one of 76 x 35 mm on the page.
func TestTrueSize(t *testing.T) {
	f := write(t, Templates("t", []Template{Cutout("Cut-out", nil, 0.076, 0.035, 0.2, false)}, nil, A4, false))
	const px = 20.0
	m := picture(t, f, 1, px)
	// Most rows that cross the opening meet its two sides and nothing outside
	// them, most columns its two ends; the pen is 0.35 mm wide.
	b := m.Bounds()
	span := func(n, from, to int, hit func(i, j int) bool) map[int]int {
		out := map[int]int{}
		for j := from; j < to; j++ {
			first, last := -1, -1
			for i := range n {
				if hit(i, j) {
					if first < 0 {
						first = i
					}
					last = i
				}
			}
			if first >= 0 {
				out[last-first+1]++
			}
		}
		return out
	}
	commonest := func(m map[int]int) (at int) {
		for k, n := range m {
			if n > m[at] || n == m[at] && k < at {
				at = k
			}
		}
		return at
	}
	top := int((ground + tileHead) * px)
	wide := float64(commonest(span(b.Dx(), top+int(20*px), top+int(80*px), func(i, j int) bool { return dark(m, i, j) })))/px - 0.35
	mid := b.Dx() / 2
	high := float64(commonest(span(b.Dy()-top-int(60*px), mid-int(14*px), mid-int(8*px), func(i, j int) bool { return dark(m, j, i+top) })))/px - 0.35
	if math.Abs(wide-35) > 0.1 || math.Abs(high-76) > 0.1 { // two dots
		t.Errorf("%.2f x %.2f mm, want 35 x 76", wide, high)
	}
}

// A rod longer than the paper is tiled; every sheet is named, neighbours share
// their crosses, and the tiles add up to the rod.
func TestTiles(t *testing.T) {
	for _, size := range []Size{A4, Letter} {
		long := 0.62
		pdf := Templates("t", []Template{RodBend("Push rod", []string{"wire"}, long, 0.002, 0.005, false)}, []string{"A caution."}, size, false)
		f := write(t, pdf)
		unclipped(t, f)
		pages := wordsOf(t, f)
		room := math.Max(size.W, size.H) - 2*ground
		want := tiles(long*1e3+36, room)
		if len(pages) != want || want < 3 {
			t.Fatalf("%d sheets, want %d", len(pages), want)
		}
		// Where sheets A(n) and A(n+1) say "A1 on A2" and "A2 on A1", the places
		// are one overlap's middle from the right and left border.
		text := string(tool(t, "pdftotext", f, "-"))
		for n := 1; n < want; n++ {
			for _, s := range []string{fmt.Sprintf("A%d on A%d", n, n+1), fmt.Sprintf("A%d on A%d", n+1, n), fmt.Sprintf("sheet A%d of A%d", n, want)} {
				if !strings.Contains(text, s) {
					t.Errorf("%q is missing", s)
				}
			}
		}
		// The wire's outer line over all sheets, overlaps and the half millimetre
		// printed beyond each tile's edge taken off, is rod and wire long.
		const px = 10.0
		sum := 0.0
		for n := range want {
			m := picture(t, f, n+1, px)
			best := 0
			for y := int((ground + tileHead) * px); y < int((ground+tileHead+60)*px); y++ {
				for _, r := range runs(m, y, int(30*px)) {
					best = max(best, r[1]-r[0])
				}
			}
			sum += float64(best) / px
		}
		sum -= float64(want-1) * (overlap + 1)
		if math.Abs(sum-(long*1e3+2+0.2)) > 0.1*float64(want)+0.1 { // a dot a sheet
			t.Errorf("%s: %.1f mm of wire, want %.1f", size.Name, sum, long*1e3+2)
		}
	}
}

// Every sign that unit prints is in the typeface, and all of Greek and
// Cyrillic.
func TestTypeface(t *testing.T) {
	k := newInk("t")
	var all strings.Builder
	all.WriteString(symbols)
	for d := unit.Ratio; d <= unit.Stiffness; d++ {
		for _, s := range []unit.System{unit.Metric, unit.Imperial} {
			for _, v := range []float64{1e-6, 0.02, 1, 40, 3e5} {
				all.WriteString(unit.Format(v, d, s))
			}
		}
	}
	for r := 'Α'; r <= 'ω'; r++ {
		if r != 'Α'+17 { // the one place without a letter
			all.WriteRune(r)
		}
	}
	for r := 'А'; r <= 'я'; r++ {
		all.WriteRune(r)
	}
	if got := k.say(all.String()); strings.ContainsRune(got, absent) || len(k.missing) > 0 {
		t.Errorf("missing: %v", k.absentNote())
	}
	if !k.has(absent) {
		t.Error("the box itself is missing")
	}
	if got := k.say("ab\x00c\nd\u200be"); got != "abc de" {
		t.Errorf("%q", got)
	}
}

// A document of any length goes on as many pages as it takes, whole.
func TestPages(t *testing.T) {
	d := &report.Doc{Title: strings.Repeat("Long title ", 9), Lead: []string{"Lead."}}
	tb := &report.Table{Head: []string{"part", "kind", "mass"}, Wrap: 0}
	for i := range 120 {
		tb.Rows = append(tb.Rows, []string{fmt.Sprintf("row-%d %s", i, strings.Repeat("name ", i%20)), "servo", "38 g"})
	}
	d.Sections = []report.Section{{Title: "Parts", Blocks: []report.Block{{Table: tb}, {Para: strings.Repeat("word ", 400)}}}, {Title: "Cautions", Blocks: []report.Block{{List: []string{"A GO is advice."}}}}}
	for _, size := range []Size{A4, Letter} {
		draw := report.Drawing{Aircraft: aircraft(t), Balance: 0.3, BandLow: math.NaN(), BandAft: math.NaN(), HookX: math.NaN(), HoldY: math.NaN(), HoldEdge: math.NaN()}
		f := write(t, Pages(d, &draw, nil, size))
		unclipped(t, f)
		text := string(tool(t, "pdftotext", f, "-"))
		for i := range 120 {
			if !strings.Contains(text, fmt.Sprintf("row-%d", i)) {
				t.Errorf("row %d is missing", i)
			}
		}
		if n := len(regexp.MustCompile(`\bword\b`).FindAllString(text, -1)); n != 400 {
			t.Errorf("%d of 400 words", n)
		}
	}
}

// All templates, small and absurd, stay on their pages.
func TestTemplatesHold(t *testing.T) {
	nan := math.NaN()
	horn := prints.Horn{Height: 0.012, Root: 0.008, Width: 0.003, Hole: 0.002, Tip: 0.003, Lines: []string{"TERN", "PROOF 45 N"}}
	r, _, err := horn.Outline()
	if err != nil {
		t.Fatal(err)
	}
	long := strings.Repeat("W", 80)
	list := []Template{
		ThrowCard("Throw card: "+long, []string{long, "鳥"}, 0.033, []Stop{{"neutral", 0}, {"full up", 0.25}, {"wanted neutral", 0.02}}, false),
		ThrowCard("Throw card", nil, 0.4, []Stop{{"full up", 1.2}, {"full down", -1.2}}, true),
		BalanceStrip("Balance", nil, 0.075, 0.05, 0.09, "50 mm off the middle", false),
		BalanceStrip("Balance", nil, 0.4, nan, nan, "here", true),
		HookJig("Hook", nil, 0.3, 0.262, 0.33, 0.045, 0.022, 0.0025, 0.5, 1, false),
		HookJig("Hook", nil, 0.3, nan, nan, 0, 0, 0.002, 0, 2, true),
		HornSheet("Horn", []string{long}, r, []string{long}, horn.Lines),
		Cutout("Cut-out", nil, 0.3, 0.25, 0.1, false),
		RodBend("Rod", nil, 0.02, 0.001, 0.004, true),
	}
	for _, size := range []Size{A4, Letter} {
		if size == Letter {
			list = list[:4] // rendering takes its time
		}
		one := Templates("t", list, []string{"Caution one.", "Caution two."}, size, false)
		if !bytes.Equal(one, Templates("t", list, []string{"Caution one.", "Caution two."}, size, false)) {
			t.Error("bytes differ on repeat")
		}
		f := write(t, one)
		unclipped(t, f)
		for n, p := range wordsOf(t, f) {
			s := ""
			for _, w := range p.Words {
				s += w.Text + " "
			}
			if !strings.Contains(s, "Caution one.") || !strings.Contains(s, "This bar is") {
				t.Errorf("page %d lacks its caution or bar", n+1)
			}
		}
	}
}

func BenchmarkCard(b *testing.B) {
	c := report.Card{Name: "Tern", Headline: "GO", Code: "X", Speeds: &report.Table{}}
	for b.Loop() {
		newInk(c.Name).bytes()
	}
}

// One drawing gives SVG and PDF: a chart on paper says all that its SVG says,
// at the same places.
func TestChart(t *testing.T) {
	c := &chart.Chart{
		Title: "Pull against drag", X: chart.Axis{Label: "airspeed, m/s"}, Y: chart.Axis{Label: "force, N"}, Caption: "at 14 °C", Ground: true,
		Series: []chart.Series{
			{Name: "drag", X: []float64{10, 20, 30, 40}, Y: []float64{2, 1.5, 3, 6}},
			{Name: "range", Kind: chart.Band, X: []float64{10, 20, 30, 40}, Y: []float64{1, 1, 2, 5}, Y2: []float64{3, 2, 4, 7}, Ink: 1},
			{Name: "stall", X: []float64{10, 12}, Y: []float64{3, 0}, Fail: true},
		},
		Notes: []chart.Note{{X: 30, Y: 3, Text: "cruise"}},
	}
	svg := string(c.SVG(560, 280))
	d := &report.Doc{Title: "Sheet"}
	f := write(t, Pages(d, nil, []*chart.Chart{c}, A4))
	unclipped(t, f)
	page := wordsOf(t, f)[0]
	for _, m := range regexp.MustCompile(`<text x="([-0-9.]+)" y="([-0-9.]+)" font-size="([-0-9.]+)" text-anchor="start"[^>]*class="ff">([^<]+)</text>`).FindAllStringSubmatch(svg, -1) {
		var x, y float64
		fmt.Sscan(m[1], &x)
		fmt.Sscan(m[2], &y)
		word := strings.Fields(m[4])[0]
		found := false
		for _, w := range page.Words {
			scale := (A4.W - 2*ground) / pt / 560
			found = found || w.Text == word && math.Abs(w.X0-(ground/pt+x*scale)) < 1.5
		}
		if !found {
			t.Errorf("%q at %g, %g of the SVG is not on paper", m[4], x, y)
		}
	}
	for _, m := range regexp.MustCompile(`class="ff"[^>]*>([^<]+)</text>`).FindAllStringSubmatch(svg, -1) {
		if text := string(tool(t, "pdftotext", f, "-")); !strings.Contains(text, strings.Fields(m[1])[0]) {
			t.Errorf("%q is not on paper", m[1])
		}
	}
}

// Sheets as the standards have them, measured on the rendered page; the symbol
// as large as its standard says for that much text.
func TestStandards(t *testing.T) {
	for _, c := range []struct {
		s    Size
		w, h float64
		ref  cite.Ref
	}{
		{A4, 210, 297, cite.ISO216.At("A4, 210 mm x 297 mm", cite.Memory)},
		{Letter, 8.5 * 25.4, 11 * 25.4, cite.ANSIY141.At("size A, 8.5 in x 11 in", cite.Memory)},
	} {
		f := write(t, Templates("t", []Template{Cutout("Cut-out", nil, 0.07, 0.03, 0.1, false)}, nil, c.s, false))
		p := wordsOf(t, f)[0]
		dot := check.ModelAbs(0.02, "the page's size is stored to a hundredth of a point")
		check.Row{Topic: "paper", Name: c.s.Name + ", width", Unit: "mm", Source: c.ref}.Near(t, p.W*pt, c.w, dot)
		check.Row{Topic: "paper", Name: c.s.Name + ", height", Unit: "mm", Source: c.ref}.Near(t, p.H*pt, c.h, dot)
	}
	// 45 alphanumeric signs are more than version 2 holds at level M (38) and
	// fit version 3 (61), which has 29 modules a side.
	ref := cite.ISO18004.At("version 3-M: 61 alphanumeric characters, 29 modules", cite.Memory)
	for _, c := range []struct{ n, side int }{{38, 25}, {39, 29}, {61, 29}, {62, 33}} {
		code, err := qr.Encode(strings.Repeat("A", c.n), qr.M)
		if err != nil {
			t.Fatal(err)
		}
		check.Row{Topic: "paper", Name: fmt.Sprintf("modules of a symbol of %d signs", c.n), Source: ref}.Near(t, float64(code.Size), float64(c.side), check.Exact(1))
	}
}

// No text makes the typesetting hang, panic or lose a letter: what is folded
// and joined again is what was said, spaces apart.
func FuzzLines(f *testing.F) {
	for _, s := range []string{"Tern", "鳥 🛩 W", "שלום abc مرحبا", "a\x00b\xff\u200f", strings.Repeat("W", 90), "\u0301e\u0301"} {
		f.Add(s, 20.0)
	}
	k := newInk("t")
	k.page(A4.W, A4.H)
	f.Fuzz(func(t *testing.T, s string, w float64) {
		if !(w > 0.5 && w < 300) || len(s) > 2000 {
			return
		}
		got := strings.Join(strings.Fields(strings.Join(k.lines(8, false, w, s), "")), "")
		want := strings.Join(strings.Fields(s), "")
		if got != want && strings.ToValidUTF8(got, "") != strings.ToValidUTF8(want, "") && !strings.ContainsRune(got, '\uFFFD') {
			t.Errorf("%q became %q", want, got)
		}
		k.text(10, 10, 8, false, chart.Start, s)
	})
}

// Card is the flight card as a PDF of one page. The error says that the code
// is too long for its symbol.
func Card(c *report.Card, o Options) ([]byte, error) {
	k, err := drawCard(c, o)
	if err != nil {
		return nil, err
	}
	return k.bytes(), nil
}

// Templates sets them page by page; cautions stand on each.
func Templates(title string, list []Template, cautions []string, size Size, imperial bool) []byte {
	return drawTemplates(title, list, cautions, size, imperial).bytes()
}
