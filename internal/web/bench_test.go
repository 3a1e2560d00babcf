package web

import (
	"fmt"
	"testing"

	"fledge/internal/app"
)

// BenchmarkDrag is a part that follows the pointer: settings in, balance out.
func BenchmarkDrag(b *testing.B) {
	benchmark(b, "preview", `{"sets":["parts.battery.at.x=%d mm"]}`, 90, 70)
}

// BenchmarkFan is a slider: settings in, the first 64 launches out.
func BenchmarkFan(b *testing.B) {
	benchmark(b, "fan", `{"sets":["launch.held.nose_up=%d deg"],"from":0,"n":64}`, 0, 30)
}

func benchmark(b *testing.B, route, body string, low, wide int) {
	var t testing.T
	x := openFuzz(b)
	w := &bench{T: &t, s: x.s, web: x.web, dir: x.dir, talk: x.talk}
	get[app.Fan](w, 200, "POST", "/api/builds/wren.yaml/fan", `{"sets":[],"from":0,"n":0}`)
	for i := 0; b.Loop(); i++ {
		if resp, text := w.ask("POST", "/api/builds/wren.yaml/"+route, fmt.Sprintf(body, low+i%wide)); resp.StatusCode != 200 {
			b.Fatalf("%d %s", resp.StatusCode, text)
		}
	}
}
