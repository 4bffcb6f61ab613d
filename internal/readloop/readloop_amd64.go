package readloop

// Sum returns the sum of x in some order, with AVX, which the caller has made sure
// of.
func Sum(x []float32) float32 {
	n := len(x) &^ 31
	var s [8]float32
	if n > 0 {
		sum(&x[0], n/32, &s)
	}
	return plain(s[:]) + plain(x[n:])
}

//go:noescape
func sum(x *float32, blocks int, s *[8]float32)
