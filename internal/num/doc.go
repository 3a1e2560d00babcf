// Package num holds the numerical methods Fledge needs and gonum lacks, on
// top of gonum: ordinary differential equations with dense output and
// located events ([Integrator]), bracketed roots ([Root]), nonlinear least
// squares with covariance ([Fit]), a derivative-free bounded optimiser
// ([Evolve]), scrambled low-discrepancy points ([Sobol]), seeded random
// streams ([Stream]) and smooth lookup tables ([Curve], [Grid1], [Grid2]).
//
// Everything here is deterministic: the same input gives the same bits on
// one processor architecture, whatever the number of cores. Nothing reads
// files, the clock or global random numbers. Misuse (a slice of the wrong
// length, a bracket with equal ends) panics; mathematics that does not work
// out (no sign change, no convergence) is a status in the result.
//
// Checked against published problems: orbits and scalar tests of the
// differential-equation literature, the NIST reference data for nonlinear
// regression, tabulated Sobol' points and quasi-Monte-Carlo integrals.
package num
