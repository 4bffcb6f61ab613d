// Package readloop adds up all of a slice of float32 as fast as the machine reads
// memory: what the speed of a pass over a spectral image is measured against.
package readloop

// plain is the sum in Go alone.
func plain(x []float32) float32 {
	var a, b, c, d float32
	for len(x) >= 4 {
		a += x[0]
		b += x[1]
		c += x[2]
		d += x[3]
		x = x[4:]
	}
	for _, v := range x {
		a += v
	}
	return a + b + c + d
}
