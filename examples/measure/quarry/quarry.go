// Package quarry holds the readings that the example ships. Film, developer and place are
// invented: a very fast film for recording a disused slate quarry. The numbers are made
// from the film's known laws with the scatter of a careful test, by the generator in the
// test of this package.
package quarry

import "embed"

// Files are reciprocity.csv, filters.csv and temperature.csv.
//
//go:embed reciprocity.csv filters.csv temperature.csv
var Files embed.FS

// Film and Process are what the readings are of.
const (
	Film    = "Garnedd Swift"
	Process = "Tarren 1+31 at 20 °C"
)
