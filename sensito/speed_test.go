package sensito

import (
	"math"
	"testing"

	"example.org/actinic/internal/held"

	"github.com/google/go-cmp/cmp"
)

// The printed scale, every row: number, degrees, the exact 10^((S°-1)/10), and the
// two-decimal log10 Hm that give the degree. Pairs: tables of ISO 5800:1987 p. 4
// (4 to 3200), ISO 12232:1998 (to 10000) and their calculated extensions, as
// listed in the encyclopaedia article "Film speed", table notes. The other
// columns are computed from S° = 1 + 10 log10(0.8/Hm).
var scaleRows = []struct {
	number  float64
	degrees int
	exact   float64
	lo, hi  float64 // two-decimal log10 Hm
	origin  ScaleSource
}{
	{0.8, 0, 0.79433, -0.04, 0.05, Extension},
	{1, 1, 1, -0.14, -0.05, Extension},
	{1.2, 2, 1.2589, -0.24, -0.15, Extension},
	{1.6, 3, 1.5849, -0.34, -0.25, Extension},
	{2, 4, 1.9953, -0.44, -0.35, Extension},
	{2.5, 5, 2.5119, -0.54, -0.45, Extension},
	{3, 6, 3.1623, -0.64, -0.55, Extension},
	{4, 7, 3.9811, -0.74, -0.65, ISO5800},
	{5, 8, 5.0119, -0.84, -0.75, ISO5800},
	{6, 9, 6.3096, -0.94, -0.85, ISO5800},
	{8, 10, 7.9433, -1.04, -0.95, ISO5800},
	{10, 11, 10, -1.14, -1.05, ISO5800},
	{12, 12, 12.589, -1.24, -1.15, ISO5800},
	{16, 13, 15.849, -1.34, -1.25, ISO5800},
	{20, 14, 19.953, -1.44, -1.35, ISO5800},
	{25, 15, 25.119, -1.54, -1.45, ISO5800},
	{32, 16, 31.623, -1.64, -1.55, ISO5800},
	{40, 17, 39.811, -1.74, -1.65, ISO5800},
	{50, 18, 50.119, -1.84, -1.75, ISO5800},
	{64, 19, 63.096, -1.94, -1.85, ISO5800},
	{80, 20, 79.433, -2.04, -1.95, ISO5800},
	{100, 21, 100, -2.14, -2.05, ISO5800},
	{125, 22, 125.89, -2.24, -2.15, ISO5800},
	{160, 23, 158.49, -2.34, -2.25, ISO5800},
	{200, 24, 199.53, -2.44, -2.35, ISO5800},
	{250, 25, 251.19, -2.54, -2.45, ISO5800},
	{320, 26, 316.23, -2.64, -2.55, ISO5800},
	{400, 27, 398.11, -2.74, -2.65, ISO5800},
	{500, 28, 501.19, -2.84, -2.75, ISO5800},
	{640, 29, 630.96, -2.94, -2.85, ISO5800},
	{800, 30, 794.33, -3.04, -2.95, ISO5800},
	{1000, 31, 1000, -3.14, -3.05, ISO5800},
	{1250, 32, 1258.9, -3.24, -3.15, ISO5800},
	{1600, 33, 1584.9, -3.34, -3.25, ISO5800},
	{2000, 34, 1995.3, -3.44, -3.35, ISO5800},
	{2500, 35, 2511.9, -3.54, -3.45, ISO5800},
	{3200, 36, 3162.3, -3.64, -3.55, ISO5800},
	{4000, 37, 3981.1, -3.74, -3.65, ISO12232},
	{5000, 38, 5011.9, -3.84, -3.75, ISO12232},
	{6400, 39, 6309.6, -3.94, -3.85, ISO12232},
	{8000, 40, 7943.3, -4.04, -3.95, ISO12232},
	{10000, 41, 10000, -4.14, -4.05, ISO12232},
	{12500, 42, 12589, -4.24, -4.15, Extension},
	{16000, 43, 15849, -4.34, -4.25, Extension},
	{20000, 44, 19953, -4.44, -4.35, Extension},
	{25000, 45, 25119, -4.54, -4.45, Extension},
	// ISO form against the doubled form of cameras, same article.
	{50000, 48, 50119, -4.84, -4.75, Extension},
	{100000, 51, 100000, -5.14, -5.05, Extension},
}

func TestScale(t *testing.T) {
	all := Scale()
	if len(all) != 52 {
		t.Fatalf("the scale has %d rows, want 52 from 0° to 51°", len(all))
	}
	for _, w := range scaleRows {
		want := ScaleRow{w.number, w.degrees, w.origin}
		got, ok := ScaleAt(w.degrees)
		if diff := cmp.Diff(want, got); !ok || diff != "" {
			t.Errorf("%d° (-want +got):\n%s", w.degrees, diff)
		}
		if diff := cmp.Diff(want, all[w.degrees]); diff != "" {
			t.Errorf("row %d of the scale (-want +got):\n%s", w.degrees, diff)
		}
		exact := math.Pow(10, float64(w.degrees-1)/10)
		if math.Abs(exact/w.exact-1) > 5e-5 {
			t.Errorf("%d°: exact speed %v, want %v", w.degrees, exact, w.exact)
		}
		// Both directions: the printed number and every log Hm of the row lead to
		// its degree, the next two-decimal log Hm on either side does not.
		if d := (Speed{Value: w.number}).Degrees(); d != w.degrees {
			t.Errorf("S %v has %d°, want %d°", w.number, d, w.degrees)
		}
		if d := (Speed{Value: exact}).Degrees(); d != w.degrees {
			t.Errorf("S %v has %d°, want %d°", exact, d, w.degrees)
		}
		for k := math.Round(w.lo * 100); k <= math.Round(w.hi*100); k++ {
			if d := SpeedAt(LogH(k / 100)).Degrees(); d != w.degrees {
				t.Errorf("log Hm %.2f has %d°, want %d°", k/100, d, w.degrees)
			}
		}
		for _, h := range []float64{w.lo - 0.01, w.hi + 0.01} {
			if d := SpeedAt(LogH(h)).Degrees(); d == w.degrees {
				t.Errorf("log Hm %.2f has %d°, want a neighbour", h, d)
			}
		}
		lo, hi := got.LogHm()
		if math.Abs(float64(lo)-w.lo) > 0.01 || math.Abs(float64(hi)-w.hi) > 0.01 {
			t.Errorf("%d°: log Hm %.4f to %.4f, want about %.2f to %.2f", w.degrees, lo, hi, w.lo, w.hi)
		}
	}
	for i := 1; i < len(all); i++ {
		if !(all[i].Number > all[i-1].Number) {
			t.Errorf("the scale does not rise at %v", all[i])
		}
		if i >= 10 && math.Abs(all[i].Number/all[i-10].Number-10) > 0.85 {
			t.Errorf("ten steps from %v to %v are not a decade", all[i-10].Number, all[i].Number)
		}
	}
	for _, d := range []int{-1, 52, math.MinInt, math.MaxInt} {
		if r, ok := ScaleAt(d); ok {
			t.Errorf("%d° gives %v", d, r)
		}
	}
}

// Source: run of GNU Units 2.22 (Sdeg, its definition of the ISO logarithmic
// speed), both directions.
func TestDegreesAgainstUnits(t *testing.T) {
	for deg, s := range map[int]float64{0: 0.79432823, 1: 1, 12: 12.589254, 15: 25.118864, 18: 50.118723, 21: 100, 24: 199.52623, 27: 398.10717, 30: 794.32823, 33: 1584.8932, 36: 3162.2777, 39: 6309.5734, 45: 25118.864} {
		if got := (Speed{Value: s}).Degrees(); got != deg {
			t.Errorf("S %v has %d°, want %d°", s, got, deg)
		}
	}
	for s, deg := range map[float64]float64{3: 5.7712, 25: 14.9794, 50: 17.9897, 64: 19.0618, 80: 20.0309, 125: 21.9691, 160: 23.0412, 200: 24.0103, 400: 27.0206, 800: 30.0309, 1600: 33.0412, 3200: 36.0515} {
		if got := (Speed{Value: s}).Degrees(); got != int(math.Round(deg)) {
			t.Errorf("S %v has %d°, want %v rounded", s, got, deg)
		}
	}
}

// Rounding goes by degrees. The bands in which the nearest printed number would
// be another one are computed from the definition.
func TestRoundingByDegrees(t *testing.T) {
	for _, c := range []struct {
		s       float64
		want    string
		nearest float64 // by distance, for the record
	}{
		{4.48, "EI 5", 4},
		{14.05, "EI 12", 16},
		{112.3, "EI 125", 100},
		{1415, "EI 1600", 1250},
		{112.1, "EI 100", 100},
	} {
		if got := (Speed{Value: c.s}).String(); got != c.want {
			t.Errorf("S %v prints %s, want %s", c.s, got, c.want)
		}
	}
}

// Speed points with printed speeds.
func TestSpeedAt(t *testing.T) {
	for _, c := range []struct {
		name   string
		hm, s  float64
		tol    float64
		prints string
		source string
	}{
		{"speed 125", 0.0064, 125, 0.5, "ISO 125/22°", "worked example in a discussion of film speed, photrio 1143176"},
		{"speed 100", 0.0080, 100, 1e-9, "ISO 100/21°", "computed"},
		{"speed 400", 0.0020, 400, 1e-9, "ISO 400/27°", "computed"},
		{"speed 3200", 0.00025, 3200, 1e-9, "ISO 3200/36°", "computed"},
	} {
		s := SpeedAt(LogHOf(c.hm)).Value
		if math.Abs(s-c.s) > c.tol {
			t.Errorf("%s: %v, want %v (%s)", c.name, s, c.s, c.source)
		}
		if got := (Speed{s, ISO, ISO6}).String(); got != c.prints {
			t.Errorf("%s: %s, want %s", c.name, got, c.prints)
		}
	}
}

func TestParseSpeed(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		in   string
		want Speed
		out  string
	}{
		{"ISO 400", Speed{400, ISO, Stated}, "ISO 400/27°"},
		{"ISO 27°", Speed{400, ISO, Stated}, "ISO 400/27°"},
		{"ISO 400/27°", Speed{400, ISO, Stated}, "ISO 400/27°"},
		{"EI 1250", Speed{1250, EI, Stated}, "EI 1250"},
		{" ISO 3/6° ", Speed{3, ISO, Stated}, "ISO 3/6°"},
		{"EI 12800", Speed{12500, EI, Stated}, "EI 12500"},
		{"ISO 0°", Speed{0.8, ISO, Stated}, "ISO 0.8/0°"},
		{"iso 400", Speed{400, ISO, Stated}, "ISO 400/27°"},
		{"ISO1250/32°", Speed{1250, ISO, Stated}, "ISO 1250/32°"},
		{"ISO 1250/32", Speed{1250, ISO, Stated}, "ISO 1250/32°"},
		{"ei800", Speed{800, EI, Stated}, "EI 800"},
	} {
		got, err := ParseSpeed(c.in)
		if err != nil || got != c.want || got.String() != c.out {
			t.Errorf("%q: %v %q, %v; want %v %q", c.in, got, got, err, c.want, c.out)
		}
	}
	for in, reason := range map[string]string{
		"":              "empty",
		"400":           "no word says what it is",
		"27°":           "older scales wrote a degree sign with another meaning",
		"ISO":           "no number",
		"ISO 412":       "not a number of the scale",
		"ISO 400/26°":   "the halves disagree",
		"ISO 27":        "a number without degree sign that is not on the scale",
		"ISO 400/28":    "the halves disagree",
		"ISO 400 / 27°": "spaces about the solidus",
		"ISO 400/":      "half missing",
		"ISO /27°":      "half missing",
		"EI 400/27°":    "an index has no degrees",
		"EI 27°":        "an index has no degrees",
		"ISO 52°":       "off the scale",
		"ISO -1°":       "off the scale",
		"ISO 027°":      "not as printed",
		"ISO 4e2":       "not as printed",
		"ISO NaN":       "not a number",
		"ISO +Inf":      "not a number",
		"ASA 400":       "another scale",
	} {
		if got, err := ParseSpeed(in); !said.Is(in, err, ErrSyntax) {
			t.Errorf("%q (%s): %v, %v; want an error", in, reason, got, err)
		}
	}
}

// The three permitted forms (Czech article on speed scales after ISO 6 and ČSN 66
// 6625; encyclopaedia article "Film speed"), printed and read back over the scale.
func TestThreeForms(t *testing.T) {
	s := Speed{398.1, ISO, ISO6}
	for _, c := range [][2]string{{s.Arithmetic(), "ISO 400"}, {s.Logarithmic(), "ISO 27°"}, {s.String(), "ISO 400/27°"}} {
		if c[0] != c[1] {
			t.Errorf("prints %q, want %q", c[0], c[1])
		}
	}
	for _, r := range Scale() {
		s := Speed{r.Number, ISO, Stated}
		for _, text := range []string{s.Arithmetic(), s.Logarithmic(), s.String()} {
			if back, err := ParseSpeed(text); err != nil || back != s {
				t.Errorf("%q reads back as %v, %v", text, back, err)
			}
		}
	}
	i := Speed{Value: 1250}
	if i.Arithmetic() != "EI 1250" || i.Logarithmic() != "EI 1250" {
		t.Errorf("an index prints %q and %q", i.Arithmetic(), i.Logarithmic())
	}
}

func TestSpeedNotOnScale(t *testing.T) {
	for _, c := range []struct {
		s    Speed
		want string
	}{
		{Speed{Value: 0.05}, "EI 0.05"},
		{Speed{Value: 2e6, Kind: ISO}, "ISO 2e+06/64°"},
		{Speed{Value: math.NaN()}, "EI NaN"},
		{Speed{}, "EI 0"},
	} {
		if got := c.s.String(); got != c.want {
			t.Errorf("%v prints %q, want %q", c.s.Value, got, c.want)
		}
		if c.s.Value != 0.05 && c.s.Value != 2e6 && c.s.Valid() {
			t.Errorf("%v is valid", c.s.Value)
		}
	}
}

func FuzzParseSpeed(f *testing.F) {
	for _, s := range []string{"ISO 400", "ISO 27°", "ISO 400/27°", "EI 1250", "ISO 0.8/0°", "27°", "ISO 1e3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, in string) {
		s, err := ParseSpeed(in)
		if err != nil {
			return
		}
		back, err := ParseSpeed(s.String())
		if err != nil || back != s {
			t.Errorf("%q reads %v, prints %q, reads %v, %v", in, s, s, back, err)
		}
	})
}

func TestCriterionText(t *testing.T) {
	said := held.New(t)
	for c := Stated; c <= Field; c++ {
		b, _ := c.MarshalText()
		var back Criterion
		if err := back.UnmarshalText(b); err != nil || back != c {
			t.Errorf("%v reads back as %v, %v", c, back, err)
		}
	}
	var c Criterion
	if err := c.UnmarshalText([]byte("zone")); !said.Is("", err, ErrSyntax) {
		t.Errorf("an unknown criterion gives %v", err)
	}
	for _, k := range []Kind{EI, ISO} {
		b, _ := k.MarshalText()
		var back Kind
		if err := back.UnmarshalText(b); err != nil || back != k {
			t.Errorf("%v reads back as %v, %v", k, back, err)
		}
	}
	var k Kind
	if err := k.UnmarshalText([]byte("iso")); !said.Is("", err, ErrSyntax) {
		t.Errorf("an unknown kind gives %v", err)
	}
}
