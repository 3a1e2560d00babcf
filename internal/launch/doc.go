// Package launch flies the launch of a model aeroplane in six degrees of
// freedom, from the hand, the grass, a cradle or a ramp, thrown or pulled by a
// rubber bungee, until it is safely airborne or has failed, and says which.
//
// A [Setup] is everything about one launch as plain numbers; [Run] flies it in
// a reused [Workspace] and returns an [Outcome]: class, the moment of release,
// loads, energy ledger and the mechanism in one sentence.
//
// Axes: N along the launch direction (from the start to the stake), E to its
// right, down; N = 0, E = 0 below the centre of gravity at the start, height
// over ground positive up, ground rising with Slope along N. Body axes x
// forward, y right, z down.
//
// What is in: full rigid-body motion; the aeroplane's own forces at any
// attitude; wind profile, one discrete gust, optional seeded turbulence, both
// as fields that drift with the mean wind; rubber with its own curve and
// loss, a third of its mass moving with the line, line and ring with mass and
// drag, one-way tension at the hook; the ring that slides off the hook under
// tension or falls off a slack line; stick held and let go, rate damper; motor
// start as planned, with spool-up, torque, gyroscopic moment, thrust line and
// slipstream over what stands in it, force across the propeller; sliding on grass and along a ramp; ground
// contact of every corner of the airframe.
//
// What is not in: waves along the cord (flagged when they matter), sag and
// sideways inertia of the line, flexing of the airframe. A pilot, if any,
// takes over some time after release (see [Pilot]); up to then the stick is
// where it was set.
// Published launch models meet measured speeds within about 4-9 % (see
// docs/accuracy.md); claim no better than 10 %.
package launch
