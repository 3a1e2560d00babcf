package app

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// thereAndBack writes a log of passes there and back at an airspeed in a wind of
// w m/s from the west, ten records a second, from one time to another.
func thereAndBack(v, w, from, to float64, more func(t float64) string, head string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "timestamp,latitude,longitude,altitude [m],ground speed [m/s],course [deg]%s\n", head)
	x, y, hdg := 0.0, 0.0, math.Pi/2 // heading east
	for i := 0; float64(i)/10 <= to; i++ {
		t := float64(i) / 10
		if lap := math.Mod(t, 16); lap >= 12 {
			hdg += math.Pi / 40 // half a turn in four seconds
		}
		ve, vn := v*math.Sin(hdg)+w, v*math.Cos(hdg)
		x, y = x+ve/10, y+vn/10
		if t < from {
			continue
		}
		fmt.Fprintf(&b, "%.1f,%.8f,%.8f,%.1f,%.3f,%.2f%s\n", 1774700000+t, 52+y/111266, 13+x/68680, 130.0,
			math.Hypot(ve, vn), math.Mod(math.Atan2(ve, vn)*180/math.Pi+360, 360), more(t))
	}
	return b.String()
}

func nothing(float64) string { return "" }

// flyby writes the sound of a passing as a 16 bit recording.
func flyby(v float64) []byte {
	const rate, secs, d, c, tone = 16000, 5, 16.0, 340.3, 800.0
	var b bytes.Buffer
	b.WriteString("RIFF\x00\x00\x00\x00WAVEfmt ")
	for _, x := range []any{uint32(16), uint16(1), uint16(1), uint32(rate), uint32(2 * rate), uint16(2), uint16(16)} {
		_ = binary.Write(&b, binary.LittleEndian, x)
	}
	b.WriteString("data")
	_ = binary.Write(&b, binary.LittleEndian, uint32(2*rate*secs))
	way := 0.0
	for i := range rate * secs {
		t := float64(i)/rate - secs/2.0
		te := t - way
		for range 5 {
			way = math.Hypot(d, v*te) / c
			te = t - way
		}
		r := math.Hypot(d, v*te)
		x := 5 / r * (math.Sin(2*math.Pi*tone*te) + 0.5*math.Sin(4*math.Pi*tone*te))
		_ = binary.Write(&b, binary.LittleEndian, int16(12000*math.Max(-1, math.Min(1, x))))
	}
	return b.Bytes()
}

// debriefed is the part of the body these tests look at.
type debriefed struct {
	Claims []struct{ Claim, Status, Because string }
	Logs   []struct {
		Name     string
		TwoWay   *struct{ Value, Low, High float64 } `json:"two_way_speed"`
		Evidence []struct {
			What     string
			Quantity struct{ Value, Low, High float64 }
		}
		Remarks []string
	}
}

func debriefWith(t *testing.T, q DebriefRequest) debriefed {
	t.Helper()
	a, err := Debrief(context.Background(), q)
	if err != nil {
		t.Fatal(err)
	}
	text, err := a.JSON()
	if err != nil {
		t.Fatal(err)
	}
	var d debriefed
	if err := json.Unmarshal(text, &d); err != nil {
		t.Fatal(err)
	}
	return d
}

func write(t *testing.T, name string, text []byte) string {
	t.Helper()
	name = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(name, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// claiming writes the Heron with claims of its own.
func claiming(t *testing.T, claims string) string {
	t.Helper()
	text, err := os.ReadFile("../../examples/heron.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if i := bytes.Index(text, []byte("\nclaims:")); i >= 0 {
		text = text[:i+1]
	}
	return write(t, "heron.yaml", append(bytes.TrimRight(text, "\n"), []byte("\nclaims:\n"+claims)...))
}

// Two recordings of opposite passes make a two-way speed that shows a claim;
// without --opposite, or with one recording alone, they do not.
func TestOppositeSounds(t *testing.T) {
	build := claiming(t, "  - {what: top speed, value: 60 m/s, by: maker}\n")
	a, b := write(t, "out.wav", flyby(69)), write(t, "back.wav", flyby(61))
	q := DebriefRequest{Request: Request{Path: build}, Logs: []string{a, b}, NoModel: true}
	if d := debriefWith(t, q); d.Claims[0].Status != "not shown" {
		t.Errorf("without --opposite: %+v", d.Claims)
	}
	q.Opposite = true
	d := debriefWith(t, q)
	if d.Claims[0].Status != "shown" {
		t.Errorf("%+v", d.Claims)
	}
	found := false
	for _, e := range d.Logs[0].Evidence {
		if e.What == "two-way fly-by speed" {
			found = true
			if math.Abs(e.Quantity.Value-65) > 0.5 || e.Quantity.Low > 65 || e.Quantity.High < 65 {
				t.Errorf("%+v", e)
			}
		}
	}
	if !found {
		t.Errorf("%+v", d.Logs[0].Evidence)
	}
	q.Logs = q.Logs[:1]
	if _, err := Debrief(context.Background(), q); err == nil || !strings.Contains(err.Error(), "two passings") {
		t.Errorf("one sound is no pair: %v", err)
	}
}

// Passes in two files of one session show a claim that neither file shows.
func TestPassesInTwoFiles(t *testing.T) {
	build := claiming(t, "  - {what: top speed, value: 60 m/s, by: maker}\n")
	a, b := write(t, "one.csv", []byte(thereAndBack(64, 5, 0, 13, nothing, ""))), write(t, "two.csv", []byte(thereAndBack(64, 5, 15, 29, nothing, "")))
	one := debriefWith(t, DebriefRequest{Request: Request{Path: build}, Logs: []string{a}, NoModel: true})
	if one.Claims[0].Status != "not shown" {
		t.Errorf("%+v", one.Claims)
	}
	d := debriefWith(t, DebriefRequest{Request: Request{Path: build}, Logs: []string{a, b}, NoModel: true})
	if len(d.Logs) != 3 || d.Logs[2].TwoWay == nil || math.Abs(d.Logs[2].TwoWay.Value-64) > 0.3 || !strings.Contains(d.Logs[2].Name, " and ") {
		t.Fatalf("%+v", d.Logs)
	}
	if d.Claims[0].Status != "shown" || !strings.Contains(d.Claims[0].Because, "two files") {
		t.Errorf("%+v", d.Claims)
	}
}

// Claims of endurance, build time and take-off mass are judged by a log, a
// diary and the scales.
func TestClaimsThatAreNoSpeeds(t *testing.T) {
	claims := `  - {what: endurance, value: 4 min, by: maker}
  - {what: endurance, value: 40 min, by: shop}
  - {what: build time, value: 25 h, by: maker}
  - {what: take-off mass, value: 1.7 kg, by: maker}
  - {what: take-off mass, value: 1.4 kg, by: shop}
`
	log := write(t, "long.csv", []byte(thereAndBack(20, 3, 0, 300, func(t float64) string {
		return fmt.Sprintf(",%.2f,%.1f", 12.4-t*0.004, 11.0)
	}, ",voltage [V],current [A]")))
	d := debriefWith(t, DebriefRequest{Request: Request{Path: claiming(t, claims)}, Logs: []string{log}, NoModel: true,
		Readings: []string{"build_time=34 h ± 2 h", "mass=1.602 kg ± 4 g how=kitchen scale"}})
	want := []string{"shown", "not shown", "refuted", "shown", "refuted"}
	if len(d.Claims) != len(want) {
		t.Fatalf("%+v", d.Claims)
	}
	for i, w := range want {
		if d.Claims[i].Status != w {
			t.Errorf("%s: %s, want %s (%s)", d.Claims[i].Claim, d.Claims[i].Status, w, d.Claims[i].Because)
		}
	}
	if !strings.Contains(d.Claims[1].Because, "lower bound") {
		t.Errorf("a flight that landed early refutes nothing: %s", d.Claims[1].Because)
	}
}
