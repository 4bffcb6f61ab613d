package plan

import "testing"

// A plan with the numbers of strips tried, and one where they are told.
func BenchmarkNew(b *testing.B) {
	for b.Loop() {
		if _, err := New(Wish{Index: 1600, Light: 12}); err != nil {
			b.Fatal(err)
		}
	}
}
