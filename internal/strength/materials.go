package strength

import (
	"math"

	"fledge/internal/cite"
)

// Material is mean strengths of a class of material, Pa, kg/m³; 0 where not
// known. Doubt is one standard deviation of strength over its mean, as bought
// or made by an amateur. Across is the strength of a print across its layers
// over that along them, 1 for others. Soft is the temperature (K) at which a
// plastic has lost its strength, 0 when it does not matter; half is left 15 K
// below.
type Material struct {
	Name                        string
	E, G                        float64
	Tension, Compression, Shear float64
	Density                     float64
	Doubt, Across, Soft         float64
	Workmanship                 float64 // knock-down recommended for hand work
	Refs                        []cite.Ref
}

// Materials are the classes by the words of the build file. Workmanship
// factors are engineering judgement and an input of every use.
var Materials = []Material{
	{Name: "steel", E: 205e9, G: 79e9, Tension: 2050e6, Compression: 1400e6, Shear: 1000e6, Density: 7850, Doubt: 0.05, Across: 1, Workmanship: 1, Refs: []cite.Ref{cite.MusicWire.At("yield; compressive yield of hard-drawn wire assumed", cite.Seen)}},
	{Name: "steel wire", E: 205e9, G: 79e9, Tension: 2050e6, Compression: 1400e6, Shear: 1000e6, Density: 7850, Doubt: 0.05, Across: 1, Workmanship: 1, Refs: []cite.Ref{cite.MusicWire.At("yield", cite.Seen)}},
	{Name: "carbon", E: 130e9, G: 4.3e9, Tension: 1500e6, Compression: 850e6, Shear: 80e6, Density: 1550, Doubt: 0.2, Across: 1, Workmanship: 0.8, Refs: []cite.Ref{cite.LaminateRange.At("pultruded carbon rod", cite.Memory), cite.Soden1998.At("T300/epoxy shear", cite.Memory)}},
	{Name: "GRP", E: 17e9, G: 3.5e9, Tension: 275e6, Compression: 230e6, Shear: 32e6, Density: 1750, Doubt: 0.25, Across: 1, Workmanship: 0.6, Refs: []cite.Ref{cite.LaminateRange.At("glass plain weave, hand lay-up", cite.Memory)}},
	{Name: "spruce", E: 10e9, G: 0.7e9, Tension: 70e6, Compression: 39e6, Shear: 8e6, Density: 400, Doubt: 0.2, Across: 1, Workmanship: 0.6, Refs: []cite.Ref{cite.WoodHandbook.At("Sitka spruce, 12 % moisture", cite.Memory)}},
	{Name: "balsa", E: 3.4e9, G: 0.23e9, Tension: 19.9e6, Compression: 12.1e6, Shear: 2.1e6, Density: 160, Doubt: 0.35, Across: 1, Workmanship: 0.6, Refs: []cite.Ref{cite.WoodHandbook.At("balsa, medium", cite.Seen), cite.BorregaGibson.At("strength goes with density", cite.Seen)}},
	{Name: "obeche", E: 5.9e9, G: 0.4e9, Tension: 51e6, Compression: 27e6, Shear: 6.8e6, Density: 380, Doubt: 0.2, Across: 1, Workmanship: 0.6, Refs: []cite.Ref{cite.WoodHandbook.At("obeche, bending strength for tension", cite.Memory)}},
	{Name: "plywood", E: 9e9, G: 0.7e9, Tension: 45e6, Compression: 30e6, Shear: 6e6, Density: 650, Doubt: 0.25, Across: 1, Workmanship: 0.6, Refs: []cite.Ref{cite.WoodHandbook.At("birch plywood", cite.Memory)}},
	{Name: "aluminium", E: 69e9, G: 26e9, Tension: 275e6, Compression: 275e6, Shear: 205e6, Density: 2700, Doubt: 0.05, Across: 1, Workmanship: 1, Refs: []cite.Ref{cite.LightAlloys.At("6061-T6 yield", cite.Seen)}},
	{Name: "7075-T6", E: 72e9, G: 27e9, Tension: 505e6, Compression: 505e6, Shear: 330e6, Density: 2810, Doubt: 0.05, Across: 1, Workmanship: 1, Refs: []cite.Ref{cite.LightAlloys.At("7075-T6 yield", cite.Seen)}},
	{Name: "metal", E: 69e9, G: 26e9, Tension: 275e6, Compression: 275e6, Shear: 205e6, Density: 2700, Doubt: 0.1, Across: 1, Workmanship: 1, Refs: []cite.Ref{cite.LightAlloys.At("6061-T6 yield", cite.Seen)}},
	{Name: "brass", E: 100e9, G: 37e9, Tension: 300e6, Compression: 300e6, Shear: 200e6, Density: 8500, Doubt: 0.15, Across: 1, Workmanship: 1, Refs: []cite.Ref{cite.Shigley.At("half-hard brass", cite.Memory)}},
	{Name: "nylon", E: 2.0e9, G: 0.7e9, Tension: 60e6, Compression: 60e6, Shear: 40e6, Density: 1140, Doubt: 0.2, Across: 1, Soft: 393, Workmanship: 1, Refs: []cite.Ref{cite.Shigley.At("PA66, moulded", cite.Memory)}},
	{Name: "PLA", E: 3.5e9, G: 1.3e9, Tension: 53e6, Compression: 60e6, Shear: 30e6, Density: 1250, Doubt: 0.2, Across: 0.4, Soft: 333, Workmanship: 1, Refs: []cite.Ref{cite.PrintBulk.At("PLA", cite.Seen), cite.PrintAcross.At("across over along 0.32; 0.3 to 0.5 taken as 0.4", cite.Seen)}},
	{Name: "PETG", E: 2.0e9, G: 0.75e9, Tension: 50e6, Compression: 50e6, Shear: 28e6, Density: 1270, Doubt: 0.2, Across: 0.4, Soft: 344, Workmanship: 1, Refs: []cite.Ref{cite.PrintBulk.At("PETG", cite.Seen), cite.PrintAcross.At("across over along 0.32; 0.3 to 0.5 taken as 0.4", cite.Seen)}},
	{Name: "ABS", E: 2.1e9, G: 0.8e9, Tension: 40e6, Compression: 45e6, Shear: 23e6, Density: 1040, Doubt: 0.2, Across: 0.4, Soft: 380, Workmanship: 1, Refs: []cite.Ref{cite.PrintBulk.At("ABS", cite.Seen), cite.PrintAcross.At("across over along 0.32; 0.3 to 0.5 taken as 0.4", cite.Seen)}},
	{Name: "printed nylon with carbon", E: 3e9, G: 1.1e9, Tension: 27.7e6, Compression: 27.7e6, Shear: 15e6, Density: 1150, Doubt: 0.3, Across: 0.32, Soft: 423, Workmanship: 1, Refs: []cite.Ref{cite.PrintAcross.At("27.7 MPa along, 8.8 across", cite.Seen)}},
	{Name: "printed", E: 2.0e9, G: 0.75e9, Tension: 40e6, Compression: 45e6, Shear: 23e6, Density: 1200, Doubt: 0.3, Across: 0.4, Soft: 333, Workmanship: 1, Refs: []cite.Ref{cite.PrintBulk.At("the weakest of PLA, ABS, PETG", cite.Seen)}},
	{Name: "EPP", E: 10e6, G: 4e6, Tension: 0.32e6, Compression: 0.1e6, Shear: 0.2e6, Density: 25, Doubt: 0.35, Across: 1, Soft: 363, Workmanship: 1, Refs: []cite.Ref{cite.FoamHandbook.At("20 to 30 kg/m3", cite.Memory)}},
	{Name: "EPS", E: 6e6, G: 3e6, Tension: 0.25e6, Compression: 0.1e6, Shear: 0.15e6, Density: 25, Doubt: 0.35, Across: 1, Soft: 353, Workmanship: 1, Refs: []cite.Ref{cite.FoamHandbook.At("20 to 30 kg/m3", cite.Memory)}},
}

// Find looks a material up by its word in the build file.
func Find(name string) (Material, bool) {
	for _, m := range Materials {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// Warm is the share of its strength that a plastic keeps at a temperature
// (K): 1 up to 30 K below Soft, then a straight line to 0 at Soft: PLA keeps
// half at 45 °C and nothing at 60 °C (engineering judgement). 1 for others.
func (m Material) Warm(t float64) float64 {
	if m.Soft == 0 || t <= m.Soft-30 {
		return 1
	}
	if t >= m.Soft {
		return 0
	}
	return (m.Soft - t) / 30
}

// Cycles is the share of static strength that a printed part keeps after n
// load cycles: 1 up to a thousand, a straight line in the logarithm to 0.25 at a
// hundred thousand, and no less (engineering judgement).
func Cycles(n float64) float64 {
	s := (math.Log10(math.Max(n, 1)) - 3) / 2
	return 1 - 0.75*math.Max(0, math.Min(1, s))
}

// WireStrength is the tensile strength, Pa, of music wire of diameter d (m):
// 2211 MPa / d^0.145, d in mm (Shigley).
func WireStrength(d float64) float64 { return 2211e6 * math.Pow(d*1e3, -0.145) }

// Adhesive is a glue's lap shear on clean metal and peel, low and high.
type Adhesive struct {
	Name                string
	ShearLow, ShearHigh float64 // Pa
	PeelLow, PeelHigh   float64 // N/m
}

// Adhesives are lap shear on steel at room temperature and peel, as printed
// in Shigley. On oily or smooth GRP take 0.3 of them; hot melt at 50 °C 0.3
// (engineering judgement).
var Adhesives = []Adhesive{
	{"hot melt", 0.35e6, 4.8e6, 880, 3500},
	{"synthetic hot melt", 0.7e6, 6.9e6, 880, 3500},
	{"cyanoacrylate", 6.9e6, 13.8e6, 180, 3500},
	{"epoxy", 10.3e6, 27.6e6, 350, 1800},
	{"toughened epoxy", 20.7e6, 41.4e6, 4400, 14000},
	{"tape", 0.01e6, 0.07e6, 180, 880},
}
