// Package quarry holds the test roll that the example ships. Film, developer and
// place are invented: a very fast film tested before recording a disused slate
// quarry. The numbers are made from known curves with the noise of a densitometer,
// by the generator in this package's test.
package quarry

import "embed"

// Files are test.json, strips.csv and bracket.csv.
//
//go:embed test.json strips.csv bracket.csv
var Files embed.FS
