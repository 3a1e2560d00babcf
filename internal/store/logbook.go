package store

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"database/sql"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"syscall"
	"time"

	"modernc.org/sqlite"
)

// LogbookName is the logbook's file in the hangar folder, beside the builds.
const LogbookName = "logbook.sqlite"

// applicationID marks the file as Fledge's logbook ("FLDG").
const applicationID = 0x464c4447

// MaxLog is the largest recording that is kept, in bytes.
const MaxLog = 64 << 20

// quickLimit is the largest file whose structure is looked through each time
// it is opened (a few milliseconds for each MiB).
const quickLimit = 8 << 20

//go:embed migrations/*.sql
var migrationFiles embed.FS

var migrations = readMigrations()

func readMigrations() []string {
	list, err := migrationFiles.ReadDir("migrations")
	if err != nil {
		panic(err)
	}
	out := make([]string, len(list))
	for i, e := range list { // in the order of their numbers
		if e.Name() != fmt.Sprintf("%03d.sql", i+1) {
			panic("store: migrations are numbered from 001: " + e.Name())
		}
		text, err := migrationFiles.ReadFile("migrations/" + e.Name())
		if err != nil {
			panic(err)
		}
		out[i] = string(text)
	}
	return out
}

// Logbook is the hangar's memory: one SQLite file. What [Logbook.Write] has
// returned without error is on the disk, whole, whatever happens to the
// process afterwards (write-ahead log, flushed at each commit). Several
// programs may have it open at once: readers never wait, writers take turns.
type Logbook struct {
	db      *sql.DB
	path    string
	now     func() time.Time
	private string // folder of a private copy, when the hangar is read-only
}

// LogbookOptions says how to open one. Now dates what is entered and must be
// given by the caller, for the clock is read outside.
type LogbookOptions struct {
	Now    func() time.Time
	Create bool // make one when there is none
}

// The kinds of trouble a logbook can be in, told in plain words.
var (
	ErrNoLogbook = errors.New("there is no logbook in this folder yet")
	ErrReadOnly  = errors.New("the hangar folder is read-only: nothing was written")
	ErrFull      = errors.New("the disk is full: nothing of this was written; what was in the logbook before is safe")
	ErrBusy      = errors.New("another program holds the logbook for too long: nothing was written, try again")
)

// Newer is a logbook of a later program.
type Newer struct {
	Path       string
	Have, Know int
}

func (e *Newer) Error() string {
	return fmt.Sprintf("%s has format %d, this program knows up to %d: it was left alone; use the newer program", e.Path, e.Have, e.Know)
}

// Foreign is a file of that name that is no logbook.
type Foreign struct{ Path string }

func (e *Foreign) Error() string {
	return e.Path + " is an SQLite file of another program: it was left alone"
}

// Damaged is a logbook whose content is not what was written. See [Salvage].
type Damaged struct{ Path, Why string }

func (e *Damaged) Error() string { return fmt.Sprintf("%s is damaged: %s", e.Path, e.Why) }

// OpenLogbook opens the logbook of a hangar folder, bringing an older format
// up to date first (a copy of the old file is kept beside it). In a read-only
// folder it works on a private copy and refuses to write.
func OpenLogbook(ctx context.Context, dir string, o LogbookOptions) (*Logbook, error) {
	if o.Now == nil {
		panic("store: OpenLogbook needs Now")
	}
	path := filepath.Join(dir, LogbookName)
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("%s: %w", dir, errors.Join(errNoFolder, fs.ErrNotExist))
	}
	fresh := false
	switch info, err := os.Stat(path); {
	case errors.Is(err, fs.ErrNotExist):
		if !o.Create {
			return nil, fmt.Errorf("%s: %w", dir, ErrNoLogbook)
		}
		fresh = true
	case err != nil:
		return nil, fmt.Errorf("%s: %s", path, reason(err))
	case !info.Mode().IsRegular():
		return nil, &Foreign{path}
	}
	l := &Logbook{path: path, now: o.Now}
	if fresh { // an empty file is a logbook before its first commit
		f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
		switch {
		case errors.Is(err, syscall.ENOSPC):
			return nil, fmt.Errorf("%s: %w", path, ErrFull)
		case err != nil:
			return nil, fmt.Errorf("%s: %w", dir, ErrReadOnly)
		}
		f.Close()
	}
	err := l.open(ctx, path, fresh)
	if l.mayNotWrite(err) {
		l.Close()
		l.db = nil
		at, err := l.copyAway()
		if err != nil {
			return nil, err
		}
		if err := l.open(ctx, at, false); err != nil {
			l.Close()
			return nil, l.plain(err)
		}
		return l, nil
	}
	if err != nil {
		l.Close()
		return nil, l.plain(err)
	}
	return l, nil
}

var errNoFolder = errors.New("there is no such folder")

// mayNotWrite finds out by trying, for permissions, mounts and access lists
// differ: the file does not open for writing, or SQLite cannot make its
// write-ahead log beside it.
func (l *Logbook) mayNotWrite(err error) bool {
	f, ferr := os.OpenFile(l.path, os.O_RDWR, 0)
	if ferr != nil {
		return errors.Is(ferr, fs.ErrPermission) || errors.Is(ferr, syscall.EROFS)
	}
	f.Close()
	var se *sqlite.Error
	if !errors.As(err, &se) {
		return false
	}
	code := se.Code() & 0xff
	return code == 8 || code == 14 // SQLITE_READONLY, SQLITE_CANTOPEN
}

// copyAway makes a private copy of a logbook that may not be touched.
func (l *Logbook) copyAway() (string, error) {
	dir, err := os.MkdirTemp("", "fledge-logbook-")
	if err != nil {
		return "", fmt.Errorf("%s: %s", l.path, reason(err))
	}
	l.private = dir
	for _, tail := range []string{"", "-wal"} {
		text, err := os.ReadFile(l.path + tail)
		if tail != "" && errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, LogbookName)+tail, text, 0o600)
		}
		if err != nil {
			os.RemoveAll(dir)
			return "", fmt.Errorf("%s: %s", l.path, reason(err))
		}
	}
	return filepath.Join(dir, LogbookName), nil
}

func dsn(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	path = filepath.ToSlash(path)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	u := url.URL{Scheme: "file", Path: path}
	q := []string{
		"_pragma=busy_timeout(15000)", "_pragma=journal_mode(WAL)", "_pragma=synchronous(FULL)",
		"_pragma=foreign_keys(1)", "_pragma=secure_delete(1)", "_pragma=cell_size_check(1)", "_pragma=trusted_schema(0)", "_txlock=immediate",
	}
	return u.String() + "?" + strings.Join(q, "&")
}

func (l *Logbook) open(ctx context.Context, at string, fresh bool) error {
	if !fresh {
		if err := l.header(at); err != nil {
			return err
		}
	}
	db, err := sql.Open("sqlite", dsn(at))
	if err != nil {
		return err
	}
	db.SetMaxOpenConns(4)
	l.db = db
	version, app, err := l.stamp(ctx)
	if err != nil {
		return err
	}
	if version > len(migrations) {
		return &Newer{l.path, version, len(migrations)}
	}
	if !fresh && app != applicationID && !(app == 0 && version == 0) {
		return &Foreign{l.path}
	}
	if info, err := os.Stat(at); err == nil && !fresh && info.Size() <= quickLimit {
		if err := l.quick(ctx); err != nil {
			return err
		}
	}
	if version < len(migrations) {
		if err := l.migrate(ctx, at, version); err != nil {
			return err
		}
	}
	for _, t := range tables { // a number of the format is not its tables
		rows, err := db.QueryContext(ctx, "SELECT "+t.names()+" FROM "+t.name+" LIMIT 0")
		var se *sqlite.Error
		if errors.As(err, &se) && se.Code() == 1 { // SQLITE_ERROR: no such table or column
			return &Damaged{l.path, fmt.Sprintf("its table of %s is not that of format %d", t.name, len(migrations))}
		}
		if err != nil {
			return err
		}
		rows.Close()
	}
	return nil
}

// header looks at the file before SQLite does, which would take a file with
// a broken head for a new or a foreign one.
func (l *Logbook) header(at string) error {
	f, err := os.Open(at)
	if err != nil {
		return fmt.Errorf("%s: %s", l.path, reason(err))
	}
	defer f.Close()
	head := make([]byte, 100)
	n, err := io.ReadFull(f, head)
	if n == 0 {
		return nil // made, and killed before the first commit: empty is right
	}
	if err != nil {
		return &Damaged{l.path, "it ends within its first line"}
	}
	if string(head[:16]) != "SQLite format 3\x00" {
		return &Damaged{l.path, "its head is not that of a logbook"}
	}
	if info, err := f.Stat(); err == nil {
		page := int64(head[16])<<8 | int64(head[17])
		if page == 1 {
			page = 65536
		}
		pages := int64(head[28])<<24 | int64(head[29])<<16 | int64(head[30])<<8 | int64(head[31])
		if wal, err := os.Stat(at + "-wal"); (err != nil || wal.Size() == 0) && page >= 512 && info.Size() < pages*page {
			return &Damaged{l.path, fmt.Sprintf("it should have %d pages and ends after %d", pages, info.Size()/page)}
		}
	}
	return nil
}

func (l *Logbook) stamp(ctx context.Context) (version int, app int64, err error) {
	if err = l.db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return
	}
	err = l.db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&app)
	return
}

// quick asks SQLite whether its pages hang together.
func (l *Logbook) quick(ctx context.Context) error {
	var say string
	if err := l.db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&say); err != nil {
		return err
	}
	if say != "ok" {
		return &Damaged{l.path, firstLine(say)}
	}
	return nil
}

func firstLine(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return strings.TrimSpace(lines[len(lines)-1])
}

// migrate brings the format up step by step, each step all or nothing. Two
// programs may try at once: the version is read again inside the transaction.
func (l *Logbook) migrate(ctx context.Context, at string, from int) error {
	if from > 0 {
		keep := fmt.Sprintf("%s.format-%d", at, from)
		if _, err := os.Stat(keep); errors.Is(err, fs.ErrNotExist) {
			if _, err := l.db.ExecContext(ctx, "VACUUM INTO ?", keep); err != nil {
				return err
			}
		}
	}
	for {
		tx, err := l.db.BeginTx(ctx, nil)
		if err != nil {
			return err
		}
		var version int
		if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
			tx.Rollback()
			return err
		}
		if version >= len(migrations) {
			return tx.Rollback()
		}
		if version == 0 {
			var n int
			if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&n); err != nil {
				tx.Rollback()
				return err
			}
			if n > 0 {
				tx.Rollback()
				return &Foreign{l.path}
			}
		}
		if _, err = tx.ExecContext(ctx, migrations[version]); err == nil {
			_, err = tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", version+1, applicationID))
		}
		if err != nil {
			tx.Rollback()
			return err
		}
		if err := tx.Commit(); err != nil {
			return err
		}
	}
}

// Close closes it.
func (l *Logbook) Close() error {
	var err error
	if l.db != nil {
		err = l.db.Close()
	}
	if l.private != "" {
		os.RemoveAll(l.private)
	}
	return err
}

// ReadOnly says whether nothing can be written.
func (l *Logbook) ReadOnly() bool { return l.private != "" }

// plain turns SQLite's error into words, and damage into Damaged.
func (l *Logbook) plain(err error) error {
	var bad *badRow
	if errors.As(err, &bad) {
		return &Damaged{l.path, bad.Error()}
	}
	var se *sqlite.Error
	if !errors.As(err, &se) {
		return err
	}
	switch se.Code() & 0xff {
	case 11, 26: // SQLITE_CORRUPT, SQLITE_NOTADB
		return &Damaged{l.path, "SQLite says: " + se.Error()}
	case 13: // SQLITE_FULL
		return fmt.Errorf("%s: %w", l.path, ErrFull)
	case 8: // SQLITE_READONLY
		return fmt.Errorf("%s: %w", l.path, ErrReadOnly)
	case 5, 6: // SQLITE_BUSY, SQLITE_LOCKED
		return fmt.Errorf("%s: %w", l.path, ErrBusy)
	case 10, 14: // SQLITE_IOERR, SQLITE_CANTOPEN
		return fmt.Errorf("%s: the file cannot be read or written here (%s); nothing of this was written", l.path, se.Error())
	}
	return fmt.Errorf("%s: %w", l.path, err)
}

// Tx is one change of the logbook.
type Tx struct {
	tx  *sql.Tx
	ctx context.Context
	now string
}

// Write makes one change: all that do adds, or nothing. When it returns nil
// the change is on the disk.
func (l *Logbook) Write(ctx context.Context, do func(*Tx) error) error {
	if l.ReadOnly() {
		return fmt.Errorf("%s: %w", filepath.Dir(l.path), ErrReadOnly)
	}
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return l.plain(err)
	}
	defer tx.Rollback()
	if err := do(&Tx{tx, ctx, l.now().UTC().Format("2006-01-02T15:04:05.000000000Z")}); err != nil {
		return l.plain(err)
	}
	return l.plain(tx.Commit())
}

// Add writes a new row and sets its Meta.
func (t *Tx) Add(r Row) error {
	tb := tableOf(r.table())
	m := r.meta()
	if err := t.tx.QueryRowContext(t.ctx, "SELECT coalesce(max(id), 0) + 1 FROM "+tb.name).Scan(&m.ID); err != nil {
		return err
	}
	m.Entered = t.now
	m.UID = tb.uid(r)
	return t.insert(tb, r)
}

// AddAs is [Tx.Add] of an entry that has its uid from elsewhere.
func (t *Tx) AddAs(r Row, uid string) error {
	tb := tableOf(r.table())
	m := r.meta()
	if err := t.tx.QueryRowContext(t.ctx, "SELECT coalesce(max(id), 0) + 1 FROM "+tb.name).Scan(&m.ID); err != nil {
		return err
	}
	m.Entered, m.UID = t.now, uid
	return t.insert(tb, r)
}

func (t *Tx) insert(tb *table, r Row) error {
	if err := tb.finite(r); err != nil {
		return err
	}
	r.meta().Sum = tb.sum(r)
	cells := make([]any, len(tb.columns))
	for i := range tb.columns {
		cells[i] = tb.columns[i].cell(r)
	}
	_, err := t.tx.ExecContext(t.ctx, "INSERT INTO "+tb.name+" ("+tb.names()+") VALUES (?"+strings.Repeat(", ?", len(cells)-1)+")", cells...)
	return err
}

// Strike marks an entry as not counting any more, with the reason; it stays
// to be read.
func (t *Tx) Strike(kind string, id int64, why string) error {
	r, err := t.get(kind, id)
	if err != nil {
		return err
	}
	r.meta().Struck = why
	tb := tableOf(r.table())
	r.meta().Sum = tb.sum(r)
	_, err = t.tx.ExecContext(t.ctx, "UPDATE "+tb.name+" SET struck = ?, sum = ? WHERE id = ?", why, r.meta().Sum, id)
	return err
}

// Mend writes changed values of an entry over the old ones.
func (t *Tx) Mend(r Row) error {
	tb := tableOf(r.table())
	if err := tb.finite(r); err != nil {
		return err
	}
	r.meta().Sum = tb.sum(r)
	var set []string
	var cells []any
	for i := range tb.columns[1:] {
		c := &tb.columns[i+1]
		set = append(set, c.Name+" = ?")
		cells = append(cells, c.cell(r))
	}
	_, err := t.tx.ExecContext(t.ctx, "UPDATE "+tb.name+" SET "+strings.Join(set, ", ")+" WHERE id = ?", append(cells, r.meta().ID)...)
	return err
}

// ErrNoEntry is returned for an entry that is not there.
var ErrNoEntry = errors.New("there is no such entry")

func (t *Tx) get(kind string, id int64) (Row, error) {
	for _, tb := range tables {
		if tb.kind == kind {
			return one(t.ctx, t.tx, tb, "id = ?", id)
		}
	}
	return nil, ErrNoEntry
}

type querier interface {
	QueryContext(context.Context, string, ...any) (*sql.Rows, error)
}

func one(ctx context.Context, q querier, tb *table, where string, args ...any) (Row, error) {
	list, err := query(ctx, q, tb, "WHERE "+where+" ORDER BY id LIMIT 1", args...)
	if err != nil {
		return nil, err
	}
	if len(list) == 0 {
		return nil, ErrNoEntry
	}
	return list[0], nil
}

func query(ctx context.Context, q querier, tb *table, tail string, args ...any) ([]Row, error) {
	rows, err := q.QueryContext(ctx, "SELECT "+tb.names()+" FROM "+tb.name+" "+tail, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []Row
	for rows.Next() {
		r, err := tb.scan(rows)
		if err != nil {
			return out, err
		}
		out = append(out, r)
	}
	return out, rows.Err()
}

// Keep puts the content of a file into the logbook, once for the same
// content, and returns its number.
func (t *Tx) Keep(content []byte) (int64, error) {
	h := sha256.Sum256(content)
	name := hex.EncodeToString(h[:])
	var id int64
	switch err := t.tx.QueryRowContext(t.ctx, "SELECT id FROM files WHERE sha256 = ?", name).Scan(&id); {
	case err == nil:
		return id, nil
	case !errors.Is(err, sql.ErrNoRows):
		return 0, err
	}
	f := &File{SHA256: name, Size: int64(len(content)), Packing: "none", Packed: content}
	if f.Packed == nil {
		f.Packed = []byte{}
	}
	if p := pack(content); len(p) < len(content) {
		f.Packing, f.Packed = "gzip", p
	}
	err := t.Add(f)
	return f.ID, err
}

func pack(content []byte) []byte {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression)
	w.Write(content)
	w.Close()
	return b.Bytes()
}

// content unpacks a file and holds it to its hash.
func (f *File) content() ([]byte, error) {
	if f.Size < 0 || f.Size > MaxLog { // a made-up size would let a small row unpack into all memory
		return nil, &badRow{"file", f.ID, "it says to be larger than any recording that is kept"}
	}
	out := f.Packed
	switch f.Packing {
	case "none":
	case "gzip":
		r, err := gzip.NewReader(bytes.NewReader(f.Packed))
		if err != nil {
			return nil, &badRow{"file", f.ID, "it does not unpack"}
		}
		if out, err = io.ReadAll(io.LimitReader(r, f.Size+1)); err != nil {
			return nil, &badRow{"file", f.ID, "it does not unpack"}
		}
	default:
		return nil, &badRow{"file", f.ID, "packed in an unknown way"}
	}
	if h := sha256.Sum256(out); hex.EncodeToString(h[:]) != f.SHA256 || int64(len(out)) != f.Size {
		return nil, &badRow{"file", f.ID, "it is not what its hash says"}
	}
	return out, nil
}

// KeepBuild puts a build file with its attachments into the logbook, once
// for the same content.
func (t *Tx) KeepBuild(b Loaded) (*Build, error) {
	h := sha256.New()
	put := func(name string, text []byte) {
		fmt.Fprintf(h, "%d\x00%s%d\x00", len(name), name, len(text))
		h.Write(text)
	}
	put("", b.Text)
	names := make([]string, 0, len(b.Files))
	for n := range b.Files {
		names = append(names, n)
	}
	sort.Strings(names)
	held := map[string]string{}
	for _, n := range names {
		put(n, b.Files[n])
		if _, err := t.Keep(b.Files[n]); err != nil {
			return nil, err
		}
		s := sha256.Sum256(b.Files[n])
		held[n] = hex.EncodeToString(s[:])
	}
	out := &Build{Path: filepath.Base(b.Path), Hash: hex.EncodeToString(h.Sum(nil))}
	if b.Build != nil {
		out.Aeroplane = b.Build.Aeroplane.Name.S
	}
	switch r, err := one(t.ctx, t.tx, tableOf("builds"), "hash = ?", out.Hash); {
	case err == nil:
		return r.(*Build), nil
	case !errors.Is(err, ErrNoEntry):
		return nil, err
	}
	var err error
	if out.Text, err = t.Keep(b.Text); err != nil {
		return nil, err
	}
	if len(held) > 0 {
		j, err := json.Marshal(held)
		if err != nil {
			return nil, err
		}
		out.Attachments = string(j)
	}
	return out, t.Add(out)
}

// Entries lists all rows of a kind in the order of their numbers.
func (l *Logbook) Entries(ctx context.Context, kind string) ([]Row, error) {
	for _, tb := range tables {
		if tb.kind == kind {
			out, err := query(ctx, l.db, tb, "ORDER BY id")
			return out, l.plain(err)
		}
	}
	panic("store: no kind " + kind)
}

// Entry returns one row.
func (l *Logbook) Entry(ctx context.Context, kind string, id int64) (Row, error) {
	for _, tb := range tables {
		if tb.kind == kind {
			r, err := one(ctx, l.db, tb, "id = ?", id)
			return r, l.plain(err)
		}
	}
	panic("store: no kind " + kind)
}

// List is [Logbook.Entries] with the entry's own type, struck ones left out.
func List[T any, P interface {
	*T
	Row
}](ctx context.Context, l *Logbook) ([]P, error) {
	rows, err := query(ctx, l.db, tableOf(P(new(T)).table()), "WHERE struck IS NULL ORDER BY id")
	if err != nil {
		return nil, l.plain(err)
	}
	out := make([]P, len(rows))
	for i, r := range rows {
		out[i] = r.(P)
	}
	return out, nil
}

// Content returns a kept file, held to its hash.
func (l *Logbook) Content(ctx context.Context, id int64) ([]byte, error) {
	r, err := l.Entry(ctx, "file", id)
	if err != nil {
		return nil, err
	}
	out, err := r.(*File).content()
	return out, l.plain(err)
}

// Snapshot returns a kept build as it was loaded then.
func (l *Logbook) Snapshot(ctx context.Context, id int64) (Loaded, error) {
	r, err := l.Entry(ctx, "build", id)
	if err != nil {
		return Loaded{}, err
	}
	b := r.(*Build)
	out := Loaded{Path: b.Path, Files: map[string][]byte{}}
	if out.Text, err = l.Content(ctx, b.Text); err != nil {
		return out, err
	}
	held := map[string]string{}
	if b.Attachments != "" {
		if err := json.Unmarshal([]byte(b.Attachments), &held); err != nil {
			return out, &Damaged{l.path, fmt.Sprintf("build %d: its list of files cannot be read", id)}
		}
	}
	for name, sum := range held {
		f, err := one(ctx, l.db, tableOf("files"), "sha256 = ?", sum)
		if err != nil {
			return out, l.plain(err)
		}
		if out.Files[name], err = f.(*File).content(); err != nil {
			return out, l.plain(err)
		}
	}
	return out, nil
}

// Named finds the entry of a table by its name, the last one of that name.
func (l *Logbook) Named(ctx context.Context, table, name string) (int64, []string, error) {
	rows, err := query(ctx, l.db, tableOf(table), "WHERE struck IS NULL ORDER BY id DESC")
	if err != nil {
		return 0, nil, l.plain(err)
	}
	var names []string
	for _, r := range rows {
		var have string
		switch x := r.(type) {
		case *Pack:
			have = x.Name
		case *Part:
			have = x.Name
		default:
			continue
		}
		if have == name {
			return r.meta().ID, nil, nil
		}
		names = append(names, have)
	}
	return 0, names, ErrNoEntry
}

// Report is what [Logbook.Check] found.
type Report struct {
	Version  int            `json:"version"`
	Rows     map[string]int `json:"rows"`
	Bytes    int64          `json:"bytes"`
	Problems []string       `json:"problems"`
}

// Check reads everything: SQLite's structure and indices, each row against
// its checksum, each kept file against its hash, each reference.
func (l *Logbook) Check(ctx context.Context) (Report, error) {
	rep := Report{Rows: map[string]int{}, Problems: []string{}}
	var err error
	if rep.Version, _, err = l.stamp(ctx); err != nil {
		return rep, l.plain(err)
	}
	if info, err := os.Stat(l.path); err == nil {
		rep.Bytes = info.Size()
	}
	for _, pragma := range []string{"PRAGMA integrity_check(20)", "PRAGMA foreign_key_check"} {
		list, err := texts(ctx, l.db, pragma)
		if err != nil {
			rep.Problems = append(rep.Problems, l.plain(err).Error())
			continue
		}
		for _, s := range list {
			if s != "ok" {
				rep.Problems = append(rep.Problems, strings.ReplaceAll(s, "\n", " "))
			}
		}
	}
	for _, tb := range tables {
		ids, err := numbers(ctx, l.db, "SELECT id FROM "+tb.name+" ORDER BY id")
		if err != nil {
			rep.Problems = append(rep.Problems, tb.name+": "+l.plain(err).Error())
			continue
		}
		for _, id := range ids {
			r, err := one(ctx, l.db, tb, "id = ?", id)
			if f, ok := r.(*File); ok && err == nil {
				_, err = f.content()
			}
			if err != nil {
				if ctx.Err() != nil {
					return rep, ctx.Err()
				}
				rep.Problems = append(rep.Problems, err.Error())
				continue
			}
			rep.Rows[tb.name]++
		}
	}
	return rep, nil
}

func texts(ctx context.Context, q querier, query string) ([]string, error) {
	rows, err := q.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	cols, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	var out []string
	for rows.Next() {
		cells, into := make([]any, len(cols)), make([]any, len(cols))
		for i := range cells {
			into[i] = &cells[i]
		}
		if err := rows.Scan(into...); err != nil {
			return out, err
		}
		words := make([]string, len(cells))
		for i, c := range cells {
			words[i] = fmt.Sprint(c)
		}
		out = append(out, strings.Join(words, " "))
	}
	return out, rows.Err()
}

func numbers(ctx context.Context, q querier, query string) ([]int64, error) {
	rows, err := q.QueryContext(ctx, query)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []int64
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			return out, err
		}
		out = append(out, n)
	}
	return out, rows.Err()
}
