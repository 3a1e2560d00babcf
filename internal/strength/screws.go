package strength

import "math"

// Screw is one ISO metric screw: minimum ultimate loads by class, N.
type Screw struct {
	Name                    string
	Diameter, Pitch, Area   float64 // m, m, m² (tensile stress area)
	C46, C88, C129, Proof88 float64
}

// Screws are the sizes met on small aeroplanes (ISO 898-1). The proof stress
// of class 8.8, 580 MPa, is stated for M5 to M16 and taken for M3 and M4 too.
var Screws = []Screw{
	{"M3", 3e-3, 0.5e-3, 5.03e-6, 2010, 4020, 6140, 2917},
	{"M4", 4e-3, 0.7e-3, 8.78e-6, 3510, 7020, 10700, 5092},
	{"M6", 6e-3, 1.0e-3, 20.1e-6, 8040, 16100, 24500, 11658},
}

// StressArea is the tensile stress area of a metric thread, m²:
// π/4 (d - 0.9382 p)².
func StressArea(d, p float64) float64 { x := d - 0.9382*p; return math.Pi / 4 * x * x }

// NylonScrew is the tensile load, N, of a nylon screw: 60 MPa on the stress
// area (recalled), ± 20 %, less when warm and dry.
func NylonScrew(d, p float64) float64 { return 60e6 * StressArea(d, p) }

// PullOut is the load, N, that strips a thread of diameter d and engaged
// length l out of a softer material of shear strength tau: π d l tau times 0.6
// for the thread's form (our choice, on the safe side of the usual 0.75).
func PullOut(d, l, tau float64) float64 { return 0.6 * math.Pi * d * l * tau }

// Seat is the load, N, at which a bearing area (m²) crushes at the bearing
// strength s (Pa).
func Seat(area, s float64) float64 { return area * s }
