package main

import (
	"fmt"
	"reflect"
	"strings"

	"fledge/internal/build"
)

// partsPage tells of the parts file, the intake of a kit and how fit, weighing
// and choice are worked out; keys and steps are read from the program.
func partsPage() (string, error) {
	var b strings.Builder
	b.WriteString("# Choosing, fitting, weighing\n\n" + generated)
	b.WriteString(`Marks: *seen*, the source was read; *memory*, recalled; *derived*, our own sum; *choice*, ours; *practice*, common practice without a source.

## The parts file

` + "`fledge compare BUILD --parts FILE`" + ` reads what you own or could buy; ` + "`examples/parts/tern.yaml`" + ` shows one. Quantities are written as in a build file. A part takes the place of the one its ` + "`for`" + ` names, or of the only one of its kind; place, room to move, bay and name stay, mass, size and data change, and what its line does not say is assumed anew. A mirrored part is bought twice. All prices are in one currency.

| key | value | what |
|---|---|---|
`)
	t := reflect.TypeFor[build.Offer]()
	for i := range t.NumField() {
		f := t.Field(i)
		key := "parts[]." + f.Tag.Get("key")
		if isValue(f.Type) {
			fmt.Fprintf(&b, "| `%s` | %s | %s |\n", key, cell(wants(f)), cell(f.Tag.Get("doc")))
			continue
		}
		rows(&b, f.Type, key)
	}
	b.WriteString(`
**How it chooses.** Every choice of at most one part for each place is looked at when there are few (` + "`--looks`" + `, 60); else every single swap, then larger sets of those nearest to GO. A look flies 256 launches, all choices under the same gusts, hands and unknowns. The heaviest part that may move is moved so that the balance stays, or comes into the band. Then full checks, cheapest first, until one is GO; a choice whose launch odds failed in full rules out those that looked no better. The trade-off list holds what no other choice beats in money, mass, odds, top speed and time at once (0.5 g, 0.01, 0.1 m/s and 3 s count as equal, *choice*).

**What carrying costs.** The same aeroplane without the set, its balance held by the part that may move as far as its room goes, on the same launches (paired: only launches that change count). Its own current is not in the times.

## Weighing and measuring a kit

` + "`fledge new --kit`" + ` asks in this order, one tool after the other; ` + "`--sheet`" + ` prints the list to fill in, ` + "`--answers`" + ` reads it. The dozen that a useful answer needs are marked *. What an answer does not say of its doubt is taken from the word in the fourth column (docs/format.md says what each word means).

| key | tool | what | taken as |
|---|---|---|---|
`)
	for _, s := range build.KitSteps() {
		mark, how := "", ""
		if s.Core {
			mark = " *"
		}
		if s.How != "" {
			how = ": " + s.How
		}
		fmt.Fprintf(&b, "| `%s`%s | %s | %s | %s |\n", s.Key, mark, cell(s.Stage), cell(s.Ask+how), s.Word)
	}
	b.WriteString(`
The manual's masses, balance and speeds become limits and claims; what is built otherwise is kept under ` + "`deviations`" + `. With both scales read, the place of the body shell's mass, the one nobody can measure, follows from them.

## How it is worked out

| question | how | accuracy, source |
|---|---|---|
| part in a box bay | sides with lugs against the bay less the clearance all round; in place and, for the cure, lying the six other ways | exact for boxes |
| part in a shell | corners (48 points of the rim for a cylinder) at both ends and at each section between, straight lines between sections, round or square | exact for such shells |
| part in a wing | the true section at three places across and nine along, less skin and clearance, sections mixed in straight lines between stations | 0.1 mm for usual noses; *derived* |
| through a hatch | straight, askew (Carver's closed form), end on, or tilted: sure when L t/a + t √(1 - t²/a²) ≤ depth; between that and impossible it says so | Carver 1957, *memory*; tilt *derived*, a sufficient condition |
| doubt of a room | half the doubt of part and bay, the doubt of the place, added in squares; in doubt when less than 1.645 of it is left | first order |
| wires | way, a tenth of slack, 15 mm at each end; bundle bends at ten diameters, single wire at three | SAE AS50881, *memory*; slack *choice* |
| corners of a way | each of turn t takes r tan(t/2) of both its pieces | exact |
| distances | table of kinds; antenna to carbon and metal | *practice* |
| compass | field of a lead pair μ0 i s/(2π d²) against 20 µT, 5° allowed | *derived*; limit *choice* |
| heat in a closed bay | p (2/(h A) + t/(k A)) + p/(h a), still air h 11 W/m²K a quarter either way, foam 0.036 W/mK, 85 °C at the case | textbook ranges, *memory*; limit *practice* |
| scales | Σ r x / Σ r, doubts of readings and places in squares; height by tilting | FAA weighing example, *seen* |
| swings | m g r² T²/(4π² L), a plate taken off by its own swing | published worked case within 2 %, *seen* |
| ballast | longest lever first, each place to what it holds: the least mass | *derived* |
| each gram | 10 g at the place, the same 512 launches | paired counting |

A list of boxes gives inertia to about a tenth. Leads and distances are judged for parts that are described; what is not described is not judged, and the page says which.
`)
	return b.String(), nil
}
