//go:build !amd64

package filmfit

var fast = false

func gramFast(s, j *float64, wide, rows, blocks int)                 {}
func addFast(acc, rows *float64, wide, n int)                        {}
func joinFast(row, acc, a, b *float64, wide int, r, t, u, v float64) {}
func timesFast(dst, src, by *float64, n, stride, wide int)           {}
func sumFast(dst, src, by *float64, n, wide int)                     {}
