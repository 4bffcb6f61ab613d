// Package tables holds printed tables, each headed by its source, that the
// checkers are tested on and the example runs on.
package tables

import "embed"

//go:embed *.csv
var Files embed.FS
