package launch

import (
	"fmt"
	"io"
	"math"

	"fledge/internal/motion"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Row is one instant of a trajectory, for plots and animation.
type Row struct {
	T              float64
	Pos, Vel       r3.Vec      // NED from the start, m, m/s
	Att            quat.Number // body to earth
	Rate           r3.Vec
	Roll, Pitch    float64
	Heading, Path  float64
	Height         float64 // c.g. over ground, m
	Lowest         float64 // lowest corner over ground, m
	Airspeed       float64
	Alpha, Beta    float64
	Tension        float64 // N
	Stretch        float64 // of the rubber, m
	LineShort      float64 // rad, NaN when no taut line holds a ring
	Thrust         float64 // N, along the thrust line; the stopped propeller's drag negative
	Load           float64 // load factor along body z
	RingOn, OnRail bool
}

// row records the state at t.
func (w *Workspace) row(t float64, s *motion.State) {
	f := motion.FrameOf(s.Att)
	vb, h := w.airspeed(t, s, &f)
	r := Row{T: t, Pos: s.Pos, Vel: s.Vel, Att: s.Att, Rate: s.Rate, Path: s.PathAngle(), Height: h,
		Lowest: w.lowest(s, &f, true), Airspeed: r3.Norm(vb), LineShort: math.NaN(), RingOn: w.phase != free, OnRail: w.guided}
	r.Roll, r.Pitch, r.Heading = s.Euler()
	if r.Airspeed > 1e-9 {
		r.Alpha = math.Atan2(vb.Z, vb.X)
		r.Beta = math.Asin(math.Max(-1, math.Min(1, vb.Y/r.Airspeed)))
	}
	l := w.ask(t, s)
	r.Tension = l.Tension
	r.Thrust = w.thrust
	r.Load = -(f[0][2]*l.Accel.X + f[1][2]*l.Accel.Y + f[2][2]*(l.Accel.Z-w.set.Gravity)) / w.set.Gravity
	if w.phase != free {
		to, L := w.line(s, &f)
		r.Stretch = math.Max(0, L-w.full)
		if w.phase == taut {
			r.LineShort = w.set.Hook.Short(f.Body(r3.Scale(1/L, to)))
		}
	}
	if n := len(w.rows); n > 0 && w.rows[n-1].T >= t {
		w.rows[n-1] = r
		return
	}
	w.rows = append(w.rows, r)
}

// Trajectory is the rows of the last run (Setup.Record > 0), with how it
// ended. The rows belong to the workspace until its next run.
func (w *Workspace) Trajectory() motion.Trajectory[Row] {
	return motion.Trajectory[Row]{Rows: w.rows, T: w.out.T, Reason: w.out.Class.String(), Ledger: w.out.Ledger}
}

// Columns of [WriteCSV] and keys of [WriteJSON], with their units.
var columns = []struct {
	name string
	get  func(*Row) float64
}{
	{"t_s", func(r *Row) float64 { return r.T }},
	{"along_m", func(r *Row) float64 { return r.Pos.X }},
	{"right_m", func(r *Row) float64 { return r.Pos.Y }},
	{"height_m", func(r *Row) float64 { return r.Height }},
	{"lowest_m", func(r *Row) float64 { return r.Lowest }},
	{"v_along_m_s", func(r *Row) float64 { return r.Vel.X }},
	{"v_right_m_s", func(r *Row) float64 { return r.Vel.Y }},
	{"v_up_m_s", func(r *Row) float64 { return -r.Vel.Z }},
	{"q0", func(r *Row) float64 { return r.Att.Real }},
	{"q1", func(r *Row) float64 { return r.Att.Imag }},
	{"q2", func(r *Row) float64 { return r.Att.Jmag }},
	{"q3", func(r *Row) float64 { return r.Att.Kmag }},
	{"p_deg_s", func(r *Row) float64 { return r.Rate.X / degree }},
	{"q_deg_s", func(r *Row) float64 { return r.Rate.Y / degree }},
	{"r_deg_s", func(r *Row) float64 { return r.Rate.Z / degree }},
	{"roll_deg", func(r *Row) float64 { return r.Roll / degree }},
	{"pitch_deg", func(r *Row) float64 { return r.Pitch / degree }},
	{"heading_deg", func(r *Row) float64 { return r.Heading / degree }},
	{"path_deg", func(r *Row) float64 { return r.Path / degree }},
	{"airspeed_m_s", func(r *Row) float64 { return r.Airspeed }},
	{"alpha_deg", func(r *Row) float64 { return r.Alpha / degree }},
	{"beta_deg", func(r *Row) float64 { return r.Beta / degree }},
	{"tension_n", func(r *Row) float64 { return r.Tension }},
	{"stretch_m", func(r *Row) float64 { return r.Stretch }},
	{"line_short_deg", func(r *Row) float64 { return r.LineShort / degree }},
	{"thrust_n", func(r *Row) float64 { return r.Thrust }},
	{"load_factor", func(r *Row) float64 { return r.Load }},
	{"ring_on", func(r *Row) float64 { return flag(r.RingOn) }},
	{"on_rail", func(r *Row) float64 { return flag(r.OnRail) }},
}

func flag(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// WriteCSV writes a trajectory as comma-separated values: first line the
// column names with their units, empty cells where a quantity does not exist.
func WriteCSV(out io.Writer, rows []Row) error {
	var line []byte
	for i, c := range columns {
		if i > 0 {
			line = append(line, ',')
		}
		line = append(line, c.name...)
	}
	line = append(line, '\n')
	if _, err := out.Write(line); err != nil {
		return err
	}
	for i := range rows {
		line = line[:0]
		for j, c := range columns {
			if j > 0 {
				line = append(line, ',')
			}
			if v := c.get(&rows[i]); !math.IsNaN(v) {
				line = fmt.Appendf(line, "%.7g", v)
			}
		}
		line = append(line, '\n')
		if _, err := out.Write(line); err != nil {
			return err
		}
	}
	return nil
}

// Column gives one column of the export by its name; ok is false for a name
// that does not exist.
func Column(rows []Row, name string) (v []float64, ok bool) {
	for _, c := range columns {
		if c.name == name {
			v = make([]float64, len(rows))
			for i := range rows {
				v[i] = c.get(&rows[i])
			}
			return v, true
		}
	}
	return nil, false
}

// WriteJSON writes a trajectory as one object of columns, the keys those of
// the CSV, null where a quantity does not exist: small and quick to animate.
func WriteJSON(out io.Writer, rows []Row) error {
	buf := []byte{'{'}
	for j, c := range columns {
		if j > 0 {
			buf = append(buf, ',', '\n')
		}
		buf = fmt.Appendf(buf, "%q:[", c.name)
		for i := range rows {
			if i > 0 {
				buf = append(buf, ',')
			}
			if v := c.get(&rows[i]); math.IsNaN(v) {
				buf = append(buf, "null"...)
			} else {
				buf = fmt.Appendf(buf, "%.7g", v)
			}
		}
		buf = append(buf, ']')
	}
	buf = append(buf, '}', '\n')
	_, err := out.Write(buf)
	return err
}
