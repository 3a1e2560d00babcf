package app

import (
	"context"
	"os"
	"path/filepath"
	"sync"
	"time"

	"fledge/internal/diag"
	"fledge/internal/store"
	"fledge/internal/tune"
)

// taught keeps the lessons of hangars read by this process, by the state of
// their files: reruns of a search open the same build dozens of times.
var taught struct {
	sync.Mutex
	kept map[string]lessonsRead
}

type lessonsRead struct {
	state [2]fileState
	list  []tune.Lesson
	err   error
}

type fileState struct {
	size int64
	at   time.Time
}

// lessonsOf reads what was learned in a folder; nil when it has no logbook.
func lessonsOf(dir string) ([]tune.Lesson, error) {
	var state [2]fileState
	path := filepath.Join(dir, store.LogbookName)
	for i, tail := range []string{"", "-wal"} {
		if info, err := os.Stat(path + tail); err == nil {
			state[i] = fileState{info.Size(), info.ModTime()}
		} else if i == 0 {
			return nil, nil
		}
	}
	key, err := filepath.Abs(path)
	if err != nil {
		key = path
	}
	taught.Lock()
	defer taught.Unlock()
	if k, ok := taught.kept[key]; ok && k.state == state {
		return k.list, k.err
	}
	list, err := readLessons(dir)
	if taught.kept == nil {
		taught.kept = map[string]lessonsRead{}
	}
	taught.kept[key] = lessonsRead{state, list, err}
	return list, err
}

// glance opens the logbook of a folder to look only: a damaged one is left
// as it is, and nothing is saved of it.
func glance(ctx context.Context, dir string) (*store.Logbook, error) {
	return store.OpenLogbook(ctx, dir, store.LogbookOptions{Now: time.Now})
}

func readLessons(dir string) ([]tune.Lesson, error) {
	ctx := context.Background()
	book, err := glance(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer book.Close()
	return book.Lessons(ctx)
}

// teach gives an opened build the factors learned in its hangar. A logbook
// that cannot be read takes nothing away from a check: a warning says that it
// was done untaught.
func (o *Opened) teach(q Request) {
	o.untaught = o.Aircraft
	if q.Untaught {
		return
	}
	list, err := lessonsOf(filepath.Dir(q.Path))
	if err != nil {
		o.Notes.Add(diag.Diagnostic{Severity: diag.Warning, Code: "untaught", Span: diag.Span{File: filepath.Join(filepath.Dir(q.Path), store.LogbookName)},
			Message: "what was learned cannot be read, so nothing of it is used: " + err.Error(), Hint: "fledge logbook check tells more"})
		return
	}
	if now := tune.Current(list, ""); len(now) > 0 {
		o.Aircraft = o.Aircraft.Teach(now)
	}
}
