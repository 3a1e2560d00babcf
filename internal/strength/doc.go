// Package strength is what the parts of a small aeroplane can take and what
// is asked of them: hinge moments, servos, rods and horns, spars and shells,
// bolts, hooks, landings, wires, and flutter. Its functions take plain SI
// numbers; [Assess] puts an aircraft and its loads through all of them.
//
// Strengths are mean values of a class of material with a doubt of a quarter
// to a half; knock-downs for workmanship, print direction, temperature and
// cycles are explicit factors. A printed, glued or repaired part that bears
// load needs a proof load before anybody trusts a number of this package.
package strength
