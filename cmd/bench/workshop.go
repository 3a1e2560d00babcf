package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"time"

	"fledge/internal/web"
)

// workshop times what a person at the page waits for, over the loopback
// address, the body read to its end: the 95th percentile of many.
func workshop(build string) ([]row, error) {
	dir, err := os.MkdirTemp("", "fledge-bench-hangar")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	text, err := os.ReadFile(build)
	if err != nil {
		return nil, err
	}
	if err := os.WriteFile(filepath.Join(dir, "bench.yaml"), text, 0o644); err != nil {
		return nil, err
	}
	start := time.Now()
	s, err := web.New(web.Config{Dir: dir})
	if err != nil {
		return nil, err
	}
	defer s.Close()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, err
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx, l) }()
	defer func() { cancel(); <-done }()
	base := "http://" + l.Addr().String()
	ask := func(path string, body any) (time.Duration, error) {
		began := time.Now()
		var resp *http.Response
		var err error
		if body == nil {
			resp, err = http.Get(base + path)
		} else {
			text, _ := json.Marshal(body)
			resp, err = http.Post(base+path, "application/json", bytes.NewReader(text))
		}
		if err != nil {
			return 0, err
		}
		defer resp.Body.Close()
		got, err := io.ReadAll(resp.Body)
		if err == nil && resp.StatusCode != http.StatusOK {
			err = fmt.Errorf("%s: %d %.200s", path, resp.StatusCode, got)
		}
		return time.Since(began), err
	}
	for _, path := range []string{"/", "/api/hello", "/api/hangar", "/api/builds/bench.yaml", "/api/builds/bench.yaml/drawing"} {
		if _, err := ask(path, nil); err != nil {
			return nil, err
		}
	}
	first := time.Since(start)
	type wish struct {
		Sets []string `json:"sets"`
		From int      `json:"from"`
		N    int      `json:"n"`
	}
	if _, err := ask("/api/builds/bench.yaml/fan", wish{Sets: []string{}}); err != nil { // warm
		return nil, err
	}
	p95 := func(n int, path string, body func(i int) any) (float64, error) {
		took := make([]time.Duration, n)
		for i := range took {
			var err error
			if took[i], err = ask(path, body(i)); err != nil {
				return 0, err
			}
		}
		slices.Sort(took)
		return took[(95*n+99)/100-1].Seconds() * 1e3, nil
	}
	fan, err := p95(100, "/api/builds/bench.yaml/fan", func(i int) any {
		return wish{Sets: []string{fmt.Sprintf("launch.bungee.stretch=%.2f m", 6+0.04*float64(i))}, N: 64}
	})
	if err != nil {
		return nil, err
	}
	drag, err := p95(100, "/api/builds/bench.yaml/preview", func(i int) any {
		return map[string][]string{"sets": {fmt.Sprintf("parts.battery.at.x=%d mm", 115+i)}}
	})
	if err != nil {
		return nil, err
	}
	return []row{
		{what: "workshop, cold start to first view, nothing cached", got: first.Seconds(), aim: 1, unit: "s"},
		{what: "workshop, slider to 64 redrawn launches, p95", got: fan, aim: 150, unit: "ms"},
		{what: "workshop, drag to balance point and band, p95", got: drag, aim: 50, unit: "ms"},
	}, nil
}
