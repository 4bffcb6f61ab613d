// Package benchunit names what a benchmark's time is for: so many nanoseconds to a
// density, a factor, a table. Only benchmarks import it.
package benchunit

import "testing"

// Per reports the time of n units of work a round, after the loop.
func Per(b *testing.B, n int, unit string) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/"+unit)
}
