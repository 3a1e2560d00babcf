package store

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"fledge/internal/build"
)

var ctx = context.Background()

// clock is a clock of our own: each look is a second later.
func clock() func() time.Time {
	at := time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC)
	var mu sync.Mutex
	return func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		at = at.Add(time.Second)
		return at
	}
}

func logbook(t *testing.T, dir string) *Logbook {
	t.Helper()
	l, err := OpenLogbook(ctx, dir, LogbookOptions{Now: clock(), Create: true})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l
}

func f(v float64) *float64 { return &v }
func yes(b bool) *bool     { return &b }

// noise is a recording that does not compress, so that it overflows pages.
func noise(seed uint64, n int) []byte {
	r := rand.New(rand.NewPCG(seed, 7))
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(r.Uint32())
	}
	return b
}

// addFlight writes flight number i with its build, log and reading, in one
// change, as the command does.
func addFlight(l *Logbook, i int) error {
	return l.Write(ctx, func(t *Tx) error {
		b, err := t.KeepBuild(Loaded{Path: "wren.yaml", Text: []byte(fmt.Sprintf("fledge: 1\naeroplane: {name: Wren %d}\n", i/4)), Files: map[string][]byte{"tip.txt": []byte("1 0\n0 0\n1 0\n")}})
		if err != nil {
			return err
		}
		fl := &Flight{Day: "2026-05-03", Build: b.ID, Aeroplane: "Wren", Stretch: f(9 + float64(i)/8), Launched: yes(i%3 != 0), Because: strings.Repeat("because ", i%40), Note: strconv.Itoa(i)}
		if err := t.Add(fl); err != nil {
			return err
		}
		file, err := t.Keep(noise(uint64(i), 500+i%5*3000))
		if err != nil {
			return err
		}
		if err := t.Add(&Log{Flight: fl.ID, File: file, Name: fmt.Sprintf("%d.csv", i)}); err != nil {
			return err
		}
		return t.Add(&Reading{Flight: fl.ID, Quantity: "ground speed", Value: f(40), SD: f(1), Dim: "speed"})
	})
}

// filled has something of every kind.
func filled(t *testing.T, dir string) *Logbook {
	l := logbook(t, dir)
	for i := range 12 {
		if err := addFlight(l, i); err != nil {
			t.Fatal(err)
		}
	}
	err := l.Write(ctx, func(t *Tx) error {
		for _, r := range []Row{
			&Pack{Name: "3S <2200> \"blue\"", Cells: 3, Capacity: f(7920), Note: "=cmd()"},
			&Cycle{Pack: 1, Day: "2026-05-02", CellResistance: f(0.0042), Temperature: f(293.15)},
			&Evidence{Flight: 2, Log: 2, What: "level speed", Value: f(44.25), SD: f(0.7), Dim: "speed", Window: f(4)},
			&Factor{Day: "2026-05-04", Name: "drag", Component: "airframe", Value: f(1.13), Sigma: f(0.04), Why: "two glides", Aeroplane: "Wren", Lesson: "a", Together: `{"lift":0.5}`, From: "{}"},
			&Repair{Day: "2026-05-05", Flight: 3, Broken: "nose", Mass: f(0.012), X: f(0.1), DragArea: f(1e-5), Regained: f(0.9)},
			&Part{Name: "motor", Aeroplane: "Wren", Since: "2026-01-01"},
			&Wear{Part: 1, Day: "2026-05-03", Flight: 1, Time: f(360), HardLandings: 1, Load: f(20)},
			&Cost{Day: "2026-05-05", What: "epoxy", Cents: 1250, Currency: "EUR", Time: f(3 * 3600), Repair: 1},
		} {
			if err := t.Add(r); err != nil {
				return err
			}
		}
		return t.Strike("reading", 3, "misread")
	})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// everything is all rows of all tables.
func everything(t *testing.T, l *Logbook) map[string][]Row {
	t.Helper()
	out := map[string][]Row{}
	for _, tb := range tables {
		rows, err := l.Entries(ctx, tb.kind)
		if err != nil {
			t.Fatal(err)
		}
		out[tb.name] = rows
	}
	return out
}

func dump(t *testing.T, l *Logbook) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := l.Dump(ctx, &b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func clean(t *testing.T, l *Logbook) {
	t.Helper()
	rep, err := l.Check(ctx)
	if err != nil || len(rep.Problems) > 0 {
		t.Fatalf("%v %v", err, rep.Problems)
	}
}

func TestSchemaIsTheStructs(t *testing.T) {
	l := logbook(t, t.TempDir())
	for _, tb := range tables {
		have, err := texts(ctx, l.db, "SELECT name FROM pragma_table_info('"+tb.name+"') ORDER BY cid")
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for _, c := range tb.columns {
			want = append(want, c.Name)
		}
		if d := cmp.Diff(want, have); d != "" {
			t.Errorf("%s: %s", tb.name, d)
		}
	}
	mode, err := texts(ctx, l.db, "PRAGMA journal_mode")
	if err != nil || mode[0] != "wal" {
		t.Errorf("%v %v", mode, err)
	}
	if s, _ := texts(ctx, l.db, "PRAGMA synchronous"); s[0] != "2" {
		t.Errorf("synchronous %v, want FULL (2)", s)
	}
	if s, _ := texts(ctx, l.db, "PRAGMA page_size"); s[0] != strconv.Itoa(pageSize) {
		t.Errorf("page size %v", s)
	}
}

// Dump, restore, dump: the same bytes, and the same rows.
func TestDumpRestoreIsTheIdentity(t *testing.T) {
	a := filled(t, t.TempDir())
	text := dump(t, a)
	b := logbook(t, t.TempDir())
	got, ds, err := b.Restore(ctx, "d.jsonl", text)
	if err != nil || len(ds) > 0 || len(got.Cut) > 0 {
		t.Fatal(got, ds, err)
	}
	if !bytes.Equal(dump(t, b), text) {
		t.Error("the dump of the restored logbook differs")
	}
	if d := cmp.Diff(everything(t, a), everything(t, b)); d != "" {
		t.Error(d)
	}
	clean(t, b)
	// Again: nothing is added twice.
	got, ds, err = b.Restore(ctx, "d.jsonl", text)
	if err != nil || len(ds) > 0 || got.Added != 0 {
		t.Fatal(got, ds, err)
	}
	if !bytes.Equal(dump(t, b), text) {
		t.Error("a second restore changed something")
	}
	// Into another logbook: references follow their rows.
	c := logbook(t, t.TempDir())
	for i := 20; i < 25; i++ {
		if err := addFlight(c, i); err != nil {
			t.Fatal(err)
		}
	}
	if got, ds, err = c.Restore(ctx, "d.jsonl", text); err != nil || len(ds) > 0 {
		t.Fatal(got, ds, err)
	}
	clean(t, c)
	ev, err := List[Evidence](ctx, c)
	if err != nil || len(ev) != 1 || ev[0].Flight != 7 || ev[0].Log != 7 {
		t.Fatalf("%+v %v", ev, err)
	}
}

func TestRestoreRefuses(t *testing.T) {
	text := dump(t, filled(t, t.TempDir()))
	lines := strings.SplitAfter(string(text), "\n")
	for _, c := range []struct {
		name, text, code string
		line             int
	}{
		{"cut short", strings.Join(lines[:9], ""), "bad-dump", 9},
		{"one row out", strings.Join(append(append([]string{}, lines[:5]...), lines[6:]...), ""), "bad-dump", len(lines) - 2},
		{"changed by hand", strings.Replace(string(text), "misread", "MISREAD", 1), "bad-dump", 48},
		{"newer", strings.Replace(string(text), fmt.Sprintf(`"fledge_logbook":%d`, len(migrations)), fmt.Sprintf(`"fledge_logbook":%d`, len(migrations)+1), 1), "newer-format", 1},
		{"no dump", "hello\n", "bad-dump", 1},
		{"unknown column", strings.Replace(string(text), `"quantity":`, `"quantitty":`, 1), "bad-dump", 46},
		{"more after it", string(text) + "{}\n", "bad-dump", len(lines)},
		{"empty", "", "bad-dump", 1},
	} {
		l := logbook(t, t.TempDir())
		_, ds, err := l.Restore(ctx, "d.jsonl", []byte(c.text))
		if err != nil || !ds.HasErrors() || ds[0].Code != c.code {
			t.Errorf("%s: %v %v", c.name, ds, err)
			continue
		}
		if ds[0].Span.Line != c.line {
			t.Errorf("%s: line %d, want %d: %v", c.name, ds[0].Span.Line, c.line, ds[0])
		}
		if rows, _ := l.Entries(ctx, "flight"); len(rows) > 0 {
			t.Errorf("%s: something was restored", c.name)
		}
	}
}

func FuzzReadDump(f *testing.F) {
	f.Add([]byte("{\"fledge_logbook\":3}\n{\"end\":true,\"rows\":0,\"sha256\":\"\"}\n"))
	f.Add([]byte("{\"fledge_logbook\":3}\n{\"table\":\"packs\",\"row\":{\"id\":1,\"sum\":\"\",\"uid\":\"\",\"entered\":\"\",\"name\":\"x\"}}\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		_, rows, ds := readDump("d", text)
		if !ds.HasErrors() {
			for _, r := range rows {
				if tableOf(r.r.table()).sum(r.r) != r.r.meta().Sum {
					t.Fatal("a row with a wrong sum was taken")
				}
			}
		}
	})
}

func TestSnapshotAndContent(t *testing.T) {
	l := logbook(t, t.TempDir())
	text := []byte("fledge: 1\naeroplane: {name: Wren}\n")
	b, _ := build.Parse("x/wren.yaml", text)
	in := Loaded{Build: b, Path: "x/wren.yaml", Text: text, Files: map[string][]byte{"s/a.txt": []byte("1 0"), "b.csv": {}}}
	var ids [2]int64
	for i := range ids {
		err := l.Write(ctx, func(t *Tx) error {
			k, err := t.KeepBuild(in)
			if err == nil {
				ids[i] = k.ID
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if ids[0] != ids[1] {
		t.Error("the same build was kept twice")
	}
	out, err := l.Snapshot(ctx, ids[0])
	if err != nil || !bytes.Equal(out.Text, text) || out.Path != "wren.yaml" || !reflect.DeepEqual(out.Files, in.Files) {
		t.Errorf("%+v %v", out, err)
	}
	big := bytes.Repeat([]byte("time,speed\n"), 1<<16)
	var id int64
	if err := l.Write(ctx, func(t *Tx) (err error) { id, err = t.Keep(big); return }); err != nil {
		t.Fatal(err)
	}
	if got, err := l.Content(ctx, id); err != nil || !bytes.Equal(got, big) {
		t.Error("the log is not what was kept", err)
	}
	if r, _ := l.Entry(ctx, "file", id); len(r.(*File).Packed) > len(big)/50 {
		t.Errorf("%d bytes of %d: not packed", len(r.(*File).Packed), len(big))
	}
}

func TestNotFinite(t *testing.T) {
	l := logbook(t, t.TempDir())
	for _, v := range []float64{math.NaN(), math.Inf(1)} {
		if err := l.Write(ctx, func(t *Tx) error { return t.Add(&Reading{Quantity: "x", Value: f(v)}) }); err == nil {
			t.Errorf("%g was written", v)
		}
	}
	if rows, _ := l.Entries(ctx, "reading"); len(rows) > 0 {
		t.Error("something was written")
	}
}

// An older logbook, written as text, is brought up to date and keeps every
// row; the old file is kept beside.
func TestMigrations(t *testing.T) {
	for from := 1; from < len(migrations); from++ {
		dir := t.TempDir()
		old := filepath.Join(dir, LogbookName)
		text, err := os.ReadFile(fmt.Sprintf("testdata/format-%d.sql", from))
		if err != nil {
			t.Fatal(err)
		}
		db, err := sql.Open("sqlite", "file:"+old)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := db.Exec(string(text)); err != nil {
			t.Fatal(err)
		}
		db.Close()
		l := logbook(t, dir)
		clean(t, l)
		fl, err := List[Flight](ctx, l)
		if err != nil || len(fl) != 2 || *fl[0].Stretch != 9 || fl[0].Odds != nil && from == 1 || fl[1].Because != "wet grass" {
			t.Fatalf("from %d: %+v %v", from, fl, err)
		}
		b, err := l.Snapshot(ctx, fl[0].Build)
		if err != nil || string(b.Text) != "fledge: 1\naeroplane: {name: Wren}\n" {
			t.Fatalf("from %d: %q %v", from, b.Text, err)
		}
		if from >= 2 {
			p, err := List[Pack](ctx, l)
			if err != nil || len(p) != 1 || p[0].Name != "blue" || *fl[0].Odds != 0.875 || fl[0].Pack != 1 {
				t.Fatalf("%+v %v", p, err)
			}
		}
		if err := addFlight(l, 3); err != nil {
			t.Fatal(err)
		}
		if err := l.Write(ctx, func(t *Tx) error { return t.Add(&Cost{Day: "2026-05-05", What: "glue", Cents: 300, Currency: "EUR"}) }); err != nil {
			t.Fatal(err)
		}
		clean(t, l)
		if _, err := os.Stat(fmt.Sprintf("%s.format-%d", old, from)); err != nil {
			t.Errorf("the old logbook was not kept: %v", err)
		}
	}
}

func TestNewerAndForeign(t *testing.T) {
	dir := t.TempDir()
	l := logbook(t, dir)
	if _, err := l.db.Exec("PRAGMA user_version = 99"); err != nil {
		t.Fatal(err)
	}
	l.Close()
	before, _ := os.ReadFile(l.path)
	var newer *Newer
	if _, err := OpenLogbook(ctx, dir, LogbookOptions{Now: clock(), Create: true}); !errors.As(err, &newer) || newer.Have != 99 {
		t.Errorf("%v", err)
	}
	if after, _ := os.ReadFile(l.path); !bytes.Equal(before, after) {
		t.Error("a newer logbook was touched")
	}
	other := t.TempDir()
	db, err := sql.Open("sqlite", "file:"+filepath.Join(other, LogbookName))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := db.Exec("CREATE TABLE x (y)"); err != nil {
		t.Fatal(err)
	}
	db.Close()
	var foreign *Foreign
	if _, err := OpenLogbook(ctx, other, LogbookOptions{Now: clock(), Create: true}); !errors.As(err, &foreign) {
		t.Errorf("%v", err)
	}
	if _, err := OpenLogbook(ctx, t.TempDir(), LogbookOptions{Now: clock()}); !errors.Is(err, ErrNoLogbook) {
		t.Errorf("%v", err)
	}
}

// A table that is not as its format says is damage, not an inner error.
func TestTablesOfTheFormat(t *testing.T) {
	for _, change := range []string{"ALTER TABLE repairs RENAME COLUMN broken TO torn", "DROP TABLE wear"} {
		dir := t.TempDir()
		l := filled(t, dir)
		if _, err := l.db.Exec(change); err != nil {
			t.Fatal(err)
		}
		l.Close()
		var d *Damaged
		if _, err := OpenLogbook(ctx, dir, LogbookOptions{Now: clock()}); !errors.As(err, &d) {
			t.Errorf("%s: %v", change, err)
		}
		if s, err := Salvage(dir); err != nil || s.Rows["flights"] != 12 {
			t.Errorf("%s: %+v %v", change, s, err)
		}
	}
}

func TestFullDisk(t *testing.T) {
	l := logbook(t, t.TempDir())
	if err := addFlight(l, 1); err != nil {
		t.Fatal(err)
	}
	l.db.SetMaxOpenConns(1)
	if _, err := l.db.Exec("PRAGMA max_page_count = 1"); err != nil { // no page more than there are
		t.Fatal(err)
	}
	var err error
	for i := 2; i < 20 && err == nil; i++ {
		err = addFlight(l, i)
	}
	if !errors.Is(err, ErrFull) {
		t.Fatalf("%v", err)
	}
	clean(t, l)
}

// Writers of several handles take turns; nothing is lost, nothing doubled.
func TestConcurrentWriters(t *testing.T) {
	dir := t.TempDir()
	const writers, each = 4, 15
	var wg sync.WaitGroup
	errs := make(chan error, writers*each*2)
	for w := range writers {
		wg.Add(1)
		go func() {
			defer wg.Done()
			l, err := OpenLogbook(ctx, dir, LogbookOptions{Now: clock(), Create: true})
			if err != nil {
				errs <- err
				return
			}
			defer l.Close()
			for i := range each {
				if err := addFlight(l, w*1000+i); err != nil {
					errs <- err
				}
				if _, err := List[Flight](ctx, l); err != nil {
					errs <- err
				}
			}
		}()
	}
	wg.Wait()
	close(errs)
	for err := range errs {
		t.Error(err)
	}
	l := logbook(t, dir)
	clean(t, l)
	fl, err := List[Flight](ctx, l)
	if err != nil || len(fl) != writers*each {
		t.Fatalf("%d flights, %v", len(fl), err)
	}
	seen := map[string]bool{}
	for i, x := range fl {
		if x.ID != int64(i+1) || seen[x.Note] {
			t.Fatalf("flight %d: %+v", i, x)
		}
		seen[x.Note] = true
	}
}

func TestMain(m *testing.M) {
	if dir := os.Getenv("FLEDGE_TEST_WRITER"); dir != "" {
		writer(dir)
	}
	if dir := os.Getenv("FLEDGE_TEST_READER"); dir != "" {
		reader(dir)
	}
	os.Exit(m.Run())
}

// writer adds flights as fast as it can and says each one that is done.
func writer(dir string) {
	l, err := OpenLogbook(ctx, dir, LogbookOptions{Now: time.Now, Create: true})
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	fl, err := List[Flight](ctx, l)
	if err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	for i := len(fl); ; i++ {
		if err := addFlight(l, i); err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		fmt.Println("done", i)
	}
}

// TestKilled kills a writing process at random moments and holds the logbook
// to what had been acknowledged: all of it there and whole, and of the change
// under way everything or nothing.
func TestKilled(t *testing.T) {
	kills, budget := 240, 12*time.Second
	if os.Getenv("FLEDGE_ACCURACY") != "" {
		kills, budget = 1000, 90*time.Second
	}
	if testing.Short() {
		kills, budget = 40, 4*time.Second
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	r := rand.New(rand.NewPCG(6, 6))
	dir := t.TempDir()
	done, acknowledged, doneKills, inMidst := 0, 0, 0, 0
	for k := 0; k < kills && (time.Since(start) < budget || k < 30); k++ {
		if k%40 == 39 { // a fresh folder: kills while it is being made, too
			dir, acknowledged = t.TempDir(), 0
		}
		cmd := exec.Command(exe)
		cmd.Env = append(os.Environ(), "FLEDGE_TEST_WRITER="+dir)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		timer := time.AfterFunc(time.Duration(r.Int64N(int64(60*time.Millisecond))), func() { cmd.Process.Kill() })
		lines := bufio.NewScanner(out)
		for lines.Scan() {
			word, rest, _ := strings.Cut(lines.Text(), " ")
			if word == "error" {
				t.Fatalf("kill %d: %s", k, rest)
			}
			n, err := strconv.Atoi(rest)
			if err != nil {
				break // the last line, cut by the kill
			}
			acknowledged = n + 1
			done++
		}
		cmd.Wait()
		timer.Stop()
		doneKills++
		if _, err := os.Stat(filepath.Join(dir, LogbookName)); errors.Is(err, os.ErrNotExist) && acknowledged == 0 {
			continue
		}
		l, err := OpenLogbook(ctx, dir, LogbookOptions{Now: time.Now, Create: true})
		if err != nil {
			t.Fatalf("kill %d: %v", k, err)
		}
		fl, err := List[Flight](ctx, l)
		if err != nil {
			t.Fatalf("kill %d: %v", k, err)
		}
		logs, err := List[Log](ctx, l)
		if err != nil {
			t.Fatalf("kill %d: %v", k, err)
		}
		readings, err := List[Reading](ctx, l)
		if err != nil {
			t.Fatalf("kill %d: %v", k, err)
		}
		if len(fl) < acknowledged || len(fl) > acknowledged+1 || len(logs) != len(fl) || len(readings) != len(fl) {
			t.Fatalf("kill %d: %d acknowledged, %d flights, %d logs, %d readings", k, acknowledged, len(fl), len(logs), len(readings))
		}
		if len(fl) > acknowledged {
			inMidst++
		}
		for i, x := range fl {
			if x.Note != strconv.Itoa(i) || *x.Stretch != 9+float64(i)/8 {
				t.Fatalf("kill %d: flight %d is %+v", k, i, x)
			}
		}
		if k%20 == 0 || k == kills-1 {
			clean(t, l)
			for i, x := range logs[max(0, len(logs)-3):] {
				got, err := l.Content(ctx, x.File)
				n := max(0, len(logs)-3) + i
				if err != nil || !bytes.Equal(got, noise(uint64(n), 500+n%5*3000)) {
					t.Fatalf("kill %d: log %d: %v", k, n, err)
				}
			}
		}
		acknowledged = len(fl)
		l.Close()
	}
	t.Logf("%d kills, %d changes acknowledged, %d times the change under way was whole though not acknowledged, %.1f s", doneKills, done, inMidst, time.Since(start).Seconds())
}

// TestCutLog cuts the write-ahead log at random places, as a power failure
// would, and finds a whole number of changes each time.
func TestCutLog(t *testing.T) {
	dir := t.TempDir()
	l := logbook(t, dir)
	l.db.SetMaxOpenConns(1)
	if _, err := l.db.Exec("PRAGMA wal_autocheckpoint = 0"); err != nil {
		t.Fatal(err)
	}
	for i := range 12 {
		if err := addFlight(l, i); err != nil {
			t.Fatal(err)
		}
	}
	main, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	wal, err := os.ReadFile(l.path + "-wal")
	if err != nil {
		t.Fatal(err)
	}
	r := rand.New(rand.NewPCG(1, 1))
	seen := map[int]bool{}
	for range 200 {
		cut := r.IntN(len(wal) + 1)
		to := t.TempDir()
		os.WriteFile(filepath.Join(to, LogbookName), main, 0o644)
		os.WriteFile(filepath.Join(to, LogbookName+"-wal"), wal[:cut], 0o644)
		c, err := OpenLogbook(ctx, to, LogbookOptions{Now: clock(), Create: true})
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		fl, err := List[Flight](ctx, c)
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		logs, err := List[Log](ctx, c)
		if err != nil || len(logs) != len(fl) {
			t.Fatalf("cut at %d: %d flights, %d logs, %v", cut, len(fl), len(logs), err)
		}
		seen[len(fl)] = true
		c.Close()
	}
	if len(seen) < 8 {
		t.Errorf("only %d different numbers of changes seen", len(seen))
	}
}

// TestDamage flips, wipes and cuts: all damage that matters is found, and what
// is saved is true.
func TestDamage(t *testing.T) {
	l := filled(t, t.TempDir())
	truth := map[string]Row{}
	for name, rows := range everything(t, l) {
		for _, r := range rows {
			truth[fmt.Sprintf("%s %d", name, r.meta().ID)] = r
		}
	}
	if _, err := l.db.Exec("PRAGMA wal_checkpoint(TRUNCATE)"); err != nil {
		t.Fatal(err)
	}
	l.Close()
	good, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	if rows := carve(good, nil); len(rows) != len(truth) {
		t.Fatalf("%d of %d rows read from the undamaged file", len(rows), len(truth))
	}
	r := rand.New(rand.NewPCG(2, 2))
	var found, harmless, saved, possible int
	times := 150
	if testing.Short() {
		times = 30
	}
	for k := 0; k < times; k++ {
		bad := append([]byte{}, good...)
		switch k % 5 {
		case 0: // a sector of rubbish
			at := r.IntN(len(bad)/512) * 512
			copy(bad[at:], noise(uint64(k), 512))
		case 1: // a page of nothing
			at := r.IntN(len(bad)/pageSize) * pageSize
			clear(bad[at : at+pageSize])
		case 2: // cut short
			bad = bad[:1+r.IntN(len(bad)-1)]
		case 3: // one bit
			bad[r.IntN(len(bad))] ^= 1 << r.IntN(8)
		case 4: // the head
			copy(bad, noise(uint64(k), 100+r.IntN(4000)))
		}
		dir := t.TempDir()
		path := filepath.Join(dir, LogbookName)
		os.WriteFile(path, bad, 0o644)
		what := fmt.Sprintf("damage %d", k)
		told := false
		c, err := OpenLogbook(ctx, dir, LogbookOptions{Now: clock(), Create: true})
		if err == nil {
			rep, err := c.Check(ctx)
			told = err != nil || len(rep.Problems) > 0
			if !told { // then all that is there must be as it was
				n := 0
				for name, rows := range everything(t, c) {
					for _, x := range rows {
						n++
						if d := truth[fmt.Sprintf("%s %d", name, x.meta().ID)]; !reflect.DeepEqual(d, x) {
							t.Errorf("%s: not told: %+v", what, d)
						}
					}
				}
				if n != len(truth) {
					t.Errorf("%s: not told: %d of %d rows", what, n, len(truth))
				}
				harmless++
			}
			c.Close()
		} else {
			var d *Damaged
			var other *Newer
			var foreign *Foreign
			if !errors.As(err, &d) && !errors.As(err, &other) && !errors.As(err, &foreign) {
				t.Errorf("%s: %v", what, err)
			}
			told = true
		}
		if told {
			found++
		}
		os.WriteFile(path, bad, 0o644)
		os.Remove(path + "-wal")
		s, err := Salvage(dir)
		if err != nil {
			t.Fatal(err)
		}
		if after, _ := os.ReadFile(path); !bytes.Equal(after, bad) {
			t.Errorf("%s: the damaged file was touched", what)
		}
		text, err := os.ReadFile(s.Path)
		if err != nil {
			t.Fatal(err)
		}
		into := logbook(t, t.TempDir())
		res, ds, err := into.Restore(ctx, s.Path, text)
		if err != nil || len(ds) > 0 {
			t.Fatalf("%s: %v %v", what, ds, err)
		}
		_ = res
		for _, x := range carve(bad, nil) {
			if d := truth[fmt.Sprintf("%s %d", x.table(), x.meta().ID)]; !reflect.DeepEqual(d, x) {
				t.Errorf("%s: a row that never was: %+v", what, x)
			}
		}
		saved += s.All
		possible += len(truth)
		into.Close()
	}
	t.Logf("%d damages: %d told, %d harmless; %.1f %% of the rows saved on the mean", times, found, harmless, 100*float64(saved)/float64(possible))
	if float64(saved) < 0.6*float64(possible) {
		t.Errorf("only %d of %d rows saved", saved, possible)
	}
}

// The salvage reads the write-ahead log too.
func TestCarveReadsTheLog(t *testing.T) {
	l := logbook(t, t.TempDir())
	for i := range 5 {
		if err := addFlight(l, i); err != nil {
			t.Fatal(err)
		}
	}
	main, err := os.ReadFile(l.path)
	if err != nil {
		t.Fatal(err)
	}
	wal, err := os.ReadFile(l.path + "-wal")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, r := range carve(main, wal) {
		if r.table() == "flights" {
			n++
		}
	}
	if n != 5 {
		t.Errorf("%d of 5 flights", n)
	}
}

// A rescue: the damaged file aside, a new logbook from what was saved.
func TestSetAside(t *testing.T) {
	dir := t.TempDir()
	l := filled(t, dir)
	l.Close()
	text, _ := os.ReadFile(l.path)
	copy(text, noise(1, 100))
	os.WriteFile(l.path, text, 0o644)
	var d *Damaged
	if _, err := OpenLogbook(ctx, dir, LogbookOptions{Now: clock(), Create: true}); !errors.As(err, &d) {
		t.Fatal(err)
	}
	s, err := Salvage(dir)
	if err != nil {
		t.Fatal(err)
	}
	to, err := SetAside(dir)
	if err != nil {
		t.Fatal(err)
	}
	if kept, _ := os.ReadFile(to); !bytes.Equal(kept, text) {
		t.Error("the damaged file was not kept")
	}
	saved, err := os.ReadFile(s.Path)
	if err != nil {
		t.Fatal(err)
	}
	n := logbook(t, dir)
	if _, ds, err := n.Restore(ctx, s.Path, saved); err != nil || len(ds) > 0 {
		t.Fatal(ds, err)
	}
	clean(t, n)
	fl, err := List[Flight](ctx, n)
	if err != nil || len(fl) != 12 {
		t.Errorf("%d flights, %v", len(fl), err)
	}
}

func FuzzCarve(fz *testing.F) {
	fz.Add([]byte{}, []byte{})
	fz.Add(append(make([]byte, pageSize), append([]byte{0x0d, 0, 0, 0, 1, 0, 20, 0, 0, 20}, make([]byte, pageSize-10)...)...), []byte("wal"))
	fz.Fuzz(func(t *testing.T, main, wal []byte) {
		for _, r := range carve(main, wal) {
			if tableOf(r.table()).sum(r) != r.meta().Sum {
				t.Fatal("a row with a wrong sum was taken")
			}
		}
	})
}

// reader is run without rights on the folder.
func reader(dir string) {
	l, err := OpenLogbook(ctx, dir, LogbookOptions{Now: time.Now, Create: true})
	if err != nil {
		fmt.Println("open:", err)
		os.Exit(0)
	}
	fl, err := List[Flight](ctx, l)
	fmt.Println("flights:", len(fl), err)
	fmt.Println("write:", addFlight(l, 9), errors.Is(addFlight(l, 9), ErrReadOnly))
	l.Close()
	os.Exit(0)
}

func BenchmarkAdd(b *testing.B) {
	l, err := OpenLogbook(ctx, b.TempDir(), LogbookOptions{Now: time.Now, Create: true})
	if err != nil {
		b.Fatal(err)
	}
	defer l.Close()
	for i := 0; b.Loop(); i++ {
		if err := addFlight(l, i); err != nil {
			b.Fatal(err)
		}
	}
}
