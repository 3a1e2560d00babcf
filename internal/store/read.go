package store

import (
	"fmt"
	"os"

	"fledge/internal/diag"
)

// ReadFile reads a whole regular file of at most most bytes; what names it in
// messages ("a log", "a coordinate file").
func ReadFile(name string, most int64, what string) ([]byte, diag.List) {
	text, d, ok := readFile(name, most, what)
	if !ok {
		return nil, diag.List{d}
	}
	return text, nil
}

// Replace writes a file whole, in place of one of that name if there is one:
// for plots and tables, never for a build.
func Replace(name string, text []byte) error {
	tmp, err := writeBeside(name, text, 0o644)
	if err != nil {
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	if err := os.Rename(tmp, name); err != nil {
		os.Remove(tmp)
		return fmt.Errorf("%s: %s", name, reason(err))
	}
	return nil
}
