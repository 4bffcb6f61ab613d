// Package corrections checks printed tables of corrections for reciprocity failure, for
// slips: [Read] reads one as it is typed, [Check] holds it to logic and to what its other
// rows imply, [Compare] to another printing, [CompareLaw] to a film's law. It changes nothing
// in a table: what to do about a finding is for whoever has the sources.
//
// The study (go test ./reciprocity/corrections -run TestStudy -v -tables 220) draws tables of
// 7 and 8 rows from five laws that are not the checker's or not on its grid: an onset with
// a power, (t+1)^p, an added power, slopes drawn anew for each decade, a square beyond an
// onset; metered times from 0.1 s to 1000 s; one slip each. Accused in the right row, percent
// with 95 % intervals (Wilson), in 220 tables each; clean tables accused, of 440 each, without
// a scatter of the maker's and with one of a tenth of a stop:
//
//	                    two digits         third stops        steps of a clock
//	25 %                77.3 [71.3, 82.3]  33.2 [27.3, 39.6]  see the test
//	50 %                96.4 [93.0, 98.1]  97.3 [94.2, 98.7]
//	100 %               99.5 [97.5, 99.9]  94.1 [90.2, 96.5]
//	swapped digits      98.2 [95.4, 99.3]  99.1 [96.7, 99.8]
//	copied neighbour    100 [98.3, 100]    100 [98.3, 100]
//	rows shifted        100 [98.3, 100]    100 [98.3, 100]
//	sign of a stop      100 [98.3, 100]    100 [98.3, 100]
//	clean               0.9 [0.4, 2.3]     0.0 [0.0, 0.9]
//	clean, scatter      1.1 [0.5, 2.6]     1.6 [0.8, 3.2]
//
// Swapped digits, copies, shifts and signs change the cell by a quarter or more, on third
// stops by half. A slip of 25 % is close to a third of a stop, and on third stops it mostly
// leaves the cell on the grid. Of what is printed at 95 % and above, 96 to 100 % is right
// where 15 of 100 tables hold a slip; below that the probability is cautious on third stops
// and some ten points off either way on the others.
package corrections
