package report

import (
	"fmt"
	"math"

	"fledge/internal/assess"
	"fledge/internal/chart"
	"fledge/internal/craft"
	"fledge/internal/fit"
	"fledge/internal/unit"
	"fledge/internal/verdict"
)

// Balanced is what the balance page shows.
type Balanced struct {
	Subject
	Doubt   fit.MassDoubt
	Scales  *fit.Checked // nil when nothing was weighed
	Swings  []fit.SwingCheck
	Grams   []Gram   // empty when not flown
	Patched *Patched // nil without repairs and tape
}

// band is the permitted range of the balance point, datum x.
func (b *Balanced) band() (fore, aft float64) {
	ac := b.Results.Aircraft
	np := b.Results.Get(assess.NeutralX).Value
	return np - ac.Limits.StaticMarginMax*ac.Ref.Chord, np - ac.Limits.StaticMarginMin*ac.Ref.Chord
}

// carry is where one part has to sit to bring the balance point into the band.
type carry struct {
	part      craft.Part
	fore, aft float64 // its place for the fore and the aft end of the band
	min, max  float64 // its room
	low, high float64 // the overlap; low > high when there is none
	reaches   bool
}

func (b *Balanced) carries() []carry {
	ac := b.Results.Aircraft
	fore, aft := b.band()
	var out []carry
	for i := range ac.Parts {
		p := ac.Parts[i]
		if !p.Movable || p.Twin || !(p.MaxAt.X > p.MinAt.X) {
			continue
		}
		f, ok1 := ac.MoveFor(i, fore)
		a, ok2 := ac.MoveFor(i, aft)
		if !ok1 || !ok2 || math.IsNaN(f+a) {
			continue
		}
		c := carry{part: p, fore: p.At.X + f, aft: p.At.X + a, min: p.MinAt.X, max: p.MaxAt.X}
		c.low, c.high = math.Max(c.fore, c.min), math.Min(c.aft, c.max)
		c.reaches = c.low <= c.high
		out = append(out, c)
	}
	return out
}

// supports is where to put two scales: under the leading edge of the mean
// chord, or ahead of the balance point, and well aft; with what they should show.
func (b *Balanced) supports() (at, show [2]float64) {
	ac := b.Results.Aircraft
	lo, hi := assess.Ends(ac)
	cg := ac.Mass.CG.X
	round := func(x float64) float64 { return math.Round(x*200) / 200 } // to 5 mm
	at[0] = round(math.Min(ac.Ref.XLE, cg-0.1*(hi-lo)))
	at[1] = round(math.Max(cg+0.15*(hi-lo), cg+0.6*(hi-cg)))
	show[1] = ac.Mass.Total * (cg - at[0]) / (at[1] - at[0])
	show[0] = ac.Mass.Total - show[1]
	return at, show
}

// Balance is the page of the second question.
func Balance(b Balanced) (page *Doc) {
	defer func() { page.told(b.Units, b.Results.Slowest) }()
	r := b.Results
	ac := r.Aircraft
	cg := ac.Mass.CG
	d := &Doc{Title: ac.Name + ": " + verdict.Questions[2]}
	fore, aft := b.band()
	np := r.Get(assess.NeutralX)
	known := ""
	if q := np; q.Status == "" && q.High > q.Low && !math.IsInf(q.High-q.Low, 0) {
		known = fmt.Sprintf(", each ± %s, as well as the neutral point is known", b.fmt((q.High-q.Low)/half90, unit.Length))
	}
	d.Lead = append(d.Lead, fmt.Sprintf("It balances at x = %s aft of the datum; allowed are %s to %s%s.",
		b.show(r.Get(assess.BalanceX), unit.Length), b.fmt(fore, unit.Length), b.fmt(aft, unit.Length), known), b.conditions())
	d.Sections = append(d.Sections, b.findings("Judged", ofQuestion(2)))
	in := ac.Mass.Inertia
	pm := func(v, sigma float64, dim unit.Dim) string {
		return unit.FormatInterval(v, v-half90*sigma, v+half90*sigma, dim, b.Units)
	}
	gyr := func(k int) string {
		r := math.Sqrt(in[k][k] / ac.Mass.Total)
		return pm(r, r/2*math.Hypot(b.Doubt.Inertia[k]/in[k][k], b.Doubt.Mass/ac.Mass.Total), unit.Length)
	}
	mass, cgx := r.Get(assess.Mass), r.Get(assess.BalanceX)
	chord := func(x float64) float64 { return 100 * (x - ac.Ref.XLE) / ac.Ref.Chord }
	d.Sections = append(d.Sections, Section{Title: "Where it balances", Blocks: []Block{{Table: &Table{Wrap: -1, Rows: [][]string{
		{"mass, ready to launch", b.show(r.Get(assess.Mass), unit.Mass)},
		{"balance point x, aft of the datum", b.show(r.Get(assess.BalanceX), unit.Length)},
		{"balance point y (right), z (up)", pm(cg.Y, b.Doubt.CG.Y, unit.Length) + ", " + pm(cg.Z, b.Doubt.CG.Z, unit.Length)},
		{"neutral point x", b.show(np, unit.Length)},
		{"mean chord, its leading edge at", b.fmt(ac.Ref.Chord, unit.Length) + ", x = " + b.fmt(ac.Ref.XLE, unit.Length)},
		{"balance point on the mean chord", fmt.Sprintf("%.1f %% (%.1f to %.1f)", chord(cg.X), chord(cgx.Low), chord(cgx.High))},
		{"static margin", b.show(r.Get(assess.StaticMargin), unit.Ratio)},
		{"wing loading", unit.FormatInterval(ac.Mass.Total/ac.Ref.Area, mass.Low/ac.Ref.Area, mass.High/ac.Ref.Area, unit.AreaLoad, b.Units)},
		{"inertia in roll, radius", inertia(in[0][0], b.Doubt.Inertia[0]) + ", " + gyr(0)},
		{"inertia in pitch, radius", inertia(in[1][1], b.Doubt.Inertia[1]) + ", " + gyr(1)},
		{"inertia in yaw, radius", inertia(in[2][2], b.Doubt.Inertia[2]) + ", " + gyr(2)},
	}}}, para("%s", b.whyBand())}})
	d.Sections = append(d.Sections, b.movesSection(), b.gramsSection(), b.patchedSection(), b.weighing(), b.scalesSection(), b.swingSection(), b.partsSection())
	d.Sections = append(d.Sections, cautionSection(careful("propeller", "lithium")))
	return d
}

// inertia prints a moment of inertia with two standard deviations, in kg m2
// in g m2 where it is small: it would print as 0.
func inertia(v, sigma float64) string {
	if v < 0.01 {
		return fmt.Sprintf("%.3g ± %.2g g m2", 1e3*v, 2e3*sigma)
	}
	return fmt.Sprintf("%.4f ± %.4f kg m2", v, 2*sigma)
}

func (b *Balanced) movesSection() Section {
	s := Section{Title: "What brings it into the band"}
	t := &Table{Head: []string{"part", "x now, " + b.small(), "in the band from", "to", "for certain", "its room", ""}, Wrap: 6, Right: rights(7, 0, 4, 5, 6)}
	for _, c := range b.carries() {
		say := "within reach"
		if !c.reaches {
			say = "out of its room"
		} else if c.part.At.X >= c.low && c.part.At.X <= c.high {
			say = "there now"
		}
		t.Rows = append(t.Rows, []string{c.part.Name, b.millis(c.part.At.X), b.millis(c.fore), b.millis(c.aft), b.sureWords(&c), b.millis(c.min) + " to " + b.millis(c.max), say})
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, Block{Table: t}, para("Each part alone, all others staying; for certain: the whole 90 %% interval of the static margin is then in the band."))
	} else {
		s.Blocks = append(s.Blocks, para("No part says where it may move (parts.<name>.may_move)."))
	}
	s.Blocks = append(s.Blocks, b.ballastBlocks()...)
	return s
}

func (b *Balanced) partsSection() Section {
	ac := b.Results.Aircraft
	t := &Table{Head: []string{"part", "kind", "mass", "±", "x", "y", "z, " + b.small()}, Wrap: 0, Right: rights(7, 0, 1)}
	for i := range ac.Parts {
		p := &ac.Parts[i]
		name := p.Name
		if p.Twin {
			name += " (left)"
		}
		doubt := ""
		if sd := massSigma(ac, p); sd > 0 {
			doubt = b.fmt(2*sd, unit.Mass)
		}
		t.Rows = append(t.Rows, []string{name, p.Kind, b.fmt(p.Mass, unit.Mass), doubt, b.millis(p.At.X), b.millis(p.At.Y), b.millis(p.At.Z)})
	}
	return Section{Title: "Parts", Blocks: []Block{{Table: t}}}
}

// BalanceJSON is the body of `balance`.
type BalanceJSON struct {
	Head
	Mass           Quantity      `json:"mass"`
	CG             [3]Float      `json:"cg_m"`
	CGX            Quantity      `json:"cg_x"`
	Inertia        [3][3]Float   `json:"inertia_kgm2"`
	NeutralPoint   Quantity      `json:"neutral_point_x"`
	StaticMargin   Quantity      `json:"static_margin"`
	Loading        Quantity      `json:"wing_loading"`
	OnChord        Quantity      `json:"cg_on_mean_chord"`
	MeanChord      Float         `json:"mean_chord_m"`
	MeanChordStart Float         `json:"mean_chord_leading_edge_m"`
	Band           [2]Float      `json:"band_m"`
	Fore           Quantity      `json:"band_fore"`
	Aft            Quantity      `json:"band_aft"`
	Moves          []CarryJSON   `json:"moves"`
	Ballast        *BallastJSON  `json:"ballast"`
	Weighing       []SupportJSON `json:"weighing"`
	BalanceMore
	Parts []PartJSON `json:"parts"`
	Tail
}

// CarryJSON is where a part has to sit.
type CarryJSON struct {
	Part    string   `json:"part"`
	Path    string   `json:"path"`
	Now     Float    `json:"x_m"`
	ForBand [2]Float `json:"for_band_m"`
	Room    [2]Float `json:"room_m"`
	Reaches bool     `json:"reaches"`
	Sure    [2]Float `json:"for_band_sure_m"`
}

// PartJSON is one part in its place.
type PartJSON struct {
	Name     string   `json:"name"`
	Kind     string   `json:"kind"`
	Mass     Float    `json:"mass_kg"`
	At       [3]Float `json:"at_m"`
	Size     [3]Float `json:"size_m"`
	Twin     bool     `json:"left"`
	Interval Spans    `json:"interval,omitempty"`
}

// massSigma is one standard deviation of a part's mass as the build gives it or
// as it was assumed.
func massSigma(ac *craft.Aircraft, p *craft.Part) float64 {
	for i := range ac.Inputs {
		if in := &ac.Inputs[i]; in.Path == p.Path()+".mass" || p.Kind == "propeller" && in.Path == "power.propeller.mass" {
			return in.Sigma
		}
	}
	return 0
}

// pathOf is the path of a part's x, as the build addresses it.
func (b *Balanced) pathOf(part string) string {
	for _, q := range []string{part, `"` + part + `"`} {
		path := "parts." + q + ".at.x"
		if _, ok := b.Results.Aircraft.Knob(path); ok {
			return path
		}
	}
	return ""
}

// BalanceBody is the JSON of a balance.
func BalanceBody(b Balanced) BalanceJSON {
	r := b.Results
	ac := r.Aircraft
	fore, aft := b.band()
	out := BalanceJSON{
		Head: b.head(), Mass: Q(r.Get(assess.Mass)), CG: [3]Float{Float(ac.Mass.CG.X), Float(ac.Mass.CG.Y), Float(ac.Mass.CG.Z)},
		CGX: Q(r.Get(assess.BalanceX)), NeutralPoint: Q(r.Get(assess.NeutralX)), StaticMargin: Q(r.Get(assess.StaticMargin)),
		MeanChord: Float(ac.Ref.Chord), MeanChordStart: Float(ac.Ref.XLE), Band: [2]Float{Float(fore), Float(aft)},
		Moves: []CarryJSON{}, Parts: []PartJSON{}, Tail: b.tail(ofQuestion(2), "propeller", "lithium"),
	}
	np, mass, cgx := r.Get(assess.NeutralX), r.Get(assess.Mass), r.Get(assess.BalanceX)
	by := func(q assess.Quantity, off, k float64, u string) Quantity {
		return Q(assess.Quantity{Value: (q.Value - off) * k, Low: (q.Low - off) * k, High: (q.High - off) * k, Unit: u, Status: q.Status})
	}
	out.Fore, out.Aft = by(np, np.Value-fore, 1, "m"), by(np, np.Value-aft, 1, "m")
	out.Loading, out.OnChord = by(mass, 0, 1/ac.Ref.Area, "kg/m2"), by(cgx, ac.Ref.XLE, 1/ac.Ref.Chord, "1")
	for i := range 3 {
		for j := range 3 {
			out.Inertia[i][j] = Float(ac.Mass.Inertia[i][j])
		}
	}
	for _, c := range b.carries() {
		out.Moves = append(out.Moves, CarryJSON{c.part.Name, b.pathOf(c.part.Name), Float(c.part.At.X),
			[2]Float{Float(c.fore), Float(c.aft)}, [2]Float{Float(c.min), Float(c.max)}, c.reaches, b.sureJSON(&c)})
	}
	b.more(&out)
	for i := range ac.Parts {
		p := &ac.Parts[i]
		out.Parts = append(out.Parts, PartJSON{p.Name, p.Kind, Float(p.Mass), [3]Float{Float(p.At.X), Float(p.At.Y), Float(p.At.Z)},
			[3]Float{Float(p.Size.X), Float(p.Size.Y), Float(p.Size.Z)}, p.Twin, sigmaSpan("mass_kg", p.Mass, massSigma(ac, p))})
	}
	return out
}

// BalanceChart is the aeroplane from above, nose up, with balance point,
// neutral point and the band of the balance point.
func BalanceChart(b Balanced) *chart.Chart {
	ac := b.Results.Aircraft
	c := &chart.Chart{Title: ac.Name + " from above", X: chart.Axis{Label: "right of the middle, m"}, Y: chart.Axis{Label: "ahead of the datum, m"}, Equal: true}
	outline(c, ac)
	fore, aft := b.band()
	half := ac.Ref.Chord / 2
	if !math.IsNaN(fore + aft) {
		for _, x := range []float64{fore, aft} {
			c.Series = append(c.Series, chart.Series{X: []float64{-half, half}, Y: []float64{-x, -x}, Ink: 2})
		}
		c.Notes = append(c.Notes, chart.Note{X: half, Y: -aft, Text: "balance band"})
	}
	cg := ac.Mass.CG
	c.Series = append(c.Series,
		chart.Series{Name: "balance point", Kind: chart.Dots, X: []float64{cg.Y}, Y: []float64{-cg.X}, Ink: 0},
		chart.Series{Name: "neutral point", Kind: chart.Dots, X: []float64{0}, Y: []float64{-b.Results.Get(assess.NeutralX).Value}, Ink: 1})
	return c
}

// outline adds surfaces and body in plan view: x across is y right, up is forward.
func outline(c *chart.Chart, ac *craft.Aircraft) {
	line := func(x, y []float64, kind chart.Kind) {
		c.Series = append(c.Series, chart.Series{Kind: kind, X: x, Y: y, Ink: 4})
	}
	for i := range ac.Surfaces {
		s := &ac.Surfaces[i]
		sides := []float64{1}
		if s.Mirrored {
			sides = []float64{1, -1}
		}
		for _, k := range sides {
			var x, y []float64
			for _, t := range s.Stations {
				x, y = append(x, k*t.LE.Y), append(y, -t.LE.X)
			}
			for j := len(s.Stations) - 1; j >= 0; j-- {
				t := s.Stations[j]
				x, y = append(x, k*t.LE.Y), append(y, -(t.LE.X+t.Chord))
			}
			x, y = append(x, x[0]), append(y, y[0])
			line(x, y, chart.Line)
		}
	}
	if len(ac.Body) > 1 {
		var x, y []float64
		for _, t := range ac.Body {
			x, y = append(x, t.Width/2), append(y, -t.X)
		}
		for j := len(ac.Body) - 1; j >= 0; j-- {
			x, y = append(x, -ac.Body[j].Width/2), append(y, -ac.Body[j].X)
		}
		line(append(x, x[0]), append(y, y[0]), chart.Line)
	}
}
