package elementary

import (
	"os"

	"example.org/actinic/internal/avx2"
)

// fast says that the vectors of fast_amd64.s are used. ACTINIC_ELEMENTARY=plain leaves
// them alone.
var fast = avx2.Have() && os.Getenv("ACTINIC_ELEMENTARY") != "plain"

// Each works out fours of numbers and returns how many it did: it stops at the first four
// of which one is not ordinary.

//go:noescape
func exps(dst, x *float64, n int) int

//go:noescape
func logs(dst, x *float64, n int) int

//go:noescape
func log1ps(dst, x *float64, n int) int
