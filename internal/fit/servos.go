package fit

import "gonum.org/v1/gonum/spatial/r3"

// Envelopes are usual servo sizes without lugs, length, width, height
// (common practice, no source: measure yours); lugs add about 9 mm to the
// length of the small ones, 13 mm to the standard.
var Envelopes = []Part{
	{Name: "5 g servo", Size: r3.Vec{X: 20e-3, Y: 8.5e-3, Z: 20e-3}, Lugs: r3.Vec{X: 8e-3}, Soft: true},
	{Name: "9 g servo", Size: r3.Vec{X: 23e-3, Y: 12e-3, Z: 24e-3}, Lugs: r3.Vec{X: 9e-3}, Soft: true},
	{Name: "thin wing servo", Size: r3.Vec{X: 23e-3, Y: 8e-3, Z: 24e-3}, Lugs: r3.Vec{X: 9e-3}, Soft: true},
	{Name: "wing servo", Size: r3.Vec{X: 30e-3, Y: 10e-3, Z: 30e-3}, Lugs: r3.Vec{X: 9e-3}, Soft: true},
	{Name: "mini servo", Size: r3.Vec{X: 29e-3, Y: 13e-3, Z: 30e-3}, Lugs: r3.Vec{X: 10e-3}, Soft: true},
	{Name: "standard servo", Size: r3.Vec{X: 40e-3, Y: 20e-3, Z: 38e-3}, Lugs: r3.Vec{X: 13e-3}},
}
