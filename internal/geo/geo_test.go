package geo

import (
	"fmt"
	"math"
	"testing"

	"fledge/internal/check"
	"fledge/internal/cite"

	"pgregory.net/rapid"
)

const deg = math.Pi / 180

// lat1 lon1 azi1 lat2 lon2 azi2 s12 S12
var karney = [][8]float64{
	{35.60777, -139.44815, 111.098748429560326, -11.17491, -69.95921, 129.289270889708762, 8935244.5604818305, 12841384694976.432},
	{55.52454, 106.05087, 22.020059880982801, 77.03196, 197.18234, 109.112041110671519, 4105086.1713924406, 61674961290615.615},
	{-21.97856, 142.59065, -32.44456876433189, 41.84138, 98.56635, -41.84359951440466, 8394328.894657671, -6637997720646.717},
	{-66.99028, 112.2363, 173.73491240878403, -12.70631, 285.90344, 2.512956620913668, 11150344.2312080241, -121287239862139.744},
	{-17.42761, 173.34268, -159.033557661192928, -15.84784, 5.93557, -20.787484651536988, 16076603.1631180673, 97825992354058.708},
	{32.84994, 48.28919, 150.492927788121982, -56.28556, 202.29132, 48.113449399816759, 16727068.9438164461, -72445258525585.010},
	{6.96833, 52.74123, 92.581585386317712, -7.39675, 206.17291, 90.721692165923907, 17102477.2496958388, -1311796973197.995},
	{-50.56724, -16.30485, -105.439679907590164, -33.56571, -94.97412, -47.348547835650331, 6455670.5118668696, 41071447902810.047},
	{-58.93002, -8.90775, 140.965397902500679, -8.91104, 133.13503, 19.255429433416599, 11756066.0219864627, -86143460552774.735},
	{-68.82867, -74.28391, 93.774347763114881, -50.63005, -8.36685, 34.65564085411343, 3956936.926063544, -41845309450093.787},
	{-10.62672, -32.0898, -86.426713286747751, 5.883, -134.31681, -80.473780971034875, 11470869.3864563009, 4198803992123.548},
	{-21.76221, 166.90563, 29.319421206936428, 48.72884, 213.97627, 43.508671946410168, 9098627.3986554915, 10024709850277.476},
	{-19.79938, -174.47484, 71.167275780171533, -11.99349, -154.35109, 65.589099775199228, 2319004.8601169389, -3935477535005.785},
}

func TestGeodesicPublished(t *testing.T) {
	row := func(name, unit string, line int) check.Row {
		return check.Row{Topic: "geodesic", Name: fmt.Sprintf("%s, test line %d", name, line), Unit: unit,
			Source: cite.GeodTest.At(fmt.Sprintf("geodtest, line %d", line), cite.Seen)}
	}
	worst := 0.0
	for i, k := range karney {
		p, q := Deg(k[0], k[1], 0), Deg(k[3], k[4], 0)
		g := Inverse(p, q)
		tol := check.ModelAbs(2e-8, "double precision of coordinates given in radians")
		row("distance", "m", i+1).Near(t, g.Distance, k[6], tol)
		worst = math.Max(worst, math.Abs(g.Distance-k[6]))
		row("first azimuth", "deg", i+1).Near(t, g.Azi1/deg, k[2], check.ModelAbs(1e-12, "as above, over the distance"))
		row("second azimuth", "deg", i+1).Near(t, g.Azi2/deg, k[5], check.ModelAbs(1e-12, "as above, over the distance"))
		row("area below", "m2", i+1).Near(t, g.Area, k[7], check.ModelAbs(0.2, "0.1 m2 is the source's own accuracy"))
		end, azi := Direct(p, k[2]*deg, k[6])
		row("direct: latitude", "deg", i+1).Near(t, end.LatDeg(), k[3], check.ModelAbs(1e-13, "1e-8 m"))
		row("direct: longitude", "deg", i+1).Near(t, math.Remainder(end.LonDeg()-k[4], 360), 0, check.ModelAbs(5e-13, "5e-8 m"))
		row("direct: azimuth", "deg", i+1).Near(t, azi/deg, k[5], check.ModelAbs(5e-13, "as above"))
	}
	t.Logf("worst distance deviation %.2g m", worst)
}

func TestGeodesicEdges(t *testing.T) {
	src := cite.GeodTest.At("command tests, edge cases", cite.Seen)
	r := func(n, u string) check.Row {
		return check.Row{Topic: "geodesic", Name: n, Unit: u, Source: src}
	}
	g := Inverse(Deg(40.6, -73.8, 0), Deg(49+1./60, 2+33./60, 0))
	r("ocean crossing: distance", "m").Near(t, g.Distance, 5853226, check.Printed(1))
	r("ocean crossing: azimuth 1", "deg").Near(t, g.Azi1/deg, 53.47022, check.Printed(1e-5))
	r("ocean crossing: azimuth 2", "deg").Near(t, g.Azi2/deg, 111.59367, check.Printed(1e-5))
	for _, e := range []struct{ lon, azi, s float64 }{{179, 90, 19926189}, {179.5, 55.96650, 19980862}, {180, 0, 20003931}} {
		g := Inverse(Point{}, Deg(0, e.lon, 0))
		n := fmt.Sprintf("equator over %g°", e.lon)
		r(n+": azimuth", "deg").Near(t, g.Azi1/deg, e.azi, check.Printed(1e-5))
		r(n+": distance", "m").Near(t, g.Distance, e.s, check.Printed(1))
	}
	g = Inverse(Deg(-41-19./60, 174+49./60, 0), Deg(40+58./60, -5-30./60, 0))
	r("near the antipode: distance", "m").Near(t, g.Distance, 19960543.857179, check.ModelAbs(2e-6, "last printed digit"))
	r("near the antipode: azimuth 1", "deg").Near(t, g.Azi1/deg, 160.39137649664, check.ModelAbs(1e-9, "steep near the antipode: 1e-16 of longitude is 1e-12 of azimuth"))
	r("near the antipode: azimuth 2", "deg").Near(t, g.Azi2/deg, 19.50042925176, check.ModelAbs(1e-9, "as above"))
	g = Inverse(Deg(36.493349428792, 0, 0), Deg(36.49334942879201, .0000008, 0))
	r("tiny line", "m").Near(t, g.Distance, 0.072, check.Printed(0.001))
	g = Inverse(Deg(54.1589, 15.3872, 0), Deg(54.1591, 15.3877, 0))
	r("short line: distance", "m").Near(t, g.Distance, 39.52768638, check.ModelAbs(2e-8, "last printed digit"))
	r("short line: azimuth", "deg").Near(t, g.Azi1/deg, 55.72311035, check.ModelAbs(2e-8, "last printed digit"))
}

func TestFieldScale(t *testing.T) {
	src := cite.Ours.At("made with a general geodesic library", cite.Derived)
	for _, k := range [][7]float64{
		{50, 10, 50.009, 10, 1001.062356455, 0, 0},
		{50, 10, 50, 10.014, 1003.740549159, 89.9946376889, 90.0053623111},
		{50, 10, 50.006, 10.009, 928.277964565, 44.0296456203, 44.0365403232},
		{50, 10, 50.0018, 10, 200.212346401, 0, 0},
		{0, 0, 0.009, 0.009, 1412.131244532, 45.1924228610, 45.1924235678},
		{60, 25, 60.01, 25.02, 1576.817000437, 45.0352219616, 45.0525433424},
		{45, 0, 45, 0.00001, 0.788468351, 89.9999964645, 90.0000035355},
	} {
		n := fmt.Sprintf("field pair %g,%g to %g,%g", k[0], k[1], k[2], k[3])
		g := Inverse(Deg(k[0], k[1], 0), Deg(k[2], k[3], 0))
		check.Row{Topic: "geodesic", Name: n, Unit: "m", Source: src}.Near(t, g.Distance, k[4], check.ModelAbs(1e-8, "double precision"))
		// a millimetre-scale azimuth error of 1e-8 m over the line's length
		tol := check.ModelAbs(math.Max(1e-9, 1e-8/k[4]/deg), "1e-8 m across the end")
		check.Row{Topic: "geodesic", Name: n + ": azimuth 1", Unit: "deg", Source: src}.Near(t, g.Azi1/deg, k[5], tol)
		check.Row{Topic: "geodesic", Name: n + ": azimuth 2", Unit: "deg", Source: src}.Near(t, g.Azi2/deg, k[6], tol)
	}
	for _, k := range [][6]float64{
		{50, 10, 45, 1000, 50.006356789658, 10.009863904036},
		{50, 10, 90, 2000, 49.999996646876, 10.027895653597},
		{0, 0, 30, 200, 0.001566413883, 0.000898315284},
	} {
		p, _ := Direct(Deg(k[0], k[1], 0), k[2]*deg, k[3])
		n := fmt.Sprintf("direct from %g,%g at %g° for %g m", k[0], k[1], k[2], k[3])
		check.Row{Topic: "geodesic", Name: n + ": latitude", Unit: "deg", Source: src}.Near(t, p.LatDeg(), k[4], check.Printed(1e-12))
		check.Row{Topic: "geodesic", Name: n + ": longitude", Unit: "deg", Source: src}.Near(t, p.LonDeg(), k[5], check.ModelAbs(1e-12, "last printed digit"))
	}
}

func TestRadiiAndFrames(t *testing.T) {
	src := cite.NIMA8350.At("constants; values derived", cite.Derived)
	r := func(n, u string) check.Row {
		return check.Row{Topic: "local frame", Name: n, Unit: u, Source: src}
	}
	for _, k := range [][5]float64{
		{0, 6335439.3273, 6378137.0000, 110574.2758, 111319.4908},
		{45, 6367381.8156, 6388838.2901, 111131.7774, 78846.8351},
		{50, 6372955.9257, 6390702.0442, 111229.0640, 71695.7536},
		{60, 6383453.8572, 6394209.1738, 111412.2875, 55800.0016},
	} {
		m, n := Radii(k[0] * deg)
		s := fmt.Sprintf(" at %g°", k[0])
		r("meridian radius"+s, "m").Near(t, m, k[1], check.Printed(1e-4))
		r("cross radius"+s, "m").Near(t, n, k[2], check.Printed(1e-4))
		r("metres a degree of latitude"+s, "m").Near(t, m*deg, k[3], check.Printed(1e-4))
		r("metres a degree of longitude"+s, "m").Near(t, n*math.Cos(k[0]*deg)*deg, k[4], check.Printed(1e-4))
	}
	x := Deg(50, 10, 300).ECEF()
	for i, w := range []float64{4045646.312007, 713356.599211, 4863018.851039} {
		r(fmt.Sprintf("earth centred axis %d of 50, 10, 300 m", i), "m").Near(t, x[i], w, check.Printed(1e-6))
	}
	for _, k := range []struct {
		o, p Point
		enu  [3]float64
		flat [2]float64
	}{
		{Deg(50, 10, 300), Deg(50.009, 10, 300), [3]float64{0, 1001.109476, -0.078627}, [2]float64{0, 1001.061576}},
		{Deg(50, 10, 300), Deg(50, 10.014, 300), [3]float64{1003.787659, 0.093944, -0.078829}, [2]float64{1003.740551, 0}},
		{Deg(50, 10, 300), Deg(50.006, 10.009, 350), [3]float64{645.216806, 667.450201, 49.932481}, [2]float64{645.261783, 667.374384}},
		{Deg(60, 25, 50), Deg(60.01, 25.02, 100), [3]float64{1115.680640, 1114.309807, 49.805411}, [2]float64{1116.000031, 1114.122875}},
	} {
		f := NewFrame(k.o)
		got := f.ENU(k.p)
		for i, a := range []string{"east", "north", "up"} {
			r(fmt.Sprintf("%s of %.3f,%.3f", a, k.p.LatDeg(), k.p.LonDeg()), "m").Near(t, got[i], k.enu[i], check.ModelAbs(2e-6, "last printed digit"))
		}
		back := f.Point(got)
		if d := Inverse(back, k.p).Distance; d > 1e-8 || math.Abs(back.Height-k.p.Height) > 1e-8 {
			t.Errorf("round trip of %v misses by %g m", k.p, d)
		}
		m, n := Radii(k.o.Lat)
		flat := [2]float64{n * math.Cos(k.o.Lat) * (k.p.Lon - k.o.Lon), m * (k.p.Lat - k.o.Lat)}
		for i := range flat {
			r(fmt.Sprintf("flat formula %d of %.3f,%.3f", i, k.p.LatDeg(), k.p.LonDeg()), "m").Near(t, flat[i], k.flat[i], check.ModelAbs(2e-6, "last printed digit"))
		}
		// the map used for speeds, against the geodesic
		g := f.Ground(k.p)
		s := Inverse(k.o, k.p).Distance * (1 + k.o.Height/6.38e6)
		r(fmt.Sprintf("ground map against the geodesic to %.3f,%.3f", k.p.LatDeg(), k.p.LonDeg()), "m").
			Near(t, math.Hypot(g[0], g[1]), s, check.Model(3e-5, "radii at the origin only; documented 3e-4"))
	}
}

func TestPolygon(t *testing.T) {
	src := cite.Ours.At("geodesic polygons, made with a general geodesic library", cite.Derived)
	for _, k := range []struct {
		n       string
		v       [][2]float64
		per, ar float64
	}{
		{"quad", [][2]float64{{50, 10}, {50, 10.005}, {50.003, 10.005}, {50.003, 10}}, 1384.309786, 119616.0827},
		{"quad, reversed", [][2]float64{{50.003, 10}, {50.003, 10.005}, {50, 10.005}, {50, 10}}, 1384.309786, -119616.0827},
		{"triangle", [][2]float64{{47, 8}, {47, 8.004}, {47.003, 8.002}}, 1037.347249, 50730.9740},
		{"six corners", [][2]float64{{52, 5}, {52, 5.006}, {52.002, 5.006}, {52.002, 5.003}, {52.004, 5.003}, {52.004, 5}}, 1714.247777, 137543.2345},
	} {
		var ring []Point
		for _, v := range k.v {
			ring = append(ring, Deg(v[0], v[1], 0))
		}
		p, a := Polygon(ring)
		check.Row{Topic: "fence", Name: k.n + ": perimeter", Unit: "m", Source: src}.Near(t, p, k.per, check.ModelAbs(1e-6, "last printed digit"))
		check.Row{Topic: "fence", Name: k.n + ": area", Unit: "m2", Source: src}.Near(t, a, k.ar, check.ModelAbs(0.02, "double precision of longitude times the earth's radius squared"))
	}
	pub := cite.GeodTest.At("polygon tests", cite.Seen)
	p0 := Point{}
	ring := []Point{p0}
	for _, azi := range []float64{90, 0, 270} {
		p0, _ = Direct(p0, azi*deg, 1000)
		ring = append(ring, p0)
	}
	_, a := Polygon(ring)
	check.Row{Topic: "fence", Name: "square of 1000 m edges", Unit: "m2", Source: pub}.Near(t, a, 1e6, check.ModelAbs(0.01, "the source's own tolerance"))
	_, a = Polygon([]Point{Deg(45, 60, 0), Deg(45, 180, 0), Deg(45, -60, 0)})
	check.Row{Topic: "fence", Name: "ring round the pole at 45°", Unit: "m2", Source: pub}.Near(t, a, 39433884866571.4277, check.ModelAbs(0.5, "1e-14 of the area"))
}

// Laws: direct undoes inverse; the line is no longer than the way round.
func TestGeodesicLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.Float64Range(-89.9, 89.9)
		lon := rapid.Float64Range(-180, 180)
		p := Deg(lat.Draw(t, "lat1"), lon.Draw(t, "lon1"), 0)
		q := Deg(lat.Draw(t, "lat2"), lon.Draw(t, "lon2"), 0)
		g := Inverse(p, q)
		back := Inverse(q, p)
		if math.Abs(g.Distance-back.Distance) > 1e-7 {
			t.Fatalf("there %.9f, back %.9f", g.Distance, back.Distance)
		}
		end, _ := Direct(p, g.Azi1, g.Distance)
		x, y := end.ECEF(), q.ECEF()
		if d := math.Sqrt(sq(x[0]-y[0]) + sq(x[1]-y[1]) + sq(x[2]-y[2])); d > 1e-6 {
			t.Fatalf("%v to %v: direct misses inverse by %g m", p, q, d)
		}
		r := FromECEF(q.ECEF())
		if Inverse(r, q).Distance > 1e-7 {
			t.Fatalf("ECEF round trip of %v", q)
		}
	})
}

func sq(x float64) float64 { return x * x }

func BenchmarkInverse(b *testing.B) {
	p, q := Deg(50, 10, 0), Deg(50.006, 10.009, 0)
	for b.Loop() {
		Inverse(p, q)
	}
}
