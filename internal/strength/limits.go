package strength

import (
	"math"

	"fledge/internal/cite"
	"fledge/internal/control"
)

// Limits are the numbers that this room's results are held against and that
// the build file does not set. Factor of safety, servo share and load factor
// are craft's.
var Limits = []control.Limit{
	{ID: "servo_time", What: "time to full throw at top speed", Value: 0.3, Unit: "s", Why: "slower than that a fast model is flown behind its servos", Ref: cite.Choice.At("0.3 s", cite.Practice)},
	{ID: "rod", What: "buckling load of a rod over the air's load", Value: 3, Unit: "1", Least: true, Why: "bends and slop at the ends are no ideal pins", Ref: cite.Choice.At("3", cite.Practice)},
	{ID: "rod_stall", What: "buckling load of a rod over the stalled servo's force", Value: 1, Unit: "1", Least: true, Why: "a bowed rod springs back; it should not bow at all", Ref: cite.Choice.At("1", cite.Practice)},
	{ID: "horn_length", What: "length of a horn over the width of its hole", Value: 2, Unit: "1", Least: true, Why: "a hole needs its own width of material around it", Ref: cite.Choice.At("2", cite.Practice)},
	{ID: "horn_hole", What: "bearing strength of a horn's hole over its load", Value: 3.33, Unit: "1", Least: true, Why: "the codes' factor on the softest bearing material of push-pull control joints; 6.67 for hinges", Ref: cite.FAR23Hinge.At("23.657: 6.67 for hinges, seen; 23.693: 3.33 for joints", cite.Memory)},
	{ID: "bolts_tip", What: "what holds a wing bolt over the bolt or a tip catch", Value: 1, Unit: "1", Least: true, Why: "a cheap bolt that breaks in a landing is worth more than a torn-out seat", Ref: cite.Choice.At("1", cite.Practice)},
	{ID: "proof", What: "proof moment of the spar over the limit moment", Value: 1, Unit: "1", Least: true, Why: "a proof load shows that the limit load is held; loading to one and a half times may damage what is to fly", Ref: cite.FAR23Factor.At("limit and ultimate load", cite.Seen)},
	{ID: "stake", What: "holding force of the stake over the pull", Value: 2, Unit: "1", Least: true, Why: "ground is not the same at the next stake hole, and a stake that comes out flies at the pilot", Ref: cite.Choice.At("2", cite.Practice)},
	{ID: "wire", What: "temperature rise of the battery lead", Value: 100, Unit: "K", Why: "solder and heat-shrink beside silicone wire stay whole", Ref: cite.Choice.At("100 K", cite.Practice)},
	{ID: "connector", What: "temperature of the connectors", Value: 100, Unit: "degC", Why: "nylon shells soften and solder creeps above it in a long burst", Ref: cite.Choice.At("100 °C", cite.Practice)},
	{ID: "heat.motor_winding", What: "temperature of the motor's winding", Value: 130, Unit: "degC", Why: "enamel of class B", Ref: cite.IEC60085.At("class B, 130 °C", cite.Memory)},
	{ID: "heat.motor_magnets", What: "temperature of the motor's magnets", Value: 80, Unit: "degC", Why: "neodymium magnets of the plain grades weaken for good above it; grades for 120 °C and more are sold and not known from outside", Ref: cite.Common.At("80 °C", cite.Practice)},
	{ID: "heat.controller", What: "temperature of the controller", Value: 105, Unit: "degC", Why: "controllers cut off at about this, and their capacitors are rated for it", Ref: cite.Common.At("105 °C", cite.Practice)},
	{ID: "heat.battery", What: "temperature of the battery", Value: 60, Unit: "degC", Why: "makers of lithium packs allow no more when discharging", Ref: cite.Common.At("60 °C", cite.Practice)},
	{ID: "play", What: "free play of a control", Value: 1.15 * math.Pi / 180, Unit: "rad", Why: "the inboard limit of full-size aircraft; doubtful above 0.57°, their limit outboard of mid-span", Ref: cite.ControlPlay.At("free-play limits", cite.Memory)},
	{ID: "flutter", What: "control frequency times semichord over 1.2 times top speed", Value: 1.2, Unit: "1", Least: true, Why: "of 500 sections drawn over the ranges of small models, with 1 % structural damping, 5 % had control flutter that begins above it", Ref: cite.Choice.At("1.2", cite.Derived)},
	{ID: "flutter.balanced", What: "the same for a mass-balanced control", Value: 0.9, Unit: "1", Least: true, Why: "of the same 500 with the control's centre of mass on its hinge, 4 %", Ref: cite.Choice.At("0.9", cite.Derived)},
	{ID: "rigidity", What: "torsional stiffness of the wing over that of a published rule for light aeroplanes", Value: 1, Unit: "1", Least: true, Why: "a simplified criterion for light aeroplanes below 260 knots", Ref: cite.Report45.At("wing torsional flexibility 200/V²", cite.Memory)},
	{ID: "flutter.wing", What: "flutter or divergence speed over top speed", Value: 1.2, Unit: "1", Least: true, Why: "the codes ask for 1.2 times the design dive speed", Ref: cite.FAR23Flutter.At("1.2", cite.Seen)},
}

// limit is the value of one of Limits.
func limit(id string) float64 { return control.Find(Limits, id).Value }
