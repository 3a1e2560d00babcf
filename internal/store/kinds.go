package store

// What the logbook holds. One struct is one table: its JSON names are the
// columns, the keys of the JSON export and the heads of the CSV export, all
// alike; tags say the rest: dim the dimension of a number (SI), ref the table
// that an id points into, oneof the words allowed, need that it may not be
// left out. An empty text, a zero count and a nil number mean "not noted" and
// are stored as NULL. Columns are only ever added, at the end of a table.

// Meta is what every row has.
type Meta struct {
	ID      int64  `json:"id"`
	Sum     string `json:"sum"`              // of the row: a flipped bit is found
	UID     string `json:"uid"`              // the same in every copy of the logbook
	Entered string `json:"entered"`          // when it was written down, UTC
	Struck  string `json:"struck,omitempty"` // why it no longer counts
}

func (m *Meta) meta() *Meta { return m }

// Row is one row of a table.
type Row interface {
	meta() *Meta
	table() string
}

// File is the content of a file, kept compressed and known by its hash.
type File struct {
	Meta
	SHA256  string `json:"sha256"`
	Size    int64  `json:"size"`
	Packing string `json:"packing"` // "gzip" or "none"
	Packed  []byte `json:"packed"`
}

// Build is a build file with all it names, as it was.
type Build struct {
	Meta
	Aeroplane   string `json:"aeroplane"`
	Path        string `json:"path"` // the file's name, without folders
	Hash        string `json:"hash"` // of text and attachments
	Text        int64  `json:"text_file" ref:"files"`
	Attachments string `json:"attachments,omitempty"` // JSON: name to sha256
}

// Flight is one launch and what came of it.
type Flight struct {
	Meta
	Day         string   `json:"day" need:"yes" is:"day" doc:"2026-05-03"`
	Clock       string   `json:"clock,omitempty" is:"clock" doc:"14:30, local time"`
	Aeroplane   string   `json:"aeroplane,omitempty" doc:"its name; taken from the build"`
	Build       int64    `json:"build,omitempty" ref:"builds" doc:"the build file, kept as it is now"`
	Place       string   `json:"place,omitempty" doc:"where"`
	LaunchBy    string   `json:"launch_by,omitempty" oneof:"bungee|hand" doc:"taken from the build"`
	Stretch     *float64 `json:"stretch_m,omitempty" dim:"length" is:"[0,)" doc:"of the cord at the start"`
	ThrowSpeed  *float64 `json:"throw_speed_m_s,omitempty" dim:"speed" is:"[0,)" doc:"leaving the hand"`
	NoseUp      *float64 `json:"nose_up_rad,omitempty" dim:"angle" doc:"as held"`
	StickPitch  *float64 `json:"stick_pitch,omitempty" dim:"ratio" is:"[-1,1]" doc:"share of full stick, up positive"`
	MotorDelay  *float64 `json:"motor_delay_s,omitempty" dim:"time" doc:"after release"`
	Wind        *float64 `json:"wind_m_s,omitempty" dim:"speed" is:"[0,)"`
	Gust        *float64 `json:"gust_m_s,omitempty" dim:"speed" is:"[0,)"`
	OffAxis     *float64 `json:"off_axis_rad,omitempty" dim:"angle" doc:"wind from the right of the launch"`
	Temperature *float64 `json:"temperature_k,omitempty" dim:"temperature" is:"(0,)"`
	Outcome     string   `json:"outcome,omitempty" doc:"how the launch ended: airborne, line-snag, ..."`
	Launched    *bool    `json:"launched,omitempty" doc:"did it fly away: yes or no; taken from outcome"`
	Because     string   `json:"because,omitempty" doc:"what is thought to be the reason"`
	Duration    *float64 `json:"duration_s,omitempty" dim:"time" is:"[0,)" doc:"in the air"`
	ChargeUsed  *float64 `json:"charge_used_c,omitempty" dim:"charge" is:"[0,)" doc:"out of the pack"`
	Release     *float64 `json:"release_speed_m_s,omitempty" dim:"speed" is:"[0,)" doc:"at release"`
	TopSpeed    *float64 `json:"top_speed_m_s,omitempty" dim:"speed" is:"[0,)" sd:"top_speed_sd_m_s" doc:"level airspeed measured"`
	TopSpeedSD  *float64 `json:"top_speed_sd_m_s,omitempty" is:"sd"`
	HardLanding *bool    `json:"hard_landing,omitempty" doc:"yes or no"`
	LandingLoad *float64 `json:"landing_load_m_s2,omitempty" dim:"acceleration" is:"[0,)" doc:"largest deceleration"`
	Note        string   `json:"note,omitempty"`
	// Version 2.
	Pack         int64    `json:"pack,omitempty" ref:"packs" doc:"name or number of the pack"`
	Odds         *float64 `json:"forecast_odds,omitempty" dim:"ratio" is:"[0,1]" doc:"odds forecast before the launch"`
	OddsLow      *float64 `json:"forecast_odds_low,omitempty" dim:"ratio" is:"[0,1]"`
	OddsHigh     *float64 `json:"forecast_odds_high,omitempty" dim:"ratio" is:"[0,1]"`
	Forecast     *float64 `json:"forecast_speed_m_s,omitempty" dim:"speed" is:"[0,)" doc:"top speed forecast"`
	ForecastLow  *float64 `json:"forecast_speed_low_m_s,omitempty" dim:"speed" is:"[0,)" doc:"end of its 90 % interval"`
	ForecastHigh *float64 `json:"forecast_speed_high_m_s,omitempty" dim:"speed" is:"[0,)" doc:"end of its 90 % interval"`
	ForecastBy   string   `json:"forecast_by,omitempty" doc:"hash of the aircraft and seed it was forecast with"`
}

// Log is one recording of a flight; its raw bytes are a File.
type Log struct {
	Meta
	Flight int64  `json:"flight,omitempty" ref:"flights"`
	File   int64  `json:"file" ref:"files" need:"yes" doc:"the file to keep"`
	Name   string `json:"name" doc:"the file's name"`
	Kind   string `json:"kind,omitempty" doc:"what it is: log, sound, picture"`
	Note   string `json:"note,omitempty"`
}

// Reading is one number read off something and typed in.
type Reading struct {
	Meta
	Flight   int64    `json:"flight,omitempty" ref:"flights"`
	Day      string   `json:"day,omitempty" is:"day"`
	Quantity string   `json:"quantity" need:"yes" doc:"what was read: ground speed, cell voltage"`
	Value    *float64 `json:"value" need:"yes" dim:"any" sd:"sd" doc:"with its unit: 48 m/s ± 2 m/s"`
	SD       *float64 `json:"sd,omitempty" is:"sd"`
	Dim      string   `json:"dim,omitempty" is:"dim"`
	Text     string   `json:"text,omitempty" is:"text"`
	How      string   `json:"how,omitempty" doc:"read off what"`
	Note     string   `json:"note,omitempty"`
}

// Evidence is what a debrief made of a log or of readings.
type Evidence struct {
	Meta
	Flight int64    `json:"flight,omitempty" ref:"flights"`
	Log    int64    `json:"log,omitempty" ref:"logs"`
	What   string   `json:"what" need:"yes" doc:"level speed, wind, two-way speed"`
	Value  *float64 `json:"value" need:"yes" dim:"any" sd:"sd"`
	SD     *float64 `json:"sd,omitempty" is:"sd"`
	Dim    string   `json:"dim,omitempty" is:"dim"`
	Text   string   `json:"text,omitempty" is:"text"`
	Window *float64 `json:"window_s,omitempty" dim:"time" is:"[0,)" doc:"how long it was seen"`
	Method string   `json:"method,omitempty"`
	Note   string   `json:"note,omitempty"`
}

// Factor is one learned factor; the last one of a name and component counts.
type Factor struct {
	Meta
	Day       string   `json:"day" need:"yes" is:"day"`
	Name      string   `json:"name" need:"yes" doc:"drag, thrust, ..."`
	Component string   `json:"component" need:"yes" doc:"airframe, propeller 6x6x2, ..."`
	Value     *float64 `json:"value" need:"yes" dim:"ratio"`
	Sigma     *float64 `json:"sigma" need:"yes" dim:"ratio" is:"[0,)"`
	Shift     *bool    `json:"shift,omitempty" doc:"yes: added; no: multiplied"`
	Label     string   `json:"label,omitempty"`
	Why       string   `json:"why,omitempty"`
	Ref       string   `json:"ref,omitempty"`
	How       string   `json:"how,omitempty"`
	Note      string   `json:"note,omitempty"`
	// Version 4.
	Aeroplane string `json:"aeroplane,omitempty" doc:"whose evidence taught it"`
	Lesson    string `json:"lesson,omitempty" doc:"the same for all factors learned at once"`
	Together  string `json:"together,omitempty" doc:"correlations with the factors of the lesson before it"`
	From      string `json:"learned_from,omitempty" doc:"fingerprints of the evidence"`
}

// Pack is one battery pack.
type Pack struct {
	Meta
	Name      string   `json:"name" need:"yes" doc:"what is written on it"`
	Cells     int64    `json:"cells,omitempty" is:"[1,)"`
	Parallel  int64    `json:"parallel,omitempty" is:"[1,)"`
	Capacity  *float64 `json:"capacity_c,omitempty" dim:"charge" is:"(0,)"`
	Chemistry string   `json:"chemistry,omitempty"`
	Mass      *float64 `json:"mass_kg,omitempty" dim:"mass" is:"(0,)"`
	Since     string   `json:"since,omitempty" is:"day" doc:"day it was bought"`
	Retired   string   `json:"retired,omitempty" is:"day"`
	Note      string   `json:"note,omitempty"`
}

// Cycle is one charge, discharge or measurement of a pack.
type Cycle struct {
	Meta
	Pack           int64    `json:"pack" ref:"packs" need:"yes" doc:"name or number of the pack"`
	Day            string   `json:"day" need:"yes" is:"day"`
	Flight         int64    `json:"flight,omitempty" ref:"flights"`
	Charged        *float64 `json:"charged_c,omitempty" dim:"charge" is:"[0,)" doc:"put in"`
	CellResistance *float64 `json:"cell_resistance_ohm,omitempty" dim:"resistance" is:"(0,)" doc:"mean of the cells"`
	Temperature    *float64 `json:"temperature_k,omitempty" dim:"temperature" is:"(0,)" doc:"of the pack: cold cells measure higher"`
	RestVoltage    *float64 `json:"rest_voltage_v,omitempty" dim:"voltage" is:"[0,)"`
	How            string   `json:"how,omitempty" doc:"charger, load and voltmeter, ..."`
	Note           string   `json:"note,omitempty"`
}

// Repair is one repair, done or planned.
type Repair struct {
	Meta
	Day         string   `json:"day" need:"yes" is:"day"`
	Aeroplane   string   `json:"aeroplane,omitempty"`
	Flight      int64    `json:"flight,omitempty" ref:"flights" doc:"the flight that broke it"`
	Broken      string   `json:"broken" need:"yes" doc:"what broke"`
	Done        string   `json:"done,omitempty" doc:"what was done"`
	Before      int64    `json:"build_before,omitempty" ref:"builds"`
	After       int64    `json:"build_after,omitempty" ref:"builds"`
	Mass        *float64 `json:"mass_kg,omitempty" dim:"mass" doc:"added"`
	X           *float64 `json:"x_m,omitempty" dim:"length" doc:"where, from the datum"`
	Y           *float64 `json:"y_m,omitempty" dim:"length"`
	Z           *float64 `json:"z_m,omitempty" dim:"length"`
	DragArea    *float64 `json:"drag_area_m2,omitempty" dim:"area" is:"[0,)" doc:"of the scar"`
	Regained    *float64 `json:"regained,omitempty" dim:"ratio" is:"[0,)" doc:"share of the strength it had"`
	RegainedLow *float64 `json:"regained_low,omitempty" dim:"ratio" is:"[0,)"`
	ProofLoad   *float64 `json:"proof_load_n,omitempty" dim:"force" is:"[0,)" doc:"to be held before flight"`
	ProofMoment *float64 `json:"proof_moment_nm,omitempty" dim:"torque" is:"[0,)"`
	Proofed     *bool    `json:"proofed,omitempty" doc:"did it hold: yes or no"`
	Note        string   `json:"note,omitempty"`
}

// Part is a thing whose hours are counted.
type Part struct {
	Meta
	Name      string `json:"name" need:"yes"`
	Kind      string `json:"kind,omitempty"`
	Aeroplane string `json:"aeroplane,omitempty" doc:"flights of this aeroplane count while it is fitted"`
	Since     string `json:"since,omitempty" is:"day"`
	Retired   string `json:"retired,omitempty" is:"day"`
	Note      string `json:"note,omitempty"`
}

// Wear is hours, hard landings or a load on a part beside what its flights say.
type Wear struct {
	Meta
	Part         int64    `json:"part" ref:"parts" need:"yes" doc:"name or number of the part"`
	Day          string   `json:"day" need:"yes" is:"day"`
	Flight       int64    `json:"flight,omitempty" ref:"flights"`
	Time         *float64 `json:"time_s,omitempty" dim:"time" is:"[0,)" doc:"run"`
	HardLandings int64    `json:"hard_landings,omitempty" is:"[0,)"`
	Load         *float64 `json:"load_n,omitempty" dim:"force" is:"[0,)" doc:"largest load it saw"`
	Note         string   `json:"note,omitempty"`
}

// Cost is money or hours spent.
type Cost struct {
	Meta
	Day      string   `json:"day" need:"yes" is:"day"`
	What     string   `json:"what" need:"yes"`
	Cents    int64    `json:"cents,omitempty" is:"money" doc:"money=12.50 EUR"`
	Currency string   `json:"currency,omitempty" is:"currency"`
	Time     *float64 `json:"time_s,omitempty" dim:"time" is:"[0,)" doc:"hours of work: 3 h"`
	Repair   int64    `json:"repair,omitempty" ref:"repairs"`
	Part     int64    `json:"part,omitempty" ref:"parts"`
	Note     string   `json:"note,omitempty"`
}

func (*File) table() string     { return "files" }
func (*Build) table() string    { return "builds" }
func (*Flight) table() string   { return "flights" }
func (*Log) table() string      { return "logs" }
func (*Reading) table() string  { return "readings" }
func (*Evidence) table() string { return "evidence" }
func (*Factor) table() string   { return "factors" }
func (*Pack) table() string     { return "packs" }
func (*Cycle) table() string    { return "cycles" }
func (*Repair) table() string   { return "repairs" }
func (*Part) table() string     { return "parts" }
func (*Wear) table() string     { return "wear" }
func (*Cost) table() string     { return "costs" }

// tables in the order in which they may be restored: what is pointed at first.
var tables = []*table{
	newTable("file", func() Row { return new(File) }),
	newTable("build", func() Row { return new(Build) }),
	newTable("pack", func() Row { return new(Pack) }),
	newTable("flight", func() Row { return new(Flight) }),
	newTable("log", func() Row { return new(Log) }),
	newTable("reading", func() Row { return new(Reading) }),
	newTable("evidence", func() Row { return new(Evidence) }),
	newTable("factor", func() Row { return new(Factor) }),
	newTable("cycle", func() Row { return new(Cycle) }),
	newTable("repair", func() Row { return new(Repair) }),
	newTable("part", func() Row { return new(Part) }),
	newTable("wear", func() Row { return new(Wear) }),
	newTable("cost", func() Row { return new(Cost) }),
}
