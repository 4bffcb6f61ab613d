package figures

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"
)

func ExampleAbout() {
	fmt.Println(About(time.Second/125), About(400*time.Millisecond), About(399*time.Millisecond), About(12345*time.Millisecond))
	// Output: 1/125 0.4s 1/3 12.3s
}

func TestFigures(t *testing.T) {
	for _, c := range []struct{ got, want any }{
		{Seconds(1.5), 1500 * time.Millisecond}, {Seconds(1e-9 * 0.6), time.Nanosecond}, {Seconds(-0.25), -250 * time.Millisecond},
		{Known(math.NaN()) == nil, true}, {Known(math.Inf(-1)) == nil, true}, {*Known(2), 2.0},
		{Round(0.125, 2), 0.12}, {Round(2.675, 2), 2.67}, {Round(-1234.5, -1), -1234.5}, {Round(math.Inf(1), 3), math.Inf(1)},
		{Digits(1234.5, 3), 1230.0}, {Digits(0.00123456, 2), 0.0012},
		{Digits(math.MaxFloat64, 2), math.MaxFloat64}, // two digits of it are beyond what there is
		{Numeral(math.NaN()), ""}, {Numeral(math.Inf(1)), "INF"}, {Numeral(math.Copysign(0, -1)), "0"}, {Numeral(0.1), "0.1"}, {Numeral(1e21), "1000000000000000000000"},
		{Quoted([]string{"a", `b"`}), `"a", "b\""`}, {Quoted([]string(nil)), ""},
		{Bare(errors.New("a: b: c")), "b: c"}, {Bare(errors.New("a")), "a"},
	} {
		if c.got != c.want {
			t.Errorf("%v, want %v", c.got, c.want)
		}
	}
}
