package printed

import (
	"testing"

	"example.org/actinic/internal/held"
)

func TestUnseenBelow(t *testing.T) {
	said := held.New(t)
	for name, ratios := range map[string][]float64{
		"none": nil, "two": {1.1, 1.1}, "three": {1.1, 1.1, 1.1}, "fine": {1.001, 1.002, 1.003}, "at 5 %": {1.05, 1.05, 1.05},
		"uneven": {1.1, 1.2, 1.3, 1.4, 1.51, 9}, "double": {2, 2, 2}, "more": {2.01, 2.01, 2.01}, "triple": {3, 3, 3}, "100 times": {101, 101, 101}, "nothing": {1e9, 1e9, 1e9},
	} {
		said.Values(name, UnseenBelow(ratios))
	}
}
