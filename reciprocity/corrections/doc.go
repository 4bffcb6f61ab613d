// Package corrections checks printed tables of corrections for reciprocity failure, for
// slips: [Read] reads one as it is typed, [Check] holds it to logic and to what its other
// rows imply, [Compare] to another printing, [CompareLaw] to a film's law. It changes nothing
// in a table: what to do about a finding is for whoever has the sources.
//
// The study (go test ./reciprocity/corrections -run TestStudy -v -tables 660) draws tables of
// 7 and 8 rows from five laws: an onset with a power, (t+1)^p, an added power, slopes drawn
// anew for each decade, a square beyond an onset; metered times from 0.1 s to 1000 s; one slip
// each. The checker has these forms among others, with wider ranges of their constants, and
// none of the laws is on its grid. Accused in the right row, percent
// with 95 % intervals (Wilson), in 660 tables each; clean tables accused, of 1320 each, without a
// scatter of the maker's and with one of a tenth of a stop:
//
//	                  two digits      third stops     marks           clock           seconds
//	25 %              83 [80, 86]     30 [27, 33]     59 [55, 63]     85 [82, 88]     86 [83, 88]
//	50 %              97 [95, 98]     97 [95, 98]     91 [88, 93]     98 [96, 99]     95 [93, 97]
//	100 %             99 [99, 100]    97 [95, 98]     89 [86, 91]     99 [98, 100]    99 [97, 99]
//	swapped digits    100 [99, 100]   100 [99, 100]   97 [96, 98]     95 [93, 96]     98 [97, 99]
//	copied neighbour  100 [99, 100]   100 [99, 100]   92 [89, 94]     100 [99, 100]   100 [99, 100]
//	rows shifted      100 [99, 100]   100 [99, 100]   100 [99, 100]   100 [99, 100]   100 [99, 100]
//	sign of a stop    100 [99, 100]   100 [99, 100]   100 [99, 100]   100 [99, 100]   100 [99, 100]
//	clean             0.2 [0.1, 0.7]  0.0 [0.0, 0.3]  0.1 [0.0, 0.4]  0.2 [0.0, 0.6]  0.5 [0.3, 1.1]
//	clean, scatter    1.3 [0.8, 2.1]  1.4 [0.9, 2.1]  0.3 [0.1, 0.8]  1.4 [0.9, 2.2]  1.5 [1.0, 2.3]
//	50 % on a scatter 52 [49, 56]     97 [95, 98]     89 [86, 91]     76 [72, 79]     55 [51, 59]
//	100 % on it       91 [89, 93]     94 [91, 95]     85 [82, 88]     93 [91, 95]     90 [87, 92]
//
// Swapped digits, copies, shifts and signs change the cell by a quarter or more, on third stops and
// marks by half. A slip of 25 % is close to a third of a stop, and on third stops it mostly leaves
// the cell on the grid. Another row was accused beside the right one in at most 1 of 100 tables, but
// in 3 on marks beside swapped digits and in 3 on seconds beside a copied neighbour. Of what is
// printed at 95 % and above, 100 % is right where 15 of 100 tables hold a slip; below that the
// probability is about right on digits, cautious on third stops and marks, and bold by up to twelve
// points on seconds. Of clean tables of 4 to 6 rows (TestFewRows) in two digits, third stops and
// whole seconds at most 1.2 of 100 are accused, with a scatter at most 2.1 [1.5, 3.0]; slips of 100
// % are found in 72 to 98 of 100. Where third stops were rounded to the steps of a clock in turn
// (TestThirdsByTheClock, 1980 tables of 5 to 9 rows), 0.1 [0.0, 0.4] of clean ones are accused, with
// a scatter 1.5 [1.1, 2.2].
//
// By laws whose forms the checker does not hold (-run TestStudyOfForeignLaws: a square root and a
// power of 1.5 beyond an onset, an arc tangent, the branch of a hyperbola, slopes that grow every
// two stops), the same for two digits and third stops: 25 % 78 [74, 81] and 30 [27, 33], 50 % 96
// [94, 97] and 99 [97, 99], 100 % 100 [99, 100] and 98 [96, 99], the other slips 99 to 100; clean
// 0.6 [0.3, 1.2] and 0.0 [0.0, 0.3], with a scatter 1.7 [1.2, 2.6] and 1.2 [0.7, 2.0]; 50 % on a
// scatter 52 [49, 56] and 97 [95, 98]. The weights and cut-offs were chosen with other tables by
// these laws. By five more laws, on which no constant was tuned (TestStudyOfHeldLaws: a Gompertz
// curve, a logarithm beyond an onset, rounded bends every two and a half stops, an emulsion of which
// a share fails, the logarithm of a hyperbolic cosine), in two digits: 25 % 76 [73, 79], 50 % 96
// [94, 97], 100 % 99 [98, 100], the others 98 to 100; clean 0.6 [0.3, 1.2], with a scatter 2.2 [1.5,
// 3.1].
//
// That a maker may scatter by a tenth of a stop is what costs most. Were there no such makers, and 2
// of 100 clean tables in two digits accused (TestWithoutScatter), slips of 25, 50 and 100 % would be
// found in 93 [91, 95], 99 [98, 100] and 100 [99, 100] of 100 by laws of the checker's forms, in 89
// [86, 91], 99 [98, 100] and 100 [99, 100] by the foreign ones and in 86 [83, 89], 99 [97, 99] and
// 99 [98, 100] by the last five.
//
// What can be found at all is bounded by an observer that is told the laws of the study, the ranges
// of their constants, the rounding and both scatters (go test ./reciprocity/corrections -run
// TestBound -v -tables 200). In two digits it finds 25 % slips in 96 [92, 98] of 100 where it is
// told their size, and in 92 [87, 95] told only that there is one of up to four stops; of 50 % slips
// 99, of 100 % all. Told the foreign laws instead it finds 25 % slips in 98 [94, 99] and 96 [92,
// 98]. On third stops it finds 25 % slips in 45 [38, 52] and 40 [33, 46] of 100, by the foreign laws
// in 44 [37, 51] and 47 [40, 54]: beside a scatter of a tenth a slip of a third of a stop is mostly
// out of reach.
package corrections
