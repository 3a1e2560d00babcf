// Package wing is a linear vortex lattice over any set of lifting surfaces:
// horseshoe vortices with the bound vortex on the quarter chord of each
// panel and the flow tangent at three quarters, hinge lines on panel edges,
// the wake along the stream. One matrix (two of half the order when the
// aeroplane is symmetric) serves every right-hand side: angle of attack,
// sideslip, the three rates, camber with twist, and each control moved alike
// or oppositely on both sides.
//
// The lattice lies on the surface spanned by the leading edges and the
// direction of flight; twist, camber and control angles enter through the
// flow tangency, as linear theory has it. Loads come from the
// Kutta-Joukowski law on bound vortices and on the chordwise legs that lie
// on the surface; induced drag from the far wake. A mirror image below gives
// ground effect.
//
// Geometry is in build axes (x aft, y right, z up, metres); forces, moments
// and rates come out in body axes (x forward, y right, z down). Everything
// is per unit of air density.
//
// Sources: NASA SP-405 (1976); Katz and Plotkin, Low-Speed Aerodynamics.
package wing
