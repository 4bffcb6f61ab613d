package exposure_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/printed"
	"example.org/actinic/sensito"
	. "example.org/actinic/sensito/exposure"
)

// asa returns an index without further claims.
func asa(v float64) sensito.Speed { return sensito.Speed{Value: v} }

// The f-numbers and times that tables put beside whole values are marks of
// cameras, not powers of two: a mark must lie nearest to its own whole value.
func TestNominalTables(t *testing.T) {
	// Exif 2.2 (JEITA CP-3451), annex C, table of Av as copied in an imaging
	// header, where Av 4 is misprinted 5.
	for av, n := range []FNumber{1, 1.4, 2, 2.8, 4, 5.6, 8, 11, 16, 22, 32} {
		if got := math.Round(float64(n.Av())); got != float64(av) {
			t.Errorf("%v has Av %.3f, table %d", n, float64(n.Av()), av)
		}
	}
	// The same, table of Tv, where 1/15 is misprinted 1/16.
	for i, text := range []string{"30s", "15s", "8s", "4s", "2s", "1s", "1/2", "1/4", "1/8", "1/15", "1/30", "1/60", "1/125", "1/250", "1/500", "1/1000", "1/2000"} {
		d, err := ParseShutter(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := math.Round(float64(TvOf(d))); got != float64(i-5) {
			t.Errorf("%s has Tv %.3f, table %d", text, float64(TvOf(d)), i-5)
		}
	}
	// The same, table of Bv in foot-lamberts, -2 to 5; N and K of 1961 put Bv 0
	// at 0.989 fL. 15 and 30 are marks, exact would be 16 and 32.
	y1961 := APEX{N: NExact, K: 11.4}
	for i, fl := range []float64{0.25, 0.5, 1, 2, 4, 8, 15, 30} {
		b := y1961.Bv(Luminance(fl * footLambert))
		if got := math.Round(float64(b)); got != float64(i-2) {
			t.Errorf("%g fL has Bv %.3f, table %d", fl, float64(b), i-2)
		}
	}
	// Speed values against the printed scale: encyclopaedia article "Film speed",
	// table; 1 to 10 are the grades of ASA PH2.5-1960.
	var x APEX
	for i, text := range []string{"0.8", "1.6", "3", "6", "12", "25", "50", "100", "200", "400", "800", "1600", "3200", "6400", "12500", "25000"} {
		row, ok := sensito.ScaleAt(x.Index(Sv(i - 2)).Degrees())
		if !ok || row.Arithmetic() != text {
			t.Errorf("Sv %d is %s, table %s", i-2, row.Arithmetic(), text)
		}
	}
	// Exif annex C, table of Sv 0 to 6 (from memory; its formula is read).
	for sv, s := range []float64{3.125, 6.25, 12.5, 25, 50, 100, 200} {
		if got := x.Sv(asa(s)); got != Sv(sv) {
			t.Errorf("ISO %g has Sv %v, table %d", s, float64(got), sv)
		}
	}
}

const footLambert = 3.4262591 // cd/m², from GNU Units 2.22

func TestExactValues(t *testing.T) {
	var today APEX
	y1961 := APEX{N: NExact, K: 11.4, C: 224}
	bv := APEX{C: 224}
	tests := []struct {
		name, source string
		got          float64
		want         string
	}{
		{"N exact", "PH2.12-1961 by way of GNU Units 2.22: 2^(-7/4)", NExact, "0.2973018"},
		{"Sv of 100, N exact", "computed from N", float64(y1961.Sv(asa(100))), "4.8939"},
		{"Sv of 100, N 0.30", "computed from N of PH2.5-1960", float64(APEX{N: NRounded}.Sv(asa(100))), "4.9069"},
		{"Sv of 100, N 0.3162", "computed from N of ANSI PH2.7-1973", float64(APEX{N: N1973}.Sv(asa(100))), "4.9828"},
		{"Sv of 100, Exif", "Exif 2.3: exactly 5", float64(today.Sv(asa(100))), "5.000000000000"},
		{"Bv 0 in 1961", "GNU Units 2.22 run", float64(y1961.Luminance(0)), "3.3892"},
		{"Bv 0 in 1961, fL", "GNU Units 2.22 run, the 1 fL design point", float64(y1961.Luminance(0)) / footLambert, "0.9892"},
		{"Bv 0 today", "computed", float64(today.Luminance(0)), "4.000"},
		{"Bv 0 today, fL", "computed", float64(today.Luminance(0)) / footLambert, "1.1675"},
		{"Bv 0, years apart", "computed", math.Log2(float64(today.Luminance(0) / y1961.Luminance(0))), "0.24"},
		{"Bv -2", "GNU Units 2.22 run", float64(bv.Luminance(-2)), "1.0000"},
		{"Bv -1", "GNU Units 2.22 run", float64(bv.Luminance(-1)), "2.0000"},
		{"Bv 0", "GNU Units 2.22 run", float64(bv.Luminance(0)), "4.0000"},
		{"Bv 1", "GNU Units 2.22 run", float64(bv.Luminance(1)), "8.0000"},
		{"Bv 2", "GNU Units 2.22 run", float64(bv.Luminance(2)), "16.0000"},
		{"Bv 5", "GNU Units 2.22 run", float64(bv.Luminance(5)), "128.0000"},
		{"Bv 8", "GNU Units 2.22 run", float64(bv.Luminance(8)), "1024.0000"},
		{"Bv 10", "GNU Units 2.22 run", float64(bv.Luminance(10)), "4096.0000"},
		{"Iv -2", "GNU Units 2.22 run, C 224", float64(bv.Illuminance(-2)), "17.92"},
		{"Iv -1", "GNU Units 2.22 run, C 224", float64(bv.Illuminance(-1)), "35.84"},
		{"Iv 0", "GNU Units 2.22 run, C 224", float64(bv.Illuminance(0)), "71.68"},
		{"Iv 1", "GNU Units 2.22 run, C 224", float64(bv.Illuminance(1)), "143.36"},
		{"Iv 5", "GNU Units 2.22 run, C 224", float64(bv.Illuminance(5)), "2293.76"},
		{"Iv 10", "GNU Units 2.22 run, C 224", float64(bv.Illuminance(10)), "73400.32"},
		{"Tv of 1 min", "GNU Units 2.22 documentation", float64(TvOf(time.Minute)), "-5.9068906"},
		{"f/16 at 1/100", "GNU Units 2.22 documentation", float64(FNumber(16).Av().Ev(TvOf(time.Second / 100))), "14.643856"},
		{"Tv of 1/125", "Exif formula, independent run", float64(TvOf(time.Second / 125)), "6.965784"},
		{"Tv of 1/60", "Exif formula, independent run", float64(TvOf(time.Second / 60)), "5.906891"},
		{"Tv of 1/30", "Exif formula, independent run", float64(TvOf(time.Second / 30)), "4.906891"},
		{"Tv of 1 s", "Exif formula, independent run", float64(TvOf(time.Second)), "0.000000"},
		{"Tv of 4 s", "Exif formula, independent run", float64(TvOf(4 * time.Second)), "-2.000000"},
		{"Tv of 1/1000", "Exif formula, independent run", float64(TvOf(time.Second / 1000)), "9.965784"},
		{"scene for f/16, 1/100, 100", "independent run of log2(N² 100/(t S))", float64(FNumber(16).Av().Ev(TvOf(time.Second / 100)).EV100(asa(100))), "14.64385619"},
		{"scene for f/8, 1/60, 400", "the same", float64(FNumber(8).Av().Ev(TvOf(time.Second / 60)).EV100(asa(400))), "9.906891"},
		{"scene for f/1, 1 s, 100", "the same", float64(FNumber(1).Av().Ev(0).EV100(asa(100))), "0.000000"},
		{"Av 1", "Exif formula, independent run", float64(Av(1).FNumber()), "1.41421356"},
		{"Av 3", "Exif formula, independent run", float64(Av(3).FNumber()), "2.82842712"},
		{"Av 5", "Exif formula, independent run", float64(Av(5).FNumber()), "5.65685425"},
		{"Av 7", "Exif formula, independent run", float64(Av(7).FNumber()), "11.3137085"},
		{"Av 9", "Exif formula, independent run", float64(Av(9).FNumber()), "22.6274170"},
		{"Av 10", "Exif formula, independent run", float64(Av(10).FNumber()), "32.0000000"},
		// Marks taken as numbers; encyclopaedia articles "f-number" and "Shutter
		// speed" for the marks, the values computed.
		{"f/11 by its number", "computed", float64(FNumber(11).Av()), "6.919"},
		{"f/5.6 by its number", "computed", float64(FNumber(5.6).Av()), "4.97085"},
		{"f/45 by its number", "computed", float64(FNumber(45).Av()), "10.98371"},
		{"30 s by its number", "computed", float64(TvOf(30 * time.Second)), "-4.907"},
		{"f/16 at 1/125, EV 15 on scales", "computed", float64(FNumber(16).Av().Ev(TvOf(time.Second / 125))), "14.966"},
	}
	for _, tt := range tests {
		printed.Check(t, tt.name+" ("+tt.source+")", tt.got, tt.want)
	}
	if NExact != math.Exp2(-7.0/4) {
		t.Errorf("N is %v, want 2^(-7/4)", NExact)
	}
}

// The exposure equation does not depend on N, and the sum of one side is that of
// the other.
func TestAPEXAdds(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	for range 500 {
		x := APEX{K: 10 + 4*rng.Float64(), C: 200 + 200*rng.Float64()}
		s := asa(math.Exp2(12 * rng.Float64()))
		l := Luminance(math.Exp2(20*rng.Float64() - 5))
		for _, n := range []float64{0, NExif, NExact, NRounded, N1973, 1} {
			x.N = n
			e := float64(x.Bv(l).Ev(x.Sv(s)))
			if want := math.Log2(float64(l) * s.Value / x.K); math.Abs(e-want) > 1e-12*math.Max(1, math.Abs(want)) {
				t.Fatalf("N %v: Bv + Sv = %v, log2(L S/K) = %v", n, e, want)
			}
			lux := Illuminance(l)
			e = float64(x.Iv(lux).Ev(x.Sv(s)))
			if want := math.Log2(float64(lux) * s.Value / x.C); math.Abs(e-want) > 1e-12*math.Max(1, math.Abs(want)) {
				t.Fatalf("N %v: Iv + Sv = %v, log2(E S/C) = %v", n, e, want)
			}
		}
		// and there and back
		if got := x.Luminance(x.Bv(l)); math.Abs(float64(got/l)-1) > 1e-12 {
			t.Fatalf("luminance %v came back as %v", l, got)
		}
		if got := x.Illuminance(x.Iv(Illuminance(l))); math.Abs(float64(got)/float64(l)-1) > 1e-12 {
			t.Fatalf("illuminance %v came back as %v", l, got)
		}
		if got := x.Index(x.Sv(s)); math.Abs(got.Value/s.Value-1) > 1e-12 {
			t.Fatalf("speed %v came back as %v", s.Value, got.Value)
		}
		// settings for the scene satisfy N²/t = L S/K
		e100, err := ReflectedMeter{K: x.K, AnyConstant: true}.EV100(l)
		if err != nil {
			t.Fatal(err)
		}
		n := FNumber(math.Exp2(3 * rng.Float64()))
		d, err := e100.Time(s, n)
		if err != nil {
			t.Fatal(err)
		}
		left, right := float64(n*n)/d.Seconds(), float64(l)*s.Value/x.K
		if tol := 0.6e-9/d.Seconds() + 1e-12; math.Abs(left/right-1) > tol {
			t.Fatalf("N²/t = %v, L S/K = %v", left, right)
		}
		if back, err := e100.FNumber(s, d); err != nil || math.Abs(float64(back/n)-1) > 0.6e-9/d.Seconds()+1e-12 {
			t.Fatalf("%v came back as %v, %v", n, back, err)
		}
	}
}

// The speed enters with opposite signs on the way from the scene to the settings
// and back.
func TestSceneAndSettings(t *testing.T) {
	scene := EV100(15)
	if got := scene.Ev(asa(400)); got != 17 {
		t.Errorf("EV 15 at ISO 100 asks for %v at 400, want EV 17", got)
	}
	if got := Ev(15).EV100(asa(400)); got != 13 {
		t.Errorf("settings EV 15 at 400 are for %v, want EV 13 at ISO 100", got)
	}
	if got, want := scene.String(), "EV 15.00 at ISO 100"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := Ev(15).String(), "EV 15.00"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := Ev(15).Av(7); got != 8 {
		t.Errorf("EV 15 less Tv 7 is Av %v, want 8", got)
	}
	if got := Ev(15).Tv(8); got != 7 {
		t.Errorf("EV 15 less Av 8 is Tv %v, want 7", got)
	}
}

func TestAPEXRefuses(t *testing.T) {
	said := held.New(t)
	nan, inf := math.NaN(), math.Inf(1)
	for name, v := range map[string]float64{
		"Av of a negative f-number": float64(FNumber(-8).Av()),
		"Tv of a negative time":     float64(TvOf(-time.Second)),
		"Sv of no speed":            float64(APEX{}.Sv(asa(0))),
		"Sv of a negative speed":    float64(APEX{}.Sv(asa(-100))),
		"Sv, two wrong signs":       float64(APEX{N: -0.3}.Sv(asa(-100))),
		"Sv, N not finite":          float64(APEX{N: inf}.Sv(asa(100))),
		"Bv, two wrong signs":       float64(APEX{K: -12.5}.Bv(-4)),
		"Bv, infinite luminance":    float64(APEX{}.Bv(Luminance(inf))),
		"luminance, K NaN":          float64(APEX{K: nan}.Luminance(3)),
		"Iv, negative C":            float64(APEX{C: -250}.Iv(250)),
		"illuminance, negative C":   float64(APEX{C: -250}.Illuminance(3)),
		"index, negative N":         APEX{N: -1}.Index(5).Value,
		"EV100 at no speed":         float64(Ev(15).EV100(asa(-1))),
		"Ev at no speed":            float64(EV100(15).Ev(asa(-1))),
	} {
		if !math.IsNaN(v) {
			t.Errorf("%s: got %v, want NaN", name, v)
		}
	}
	for name, err := range map[string]error{
		"Tv NaN":            second(Tv(nan).Time()),
		"Tv too short":      second(Tv(31).Time()),
		"Tv too long":       second(Tv(-34).Time()),
		"Tv +Inf":           second(Tv(inf).Time()),
		"Tv -Inf":           second(Tv(-inf).Time()),
		"time, no speed":    second(EV100(15).Time(asa(0), 8)),
		"time, speed NaN":   second(EV100(15).Time(asa(nan), 8)),
		"time, EV NaN":      second(EV100(nan).Time(asa(100), 8)),
		"time, EV Inf":      second(EV100(inf).Time(asa(100), 8)),
		"time, f/0":         second(EV100(15).Time(asa(100), 0)),
		"time, f/-8":        second(EV100(15).Time(asa(100), -8)),
		"time, f/Inf":       second(EV100(15).Time(asa(100), FNumber(inf))),
		"time out of range": second(EV100(200).Time(asa(100), 8)),
		"aperture, time 0":  second(EV100(15).FNumber(asa(100), 0)),
		"aperture, speed":   second(EV100(15).FNumber(asa(-1), time.Second)),
		"aperture, EV":      second(EV100(nan).FNumber(asa(100), time.Second)),
		"text of f/-2":      second(FNumber(-2).MarshalText()),
		"text of f/NaN":     second(FNumber(nan).MarshalText()),
	} {
		if !said.Is(name, err, sensito.ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestFNumberText(t *testing.T) {
	said := held.New(t)
	for text, want := range map[string]FNumber{"f/5.6": 5.6, "5.6": 5.6, " f/8 ": 8, "f/0.95": 0.95, "f/128": 128, "f/5.0": 5, "f/.7": 0.7, "f5.6": 5.6, "F5.6": 5.6, "F/8": 8, "f / 8": 8} {
		if got, err := ParseFNumber(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v, want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "f/", "f", "f/0", "0", "f/-8", "-8", "f/+8", "f/NaN", "f/Inf", "f/1e2", "f/0x8", "f/8f", "f/5,6", "f//8", "f/1.2.3", "f/.", "t/8", "1:2.8", "f/1_0", strings.Repeat("9", 400)} {
		if got, err := ParseFNumber(text); !said.Is(text, err, sensito.ErrSyntax) {
			t.Errorf("%q: got %v, %v, want ErrSyntax", text, got, err)
		}
	}
	b, err := json.Marshal(map[string]FNumber{"aperture": 5.6})
	if err != nil || string(b) != `{"aperture":"f/5.6"}` {
		t.Errorf("JSON is %s, %v", b, err)
	}
	var back map[string]FNumber
	if err := json.Unmarshal(b, &back); err != nil || back["aperture"] != 5.6 {
		t.Errorf("JSON came back as %v, %v", back, err)
	}
	n := FNumber(4)
	if err := n.UnmarshalText([]byte("f/zero")); !said.Refused("", err) || n != 4 {
		t.Errorf("bad text left %v, %v; want an error and f/4 untouched", n, err)
	}
}

func FuzzParseFNumber(f *testing.F) {
	for _, s := range []string{"f/5.6", "8", "f/0.95", "f/", "f/1e9", "f/5,6", "f5.6", "F 8"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		n, err := ParseFNumber(text)
		if err != nil {
			return
		}
		if !(n > 0) || math.IsInf(float64(n), 0) {
			t.Fatalf("%q was read as %v", text, n)
		}
		if back, err := ParseFNumber(n.String()); err != nil || back != n {
			t.Fatalf("%q prints as %v and reads as %v, %v", text, n, back, err)
		}
	})
}

// The sunny-16 rule: f/16 at 1/S in full sun. Source: GNU Units 2.22
// documentation (EV 14.643856 at ISO 100); 3200 cd/m² also in print elsewhere.
func ExampleEv_EV100() {
	settings := FNumber(16).Av().Ev(TvOf(time.Second / 100))
	scene := settings.EV100(sensito.Speed{Value: 100})
	l, err := ReflectedMeter{}.Luminance(scene)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.6f, %v\n", float64(scene), l)
	// Output: 14.643856, 3200 cd/m²
}

func ExampleEV100_Time() {
	for _, ei := range []float64{100, 400, 1600} {
		t, err := EV100(12).Time(sensito.Speed{Value: ei}, 8)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("EI %g: %s\n", ei, FormatShutter(t))
	}
	// Output:
	// EI 100: 1/64
	// EI 400: 1/256
	// EI 1600: 1/1024
}

// The zero of the luminance value depends on the constants; settings do not.
func ExampleAPEX() {
	today, y1961 := APEX{}, APEX{N: NExact, K: 11.4, C: 224}
	fmt.Printf("Bv 0 is %v today, %v in 1961\n", today.Luminance(0), y1961.Luminance(0))
	fmt.Printf("Sv of ISO 100 is %.4f today, %.4f in 1961\n", today.Sv(sensito.Speed{Value: 100}), y1961.Sv(sensito.Speed{Value: 100}))
	// Output:
	// Bv 0 is 4 cd/m² today, 3.389 cd/m² in 1961
	// Sv of ISO 100 is 5.0000 today, 4.8939 in 1961
}
