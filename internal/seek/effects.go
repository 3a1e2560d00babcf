package seek

import (
	"context"
	"fmt"
	"math"
	"sort"

	"fledge/internal/assess"
	"fledge/internal/craft"
)

// Effect is what one practical step of one lever does to the odds, all else as
// it is: both ways.
type Effect struct {
	Lever    Lever
	Step     float64 // the practical step, SI
	Say      string  // "50 g of mass"
	Up, Down Move
	Size     float64 // the larger of the two changes, in odds
	Better   string  // the way that raises the odds, in words; empty when neither does beyond its doubt
}

// Move is one step to one side.
type Move struct {
	Value  float64 // SI
	Tried  bool    // false when the step leaves what the number may be
	Change float64 // of the odds
	SE     float64 // standard error of the change, launches paired
	Score  float64 // change of the score, which still tells where odds are flat
	Words  string  // "50 g lighter"
}

// practical lists the steps a person takes at the field or bench without
// thinking much (our choice; the first six are those the trade argues about).
func practical(ac *craft.Aircraft) []Effect {
	const deg = math.Pi / 180
	var out []Effect
	add := func(path, noun, say, up, down string, step float64, with string) {
		if _, ok := ac.Knob(path); !ok {
			return
		}
		l := Lever{Path: path, Noun: noun, Step: step / 1000, Low: math.Inf(-1), High: math.Inf(1), Scale: 1, With: with}
		out = append(out, Effect{Lever: l, Step: step, Say: say, Up: Move{Words: up}, Down: Move{Words: down}})
	}
	l := &ac.Launch
	add("trial.mass", "mass", "50 g of mass", "50 g heavier", "50 g lighter", 0.05, "")
	add("launch.stick.pitch", "up stick", "10 % of stick", "10 % more up stick", "10 % less up stick", 0.10, "")
	if l.Held.By == "hand" || l.By == "hand" {
		add("launch.held.height", "hand", "0.3 m of hand height", "hand 0.3 m higher", "hand 0.3 m lower", 0.3, "")
	}
	add("launch.held.nose_up", "aim", "5° of nose-up", "nose 5° higher", "nose 5° lower", 5*deg, "")
	if l.By == "bungee" {
		add("launch.bungee.hook.x", "hook", "10 mm of hook", "hook 10 mm aft", "hook 10 mm forward", 0.01, "")
	}
	add("day.wind", "wind", "2 m/s of wind", "2 m/s more wind", "2 m/s less wind", 2, "day.gust")
	if l.By == "bungee" {
		add("launch.bungee.stretch", "stretch", "1 m of stretch", "pulled 1 m further", "pulled 1 m less", 1, "")
		add("launch.bungee.hook.friction", "ring", "0.1 of ring friction", "ring 0.1 rougher", "ring 0.1 smoother", 0.1, "")
	} else {
		add("launch.throw.speed", "throw", "1 m/s of throw", "thrown 1 m/s faster", "thrown 1 m/s slower", 1, "")
		add("launch.throw.path_up", "climb of the throw", "5° of throw", "thrown 5° higher", "thrown 5° lower", 5*deg, "")
	}
	if !l.MotorOff {
		add("launch.motor_delay", "motor", "0.3 s of motor delay", "motor 0.3 s later", "motor 0.3 s sooner", 0.3, "")
	}
	if b, ok := batteryLever(ac); ok {
		add(b.Path, "battery", "10 mm of battery", "battery 10 mm aft", "battery 10 mm forward", 0.01, "")
	}
	return out
}

// bounded keeps a step inside what the number may be.
func bounded(ac *craft.Aircraft, path string, v float64) bool {
	switch path {
	case "day.wind":
		return v >= 0
	case "launch.held.height":
		return v >= 0.1
	case "launch.bungee.hook.friction":
		return v >= 0.01 && v <= 1.5
	case "launch.bungee.stretch", "launch.throw.speed":
		return v > 0
	case "launch.stick.pitch":
		return v >= -1 && v <= 1
	}
	if b, ok := batteryLever(ac); ok && path == b.Path {
		return v >= b.Low-1e-9 && v <= b.High+1e-9
	}
	return true
}

// Effects ranks the levers by what one practical step of each does to the
// odds, n launches each with the same draws, so that every lever is heard
// fairly: weight is one of them. Where all odds are flat (all launches fail,
// or none), the order is that of the score.
func Effects(ctx context.Context, ac *craft.Aircraft, n int, look Look, progress func(stage string, done, total int)) ([]Effect, error) {
	base, err := look(ctx, ac, assess.Ask{N: n})
	if err != nil {
		return nil, err
	}
	list := practical(ac)
	for i := range list {
		e := &list[i]
		k, _ := ac.Knob(e.Lever.Path)
		for _, m := range []struct {
			to   *Move
			sign float64
		}{{&e.Up, 1}, {&e.Down, -1}} {
			m.to.Value = k.Value + m.sign*e.Step
			if !bounded(ac, e.Lever.Path, m.to.Value) {
				continue
			}
			c, ok := Setting{e.Lever, m.to.Value}.turn(ac)
			if !ok {
				return nil, fmt.Errorf("seek: no number %s", e.Lever.Path)
			}
			g, err := look(ctx, c, assess.Ask{N: n})
			if err != nil {
				return nil, err
			}
			m.to.Tried = true
			m.to.Change, m.to.SE = g.Against(&base)
			m.to.Score = g.Score - base.Score
			e.Size = math.Max(e.Size, math.Abs(m.to.Change))
		}
		best := e.Up
		if !best.Tried || e.Down.Tried && e.Down.Change > e.Up.Change {
			best = e.Down
		}
		if best.Tried && best.Change > 2*best.SE && best.Change > 0 {
			e.Better = best.Words
		}
		if progress != nil {
			progress("levers", i+1, len(list))
		}
	}
	score := func(e *Effect) float64 { return math.Max(math.Abs(e.Up.Score), math.Abs(e.Down.Score)) }
	sort.SliceStable(list, func(i, j int) bool {
		a, b := &list[i], &list[j]
		if a.Size != b.Size {
			return a.Size > b.Size
		}
		return score(a) > score(b)
	})
	return list, nil
}
