//go:build !amd64

package readloop

// Sum returns the sum of x in some order.
func Sum(x []float32) float32 { return plain(x) }
