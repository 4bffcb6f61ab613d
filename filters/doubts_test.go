package filters

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/spectral"
)

func TestDoubts(t *testing.T) {
	said := held.New(t)
	a, day := spectral.A.Light(), spectral.D55.Light()
	red := must(Find("25")).Filter
	film := func(nm, v []float64) spectral.Sensitivity {
		return must(spectral.SensitivityFromLinear(must(spectral.New(nm, v, spectral.Zero))))
	}
	// Whole tables: nothing to say.
	for _, whole := range []spectral.Sensitivity{panB(), ortho(), spectral.Generic(spectral.Panchromatic), spectral.Generic(spectral.BlueSensitive)} {
		f := must(Find("8")).Filter
		if d := must(Doubts(whole, day, f)); len(d) > 1 || len(d) == 1 && !(strings.Contains(d[0].Text, "350 nm") || strings.Contains(d[0].Text, "380 nm")) {
			t.Errorf("%v", d)
		}
	}
	if d := must(Doubts(panB(), day, red)); len(d) > 0 {
		t.Errorf("%v", d)
	}
	// A table cut short where it is high: the factor of the red filter is stops too
	// great.
	short := film([]float64{380, 415, 450, 500, 550, 600}, []float64{0, .25, .5, .6, .8, .9})
	d := must(Doubts(short, a, red))
	if len(d) != 1 || !strings.Contains(d[0].Text, "600 nm with 100 % of its peak") || !(d[0].Least < -1.5 && d[0].Most == 0) {
		t.Errorf("%v", d)
	}
	// The same film, were it to go on as was thought.
	long := []float64{380, 415, 450, 500, 550, 600}
	v := []float64{0, .25, .5, .6, .8, .9}
	for x := 2.; x <= 3*endFalls; x += 2 {
		long, v = append(long, 600+x), append(v, .9*math.Pow(10, -x/endFalls))
	}
	near(t, "the effect", float64(d[0].Least), math.Log2(must(Factor(film(long, v), a, red))/must(Factor(short, a, red))), 1e-9)
	// It hardly matters for a blue filter.
	if b := must(Doubts(short, a, must(Find("47")).Filter)); len(b) != 1 || !(math.Abs(float64(b[0].Least)) < .5) {
		t.Errorf("%v", b)
	}
	// Gaps, of the film and of a filter.
	hole := film([]float64{350, 450, 650, 750}, []float64{0, 1, .8, 0})
	d = must(Doubts(hole, day, red))
	var gaps []Doubt
	for _, x := range d {
		if strings.Contains(x.Text, "450 and 650 nm") {
			gaps = append(gaps, x)
		}
	}
	if len(gaps) != 1 || !(gaps[0].Least < -.1 && gaps[0].Most > .1) {
		t.Errorf("%v", d)
	}
	torn := must(New("torn", must(spectral.New([]float64{380, 500, 640, 750}, []float64{0, .1, .9, .9}, spectral.Refuse))))
	if d = must(Doubts(panB(), day, torn)); len(d) != 3 || !strings.Contains(d[1].String(), "500 and 640 nm; if the middle") || !(d[1].Least < 0 && d[1].Most > 0) {
		t.Errorf("%v", d)
	}
	if _, err := Doubts(spectral.Sensitivity{}, day, red); !said.Is("", err, ErrInvalid) {
		t.Error(err)
	}
	// A product of a table and a line has no gap in the line.
	if d := must(Doubts(must(spectral.SensitivityFromPhotons(panBSpectrum())), day, Clear())); len(d) > 0 {
		t.Errorf("%v", d)
	}
}

func ExampleDoubts() {
	nm, v := []float64{380, 415, 450, 500, 550, 600}, []float64{0, 0.25, 0.5, 0.6, 0.8, 0.9}
	s, err := spectral.New(nm, v, spectral.Zero)
	if err != nil {
		fmt.Println(err)
		return
	}
	film, err := spectral.SensitivityFromLinear(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	red, err := Find("25")
	if err != nil {
		fmt.Println(err)
		return
	}
	doubts, err := Doubts(film, spectral.A.Light(), red.Filter)
	for _, d := range doubts {
		fmt.Println(d)
	}
	fmt.Println(err)
	// Output:
	// the film's table ends at 600 nm with 100 % of its peak; if it was cut short and the film goes on: -1.93 to +0.00 stops in this factor
	// <nil>
}
