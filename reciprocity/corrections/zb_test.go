package corrections

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkTwelve(b *testing.B) {
	for _, k := range []kind{digits, thirds, seconds, clock} {
		b.Run(k.String(), func(b *testing.B) {
			r := rand.New(rand.NewPCG(5, 5))
			var t [][]Row
			for range 60 {
				t = append(t, drawTable(r, k, 12, 0))
			}
			i := 0
			for b.Loop() {
				Check(t[i%60])
				i++
			}
		})
	}
}
