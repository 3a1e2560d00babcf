// A flight made up for the tests: off the hand, two level passes each way over
// one line in a steady wind, a landing. Invented data, no measurement.
export function gpx() {
  const lat0 = 48.1, lon0 = 9.2, perLat = 111_200, perLon = perLat * Math.cos((lat0 * Math.PI) / 180);
  const rows = [];
  let t = 0, x = 0, y = 0, h = 300, v = 0, course = 90;
  const wind = 3;
  const step = (n, f) => { for (let i = 0; i < n; i++) { f(i / n); const a = (course * Math.PI) / 180; x += (v * Math.sin(a) - (v > 1 ? wind : 0)) * 0.2; y += v * Math.cos(a) * 0.2; t += 0.2; rows.push([t, x, y, h]); } };
  step(50, () => { v = 0; });
  step(60, (k) => { v = 30 * k; h = 300 + 60 * k; });
  for (let lap = 0; lap < 2; lap++) {
    step(60, () => { v = 40; });
    step(30, (k) => { course = 90 + 180 * k; });
    course = 270;
    step(60, () => { v = 40; });
    step(30, (k) => { course = 270 + 180 * k; });
    course = 90;
  }
  step(60, (k) => { v = 40 - 28 * k; h = 360 - 60 * k; });
  step(20, (k) => { v = 12 * (1 - k); h = 300; });
  step(30, () => { v = 0; });
  const at = (s) => new Date(Date.UTC(2026, 5, 6, 10, 0, 0) + Math.round(s * 1000)).toISOString();
  return `<?xml version="1.0" encoding="UTF-8"?>\n<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>\n` +
    rows.map(([s, px, py, ele]) => `<trkpt lat="${(lat0 + py / perLat).toFixed(8)}" lon="${(lon0 + px / perLon).toFixed(8)}"><ele>${ele.toFixed(2)}</ele><time>${at(s)}</time></trkpt>`).join("\n") +
    "\n</trkseg></trk></gpx>\n";
}
