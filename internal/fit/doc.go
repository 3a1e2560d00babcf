// Package fit is whether the parts go in, and what weighing says: boxes and
// cylinders in bays, through hatches, inside shells; clashes, clearances, wire
// routes; weighing sheet, swing tests, ballast. Build axes (x aft, y right, z
// up), metres, kilograms.
//
// Whatever does not fit says by how much and what would cure it.
package fit
