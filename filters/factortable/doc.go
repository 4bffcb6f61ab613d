// Package factortable checks printed tables of filter factors for slips: [Read] reads one,
// [Check] holds it to the factors that the spectra of film, light and filters give. It
// changes nothing in a table.
package factortable
