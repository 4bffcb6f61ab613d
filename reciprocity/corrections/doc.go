// Package corrections checks printed tables of corrections for reciprocity failure, by
// time and by aperture, for slips: [Read] reads one, [Check] holds it to the laws of
// package reciprocity and to itself. It changes nothing in a table.
package corrections
