package bracketfit

import (
	"math/rand/v2"
	"testing"
)

func BenchmarkFit(b *testing.B) {
	d := design{family: "form", frames: 10, step: 1. / 3, strip: 21, sd: 0.015, scatter: 0.05}
	br, _, _ := d.draw(rand.New(rand.NewPCG(1, 1)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Fit(br); err != nil {
			b.Fatal(err)
		}
	}
}
