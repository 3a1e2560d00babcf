package craft

import "math"

// AntennaKind is a generic kind of antenna.
type AntennaKind struct {
	Word     string
	Gain     float64 // dBi, the usual one
	Sigma    float64 // dB, one standard deviation when not measured
	Circular bool
	Beam     bool    // has a direction of its own instead of a null along its axis
	Width    float64 // rad, half-power beamwidth of a beam
	Axial    float64 // dB, axial ratio of a circular one
	Why      string
}

// antennaKinds: directivities are closed forms (Balanis), the rest common practice.
var antennaKinds = []AntennaKind{
	{Word: "dipole", Gain: 2.15, Sigma: 0.7, Why: "half a wave long: 2.15 dBi, nothing along its axis"},
	{Word: "whip", Gain: 0, Sigma: 1.5, Why: "a quarter wave against the wiring of the aeroplane: 0 dBi, common practice; nothing along its axis"},
	{Word: "short dipole", Gain: 1.76, Sigma: 1, Why: "much shorter than half a wave: 1.76 dBi"},
	{Word: "cloverleaf", Gain: 1.2, Sigma: 0.5, Circular: true, Axial: 2, Why: "circular all round, 1.0 to 1.5 dBi built, nothing along its axis: common practice"},
	{Word: "crossed dipoles", Gain: 2.15, Sigma: 0.7, Circular: true, Axial: 1, Why: "two half-wave dipoles in quadrature: circular along its axis, linear across"},
	{Word: "patch", Gain: 7, Sigma: 1, Beam: true, Width: 75 * math.Pi / 180, Why: "6 to 8 dBi and 65 to 90 degrees wide: common practice"},
	{Word: "circular patch", Gain: 7, Sigma: 1, Beam: true, Circular: true, Axial: 2, Width: 75 * math.Pi / 180, Why: "6 to 8 dBi and 65 to 90 degrees wide: common practice"},
	{Word: "helix", Gain: 9.2, Sigma: 1.5, Beam: true, Circular: true, Axial: 1.3, Width: 62 * math.Pi / 180, Why: "three turns: 9.2 dBi, 62 degrees wide (Kraus; King and Wong)"},
}

// AntennaOf finds a kind by its word; false when it is not known.
func AntennaOf(word string) (AntennaKind, bool) {
	for _, k := range antennaKinds {
		if k.Word == word {
			return k, true
		}
	}
	return AntennaKind{}, false
}
