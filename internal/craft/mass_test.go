package craft

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"fledge/internal/check"
	"fledge/internal/cite"
)

func box(m, x, y, z, a, b, c float64) Part {
	return Part{Mass: m, At: r3.Vec{X: x, Y: y, Z: z}, Size: r3.Vec{X: a, Y: b, Z: c}}
}

// Strength reference 6.1: six boxes; its axes are ours (x, y, z from the datum).
func TestCompositeBody(t *testing.T) {
	parts := []Part{
		box(0.180, 0.06, 0, -0.005, 0.075, 0.035, 0.030),
		box(0.060, 0.26, 0, 0, 0.028, 0.028, 0.028),
		box(0.200, 0.15, 0, 0, 0.18, 0.90, 0.012),
		box(0.030, 0.03, 0, 0.02, 0.03, 0.03, 0.02),
		box(0.020, 0.19, 0.22, 0, 0.023, 0.012, 0.022),
		box(0.020, 0.19, -0.22, 0, 0.023, 0.012, 0.022),
	}
	m := massOf(parts, 0)
	src := cite.Ours.At("composite of six boxes, reference strength 6.1", cite.Derived)
	for _, r := range []struct {
		name            string
		got, want, last float64
	}{
		{"mass", m.Total, 0.510, 1e-12},
		{"c.g. x", m.CG.X, 0.127255, 1e-6},
		{"c.g. z", m.CG.Z, -0.000588, 1e-6},
		{"Ixx", m.Inertia[0][0], 0.01549978, 1e-8},
		{"Iyy", m.Inertia[1][1], 0.00308722, 1e-8},
		{"Izz", m.Inertia[2][2], 0.01850949, 1e-8},
		{"sum m x z", -m.Inertia[0][2], 2.176e-6, 1e-9},
	} {
		check.Row{Topic: "mass properties", Name: r.name, Source: src}.Near(t, r.got, r.want, check.Printed(r.last))
	}
}

// Ballast worked example of strength 6.5: an item of 0.18 kg in 0.600 kg, c.g.
// 165 to 155 mm, moves 33.33 mm forward.
func TestMoveFor(t *testing.T) {
	parts := []Part{box(0.18, 0.1, 0, 0, 0, 0, 0), box(0.42, 0.165+(0.165-0.1)*0.18/0.42, 0, 0, 0, 0, 0)}
	parts[1].Index = 1
	a := &Aircraft{Parts: parts, Mass: massOf(parts, 0)}
	dx, ok := a.MoveFor(0, 0.155)
	if !ok {
		t.Fatal("no move")
	}
	check.Row{Topic: "mass properties", Name: "battery move for balance", Unit: "m", Source: cite.Ours.At("lever law, reference strength 6.5", cite.Derived)}.
		Near(t, dx, -0.033333, check.Printed(1e-6))
}

func TestMassLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 12).Draw(t, "n")
		g := rapid.Float64Range(-1, 1)
		side := rapid.Float64Range(0.001, 0.5)
		var parts []Part
		for i := range n {
			p := box(rapid.Float64Range(0.001, 1).Draw(t, "m"), g.Draw(t, "x"), g.Draw(t, "y"), g.Draw(t, "z"), side.Draw(t, "a"), side.Draw(t, "b"), side.Draw(t, "c"))
			p.Index = i
			parts = append(parts, p)
		}
		m := massOf(parts, 0)
		if !possible(m.Inertia) {
			t.Fatalf("impossible inertia %v", m.Inertia)
		}
		// Moving one part by a vector moves the c.g. by its mass share.
		d := r3.Vec{X: g.Draw(t, "dx"), Y: g.Draw(t, "dy"), Z: g.Draw(t, "dz")}
		moved := append([]Part(nil), parts...)
		moved[0].At = r3.Add(moved[0].At, d)
		got := r3.Sub(massOf(moved, 0).CG, m.CG)
		want := r3.Scale(parts[0].Mass/m.Total, d)
		if r3.Norm(r3.Sub(got, want)) > 1e-12 {
			t.Fatalf("c.g. moved by %v, want %v", got, want)
		}
		// Moving everything changes no inertia.
		all := append([]Part(nil), parts...)
		for i := range all {
			all[i].At = r3.Add(all[i].At, d)
		}
		for i, row := range massOf(all, 0).Inertia {
			for j, v := range row {
				if math.Abs(v-m.Inertia[i][j]) > 1e-9 {
					t.Fatal("inertia depends on the datum")
				}
			}
		}
	})
}
