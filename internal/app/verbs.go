package app

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"fledge/internal/assess"
	"fledge/internal/cite"
	"fledge/internal/control"
	"fledge/internal/craft"
	"fledge/internal/launch"
	"fledge/internal/report"
	"fledge/internal/seek"
	"fledge/internal/strength"
	"fledge/internal/verdict"
)

// subject opens a build, runs the chain as far as the options ask, and judges.
func subject(ctx context.Context, q Request, opt assess.Options) (report.Subject, *Opened, *assess.Chain, error) {
	none := report.Subject{}
	o, err := Open(q)
	if err != nil {
		return none, nil, nil, err
	}
	chain, err := models(ctx, o, q)
	if err != nil {
		return none, nil, nil, located(o, err)
	}
	opt.Seed, opt.Workers, opt.Progress = q.Seed, workers(), q.Progress
	if opt.Launches == 0 {
		opt.Launches = q.Launches
	}
	if opt.Draws == 0 {
		opt.Draws = q.Draws
	}
	r, err := chain.Run(ctx, opt)
	if err != nil {
		return none, nil, nil, located(o, err)
	}
	return report.Subject{Results: r, Verdict: verdict.In(r, q.Units), Units: q.Units}, o, chain, nil
}

// CheckAnswer is the main job.
func CheckAnswer(ctx context.Context, q Request) (*Answer, error) {
	c, o, err := Check(ctx, q)
	if err != nil {
		return nil, err
	}
	return checked(c, o), nil
}

// Setup answers the third question.
func Setup(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{NoLaunch: true})
	if err != nil {
		return nil, err
	}
	sheet := chain.Sheet(s.Results, false)
	p := report.SetUp{Subject: s, Sheet: sheet}
	draws := make([]*control.Sheet, setupDraws)
	if err := chain.Draws(ctx, assess.Options{Seed: q.Seed, Draws: setupDraws, Workers: workers()}, func(i int, d *assess.Drawn) {
		draws[i] = chain.SheetOf(d, sheet, s.Results)
		draws[i].Built(rand.New(rand.NewPCG(q.Seed, uint64(i))).NormFloat64)
	}); err != nil {
		return nil, located(o, err)
	}
	p.Doubted(draws)
	return &Answer{Doc: report.Setup(p), Body: report.SetupBody(p), Notes: o.RenderNotes()}, nil
}

// setupDraws give the set-up's tables their intervals; a sheet takes 3 ms.
const setupDraws = 32

// Strength answers the fourth question.
func Strength(ctx context.Context, q Request) (*Answer, error) {
	s, o, chain, err := subject(ctx, q, assess.Options{Brief: true})
	if err != nil {
		return nil, err
	}
	l := chain.Loads(s.Results)
	p := report.Strong{Subject: s, Loads: l}
	top := l.TopSpeed
	if !(top > 0) {
		top = 3 * l.StallSpeed
	}
	if top > 0 {
		ac := o.Aircraft
		low := math.Max(l.StallSpeed, 0.2*top)
		speeds := make([]float64, 5)
		for i := range speeds {
			speeds[i] = low + (1.2*top-low)*float64(i)/4
		}
		p.Hinge = hinges(ac, l, speeds, 0)
		draws := make([][]report.HingeTable, tableDraws)
		if err := chain.Draws(ctx, assess.Options{Seed: q.Seed, Draws: tableDraws, Workers: workers()}, func(i int, d *assess.Drawn) {
			of := l
			of.Rho, of.Mu = d.Air.Rho, d.Air.Mu
			if of.LiftSlope > 0 {
				of.LiftSlope *= d.AeroK.Lift
			}
			draws[i] = hinges(d.Aircraft, of, speeds, rand.New(rand.NewPCG(q.Seed, uint64(i))).NormFloat64())
		}); err != nil {
			return nil, located(o, err)
		}
		p.Doubted(draws)
	}
	return &Answer{Doc: report.Strength(p), Body: report.StrengthBody(p), Chart: report.StrengthChart(p), Notes: o.RenderNotes()}, nil
}

// hinges are the hinge moments of every control over speed, the measured share
// of theory z standard deviations from its mean.
func hinges(ac *craft.Aircraft, l strength.Loads, speeds []float64, z float64) (out []report.HingeTable) {
	for si := range ac.Surfaces {
		for ci := range ac.Surfaces[si].Controls {
			h := report.HingeTable{Control: ac.Surfaces[si].Controls[ci].Name, Rows: strength.HingeRange(ac, si, ci, l, speeds)}
			for _, k := range ac.Linkages {
				if k.Control == h.Control && k.Known {
					h.Torque = k.Torque
				}
			}
			for i := range h.Rows {
				if r := &h.Rows[i]; r.Moment != 0 {
					by := 1 + z*r.Sigma/math.Abs(r.Moment)
					r.Moment, r.Servo = by*r.Moment, math.Abs(by)*r.Servo
				}
			}
			if len(h.Rows) > 0 {
				out = append(out, h)
			}
		}
	}
	return out
}

// LaunchRequest is a Request with what only the launch verb has.
type LaunchRequest struct {
	Request
	Trajectory string // file for the nominal launch, .csv or .json
	Fan        int    // launches to draw; 0: none
}

// Launch answers the fifth question.
func Launch(ctx context.Context, q LaunchRequest) (*Answer, error) {
	format := ""
	if q.Trajectory != "" {
		switch {
		case strings.HasSuffix(strings.ToLower(q.Trajectory), ".csv"):
			format = "csv"
		case strings.HasSuffix(strings.ToLower(q.Trajectory), ".json"):
			format = "json"
		default:
			return nil, Bad("file-name", "end the name in .csv or .json", fmt.Sprintf("--trajectory %q: the ending says the format", q.Trajectory))
		}
	}
	s, o, chain, err := subject(ctx, q.Request, assess.Options{OnlyLaunch: true})
	if err != nil {
		return nil, err
	}
	p := report.Launched{Subject: s, Record: recordOf(ctx, o, s.Results)}
	p.Measure = seek.MeasureNext(s.Results)
	asked := s.Results.Launch.Asked
	if asked && !q.Fast {
		only := verdict.Verdict{}
		for _, f := range s.Verdict.Findings {
			if f.ID == "launch-odds" {
				only.Findings = append(only.Findings, f)
			}
		}
		// What a change spoils is judged against all questions.
		whole, err := chain.Run(ctx, assess.Options{Seed: q.Seed, Launches: q.Launches, Draws: q.Draws, Workers: workers(), Brief: true, After: &assess.After{Chain: chain, Results: s.Results}})
		if err != nil {
			return nil, located(o, err)
		}
		now := verdict.Of(whole)
		find := &search{chain: chain, opened: o, query: q.Request, base: whole, now: &now}
		if err := find.remedies(ctx, &only); err != nil {
			return nil, err
		}
		for i := range p.Verdict.Findings {
			if p.Verdict.Findings[i].ID == "launch-odds" && len(only.Findings) > 0 {
				p.Verdict.Findings[i] = only.Findings[0]
			}
		}
	}
	a := &Answer{Notes: o.RenderNotes()}
	if asked && q.Fan > 0 {
		if p.Fan, err = chain.Fan(ctx, assess.Options{Seed: q.Seed, Workers: workers()}, q.Fan, 0.05); err != nil {
			return nil, err
		}
		a.Chart = report.LaunchChart(p)
	}
	if asked && format != "" {
		d := chain.Nominal()
		setup := chain.Setup(&d)
		setup.Accuracy, setup.Record = launch.Fine, 0.01
		w := launch.NewWorkspace()
		launch.Run(&setup, w)
		rows := w.Trajectory().Rows
		var b bytes.Buffer
		write := launch.WriteCSV
		if format == "json" {
			write = launch.WriteJSON
		}
		if err := write(&b, rows); err != nil {
			return nil, err
		}
		a.Files = append(a.Files, File{Name: q.Trajectory, Text: b.Bytes(), Over: true})
	}
	if !asked && (format != "" || q.Fan > 0) {
		return nil, Bad("no-launch", "write a launch: block (by: bungee or hand)", "no launch is described, so there is nothing to draw")
	}
	a.Doc, a.Body = report.LaunchPage(p), report.LaunchBody(p)
	return a, nil
}

// Sources lists all sources.
func Sources() *Answer {
	list := cite.All()
	return &Answer{Doc: report.Sources(list), Body: report.SourcesBody(list)}
}
