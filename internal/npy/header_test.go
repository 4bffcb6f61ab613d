package npy

import (
	"fmt"
	"strings"
	"testing"
)

// The numbers start at the least multiple of 64 that the header leaves, as the format asks
// (NumPy Enhancement Proposal 1, "the total length is evenly divisible by 64").
func TestHeadersAreNoLongerThanTheyMust(t *testing.T) {
	for n := range 40 {
		shape := make([]int, n)
		h := Header("<f4", shape...)
		bare := len(h) - strings.Count(string(h), " ")
		text := strings.TrimRight(strings.TrimSuffix(string(h), "\n"), " ")
		if least := (len(text) + 1 + 63) / 64 * 64; len(h) != least || bare <= 0 {
			t.Errorf("%d axes: %d bytes, want %d", n, len(h), least)
		}
	}
	if got, want := fmt.Sprintf("%q", Header("<f4", 2, 3)[:10]), `"\x93NUMPY\x01\x00v\x00"`; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
