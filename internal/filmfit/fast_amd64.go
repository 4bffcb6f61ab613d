package filmfit

import (
	"os"

	"example.org/actinic/internal/avx2"
)

// fast says that the vectors of fast_amd64.s are used. ACTINIC_FILMFIT=plain leaves them
// alone.
var fast = avx2.Have() && os.Getenv("ACTINIC_FILMFIT") != "plain"

// gramFast is gram; s and j are in rows of wide, which is a multiple of 8, and of s the
// first 4 blocks rows are filled in up to their diagonals at least.
//
//go:noescape
func gramFast(s, j *float64, wide, rows, blocks int)

// addFast adds rows of wide, a multiple of 8, to acc.
//
//go:noescape
func addFast(acc, rows *float64, wide, n int)

// joinFast sets row to r (row + t acc + u a + v b), wide, a multiple of 4, elements of each.
//
//go:noescape
func joinFast(row, acc, a, b *float64, wide int, r, t, u, v float64)

// timesFast sets n rows of dst, stride elements apart, to by times those of src, which have
// wide elements, a multiple of 4.
//
//go:noescape
func timesFast(dst, src, by *float64, n, stride, wide int)

// sumFast sets dst to the sum of n rows of src, wide elements, a multiple of 8, of each, by
// times them.
//
//go:noescape
func sumFast(dst, src, by *float64, n, wide int)
