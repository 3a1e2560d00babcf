package report

import (
	"fmt"
	"math"
	"sort"

	"fledge/internal/assess"
)

// Whole is what the page of the whole sortie shows.
type Whole struct{ Subject }

// Sortie is the page of the chance that she comes home whole.
func Sortie(p Whole) (page *Doc) {
	defer func() { page.told(p.Units, p.Results.Slowest) }()
	r := p.Results
	s := r.Sortie
	d := &Doc{Title: r.Aircraft.Name + ": will she come home whole?"}
	if s == nil {
		d.Lead = append(d.Lead, "No sortie was counted.")
		return d
	}
	d.Lead = append(d.Lead, fmt.Sprintf("%.2f (%.2f to %.2f by the count of %d) of the sorties come home whole: %s.", s.Chance.Value, s.Chance.Low, s.Chance.High, s.N, flights(s)), p.conditions())
	t := &Table{Head: []string{"", "goes well", "goes wrong first", "were it sure"}, Wrap: -1, Right: rights(4, 0)}
	var list []string
	for _, k := range s.Parts {
		if !k.Asked {
			list = append(list, upper(k.Stage.String())+": "+k.Why+".")
			continue
		}
		t.Rows = append(t.Rows, []string{k.Stage.String(), sure(k.Chance, s.N), share(k.First), sure(k.IfSure, s.N)})
		list = append(list, upper(k.Stage.String())+": "+k.Why+".")
	}
	blocks := []Block{{Table: t}, {List: list}}
	if math.Abs(s.Product-s.Chance.Value) > 0.005 {
		say := "more"
		if s.Product > s.Chance.Value {
			say = "less"
		}
		blocks = append(blocks, para("Multiplied as if they were strangers the four would give %.2f; the whole is %s, for the same mass, wind, drag and pack spoil or spare them together.", s.Product, say))
	}
	d.Sections = append(d.Sections, Section{Title: "Launch, link, reserve, landing, in the same draws", Blocks: blocks})
	if best := raises(s); len(best) > 0 {
		d.Sections = append(d.Sections, Section{Title: "What raises it most", Blocks: []Block{{List: best}}})
	}
	d.Sections = append(d.Sections, p.cost())
	d.Sections = append(d.Sections, p.findings("Judged", ofIDs("launch-odds", "link-margin", "reserve", "landing", "go-round", "sortie")))
	n := []string{
		"Scatter beside the launch's, our choice: 5 % of the speed held on the approach, a fifth of the height over the edge of the field, half of gust over wind, 5 % of the time flown, 3 dB of fading.",
		"A landing that runs out of the field, a link that falls below its threshold anywhere and a pack at 5 % each count as a lost sortie; many end milder.",
	}
	if s.Tries == 2 {
		n = append(n, "A landing that would not fit is broken off once: she climbs well enough at the reserve.")
	}
	d.Sections = append(d.Sections, noteSection(n), cautionSection(careful("law", "speed", "lithium")))
	return d
}

// sure is a share with the 90 % interval that counting n sorties leaves.
func sure(v float64, n int) string {
	low, high := counted(v, n)
	return fmt.Sprintf("%.2f (%.2f to %.2f)", v, low, high)
}

func flights(s *assess.Sortie) string {
	if s.Chance.Value >= 1 {
		return fmt.Sprintf("no loss in %d, so fewer than one in %.0f at 90 %%", s.N, 1/(1-s.Chance.Low))
	}
	return fmt.Sprintf("one loss in %.1f flights", 1/(1-s.Chance.Value))
}

// raises says in words what would raise the chance, most first.
func raises(s *assess.Sortie) []string {
	parts := append([]assess.SortiePart(nil), s.Parts[:]...)
	sort.SliceStable(parts, func(i, j int) bool { return parts[i].IfSure > parts[j].IfSure })
	verbs := map[assess.Stage]string{assess.Launching: "fledge launch", assess.Linked: "fledge radio", assess.Reserved: "fledge fly", assess.Landed: "fledge land"}
	var out []string
	for _, k := range parts {
		if gain := k.IfSure - s.Chance.Value; k.Asked && gain > 0.004 {
			out = append(out, fmt.Sprintf("the %s: made sure, it is worth %+.2f (%s says how)", k.Stage, gain, verbs[k.Stage]))
		}
	}
	return out
}

func euro(v float64) string { return fmt.Sprintf("%.2f EUR", v) }

func (p *Whole) cost() Section {
	s := p.Results.Sortie
	sec := Section{Title: "What a flight costs"}
	if math.IsNaN(s.Value) {
		sec.Blocks = []Block{para("No part has a price (parts: price), so no cost is told.")}
		return sec
	}
	rows := [][]string{
		{"value of the priced parts", euro(s.Value)},
		{"lost per flight, half of it each time", euro((1 - s.Chance.Value) * s.Lost * s.Value)},
	}
	if !math.IsNaN(s.Wear) {
		rows = append(rows, []string{"wear of the pack, 150 flights", euro(s.Wear)})
	}
	rows = append(rows, []string{"a flight costs", euro(s.Cost)})
	sec.Blocks = []Block{{Table: &Table{Rows: rows, Wrap: -1, Right: rights(2, 0)}}}
	return sec
}

// SortieStageJSON is one stage.
type SortieStageJSON struct {
	Stage    string `json:"stage"`
	Asked    bool   `json:"asked"`
	Chance   Float  `json:"chance"`
	First    Float  `json:"first_to_fail"`
	IfSure   Float  `json:"chance_if_sure"`
	Interval Spans  `json:"interval,omitempty"` // by counting
	Why      string `json:"why"`
}

// stageSpans is what counting leaves open of a stage.
func stageSpans(k *assess.SortiePart, n int) Spans {
	if !k.Asked {
		return nil
	}
	out := Spans{}
	for key, v := range map[string]float64{"chance": k.Chance, "first_to_fail": k.First, "chance_if_sure": k.IfSure} {
		low, high := counted(v, n)
		out[key] = [2]Float{low, high}
	}
	return out
}

// SortieJSON is the body of `sortie`.
type SortieJSON struct {
	Head
	Chance  Quantity          `json:"chance"`
	N       int               `json:"n"`
	Product Float             `json:"product"`
	Stages  []SortieStageJSON `json:"stages"`
	Flights Float             `json:"flights_per_loss"`
	Span    Spans             `json:"interval,omitempty"`
	Value   Float             `json:"value_eur"`
	Cost    Float             `json:"cost_per_flight_eur"`
	Tail
}

// SortieBody is the JSON of a sortie.
func SortieBody(p Whole) SortieJSON {
	s := p.Results.Sortie
	out := SortieJSON{Head: p.head(), Stages: []SortieStageJSON{}, Tail: p.tail(ofIDs("launch-odds", "link-margin", "reserve", "landing", "go-round", "sortie"), "law", "speed", "lithium")}
	if s == nil {
		out.Chance = absent("1", "no sortie was counted")
		return out
	}
	out.Chance, out.N, out.Product = Q(s.Chance), s.N, Float(s.Product)
	out.Flights, out.Value, out.Cost = Float(1/(1-s.Chance.Value)), Float(s.Value), Float(s.Cost)
	if q := s.Chance; q.Status == "" && q.High < 1 {
		out.Span = spanOf("flights_per_loss", 1/(1-q.Low), 1/(1-q.High))
	}
	if q := s.Chance; q.Status == "" && q.Value < 1 { // the cost goes with the chance to lose her
		k := s.Lost * s.Value
		wear := s.Cost - k*(1-q.Value)
		out.Span = out.Span.and(spanOf("cost_per_flight_eur", wear+k*(1-q.High), wear+k*(1-q.Low)))
	}
	for _, k := range s.Parts {
		out.Stages = append(out.Stages, SortieStageJSON{k.Stage.String(), k.Asked, Float(k.Chance), Float(k.First), Float(k.IfSure), stageSpans(&k, s.N), k.Why})
	}
	return out
}
