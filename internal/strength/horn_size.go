package strength

import (
	"fmt"
	"math"

	"fledge/internal/control"
	"fledge/internal/craft"
)

// HornSize is a horn for one control that holds its load with the factor of
// safety and all its doubt, made of one material, printed lying where it is
// printed: layers along the load.
type HornSize struct {
	Control, Material string
	Height            float64 // hinge line to the hole, m
	Root, Width       float64 // depth along the chord and thickness at the root, m
	Rod               float64 // diameter of the rod, m; RodGuessed: not given
	RodGuessed        bool
	Load              float64 // limit load at the hole, N
	Because           string  // what makes it
	Proof             float64 // to be hung on the hole before flight, N: the limit load
	Factor, FactorLow float64 // strength over load, and its end of the 90 % interval
	Hole              float64 // bearing strength of the hole over its load
	Why               string  // why there is none; then the sizes mean nothing
	Best              float64 // the largest low end found where there is none
}

// SizeHorn finds the smallest root, in half millimetres, at which the horn
// of a control passes the checks of [Assess] with the whole 90 % interval:
// bending at the root and bearing in the hole. Depth goes up to twice the
// height but 30 mm at most, thickness to 8 mm and no less than a fifth of the
// depth, so that it stands sideways (our choice). The load is that of Assess: air
// at top speed, the stalled servo, a thumb on the edge.
func SizeHorn(ac *craft.Aircraft, name string, l Loads, material string) HornSize {
	s := HornSize{Control: name, Material: material}
	at := -1
	for i := range ac.Linkages {
		if ac.Linkages[i].Control == name {
			at = i
		}
	}
	if at < 0 {
		s.Why = "no linkage of the " + name + " is described, so nothing says what load its horn takes"
		return s
	}
	lk := ac.Linkages[at]
	s.Height, s.Rod = lk.Horn, lk.RodDiameter
	if !(s.Rod > 0) {
		s.Rod, s.RodGuessed = 2e-3, true
	}
	if _, ok := Find(material); !ok {
		s.Why = fmt.Sprintf("%q is not one of the materials", material)
		return s
	}
	judge := func(material string, root, width float64) (horn, hole Result) {
		c := *ac
		c.Linkages = append([]craft.Linkage(nil), ac.Linkages...)
		k := &c.Linkages[at]
		k.HornMaterial, k.HornRoot, k.HornWidth, k.RodDiameter, k.Print = material, root, width, s.Rod, "along"
		horn, hole = Result{Value: nan}, Result{Value: nan}
		for _, r := range Assess(&c, l) {
			switch r.ID {
			case "horn." + name:
				horn = r
			case "horn_hole." + name:
				hole = r
			}
		}
		return horn, hole
	}
	// A metal root of known size tells the load: neither heat nor layers act on it.
	const unit = 10e-3
	probe, _ := judge("aluminium", unit, unit)
	if math.IsNaN(probe.Value) || !(probe.Value > 0) {
		s.Why = "the load of its horn is not known"
		if probe.Because != "" {
			s.Why += ": " + probe.Because
		}
		return s
	}
	metal, _ := Find("aluminium")
	s.Load = metal.Tension * metal.Workmanship / (probe.Value * FilletKt(0.1) * HornRoot(1, s.Height, unit, unit))
	s.Proof = s.Load
	// Factors go with depth squared and width: one look sizes all.
	horn, hole := judge(material, unit, unit)
	if math.IsNaN(horn.Value) {
		s.Why = "its strength cannot be told: " + horn.Because
		return s
	}
	s.Because = horn.Because
	low := 1 - z90*horn.Sigma/math.Max(horn.Value, 1e-300)
	holeLow := 1 - z90*hole.Sigma/math.Max(hole.Value, 1e-300)
	bearing := control.Find(Limits, "horn_hole").Value
	least := math.Ceil(math.Max(6e-3, 2*HornTip(s.Rod))*2e3) / 2e3
	most := math.Min(30e-3, math.Max(2*s.Height, least))
	area := math.Inf(1)
	for w := 1.5e-3; w <= 8e-3+1e-9; w += 0.5e-3 {
		for d := least; d <= most+1e-9; d += 0.5e-3 {
			f := horn.Value * (d / unit) * (d / unit) * (w / unit)
			h := hole.Value * (w / unit)
			if d <= 5*w+1e-9 {
				s.Best = math.Max(s.Best, f*low)
			}
			if f*low < horn.Min || d > 5*w+1e-9 || !math.IsNaN(h) && h*holeLow < bearing || w*d >= area {
				continue
			}
			area = w * d
			s.Root, s.Width, s.Factor, s.FactorLow, s.Hole = d, w, f, f*low, h
		}
	}
	if math.IsInf(area, 1) {
		s.Why = fmt.Sprintf("no horn of %s up to %.0f mm deep and 8 mm thick carries %.0f N at %.0f mm: at best %.1f times its load, %.1f wanted", material, most*1e3, s.Load, s.Height*1e3, s.Best, horn.Min)
		return s
	}
	if fine, _ := judge(material, s.Root, s.Width); !math.IsNaN(fine.Value) {
		s.Because = fine.Because
	}
	return s
}

// HornTip is the radius of a horn's tip round a rod's hole, m: the hole and
// its own width of material on each side.
func HornTip(rod float64) float64 { return math.Max(1.5*rod, 2.2e-3) }

// HornMaterials are the materials a horn is printed or cut from.
var HornMaterials = []string{"PLA", "PETG", "ABS", "nylon", "printed nylon with carbon", "GRP", "plywood", "aluminium"}
