// Package examples is the bundled builds and days, for a first run.
package examples

import "embed"

// Files holds the examples by their names in this folder.
//
//go:embed *.yaml days/*.yaml
var Files embed.FS
