// Package section knows wing sections: their shapes, and their lift, drag,
// moment and hinge moment at model Reynolds numbers.
//
// A [Shape] comes from a designation ([Parse]), a coordinate file
// ([FromCoordinates]) or two measurements ([Unknown]), and may carry a flap.
// There are three depths. [Handbook] gives [Traits] from published trends at
// once. [Solve] computes a [Polar]: a linear-vorticity panel method and a
// two-equation integral boundary layer with envelope e^n transition, solved
// together by Newton's method, wake included, through laminar separation
// bubbles and maximum lift. A [Table] holds polars over Reynolds number,
// angle and flap, extended to ±180 degrees by flat-plate laws, for fast use;
// measured polars ([FromMeasured]) take the place of computed ones.
//
// Units are SI and radians, lengths in chords; angle of attack is nose up,
// moments are about the quarter chord, nose up positive, flaps and hinge
// moments trailing edge down positive. The flow is two-dimensional, steady
// and incompressible (below Mach 0.3). The solver is wrong where the flow is
// not like that: massive separation beyond stall (replaced by the flat-plate
// laws), Reynolds numbers below about 30,000, stall hysteresis (it gives one
// branch), sharp corners and slots.
//
// The package reads no files, clock or random numbers; caching goes through
// the [Memo] its caller hands in.
package section
