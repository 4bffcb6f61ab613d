package devtime

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
)

// Between two developments of curves without bounds the curve has them neither, and its inverse finds every density that it has, also
// those that one strip alone has.
func TestBlendsWithoutBounds(t *testing.T) {
	said := held.New(t)
	form := func(c sensito.Constants) sensito.Curve {
		f, err := sensito.NewClosedForm(c)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	whole := func(gamma, shoulder float64) sensito.Constants {
		return sensito.Constants{BaseFog: 0.2, Gamma: gamma, Toe: -2.6, ToeWidth: 0.2, Shoulder: sensito.Density(shoulder), Sharpness: 4}
	}
	part := func(gamma float64, from, to sensito.LogH) sensito.Constants {
		c := whole(gamma, 2.2)
		c.From, c.To = from, to
		return c
	}
	for name, c := range map[string]struct {
		a, b   sensito.Constants
		lo, hi float64
	}{
		"without bounds": {whole(0.5, 1.4), whole(0.8, 2.4), math.Inf(-1), math.Inf(1)}, "one of them": {part(0.5, -3.5, 0), whole(0.8, 2.4), -3.5, 0}, "both": {part(0.5, -3.5, 0), part(0.8, -3, 0.5), -3, 0},
	} {
		f, err := NewFamily([]Strip{{Time: 5 * time.Minute, Curve: form(c.a)}, {Time: 12 * time.Minute, Curve: form(c.b)}})
		if err != nil {
			t.Fatal(err)
		}
		mid, err := f.Curve(8 * time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		if lo, hi := mid.Domain(); float64(lo) != c.lo || float64(hi) != c.hi {
			t.Errorf("%s: from %v to %v", name, lo, hi)
		}
		w := math.Log(8./5) / math.Log(12./5)
		for _, x := range []sensito.LogH{-3, -2.5, -1.8, -1, -0.2} {
			d, err := mid.Density(x)
			a, _ := form(c.a).Density(x)
			b, _ := form(c.b).Density(x)
			if err != nil || math.Abs(float64(d)-((1-w)*float64(a)+w*float64(b))) > 1e-12 {
				t.Errorf("%s, at %v: %v, %v", name, x, d, err)
			}
			if back, err := mid.LogH(d); err != nil || math.Abs(float64(back-x)) > 1e-6 {
				t.Errorf("%s: density %v comes back at %v, %v, want %v", name, d, back, err, x)
			}
			s, err := mid.Slope(x)
			up, _ := mid.Density(x + 1e-5)
			down, err2 := mid.Density(x - 1e-5)
			if err != nil || err2 == nil && x > -3 && math.Abs(s-float64(up-down)/2e-5) > 1e-6 {
				t.Errorf("%s: slope %v at %v, %v", name, s, x, err)
			}
		}
		for _, d := range []sensito.Density{0.1, 5, sensito.Density(math.NaN())} {
			if x, err := mid.LogH(d); !said.Is("", err, sensito.ErrNotReached) {
				t.Errorf("%s: density %v at %v, %v", name, d, x, err)
			}
		}
		if c.hi == 0 {
			for _, ask := range []func(sensito.LogH) error{func(x sensito.LogH) error { _, err := mid.Density(x); return err }, func(x sensito.LogH) error { _, err := mid.Slope(x); return err }} {
				for _, x := range []sensito.LogH{0.1, -3.6} {
					if err := ask(x); !said.Is("", err, sensito.ErrOutside) {
						t.Errorf("%s, at %v: %v", name, x, err)
					}
				}
			}
		}
	}
}

// Dilutions as they may be written, at the bounds of what they say.
func TestDilutionsAtTheBounds(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		text  string
		colon Colon
		want  string // "" where refused
	}{
		{"1+9", RefuseColon, "1+9"}, {" 1 + 9 ", RefuseColon, "1+9"}, {"1:9", RefuseColon, ""}, {"1:x", RefuseColon, ""}, {"x:9", RefuseColon, ""}, {"0:9", RefuseColon, ""}, {"1:-9", RefuseColon, ""}, {"1:1:9", RefuseColon, ""}, {"1:0", Colon(1), "stock"}, {"2:1", Colon(2), ""}, {"1:1", Colon(2), "stock"},
		{"1:9", Colon(1), "1+9"}, {"1:10", Colon(2), "1+9"}, {"2:100", Colon(2), "2+98"}, {"1+0", RefuseColon, "stock"}, {"0+1", RefuseColon, ""}, {"1+", RefuseColon, ""}, {"+9", RefuseColon, ""}, {"1+1e6", RefuseColon, ""}, {"1+999998", RefuseColon, "1+999998"}, {"1+999999", RefuseColon, ""}, {"10%", RefuseColon, "10+90"}, {"100%", RefuseColon, "100+0"}, {"0%", RefuseColon, ""}, {"101%", RefuseColon, ""}, {"10 %", RefuseColon, "10+90"}, {"%", RefuseColon, ""}, {"stock", RefuseColon, "stock"}, {"Stock", RefuseColon, "stock"}, {strings.Repeat("1", 70), RefuseColon, ""},
	} {
		d, err := ParseDilution(c.text, c.colon)
		if got := d.String(); c.want != "" && (err != nil || got != c.want) {
			t.Errorf("%q: %v, %v, want %s", c.text, got, err, c.want)
		}
		if c.want == "" && !said.Refused(c.text, err) {
			t.Errorf("%q is %v", c.text, d)
		}
	}
}

// A contrast so near the limit that its time is beyond measure is refused, not returned as a large number.
func TestTimesBeyondMeasure(t *testing.T) {
	said := held.New(t)
	slow, err := NewContrastTime(1, 1e-12, 0)
	if err != nil {
		t.Fatal(err)
	}
	if d, err := slow.TimeFor(1 - 1e-9); !said.Is("near the limit", err, ErrLimit) {
		t.Errorf("%v, %v", d, err)
	}
	if d, err := slow.TimeFor(1); !said.Is("the limit", err, ErrLimit) {
		t.Errorf("%v, %v", d, err)
	}
	steep, err := FitDilution([]DilutionRow{{Undiluted(), time.Minute}, {Dilution{1, 1}, 1000 * time.Hour}})
	if err != nil {
		t.Fatal(err)
	}
	if d, err := steep.Time(Dilution{1, 999998}); !said.Is("thin", err, ErrOutside) {
		t.Errorf("%v, %v", d, err)
	}
	law, err := NewQ10(9.9)
	if err != nil {
		t.Fatal(err)
	}
	if d, err := law.Convert(290*365*24*time.Hour, 90, -10, 0, RefuseBeyond+1); !said.Refused("years", err) {
		t.Errorf("%v", d)
	}
	for _, text := range []string{strings.Repeat("2", 64) + "x", strings.Repeat("2", 65) + "x", "20 K", "1e400", "0x10", "2_0", "NaN", "Inf", "20,5,5"} {
		if c, err := ParseCelsius(text); !said.Is(text, err, ErrSyntax) {
			t.Errorf("%q is %v", text, c)
		}
	}
	for text, want := range map[string]Celsius{"20": 20, " 20,5 °C ": 20.5, "68F": 20, "68 °f": 20, "-5c": -5, "20 ° C": 20} {
		if c, err := ParseCelsius(text); err != nil || math.Abs(float64(c-want)) > 1e-9 {
			t.Errorf("%q is %v, %v", text, c, err)
		}
	}
}
