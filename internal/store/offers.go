package store

import (
	"path/filepath"

	"fledge/internal/build"
	"fledge/internal/diag"
)

// LoadOffers reads a parts file and the blade files its propellers name, which
// lie beside it.
func LoadOffers(name string) (*build.Offers, map[string][]byte, []byte, diag.List) {
	files := map[string][]byte{}
	text, d, ok := readFile(name, build.MaxSize, "a parts file")
	if !ok {
		return nil, files, nil, diag.List{d}
	}
	o, l := build.ParseOffers(name, text)
	if o != nil {
		if list := o.PropellerFiles(); len(list) > 0 {
			attach(filepath.Dir(name), list, files, &l)
			l.Sort()
		}
	}
	return o, files, text, l
}

// LoadKit reads an answers file of an intake.
func LoadKit(name string) (build.Kit, []byte, diag.List) {
	text, d, ok := readFile(name, build.MaxSize, "an answers file")
	if !ok {
		return build.Kit{}, nil, diag.List{d}
	}
	k, l := build.ParseKit(name, text)
	return k, text, l
}
