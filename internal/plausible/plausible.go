// Package plausible bounds what a person can have set, poured or measured. Beyond it a
// unit was mistaken.
package plausible

import "time"

// Bounds, both ends included.
const (
	LeastLogH, GreatestLogH = -8, 6 // log10 of lux seconds
	GreatestDensity         = 10    // more than any film has, and less than percent

	LeastIndex, GreatestIndex = 0.1, 1e6

	LeastDevelopment, LongestDevelopment = 10 * time.Second, 24 * time.Hour
)
