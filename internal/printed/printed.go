// Package printed compares numbers with figures as they stand in print.
package printed

import (
	"math"
	"strconv"
	"strings"
	"testing"
)

// Value reads a figure, with half a unit of its last digit as tolerance.
func Value(t testing.TB, text string) (want, tol float64) {
	t.Helper()
	want, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	decimals := 0
	if _, frac, ok := strings.Cut(text, "."); ok {
		decimals = len(frac)
	}
	return want, 0.5 * math.Pow(10, -float64(decimals)) * (1 + 1e-9)
}

// Check holds a number to the printed figure.
func Check(t testing.TB, what string, got float64, text string) {
	t.Helper()
	want, tol := Value(t, text)
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, printed %s", what, got, text)
	}
}
