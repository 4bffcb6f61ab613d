// Package corrections checks printed tables of corrections for reciprocity failure, for
// slips: [Read] reads one as it is typed, [Check] holds it to logic and to what its other
// rows imply, [Compare] to another printing, [CompareLaw] to a film's law. It changes nothing
// in a table: what to do about a finding is for whoever has the sources.
//
// The study (go test ./reciprocity/corrections -run TestStudy -v -tables 220) draws tables of
// 7 and 8 rows from five laws: an onset with a power, (t+1)^p, an added power, slopes drawn
// anew for each decade, a square beyond an onset; metered times from 0.1 s to 1000 s; one slip
// each. The checker has these forms among others, with wider ranges of their constants, and
// none of the laws is on its grid. Accused in the right row, percent
// with 95 % intervals (Wilson), in 220 tables each; clean tables accused, of 440 each, without a
// scatter of the maker's and with one of a tenth of a stop:
//
//	                  two digits      third stops     marks           clock           seconds
//	25 %              83 [78, 88]     35 [29, 42]     59 [52, 65]     90 [85, 93]     89 [84, 92]
//	50 %              97 [94, 99]     99 [96, 100]    90 [85, 93]     97 [94, 99]     97 [94, 99]
//	100 %             100 [98, 100]   99 [97, 100]    90 [85, 93]     100 [98, 100]   99 [96, 100]
//	swapped digits    99 [97, 100]    100 [98, 100]   98 [95, 99]     96 [92, 98]     98 [95, 99]
//	copied neighbour  100 [98, 100]   100 [98, 100]   94 [90, 97]     100 [98, 100]   100 [98, 100]
//	rows shifted      100 [98, 100]   100 [98, 100]   100 [98, 100]   100 [98, 100]   100 [98, 100]
//	sign of a stop    100 [98, 100]   100 [98, 100]   100 [98, 100]   100 [98, 100]   100 [98, 100]
//	clean             0.7 [0.2, 2.0]  0.0 [0.0, 0.9]  0.0 [0.0, 0.9]  0.0 [0.0, 0.9]  0.7 [0.2, 2.0]
//	clean, scatter    1.1 [0.5, 2.6]  0.9 [0.4, 2.3]  0.0 [0.0, 0.9]  2.0 [1.1, 3.8]  1.4 [0.6, 2.9]
//	50 % on a scatter 56 [49, 62]     95 [91, 97]     88 [83, 92]     72 [66, 78]     55 [48, 61]
//	100 % on it       96 [93, 98]     97 [94, 99]     82 [77, 87]     91 [87, 94]     89 [84, 92]
//
// Swapped digits, copies, shifts and signs change the cell by a quarter or more, on third
// stops and marks by half. A slip of 25 % is close to a third of a stop, and on third stops
// it mostly leaves the cell on the grid. Another row was accused beside the right one in
// at most 1 of 100 tables, but on seconds beside a copied neighbour in 3. Of what is
// printed at 95 % and above, 100 % is right where 15 of 100 tables hold a slip; below
// that the probability is about right on digits, cautious on third stops and marks, and bold by
// up to ten points on seconds. Of clean tables of 4 to 6 rows (TestFewRows) in two digits, third
// stops and whole seconds at most 0.7 are accused, with a scatter at most 1.8 of 100, but of 4 rows in
// seconds 2.7 [1.6, 4.7]; slips of 100 % are found in 73 to 98 of 100.
// Where third stops were rounded to the steps of a clock in turn (TestThirdsByTheClock, 660 tables of
// 5 to 9 rows), 0.0 [0.0, 0.6] of clean ones are accused, with a scatter 1.4 [0.7, 2.6].
//
// By laws whose forms the checker does not hold (-run TestStudyOfForeignLaws: one that levels
// off, a power of 1.5 beyond an onset, a logistic curve, the branch of a hyperbola, slopes
// that grow every two stops), the same for two digits and third stops: 25 % 77 [71, 82] and 33
// [27, 39], 50 % 95 [91, 97] and 99 [97, 100], 100 % 100 [97, 100] and 98 [95, 99], the other
// slips 99 to 100; clean 0.9 [0.4, 2.3] and 0.2 [0.0, 1.3], with a scatter 2.0 [1.1, 3.8] and
// 1.6 [0.8, 3.2]; 50 % on a scatter 51 [45, 58] and 97 [94, 99]. The weights and cut-offs were
// chosen with other tables by these laws. By five more laws, on which nothing was tuned
// (TestStudyOfHeldLaws: a square root and a logarithm beyond an onset, rounded bends every two
// and a half stops, an emulsion of which a share fails, an arc tangent), in two digits: 25 % 68
// [62, 74], 50 % 93 [89, 96], 100 % 100 [97, 100], the others 98 to 100; clean 0.5 [0.1, 1.6],
// with a scatter 2.0 [1.1, 3.8].
//
// That a maker may scatter by a tenth of a stop is what costs most. Were there no such makers,
// and 2 of 100 clean tables in two digits accused (TestWithoutScatter), slips of 25, 50 and
// 100 % would be found in 95 [91, 97], 98 [95, 99] and 100 [98, 100] of 100 by laws of the
// checker's forms, in 85 [80, 89], 99 [97, 100] and 100 [97, 100] by the foreign ones and in 80
// [75, 85], 96 [93, 98] and 100 [98, 100] by the last five.
//
// What can be found at all is bounded by an observer that is told the laws of the study, the
// ranges of their constants, the rounding and both scatters (go test ./reciprocity/corrections
// -run TestBound -v -tables 200). In two digits it finds 25 % slips in 96 [92, 98] of 100
// where it is told their size, and in 92 [87, 95] told only that there is one of up to four
// stops; of 50 % slips 99, of 100 % all. Told the foreign laws instead it finds 25 % slips in 98
// [96, 99] either way, of 50 % slips 99. On third stops it finds 25 % slips in 45 [38, 52] and
// 40 [33, 46] of 100, by the foreign laws in 34 [27, 40] and 34 [28, 41], about as many as
// the checker: beside a scatter of a tenth a slip of a third of a stop is mostly out of reach.
package corrections
