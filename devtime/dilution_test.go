package devtime

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/held"

	"github.com/google/go-cmp/cmp"
)

func TestParseDilution(t *testing.T) {
	for _, c := range []struct {
		in           string
		colon        Colon
		stock, water float64
		err          error
		why          string
	}{
		{"1+31", 0, 1, 31, nil, "plain"},
		{" 1 + 1 ", 0, 1, 1, nil, "spaces"},
		{"1+0", 0, 1, 0, nil, "undiluted"},
		{"stock", 0, 1, 0, nil, "word"},
		{"STOCK", 0, 1, 0, nil, "capitals"},
		{"undiluted", 0, 1, 0, nil, "word"},
		{"2+3", 0, 2, 3, nil, "more than one part of stock"},
		{"1+1.5", 0, 1, 1.5, nil, "half a part"},
		{"10%", 0, 10, 90, nil, "share"},
		{"100%", 0, 100, 0, nil, "all of it"},
		{"1:31", PartsOfWater, 1, 31, nil, "as books on photography"},
		{"1:31", PartsInAll, 1, 30, nil, "as chemists"},
		{"1:1", PartsOfWater, 1, 1, nil, "equal parts"},
		{"1:1", PartsInAll, 1, 0, nil, "1 part in 1"},

		{"1:31", 0, 0, 0, ErrAmbiguous, "two readings"},
		{"1:1", 0, 0, 0, ErrAmbiguous, "two readings"},
		{"3:2", 0, 0, 0, ErrAmbiguous, "one reading, still not said"},
		{"3:2", PartsInAll, 0, 0, ErrSyntax, "3 parts in 2"},
		{"", 0, 0, 0, ErrSyntax, "empty"},
		{"31", 0, 0, 0, ErrSyntax, "one number"},
		{"0+1", 0, 0, 0, ErrSyntax, "no stock"},
		{"1+-1", 0, 0, 0, ErrSyntax, "negative water"},
		{"-1+1", 0, 0, 0, ErrSyntax, "negative stock"},
		{"+31", 0, 0, 0, ErrSyntax, "no stock written"},
		{"1+", 0, 0, 0, ErrSyntax, "no water written"},
		{"1+1+1", 0, 0, 0, ErrSyntax, "three parts"},
		{"NaN+1", 0, 0, 0, ErrSyntax, "not a number"},
		{"1+Inf", 0, 0, 0, ErrSyntax, "infinite"},
		{"1e0+1", 0, 0, 0, ErrSyntax, "exponent"},
		{"0%", 0, 0, 0, ErrSyntax, "nothing"},
		{"101%", 0, 0, 0, ErrSyntax, "more than all"},
		{"%", 0, 0, 0, ErrSyntax, "no number"},
		{"1+9999999", 0, 0, 0, ErrSyntax, "water"},
		{"1/31", 0, 0, 0, ErrSyntax, "stroke"},
		{strings.Repeat("1+", 1_000_000), 0, 0, 0, ErrSyntax, "two megabytes"},
	} {
		d, err := ParseDilution(c.in, c.colon)
		s, w := d.Parts()
		name := c.in
		if len(name) > 20 {
			name = name[:20] + "..."
		}
		if !errors.Is(err, c.err) || s != c.stock || w != c.water {
			t.Errorf("%q (%s): %v+%v, %v; want %v+%v, %v", name, c.why, s, w, err, c.stock, c.water, c.err)
		}
	}
	// The refusal names both readings and their difference, which is 1/n.
	for n, want := range map[int]string{31: "3.226 %", 3: "33.33 %", 1: "100 %"} {
		_, err := ParseDilution(fmt.Sprintf("1:%d", n), RefuseColon)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), fmt.Sprintf("1+%d", n)) {
			t.Errorf("1:%d: %v, want both readings and %s", n, err, want)
		}
	}
}

func FuzzParseDilution(f *testing.F) {
	for _, s := range []string{"1+31", "stock", "10%", "1:31", "2.5+7", "33.3%", "1 + 0", "0.5+.5"} {
		f.Add(s, uint8(0))
		f.Add(s, uint8(1))
		f.Add(s, uint8(2))
	}
	f.Add("100000000001000000000000+0", uint8('b')) // 100 s/s is 100.00000000000001
	f.Fuzz(func(t *testing.T, s string, colon uint8) {
		d, err := ParseDilution(s, Colon(colon%3))
		if err != nil {
			return
		}
		back, err := ParseDilution(d.String(), RefuseColon)
		if err != nil || back != d {
			t.Fatalf("%q: %v printed as %q, read as %v, %v", s, d, d.String(), back, err)
		}
		if !(d.Factor() >= 1) || !(d.Percent() > 0 && d.Percent() <= 100) {
			t.Fatalf("%q: factor %v, %v %%", s, d.Factor(), d.Percent())
		}
	})
}

func TestDilutionJSON(t *testing.T) {
	said := held.New(t)
	type rec struct{ D Dilution }
	b, err := json.Marshal(rec{must(NewDilution(1, 31))})
	if err != nil || string(b) != `{"D":"1+31"}` {
		t.Fatalf("%s, %v", b, err)
	}
	var r rec
	if err := json.Unmarshal(b, &r); err != nil || r.D != must(NewDilution(1, 31)) {
		t.Fatalf("%v, %v", r, err)
	}
	if err := json.Unmarshal([]byte(`{"D":"1:31"}`), &r); !said.Is("", err, ErrAmbiguous) {
		t.Errorf("colon: %v", err)
	}
	b, err = json.Marshal(rec{})
	if err != nil || string(b) != `{"D":""}` || json.Unmarshal(b, &r) != nil || r.D != (Dilution{}) {
		t.Errorf("zero: %s, %v; read back %v", b, err, r)
	}
}

// Splits of a volume, computed by hand; "diluted twice" for 32 oz + 64 oz is
// 1+2 (Practical Photography, USA, c. 1908).
func TestVolumes(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		d                   string
		total, stock, water float64
	}{
		{"1+31", 1000, 31.25, 968.75}, {"1+31", 300, 9.375, 290.625}, {"1+50", 600, 11.7647, 588.2353},
		{"1+100", 1000, 9.90099, 990.09901}, {"1+2", 96, 32, 64}, {"1+3", 8, 2, 6}, {"stock", 500, 500, 0},
	} {
		s, w, err := must(ParseDilution(c.d, 0)).Volumes(c.total)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.d+" stock", s, c.stock, 5e-5)
		near(t, c.d+" water", w, c.water, 5e-5)
		near(t, c.d+" whole", s+w, c.total, 1e-9)
	}
	near(t, "1+31", must(NewDilution(1, 31)).Factor(), 32, 0)
	near(t, "1+31 in percent", must(NewDilution(1, 31)).Percent(), 3.125, 0)
	for _, v := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, _, err := Undiluted().Volumes(v); !said.Is("", err, ErrInput) {
			t.Errorf("volume %v: %v", v, err)
		}
	}
	if _, _, err := (Dilution{}).Volumes(100); !said.Is("", err, ErrInput) {
		t.Errorf("no dilution: %v", err)
	}
	for _, c := range [][2]float64{{0, 1}, {-1, 1}, {1, -1}, {math.NaN(), 1}, {1, math.NaN()}, {1, math.Inf(1)}, {1e-9, 1}} {
		if _, err := NewDilution(c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("NewDilution%v: %v", c, err)
		}
	}
	// The alligation cross: 28 % down to 8 % is 8 parts with 20 of water.
	near(t, "28 to 8 %", must(PercentSolution(28, 8, 280)), 80, 1e-12)
	for _, c := range [][3]float64{{8, 28, 1}, {8, 0, 1}, {8, 4, 0}, {math.NaN(), 1, 1}, {math.Inf(1), 1, 1}, {8, 4, math.Inf(1)}} {
		if _, err := PercentSolution(c[0], c[1], c[2]); !said.Is("", err, ErrInput) {
			t.Errorf("PercentSolution%v: %v", c, err)
		}
	}
}

// A pyro developer at 65 °F on one sort of plate: stock 240 s, twice diluted
// 600 s, three times 1200 s (Practical Photography, USA, c. 1908, par. 484-506,
// public domain). Exponents computed.
func TestFitDilution(t *testing.T) {
	said := held.New(t)
	rows := []DilutionRow{{Undiluted(), 240 * time.Second}, {must(NewDilution(1, 1)), 600 * time.Second}, {must(NewDilution(1, 2)), 1200 * time.Second}}
	l := must(FitDilution(rows))
	near(t, "m", l.Exponent().Value, 1.4495701, 5e-8)
	near(t, "m to twice", must(FitDilution(rows[:2])).Exponent().Value, 1.3219281, 5e-8)
	near(t, "m to three times", must(FitDilution([]DilutionRow{rows[0], rows[2]})).Exponent().Value, 1.4649735, 5e-8)
	got := must(l.Time(must(NewDilution(1, .5))))
	if got.Extrapolated || !(got.Low < got.Value && got.Value < got.High) || !(got.Value > 240*time.Second && got.Value < 600*time.Second) {
		t.Errorf("1+0.5: %v", got)
	}
	if got := must(l.Time(must(NewDilution(1, 4)))); !got.Extrapolated {
		t.Errorf("1+4: %v not marked", got)
	}
	if got := must(must(FitDilution(rows[:2])).Time(Undiluted())); got.Value != 240*time.Second || got.Low >= 0 {
		t.Errorf("through two rows: %v", got)
	}
	for _, c := range []struct {
		name string
		rows []DilutionRow
		want error
	}{
		{"nothing", nil, ErrInput},
		{"one", rows[:1], ErrInput},
		{"one dilution", []DilutionRow{rows[0], rows[0]}, ErrInput},
		{"zero dilution", []DilutionRow{{Dilution{}, 1}, rows[0]}, ErrInput},
		{"zero time", []DilutionRow{{Undiluted(), 0}, rows[1]}, ErrInput},
		{"falls", []DilutionRow{rows[0], {must(NewDilution(1, 1)), time.Second}}, ErrNoLaw},
	} {
		if _, err := FitDilution(c.rows); !said.Is("", err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := l.Time(Dilution{}); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
	if _, err := (DilutionLaw{}).Time(Undiluted()); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

func TestMix(t *testing.T) {
	said := held.New(t)
	d := must(NewDilution(1, 31))
	m := must(Mix(Bath{Tank: 1000, Dilution: d, Films: 2, MinStock: 10}))
	near(t, "stock", m.Stock, 31.25, 1e-12)
	near(t, "films it is enough for", m.MaxFilms, 3.125, 1e-12)
	_, err := Mix(Bath{Tank: 300, Dilution: d, Films: 1, MinStock: 10})
	if !said.Is("", err, ErrStock) || !strings.Contains(err.Error(), "320 ml") || !strings.Contains(err.Error(), "no film") {
		t.Errorf("small tank: %v; want ErrStock with 320 ml and no film", err)
	}
	if m := must(Mix(Bath{Tank: 300, Dilution: d, Films: 1})); !math.IsInf(m.MaxFilms, 1) {
		t.Errorf("no least stock: %+v", m)
	}
	if m := must(Mix(Bath{Tank: 320, Dilution: d, Films: 1, MinStock: 10})); math.Abs(m.MaxFilms-1) > 1e-12 {
		t.Errorf("just enough: %+v", m)
	}
	for _, b := range []Bath{
		{}, {Tank: 300, Films: 1}, {Dilution: d, Films: 1}, {Tank: 300, Dilution: d}, {Tank: 300, Dilution: d, Films: -1},
		{Tank: math.NaN(), Dilution: d, Films: 1}, {Tank: 300, Dilution: d, Films: math.NaN()}, {Tank: 300, Dilution: d, Films: 1, MinStock: -1},
		{Tank: 300, Dilution: d, Films: 1, MinStock: math.NaN()}, {Tank: math.Inf(1), Dilution: d, Films: 1},
	} {
		if _, err := Mix(b); !said.Is("", err, ErrInput) {
			t.Errorf("%+v: %v", b, err)
		}
	}
	// Whoever is told to mix is told to take care.
	s := m.String()
	for _, want := range []string{"31.25 ml", "1000 ml", "1+31", "gloves", "safety data sheet", "food", "Dispose", "ventilate"} {
		if !strings.Contains(s, want) {
			t.Errorf("%q does not say %q", s, want)
		}
	}
	all := strings.Join(Cautions(), " ")
	for _, want := range []string{"skin", "Ventilate", "food containers", "local rules", "safety data sheet", "acid to water"} {
		if !strings.Contains(all, want) {
			t.Errorf("the cautions do not say %q", want)
		}
	}
}

func TestMeasure(t *testing.T) {
	said := held.New(t)
	for _, c := range []struct {
		name             string
		bath             Bath
		cylinder, vessel float64
		stock, water     float64
		off              float64 // percent
	}{
		{"1+50 in 600", Bath{Tank: 600, Dilution: must(NewDilution(1, 50)), Films: 1}, .5, 10, 12, 588, 2},
		{"1+31 in 1000, fine", Bath{Tank: 1000, Dilution: must(NewDilution(1, 31)), Films: 1}, .25, 10, 31.25, 968.75, 0},
		{"1+31 in 1000, coarse", Bath{Tank: 1000, Dilution: must(NewDilution(1, 31)), Films: 1}, 5, 10, 30, 970, -4},
		{"the same for films that need it all", Bath{Tank: 1000, Dilution: must(NewDilution(1, 31)), Films: 1, MinStock: 31}, 5, 10, 35, 965, 12},
		{"undiluted", Bath{Tank: 250, Dilution: Undiluted(), Films: 1}, 5, 10, 250, 0, 0},
	} {
		m := must(must(Mix(c.bath)).ToGraduations(c.cylinder, c.vessel))
		near(t, c.name+": stock", m.Stock, c.stock, 1e-9)
		near(t, c.name+": water", m.Water, c.water, 1e-9)
		near(t, c.name+": error", m.Error, c.off, 1e-9)
	}
	m := must(Mix(Bath{Tank: 300, Dilution: must(NewDilution(1, 100)), Films: 1}))
	for _, c := range [][2]float64{{5, 10}, {0, 10}, {1, 0}, {math.NaN(), 1}, {1, math.NaN()}, {math.Inf(1), 1}} {
		if _, err := m.ToGraduations(c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("graduations %v: %v", c, err)
		}
	}
	if _, err := (Mixture{}).ToGraduations(1, 1); !said.Is("", err, ErrInput) {
		t.Error(err)
	}
}

// 80 square inches is 0.0516128 m² exactly, and four sheets of 4×5 in or one
// of 8×10 in; 1.6 m of 35 mm film has 86.80, 830 mm of 62 mm film 79.76
// (computed).
func TestFilms(t *testing.T) {
	said := held.New(t)
	near(t, "area", FilmArea, .0516128, 1e-12)
	near(t, "8×10", must(FilmsOf(203.2, 254)), 1, 1e-12)
	near(t, "four 4×5", 4*must(FilmsOf(101.6, 127)), 1, 1e-12)
	near(t, "35 mm", 80*must(FilmsOf(35, 1600)), 86.80, .005)
	near(t, "120", 80*must(FilmsOf(62, 830)), 79.76, .005)
	for _, c := range [][2]float64{{0, 1}, {1, 0}, {-1, 1}, {math.NaN(), 1}, {1, math.Inf(1)}} {
		if _, err := FilmsOf(c[0], c[1]); !said.Is("", err, ErrInput) {
			t.Errorf("FilmsOf%v: %v", c, err)
		}
	}
}

func TestExhaustion(t *testing.T) {
	said := held.New(t)
	near(t, "compound", must(Exhaustion{.1, true, 10}.Factor(5)), 1.61051, 1e-12)
	near(t, "additive", must(Exhaustion{.1, false, 10}.Factor(5)), 1.5, 1e-12)
	near(t, "fresh", must(Exhaustion{.1, true, 10}.Factor(0)), 1, 0)
	if _, err := (Exhaustion{.1, true, 10}).Factor(9); err != nil {
		t.Errorf("the last film: %v", err)
	}
	if _, err := (Exhaustion{.1, true, 10}).Factor(10); !said.Is("", err, ErrOutside) {
		t.Errorf("beyond capacity: %v", err)
	}
	for _, e := range []Exhaustion{{-.1, false, 10}, {1, false, 10}, {math.NaN(), false, 10}, {.1, false, 0}, {.1, false, math.NaN()}} {
		if _, err := e.Factor(1); !said.Is("", err, ErrInput) {
			t.Errorf("%+v: %v", e, err)
		}
	}
	for _, n := range []float64{-1, math.NaN()} {
		if _, err := (Exhaustion{.1, false, 10}).Factor(n); !said.Is("", err, ErrInput) {
			t.Errorf("%v films: %v", n, err)
		}
	}
	got := must(Time{mins(8), mins(7), Unbounded, true}.Scale(1.5))
	if d := cmp.Diff(Time{mins(12), mins(10.5), Unbounded, true}, got); d != "" {
		t.Error(d)
	}
	got = must(Time{mins(8), -1, -1, false}.Scale(1.5))
	if got.Low != -1 || got.High != -1 {
		t.Errorf("unknown ends scaled to %v", got)
	}
	for _, f := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := (Time{}).Scale(f); !said.Is("", err, ErrInput) {
			t.Errorf("factor %v: %v", f, err)
		}
	}
}

// One roll in half a litre at 1+24, with a stock that needs 15 ml a film
// (invented), measured with a cylinder of half millilitres.
func ExampleMix() {
	d, err := ParseDilution("1+24", RefuseColon)
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := Mix(Bath{Tank: 500, Dilution: d, Films: 1, MinStock: 15})
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := m.ToGraduations(0.5, 10)
	fmt.Println(r, err)
	_, err = ParseDilution("1:24", RefuseColon)
	fmt.Println(err)
	// Output:
	// 20 ml of stock and water to 500 ml (1+24). Developers and fixers can sensitise the skin and harm the eyes: wear gloves and goggles, ventilate the room, keep food and its containers away, label every bottle, add acid to water and never water to acid. Dispose of used baths by your local rules. The maker's safety data sheet comes before anything said here. <nil>
	// devtime: ambiguous dilution: "1:24" may be 1+24 or 1+23, which has 4.167 % more stock; write one of them, or say how to read a colon
}
