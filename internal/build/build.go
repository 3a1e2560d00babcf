// Package build is the build file: one aeroplane, its launch gear and its
// day, in YAML with units. It knows syntax, units, which keys exist and which
// values are impossible; it knows no physics. Every value has a span and says
// whether it was given. parse, print, parse is the identity, and edits keep
// the user's comments.
package build

import (
	"fledge/internal/diag"
	"fledge/internal/unit"
)

// Value is one quantity of the file. When Given is false the user left it out
// and Quantity is zero: what to assume is decided, and said, by craft.
type Value struct {
	unit.Quantity
	Span  diag.Span
	Given bool
}

// Text is one plain word or name of the file.
type Text struct {
	S     string
	Span  diag.Span
	Given bool
}

// Count is a whole number of the file.
type Count struct {
	N     int
	Span  diag.Span
	Given bool
}

// Flag is a true or false of the file.
type Flag struct {
	On    bool
	Span  diag.Span
	Given bool
}

// Range is "120 mm to 200 mm".
type Range struct {
	Low, High unit.Quantity
	Span      diag.Span
	Given     bool
}

// Build is a whole build file. Tags: key is the YAML key, dim the dimension
// of a Value (a unit.Dim name), doc the schema's description; name marks the
// field by which list items are addressed in paths; oneof lists allowed words
// (separated by |); is gives the bounds of a number, in SI, as an interval
// ("(0,)" more than zero, "[0,1]" from 0 to 1).
type Build struct {
	Version   Count      `key:"fledge" is:"[1,)" doc:"version of this file format, 1"`
	Aeroplane Aeroplane  `key:"aeroplane"`
	Surfaces  []Surface  `key:"surfaces" doc:"wing, tail, fins: any set of lifting surfaces"`
	Body      Body       `key:"body"`
	Extras    []Extra    `key:"extras" doc:"small things in the air stream: antennas, camera, cooling holes"`
	Parts     []Part     `key:"parts" doc:"everything that has mass"`
	Inside    Inside     `key:"inside" doc:"bays, hatches, solid things and wire routes"`
	Linkages  []Linkage  `key:"linkages" doc:"servo, arm, rod and horn of each control"`
	Strength  Strength   `key:"strength" doc:"spar and other load-bearing things, if known"`
	Power     Power      `key:"power"`
	Radio     []Radio    `key:"radio" doc:"radio links: control, video, telemetry"`
	Launch    Launch     `key:"launch"`
	Flight    Flight     `key:"flight" doc:"how it is meant to be flown"`
	Circuit   Circuit    `key:"circuit" doc:"what is flown, lap after lap: straights, turns, climbs"`
	Course    Course     `key:"course" doc:"the base of a speed trial"`
	Landing   Landing    `key:"landing"`
	Obstacles []Obstacle `key:"obstacles" doc:"hedges, banks, trees, houses round the field"`
	Day       Day        `key:"day" doc:"weather and field of one day"`
	Limits    Limits     `key:"limits" doc:"limits that differ from the defaults, and the maker's"`
	Claims    []Claim    `key:"claims" doc:"what somebody says of this aeroplane"`

	Weighing   Weighing    `key:"weighing" doc:"what scales and swing tests showed"`
	Ballast    []Spot      `key:"ballast" doc:"places where ballast may go"`
	Deviations []Deviation `key:"deviations" doc:"where it is not built as the maker's manual says"`

	Trial Trial `key:"trial" doc:"what-ifs with no owner"`
}

// Aeroplane names it.
type Aeroplane struct {
	Name  Text `key:"name"`
	Datum Text `key:"datum" doc:"where x = 0 is; x aft, y right, z up from here"`
	Note  Text `key:"note"`
}

// Surface is one lifting surface; a mirrored one is given by its right half, root first.
type Surface struct {
	Name     Text      `key:"name" name:"yes"`
	Mirrored Flag      `key:"mirrored"`
	Stations []Station `key:"stations" doc:"root first; straight lines between them"`
	Controls []Control `key:"controls"`
}

// Station is one section of a surface, at its leading edge.
type Station struct {
	X         Value `key:"x" dim:"length" doc:"leading edge, aft of the datum"`
	Y         Value `key:"y" dim:"length" doc:"right of the plane of symmetry"`
	Z         Value `key:"z" dim:"length" doc:"up"`
	Chord     Value `key:"chord" dim:"length" is:"(0,)"`
	Twist     Value `key:"twist" dim:"angle" is:"[-1.0472,1.0472]" doc:"nose up positive, against the datum line"`
	Section   Text  `key:"section" doc:"designation, or a two-column file beside the build"`
	Polar     Text  `key:"polar" doc:"measured polars beside the build, CSV: re,alpha_deg,cl,cd and optionally cm; preferred to computed ones"`
	Thickness Value `key:"thickness" dim:"ratio" is:"(0,0.5)" doc:"thickness over chord, when the section is not known"`
	ThickAt   Value `key:"thickness_at" dim:"ratio" is:"[0.1,0.6]" doc:"where it is thickest, over chord from the leading edge, when the section is not known"`
}

// Control is a hinged part of a surface.
type Control struct {
	Name       Text    `key:"name" name:"yes"`
	From       Value   `key:"from" dim:"length" doc:"inner end, in y (in z for an upright fin)"`
	To         Value   `key:"to" dim:"length" doc:"outer end"`
	ChordShare Value   `key:"chord_share" dim:"ratio" is:"(0,1)" doc:"share of the local chord behind the hinge"`
	Moves      Text    `key:"moves" doc:"what it is for: pitch, roll, yaw, brake, joined by 'and'"`
	ThrowUp    Value   `key:"throw_up" dim:"angle" is:"[-1.5708,1.5708]" doc:"trailing edge up at full stick"`
	ThrowDown  Value   `key:"throw_down" dim:"angle" is:"[-1.5708,1.5708]" doc:"trailing edge down at full stick"`
	Trim       Value   `key:"trim" dim:"angle" is:"[-1.5708,1.5708]" doc:"neutral setting, trailing edge up positive (reflex)"`
	Gap        Text    `key:"gap" oneof:"sealed|open" doc:"hinge gap"`
	Mass       Value   `key:"mass" dim:"mass" is:"(0,)" doc:"mass of the moving part, one side"`
	Balance    Value   `key:"balance" dim:"length" doc:"centre of mass behind the hinge line (ahead is negative)"`
	Heights    Heights `key:"heights" doc:"trailing edge off the chord line, by a ruler: what is really set"`
}

// Heights is a ruler held behind both sides of a control, up positive.
type Heights struct {
	Chord     Value `key:"chord" dim:"length" is:"(0,)" doc:"hinge to trailing edge where the ruler stands"`
	RightUp   Value `key:"right_up" dim:"length" doc:"at the end of the stick that sends this side up"`
	RightMid  Value `key:"right_mid" dim:"length" doc:"stick centred"`
	RightDown Value `key:"right_down" dim:"length"`
	LeftUp    Value `key:"left_up" dim:"length"`
	LeftMid   Value `key:"left_mid" dim:"length"`
	LeftDown  Value `key:"left_down" dim:"length"`
}

// Body is the fuselage or pod as a row of cross sections.
type Body struct {
	Stations []BodyStation `key:"stations" doc:"nose first"`
}

// BodyStation is one cross section of the body.
type BodyStation struct {
	X      Value `key:"x" dim:"length"`
	Z      Value `key:"z" dim:"length" doc:"height of its middle"`
	Width  Value `key:"width" dim:"length" is:"[0,)"`
	Height Value `key:"height" dim:"length" is:"[0,)"`
}

// Extra is a small thing in the air stream.
type Extra struct {
	Name     Text  `key:"name" name:"yes"`
	Kind     Text  `key:"kind" oneof:"rod|box|rounded box|disc|hemisphere|strut|hole|gap|tape|bolt|scar" doc:"its shape to the wind"`
	At       Place `key:"at"`
	Length   Value `key:"length" dim:"length" is:"(0,)"`
	Width    Value `key:"width" dim:"length" is:"(0,)"`
	Height   Value `key:"height" dim:"length" is:"(0,)"`
	DragArea Value `key:"drag_area" dim:"area" is:"[0,)" doc:"drag divided by dynamic pressure, when known"`
	Count    Count `key:"count" is:"[1,1000]"`
}

// Place is a point in build axes.
type Place struct {
	X Value `key:"x" dim:"length"`
	Y Value `key:"y" dim:"length"`
	Z Value `key:"z" dim:"length"`
}

// Move is the room a part has to move along each axis.
type Move struct {
	X Range `key:"x" dim:"length"`
	Y Range `key:"y" dim:"length"`
	Z Range `key:"z" dim:"length"`
}

// Part is a thing with mass. Its place is its centre.
type Part struct {
	Name     Text  `key:"name" name:"yes"`
	Kind     Text  `key:"kind" oneof:"structure|motor|controller|battery|propeller|servo|receiver|autopilot|satellite receiver|compass|camera|video transmitter|antenna|wiring|ballast|repair|tape|other"`
	Mass     Value `key:"mass" dim:"mass" is:"(0,)"`
	At       Place `key:"at"`
	Size     Place `key:"size" doc:"length, width, height of its box"`
	MayMove  Move  `key:"may_move"`
	Mirrored Flag  `key:"mirrored" doc:"a second one stands at the mirrored place; mass is that of one"`
	Price    Value `key:"price" dim:"money" is:"[0,)"`

	Round     Text  `key:"round" oneof:"x|y|z" doc:"the axis along which it is a cylinder; a box when left out"`
	Lugs      Place `key:"lugs" doc:"what lugs add to its size along each axis, both ends together"`
	CutLugs   Flag  `key:"lugs_may_go" doc:"its lugs may be cut off"`
	Plug      Place `key:"plug" doc:"room beside it for plug and lead along each axis"`
	Bend      Value `key:"bend" dim:"length" is:"[0,)" doc:"least bend radius of its leads, room beyond the plug"`
	Bay       Text  `key:"bay" doc:"which of inside.bays it sits in"`
	Equipment Text  `key:"equipment" doc:"the set it belongs to, such as navigation: what carrying that set costs is computed"`
	DragArea  Value `key:"drag_area" dim:"area" is:"[0,)" doc:"what it adds in the air stream: tape, a repair, a thing outside"`
	Heat      Value `key:"heat" dim:"power" is:"[0,)" doc:"electric power it turns into heat"`
}

// Linkage is the way from a servo to a control.
type Linkage struct {
	Control      Text     `key:"control" name:"yes" doc:"name of the control it moves"`
	Servo        Text     `key:"servo" doc:"name of the part"`
	Torque       Value    `key:"torque" dim:"torque" is:"(0,)" doc:"servo's stall torque at its supply"`
	Speed        Value    `key:"speed" dim:"angular rate" is:"(0,)" doc:"servo's no-load speed"`
	Travel       Value    `key:"travel" dim:"angle" is:"(0,1.5708]" doc:"servo's travel to one side at full stick"`
	Arm          Value    `key:"arm" dim:"length" is:"(0,)" doc:"servo arm, centre to hole"`
	Horn         Value    `key:"horn" dim:"length" is:"(0,)" doc:"hinge line to horn hole"`
	Rod          Value    `key:"rod" dim:"length" is:"(0,)" doc:"rod length"`
	RodDiameter  Value    `key:"rod_diameter" dim:"length" is:"(0,)"`
	RodMaterial  Text     `key:"rod_material" oneof:"steel|carbon|nylon|brass"`
	HornMaterial Text     `key:"horn_material" oneof:"PLA|PETG|ABS|nylon|carbon|GRP|plywood|metal"`
	HornRoot     Value    `key:"horn_root" dim:"length" is:"(0,)" doc:"depth of the horn at its root, along the chord"`
	HornWidth    Value    `key:"horn_width" dim:"length" is:"(0,)" doc:"thickness of the horn at its root"`
	Play         Value    `key:"play" dim:"angle" is:"[0,)" doc:"free play at the surface"`
	HolePlay     Value    `key:"hole_play" dim:"length" is:"[0,)" doc:"clearance of the rod's ends in their holes, of one"`
	ServoPlay    Value    `key:"servo_play" dim:"angle" is:"[0,0.5236]" doc:"free play of the servo's own output"`
	StallCurrent Value    `key:"stall_current" dim:"current" is:"(0,)" doc:"of one servo, blocked"`
	Print        Text     `key:"print" oneof:"along|across" doc:"layers of a printed horn: along its length (printed lying) or across it (printed standing)"`
	HornHeat     Value    `key:"horn_temperature" dim:"temperature" is:"[233.15,393.15]" doc:"warmest the horn gets; air and sun when left out"`
	HornCycles   Count    `key:"horn_cycles" is:"[1,100000000]" doc:"load cycles a printed horn must stand, 100000 when left out"`
	Stiffness    Value    `key:"stiffness" dim:"rotational stiffness" is:"(0,)" doc:"of the control about its hinge, servo powered and holding"`
	PushTest     PushTest `key:"push_test" doc:"stiffness by finger and scale, servo powered and holding"`
	Pulse        Pulse    `key:"pulse" doc:"how the servo answers its pulse"`
	Place        Linked   `key:"place" doc:"how servo and hinge stand to each other"`
	Skin         Skin     `key:"skin" doc:"room for arm and rod inside the skin"`
}

// PushTest is a push square on a control, past its play.
type PushTest struct {
	Push   Value `key:"push" dim:"force" is:"(0,)" doc:"read off a scale"`
	Behind Value `key:"behind" dim:"length" is:"(0,)" doc:"behind the hinge line"`
	Moves  Value `key:"moves" dim:"length" is:"(0,)" doc:"how far that place gives way, beyond the play"`
}

// Pulse is how a servo answers its pulse.
type Pulse struct {
	Centre    Value `key:"centre" dim:"time" is:"[0.0005,0.0025]" doc:"pulse at which the arm stands at its neutral"`
	PerDegree Value `key:"per_degree" dim:"time" is:"(0,0.0001]" doc:"change of the pulse that turns the arm by one degree"`
	Low       Value `key:"low" dim:"time" is:"[0.0003,0.0025]" doc:"shortest pulse the transmitter sends"`
	High      Value `key:"high" dim:"time" is:"[0.0005,0.003]" doc:"longest pulse the transmitter sends"`
	Step      Value `key:"step" dim:"time" is:"(0,0.0001]" doc:"smallest step of the pulse"`
}

// Linked is the geometry of a linkage that is not square: seen from the
// servo's shaft, at neutral.
type Linked struct {
	ArmLean  Value `key:"arm_lean" dim:"angle" is:"[-1.3963,1.3963]" doc:"arm's lean aft of upright at neutral"`
	HornLean Value `key:"horn_lean" dim:"angle" is:"[-1.3963,1.3963]" doc:"horn hole's lean aft of upright over the hinge line, edge at zero"`
	Drop     Value `key:"drop" dim:"length" doc:"hinge line below the servo's shaft"`
	Aside    Value `key:"aside" dim:"length" doc:"horn outboard of the servo arm"`
	Reach    Value `key:"reach" dim:"length" is:"(0,)" doc:"servo shaft to hinge line, aft; from the rod when left out"`
	Skew     Value `key:"skew" dim:"angle" is:"[-1.3963,1.3963]" doc:"hinge line against the servo's shaft in plan, aft outboard; the hinge's sweep when left out"`
}

// Skin is the room inside a wing.
type Skin struct {
	Above Value `key:"above" dim:"length" is:"(0,)" doc:"inside of the upper skin over the servo's shaft"`
	Below Value `key:"below" dim:"length" is:"(0,)" doc:"inside of the lower skin under it"`
	Slot  Value `key:"slot" dim:"length" is:"(0,)" doc:"where the rod leaves the skin, aft of the shaft; never when left out"`
}

// Strength is what is known of the load-bearing parts.
type Strength struct {
	Spar   SparBlock `key:"spar"`
	Joiner SparBlock `key:"joiner" doc:"tube or rod that joins the wing halves"`
	Hook   HookBlock `key:"hook"`
	Bolts  []Bolt    `key:"bolts" doc:"screws and bolts that hold the wing, the hook, the servos or the motor"`
	Wing   WingTest  `key:"wing" doc:"stiffness of a wing half: tap test, twist test"`
}

// Bolt is a set of like screws that hold one thing.
type Bolt struct {
	Holds    Text  `key:"holds" name:"yes" oneof:"wing|hook|servo|motor" doc:"what they hold; servo: each servo's own set"`
	Diameter Value `key:"diameter" dim:"length" is:"[0.001,0.012]" doc:"of the thread"`
	Material Text  `key:"material" oneof:"steel|nylon"`
	Count    Count `key:"count" is:"[1,20]"`
	Lever    Value `key:"lever" dim:"length" is:"(0,)" doc:"wing: bolt to the dowel it pries about; hook: spacing of the screws along the body; servo: spacing along its case; motor: across the circle of its screws"`
	Into     Text  `key:"into" oneof:"nut|plywood|spruce|balsa|GRP|nylon|PLA|PETG|ABS|aluminium" doc:"what the thread sits in"`
	Engaged  Value `key:"engaged" dim:"length" is:"(0,)" doc:"length of thread in it"`
	Washer   Value `key:"washer" dim:"length" is:"(0,)" doc:"diameter of head or washer"`
	Seat     Text  `key:"seat" oneof:"plywood|spruce|balsa|GRP|nylon|PLA|PETG|ABS|aluminium" doc:"what the head presses on"`
}

// WingTest is what was measured of a wing half held at its root.
type WingTest struct {
	Bend      Value     `key:"bend" dim:"frequency" is:"(0,1000]" doc:"first bending frequency of the tapped wing half"`
	Twist     Value     `key:"twist" dim:"frequency" is:"(0,2000]" doc:"first torsion frequency"`
	Axis      Value     `key:"axis" dim:"ratio" is:"(0,1)" doc:"elastic axis, share of the chord: where a push bends without twisting"`
	Balance   Value     `key:"balance" dim:"ratio" is:"(0,1)" doc:"balance of the bare wing half, share of the chord"`
	HalfMass  Value     `key:"half_mass" dim:"mass" is:"(0,)" doc:"mass of one wing half"`
	BendTest  BendTest  `key:"bend_test" doc:"a known load at a known place"`
	TwistTest TwistTest `key:"twist_test" doc:"a known couple at a known place"`
}

// BendTest is a load hung on a wing half and how far it gives way.
type BendTest struct {
	Load  Value `key:"load" dim:"force" is:"(0,)"`
	Moves Value `key:"moves" dim:"length" is:"(0,)" doc:"at the place of the load"`
	At    Value `key:"at" dim:"length" is:"(0,)" doc:"from the root along the half span, the tip when left out"`
}

// TwistTest is a couple put on a wing half and the angle it gives.
type TwistTest struct {
	Couple Value `key:"couple" dim:"torque" is:"(0,)"`
	Angle  Value `key:"angle" dim:"angle" is:"(0,1.0472]" doc:"twist at the place of the couple"`
	At     Value `key:"at" dim:"length" is:"(0,)" doc:"from the root along the half span, the tip when left out"`
}

// SparBlock is the wing's main spar or joiner at its weakest place.
type SparBlock struct {
	Kind     Text  `key:"kind" oneof:"tube|rod|strip|skin"`
	Material Text  `key:"material" oneof:"carbon|GRP|spruce|balsa|aluminium|EPP|EPS"`
	Outer    Value `key:"outer" dim:"length" is:"(0,)" doc:"outside diameter, or depth of a strip"`
	Inner    Value `key:"inner" dim:"length" is:"[0,)" doc:"inside diameter"`
	Width    Value `key:"width" dim:"length" is:"(0,)" doc:"width of a strip"`
	At       Value `key:"at" dim:"length" is:"[0,)" doc:"where along the half span; the root when left out"`
	Moment   Value `key:"moment" dim:"torque" is:"(0,)" doc:"proof bending moment, if it was loaded"`
}

// HookBlock is how the launch hook is held.
type HookBlock struct {
	Material Text  `key:"material" oneof:"steel wire|aluminium|GRP|carbon|nylon|printed"`
	Diameter Value `key:"diameter" dim:"length" is:"(0,)"`
	Proud    Value `key:"proud" dim:"length" is:"[0,)" doc:"how far the line stands off the skin"`
	PadLong  Value `key:"pad_length" dim:"length" is:"(0,)" doc:"glued pad, along the body"`
	PadWide  Value `key:"pad_width" dim:"length" is:"(0,)"`
	Holds    Value `key:"holds" dim:"force" is:"(0,)" doc:"pull it was proof-loaded to"`
}

// Power is the whole electric drive.
type Power struct {
	Place      Text       `key:"place" oneof:"tractor|pusher"`
	Throttle   Value      `key:"throttle" dim:"ratio" is:"(0,1]" doc:"most throttle the transmitter is set to give, full when left out"`
	Down       Value      `key:"down_thrust" dim:"angle" is:"[-0.35,0.35]" doc:"the pull points below the datum line by so much; none when left out"`
	Right      Value      `key:"right_thrust" dim:"angle" is:"[-0.35,0.35]" doc:"the pull points to the right by so much, seen from behind; none when left out"`
	Battery    Battery    `key:"battery"`
	Motor      Motor      `key:"motor"`
	Controller Controller `key:"controller"`
	Propeller  Propeller  `key:"propeller"`
	Wiring     Wiring     `key:"wiring"`
	Bench      []BenchRow `key:"bench" doc:"what was measured on the bench, if anything"`
}

// Battery is the flight pack.
type Battery struct {
	Part           Text    `key:"part" doc:"name of the part"`
	Cells          Count   `key:"cells" is:"[1,24]" doc:"cells in series"`
	Parallel       Count   `key:"parallel" is:"[1,20]" doc:"cells side by side, 1 when left out"`
	Chemistry      Text    `key:"chemistry" oneof:"LiPo|LiHV|LiIon|LiFe"`
	Capacity       Value   `key:"capacity" dim:"charge" is:"(0,)"`
	CellResistance Value   `key:"cell_resistance" dim:"resistance" is:"(0,)"`
	Each           []Cell  `key:"each_cell" doc:"resistance of each cell in series as the charger reads it, in place of cell_resistance"`
	Discharge      []Drawn `key:"discharge" doc:"readings of a full pack as it was emptied, at two currents or more"`
	Limit          Value   `key:"limit" dim:"current" is:"(0,)" doc:"maker's continuous limit"`
	Charge         Value   `key:"charge" dim:"ratio" is:"(0,1]" doc:"state of charge at launch, full when left out"`
	Reserve        Value   `key:"reserve" dim:"ratio" is:"[0,1)" doc:"share of the capacity not to be used"`
	Temperature    Value   `key:"temperature" dim:"temperature"`
	Cutoff         Value   `key:"cutoff" dim:"voltage" is:"(0,5]" doc:"cell voltage at which it is landed"`
}

// Drawn is one reading of the pack while a steady current empties it.
type Drawn struct {
	Amps  Value `key:"amps" dim:"current" is:"[0,)" doc:"0: at rest, after minutes without a load"`
	Taken Value `key:"taken" dim:"charge" is:"[0,)" doc:"out of the full pack until then"`
	Volts Value `key:"volts" dim:"voltage" is:"(0,)" doc:"of the whole pack"`
}

// Cell is one cell of a pack in series, or its cells side by side.
type Cell struct {
	Resistance Value `key:"resistance" dim:"resistance" is:"(0,1]"`
}

// Motor is the motor.
type Motor struct {
	Part        Text  `key:"part"`
	KV          Value `key:"kv" dim:"motor constant" is:"(0,)"`
	Resistance  Value `key:"resistance" dim:"resistance" is:"(0,)" doc:"between two terminals"`
	IdleCurrent Value `key:"idle_current" dim:"current" is:"[0,)"`
	IdleVoltage Value `key:"idle_voltage" dim:"voltage" is:"(0,)" doc:"at which the idle current was read"`
	Limit       Value `key:"limit" dim:"current" is:"(0,)" doc:"maker's limit"`
	Poles       Count `key:"poles" is:"[2,60]"`
	Turns       Text  `key:"turns" oneof:"clockwise|counter-clockwise" doc:"as wired, looking at its shaft"`
}

// Controller is the speed controller.
type Controller struct {
	Part       Text  `key:"part"`
	Limit      Value `key:"limit" dim:"current" is:"(0,)" doc:"maker's continuous limit"`
	Resistance Value `key:"resistance" dim:"resistance" is:"[0,)"`
	Supply     Value `key:"supply" dim:"current" is:"(0,)" doc:"what its receiver supply (regulator) may carry"`
}

// Propeller is the propeller.
type Propeller struct {
	Diameter Value `key:"diameter" dim:"length" is:"(0,)"`
	Pitch    Value `key:"pitch" dim:"length" is:"(0,)"`
	Blades   Count `key:"blades" is:"[1,6]"`
	Style    Text  `key:"style" oneof:"sport|thin|slow|folding" doc:"family of the blade"`
	Turns    Text  `key:"turns" oneof:"right|left" doc:"seen from behind; right is clockwise"`
	At       Place `key:"at" doc:"disc centre; taken from the motor when left out"`
	Mass     Value `key:"mass" dim:"mass" is:"(0,)"`
	Geometry Text  `key:"geometry" doc:"CSV beside the build: r_over_R,c_over_R,beta_deg, the angle as photographs from the front and the side give it; where the section is known also t_over_c, zero_lift_deg"`
	Measured Text  `key:"measured" doc:"CSV beside the build: rpm,advance_ratio,ct,cp"`
	Limit    Value `key:"limit" dim:"rotation" is:"(0,)" doc:"maker's speed limit"`
	Ends     Value `key:"zero_thrust" dim:"ratio" is:"[0.05,4]" doc:"advance ratio V/(nD) at which it stops pulling, where that was measured"`
}

// Wiring is the lead between battery and controller.
type Wiring struct {
	Gauge     Count `key:"gauge" is:"[0,40]" doc:"AWG number"`
	Length    Value `key:"length" dim:"length" is:"(0,)" doc:"one way"`
	Connector Value `key:"connector" dim:"resistance" is:"[0,)" doc:"of all contacts together"`
	Limit     Value `key:"limit" dim:"current" is:"(0,)" doc:"of the connector"`
}

// BenchRow is one reading on the bench.
type BenchRow struct {
	Volts     Value `key:"volts" dim:"voltage" is:"(0,)" doc:"at the controller, under load"`
	Amps      Value `key:"amps" dim:"current" is:"[0,)"`
	RPM       Value `key:"rpm" dim:"rotation" is:"(0,)"`
	Pull      Value `key:"pull" dim:"force" is:"[0,)"`
	Throttle  Value `key:"throttle" dim:"ratio" is:"(0,1]" doc:"of the stick, full when left out"`
	Propeller Text  `key:"propeller" oneof:"on|off" doc:"off: the motor turned by itself, its idle current read"`
}

// Radio is one link.
type Radio struct {
	Name          Text  `key:"name" name:"yes"`
	Use           Text  `key:"use" oneof:"control|video|telemetry" doc:"control: the ground sends; video and telemetry: the aeroplane does"`
	Frequency     Value `key:"frequency" dim:"frequency" is:"[1e6,1e11]"`
	Power         Value `key:"power" dim:"power" is:"(0,1000]" doc:"at the transmitter, as really set; local law decides"`
	Intended      Value `key:"intended" dim:"power" is:"(0,1000]" doc:"power that was meant to be set, if it differs"`
	Antenna       Text  `key:"antenna" oneof:"dipole|whip|short dipole|cloverleaf|crossed dipoles|patch|circular patch|helix" doc:"on the aeroplane"`
	Aim           Text  `key:"aim" oneof:"upright|along|across|down|aft" doc:"of its wire or beam on the aeroplane, wings level; upright when left out"`
	Hand          Text  `key:"hand" oneof:"right|left" doc:"which way a circular one turns"`
	AirGain       Value `key:"air_gain" dim:"gain" is:"[-30,40]"`
	At            Place `key:"at" doc:"of the antenna on the aeroplane"`
	GroundAntenna Text  `key:"ground_antenna" oneof:"dipole|whip|short dipole|cloverleaf|crossed dipoles|patch|circular patch|helix"`
	GroundAim     Text  `key:"ground_aim" oneof:"upright|across|ahead|followed" doc:"of its wire or beam; followed: kept on the aeroplane; upright for a wire, ahead for a beam when left out"`
	Bearing       Value `key:"ground_bearing" dim:"angle" is:"[-3.1416,3.1416]" doc:"of a beam, to the right of the launch direction"`
	Elevation     Value `key:"ground_elevation" dim:"angle" is:"[-1.5708,1.5708]" doc:"of a beam, over level"`
	GroundHand    Text  `key:"ground_hand" oneof:"right|left"`
	GroundGain    Value `key:"ground_gain" dim:"gain" is:"[-30,40]"`
	GroundAt      Value `key:"ground_height" dim:"length" is:"(0,100]" doc:"of the ground antenna over the ground"`
	Signal        Text  `key:"signal" oneof:"analogue video|digital video|spread spectrum|wide spread spectrum|narrow" doc:"kind of signal, for the receiver's threshold when its sensitivity is not known"`
	Bandwidth     Value `key:"bandwidth" dim:"frequency" is:"(0,1e10]" doc:"of the receiver"`
	NoiseFigure   Value `key:"noise_figure" dim:"gain" is:"[0,30]" doc:"of the receiver"`
	Needs         Value `key:"needs" dim:"gain" is:"[-40,60]" doc:"signal over noise at which it still works"`
	Sensitivity   Value `key:"sensitivity" dim:"level" doc:"weakest level at which it still works, instead of bandwidth, noise figure and ratio"`
	Loss          Value `key:"loss" dim:"gain" is:"[0,60]" doc:"of leads, connectors and mounting, both ends together"`
}

// Launch is how it leaves.
type Launch struct {
	By         Text   `key:"by" oneof:"bungee|hand"`
	Bungee     Bungee `key:"bungee"`
	Throw      Throw  `key:"throw"`
	Held       Held   `key:"held"`
	Stick      Stick  `key:"stick"`
	MotorDelay Delay  `key:"motor_delay" doc:"'0.6 s after release', 'before release' or 'off'"`
	Throttle   Value  `key:"throttle" dim:"ratio" is:"[0,1]" doc:"throttle once the motor runs, full when left out"`
	Damper     Value  `key:"damper" dim:"ratio" is:"[0,)" doc:"stabiliser modelled as a rate damper: share of full throw per rad/s"`
}

// Delay is a time with what it counts from.
type Delay struct {
	Value
	After  string // "release" when not said
	Off    bool   // the motor stays off
	Before bool   // it runs before release; Value.Value is then negative, -1 s when no time is said
}

// Bungee is rubber, line, stake and hook.
type Bungee struct {
	PullTest    []PullRow `key:"pull_test" doc:"luggage scale at a few stretches, whole cord, whole line"`
	Cord        Cord      `key:"cord"`
	Line        Line      `key:"line"`
	StakeHeight Value     `key:"stake_height" dim:"length" is:"[0,)"`
	StakeHolds  Value     `key:"stake_holds" dim:"force" is:"(0,)"`
	Stretch     Value     `key:"stretch" dim:"length" is:"[0,)" doc:"pulled back beyond slack"`
	Hook        Hook      `key:"hook"`
	Limit       Value     `key:"limit" dim:"force" is:"(0,)" doc:"pull not to be exceeded"`
}

// PullRow is one reading of the pull test.
type PullRow struct {
	Stretch Value `key:"stretch" dim:"length" is:"(0,)"`
	Pull    Value `key:"pull" dim:"force" is:"(0,)"`
}

// Cord is the rubber.
type Cord struct {
	Slack    Value `key:"slack" dim:"length" is:"(0,)" doc:"unstretched length of the rubber"`
	Mass     Value `key:"mass" dim:"mass" is:"(0,)"`
	Outer    Value `key:"outer" dim:"length" is:"(0,)" doc:"outside diameter of one strand"`
	Bore     Value `key:"bore" dim:"length" is:"(0,)" doc:"inside diameter of a tube"`
	Strands  Count `key:"strands" is:"[1,100]"`
	Returned Value `key:"returned" dim:"ratio" is:"(0,1]" doc:"energy that comes back"`
	Age      Text  `key:"age" oneof:"new|used|old"`
}

// Line is the line between rubber and ring.
type Line struct {
	Length   Value `key:"length" dim:"length" is:"(0,)"`
	Diameter Value `key:"diameter" dim:"length" is:"(0,)"`
	Mass     Value `key:"mass" dim:"mass" is:"(0,)"`
	FlagDrag Value `key:"flag_drag" dim:"area" is:"[0,)" doc:"drag area of a flag or parachute on the ring"`
}

// Hook is the hook on the aeroplane.
type Hook struct {
	X        Value `key:"x" dim:"length"`
	Y        Value `key:"y" dim:"length"`
	Z        Value `key:"z" dim:"length"`
	Rake     Value `key:"rake" dim:"angle" is:"[-1.5708,1.5708]" doc:"droop of the pin's free end below straight aft"`
	Friction Value `key:"friction" dim:"ratio" is:"[0,2]" doc:"friction coefficient ring on hook"`
	Depth    Value `key:"depth" dim:"length" is:"(0,)" doc:"how far the ring must slide"`
	Burr     Value `key:"burr" dim:"angle" is:"[0,1.2]" doc:"what a burr or kink holds beyond friction: the tilt at which the ring slides off less that of a clean pin"`
	Count    Count `key:"count" is:"[1,4]" doc:"hooks side by side"`
}

// Throw is a hand launch.
type Throw struct {
	Speed  Value `key:"speed" dim:"speed" is:"(0,)" doc:"at leaving the hand, over the ground"`
	PathUp Value `key:"path_up" dim:"angle" is:"[-1.5708,1.5708]" doc:"of the throw, above level"`
	Rates  Value `key:"rates" dim:"angular rate" is:"[0,)" doc:"scatter of roll, pitch and yaw rate at leaving the hand"`
}

// Held is how it is held at the start.
type Held struct {
	By     Text  `key:"by" oneof:"hand|grass|cradle|ramp"`
	Height Value `key:"height" dim:"length" is:"(0,)" doc:"of the centre of gravity over the ground"`
	NoseUp Value `key:"nose_up" dim:"angle" is:"[-1.5708,1.5708]"`
	Roll   Value `key:"roll" dim:"angle" is:"[-3.1416,3.1416]" doc:"right wing down positive"`
	Aim    Value `key:"aim" dim:"angle" is:"[-3.1416,3.1416]" doc:"nose to the right of the line to the stake"`
	Ramp   Value `key:"ramp" dim:"length" is:"(0,)" doc:"length of the ramp"`
}

// Stick is what the pilot holds during the launch.
type Stick struct {
	Pitch Value `key:"pitch" dim:"ratio" is:"[-1,1]" doc:"up positive, share of full stick"`
	Roll  Value `key:"roll" dim:"ratio" is:"[-1,1]" doc:"right positive"`
	Yaw   Value `key:"yaw" dim:"ratio" is:"[-1,1]" doc:"right positive"`
	Until Value `key:"until" dim:"time" is:"[0,)" doc:"let go so long after release; held to the end when left out"`
}

// Flight is how it is meant to be flown.
type Flight struct {
	Speed  Value `key:"speed" dim:"speed" is:"(0,)" doc:"speed it is trimmed for"`
	Cruise Value `key:"cruise" dim:"speed" is:"(0,)" doc:"mean speed it is really flown at"`
	Time   Value `key:"time" dim:"time" is:"(0,)" doc:"planned flight time"`
	Bank   Value `key:"bank" dim:"angle" is:"[0,1.5708)" doc:"bank of its turns"`
	Loiter Value `key:"loiter" dim:"length" is:"(0,)" doc:"loiter radius that is set"`
	Radius Value `key:"radius" dim:"length" is:"[0,)" doc:"farthest point of the planned circuit"`
	Height Value `key:"height" dim:"length" is:"[0,)" doc:"height of the planned circuit"`
	Pull   Value `key:"pull" dim:"ratio" is:"(1,50]" doc:"load factor wanted at full up stick, 3 when left out"`
	Roll   Value `key:"roll_rate" dim:"angular rate" is:"(0,)" doc:"roll rate wanted at full stick"`
	Home   Home  `key:"home" doc:"what it shall do when a signal goes"`
}

// Home is what is wanted of return-home and of a lost signal.
type Home struct {
	Speed   Value `key:"speed" dim:"speed" is:"(0,)"`
	Bank    Value `key:"bank" dim:"angle" is:"(0,1.5708)"`
	Radius  Value `key:"radius" dim:"length" is:"(0,)" doc:"of the circle over home"`
	Height  Value `key:"height" dim:"length" is:"(0,)" doc:"over home"`
	Link    Text  `key:"lost_link" oneof:"return home|circle down|straight down" doc:"control link lost"`
	Picture Text  `key:"lost_picture" oneof:"return home|climb|hold" doc:"picture lost, control link held"`
}

// Landing is how it comes down.
type Landing struct {
	Surface  Text  `key:"surface" doc:"as in day.surface"`
	Length   Value `key:"length" dim:"length" is:"(0,)" doc:"of the field"`
	Margin   Value `key:"margin" dim:"ratio" is:"[1,3]" doc:"approach speed over stall speed"`
	Path     Value `key:"path" dim:"angle" is:"(0,1.2]" doc:"approach path wanted, below level; the glide's own when left out"`
	Friction Value `key:"friction" dim:"ratio" is:"(0,3]" doc:"of the belly on this ground; by the surface when left out"`
	Touch    Touch `key:"touch" doc:"where it is to touch, from where the pilot stands"`
	Heading  Value `key:"heading" dim:"angle" is:"[-6.2832,6.2832]" doc:"of the landing, to the right of the launch direction; the same when left out"`
	Brake    Text  `key:"propeller" oneof:"stopped|windmilling|braked" doc:"on the approach; stopped when left out"`
}

// Day is the weather and field of one day.
type Day struct {
	Wind        Value `key:"wind" dim:"speed" is:"[0,)" doc:"mean wind, at 2 m unless wind_height says otherwise"`
	WindHeight  Value `key:"wind_height" dim:"length" is:"(0,)"`
	Gust        Value `key:"gust" dim:"speed" is:"[0,)"`
	OffAxis     Value `key:"off_axis" dim:"angle" is:"[-3.1416,3.1416]" doc:"wind from the right of the launch direction"`
	Temperature Value `key:"temperature" dim:"temperature" is:"[213.15,333.15]"`
	Pressure    Value `key:"pressure" dim:"pressure" is:"[85000,110000]" doc:"reduced to sea level (QNH)"`
	Humidity    Value `key:"humidity" dim:"ratio" is:"[0,1]"`
	Height      Value `key:"height" dim:"length" is:"[-500,6000]" doc:"field above sea level"`
	Surface     Text  `key:"surface" oneof:"short grass|long grass|crop|concrete|dirt|sand|snow|water"`
	Slope       Value `key:"slope" dim:"angle" is:"[-0.7854,0.7854]" doc:"ground rising in the launch direction"`
	METAR       Text  `key:"metar"`
	Launch      Value `key:"launch_heading" dim:"angle" is:"[0,6.2832]" doc:"true heading of the launch, for a METAR's wind"`
}

// Limits overrides default limits and carries the maker's.
type Limits struct {
	LaunchOdds      Value `key:"launch_odds" dim:"ratio" is:"(0,1)"`
	TakeoffMass     Value `key:"takeoff_mass" dim:"mass" is:"(0,)"`
	StaticMarginMin Value `key:"static_margin_min" dim:"ratio"`
	StaticMarginMax Value `key:"static_margin_max" dim:"ratio"`
	Balance         Range `key:"balance" dim:"length" doc:"maker's range for the centre of gravity"`
	ServoShare      Value `key:"servo_share" dim:"ratio" is:"(0,1]" doc:"hinge load over stall torque"`
	SafetyFactor    Value `key:"safety_factor" dim:"ratio" is:"[1,100]"`
	TopSpeed        Value `key:"top_speed" dim:"speed" is:"(0,)" doc:"never exceed"`
	Reserve         Value `key:"reserve" dim:"ratio" is:"[0,1)"`
	LinkMargin      Value `key:"link_margin" dim:"gain"`
	FieldLength     Value `key:"field_length" dim:"length" is:"(0,)"`
	LoadFactor      Value `key:"load_factor" dim:"ratio" is:"[1,100]" doc:"pull-up the aeroplane must stand"`
}

// Claim is what somebody says of this aeroplane.
type Claim struct {
	What  Text  `key:"what" name:"yes"`
	Value Value `key:"value" dim:"any"`
	By    Text  `key:"by"`
}

// Trial is a what-if with no owner.
type Trial struct {
	Mass     Value `key:"mass" dim:"mass" doc:"added at the centre of gravity"`
	DragArea Value `key:"drag_area" dim:"area"`
}
