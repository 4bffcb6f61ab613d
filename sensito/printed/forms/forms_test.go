package forms

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// answer prints what came of a cell, in brief.
func answer(c Cell, err error) string {
	var q *Question
	switch {
	case errors.As(err, &q):
		return "asked: " + strings.Join(q.Readings, " | ")
	case err != nil:
		return "refused"
	case c.Note != "":
		return "note " + c.Note
	case c.Blank:
		return "blank"
	case c.Range():
		return fmt.Sprintf("%.6g to %.6g", c.Low, c.High)
	}
	s := fmt.Sprintf("%.6g", c.Value)
	if c.About {
		s = "about " + s
	}
	return s + map[bool]string{true: " mark " + c.Mark}[c.Mark != ""]
}

type row struct{ text, want string }

func hold(t *testing.T, rows []row, of func(s string) string) {
	t.Helper()
	for _, r := range rows {
		if got := of(r.text); got != r.want {
			t.Errorf("%q: %s, want %s", r.text, got, r.want)
		}
	}
}

// The forms of tables as they are typed; common practice, no source. What cannot be one
// reading is asked or refused.
func TestDevelopmentTimes(t *testing.T) {
	hold(t, []row{
		{"6 1/2", "390"}, {"6½", "390"}, {"6-1/2", "390"}, {"6.5 min", "390"}, {"6:30", "390"}, {"06:30", "390"}, {"6m30s", "390"}, {"390 s", "390"}, {"6,5", "390"},
		{"1:05:00", "3900"}, {"1h5m", "3900"}, {"1h05", "3900"}, {"1 h", "3600"}, {"6 min 30 sec", "390"}, {"6'30\"", "390"}, {"6′30″", "390"}, {"6’30”", "390"}, {"6m30", "390"}, {"6'", "360"},
		{"8-10", "480 to 600"}, {"8–10", "480 to 600"}, {"8 to 10", "480 to 600"}, {"8–10 min", "480 to 600"}, {"7:30-8:00", "450 to 480"},
		{"N/A", "blank"}, {"-", "blank"}, {"", "blank"}, {"—", "blank"}, {"n/a", "blank"}, {"7:30*", "450 mark *"}, {"7:30¹", "450 mark ¹"}, {"7:30 (a)", "450 mark a"}, {"7:30†", "450 mark †"},
		{"~8", "about 480"}, {"about 8", "about 480"}, {"≈ 8 min", "about 480"}, {"7:3", "refused"}, {"7:60", "refused"}, {"10-8", "refused"}, {"-8", "refused"}, {"+8", "refused"}, {"0", "refused"},
		{"8 bananas", "refused"}, {"1:02:03:04", "refused"}, {"30s 5m", "refused"}, {"6 min.", "360"}, {"1 1/2 hours", "5400"}, {strings.Repeat("9", 1000), "refused"}, {"\xff", "refused"},
	}, func(s string) string { return answer(Time(s, 60)) })
}

func TestExposureTimes(t *testing.T) {
	hold(t, []row{
		{"0.5", "0.5"}, {"1e3", "1000"}, {"1/2", "0.5"}, {"1/125", "0.008"}, {`0"5`, "0.5"}, {`2"`, "2"}, {"2 s", "2"}, {"2 sec", "2"}, {"2 sec.", "2"}, {"1:00", "60"}, {"1m", "60"}, {"20 min", "1200"},
		{"1h", "3600"}, {"1,200", "1200"}, {"40-50", "40 to 50"}, {"40–50 s", "40 to 50"}, {"1/2 s", "0.5"}, {"1½ s", "1.5"}, {"0,5", "0.5"}, {"0,125", "0.125"}, {"1'30\"", "90"}, {"1e-300", "1e-300"},
		{"-2", "refused"}, {"+2", "refused"}, {"nan", "refused"}, {"inf", "refused"}, {"1e999", "refused"}, {"2 s/3", "refused"}, {"1/0", "refused"},
	}, func(s string) string { return answer(Time(s, 1)) })
	hold(t, []row{{"2", "120"}, {"30 s", "30"}}, func(s string) string { return answer(Time(s, SecondsOf("min"))) })
}

func TestStops(t *testing.T) {
	hold(t, []row{
		{"0.5", "0.5"}, {"+0.5", "0.5"}, {"1/2", "0.5"}, {"+1/3", "0.333333"}, {"1 2/3", "1.66667"}, {"⅓", "0.333333"}, {"1⅔", "1.66667"}, {"+1⅔", "1.66667"}, {"1/2 stop", "0.5"}, {"½ stop", "0.5"},
		{"-", "blank"}, {"-1/3", "-0.333333"}, {"−1", "-1"}, {"- 1 stop", "-1"}, {"1-2", "1 to 2"}, {"0", "0"}, {"one", "refused"},
	}, func(s string) string { return answer(Stops(s)) })
}

func TestIndexes(t *testing.T) {
	of := func(plus Plus) func(string) string {
		return func(s string) string { return answer(Index(s, plus)) }
	}
	hold(t, []row{
		{"400", "400"}, {"ISO 400", "400"}, {"EI 400", "400"}, {"400/27", "400"}, {"400/27°", "400"}, {"ISO 400/27°", "400"}, {"27°", "400"}, {"21°", "100"}, {"22°", "125"}, {"400*", "400 mark *"}, {"1,600", "1600"},
		{"N+1", "note N+1"}, {"N", "note N"}, {"N-2", "note N-2"}, {"250-400", "250 to 400"}, {"27 DIN", "400"}, {"400/24°", "refused"}, {"fast", "refused"},
		{"+1", "asked: a push or pull of +1 stops | the index 1"}, {"-1", "asked: a push or pull of -1 stops | the index 1"},
	}, of(AskPlus))
	hold(t, []row{{"+1", "1"}, {"-1", "asked: a push or pull of -1 stops | the index 1"}}, of(PlusIsPlain))
}

func TestFactors(t *testing.T) {
	of := func(plus Plus) func(string) string {
		return func(s string) string { return answer(Factor(s, plus)) }
	}
	hold(t, []row{
		{"2", "2"}, {"2x", "2"}, {"×2", "2"}, {"x2", "2"}, {"2×", "2"}, {"2 ×", "2"}, {"2 1/2", "2.5"}, {"1½", "1.5"}, {"1½×", "1.5"}, {"1.5-2", "1.5 to 2"}, {"2x-3x", "2 to 3"}, {"+1 stop", "2"}, {"1 stop", "2"},
		{"1/2 stop", "1.41421"}, {"+1 2/3 stops", "3.1748"}, {"-1 stop", "0.5"}, {"1-2 stops", "2 to 4"},
		{"+1", "asked: +1 stops, a factor of 2 | a factor of 1"}, {"-1", "asked: -1 stops, a factor of 0.5 | a factor of -1"}, {"two", "refused"},
	}, of(AskPlus))
	hold(t, []row{{"+1", "2"}, {"-1", "0.5"}, {"+1⅓", "2.51984"}}, of(PlusIsStops))
	hold(t, []row{{"+1", "1"}, {"-1", "asked: -1 stops, a factor of 0.5 | a factor of -1"}}, of(PlusIsPlain))
}

func TestTemperatures(t *testing.T) {
	hold(t, []row{
		{"20", "20 C"}, {"68", "68 C"}, {"20 °C", "20 C"}, {"20C", "20 C"}, {"20 deg C", "20 C"}, {"68 °F", "68 F"}, {"68F", "68 F"}, {"20°C/68°F", "20 C 68 F"}, {"68 °F (20 °C)", "20 C 68 F"}, {"20°", "20 C"},
		{"20-24", "20 to 24 C"}, {"20–24 °C", "20 to 24 C"}, {"-20", "-20 C"}, {"68°F/69°F", "refused"}, {"20/68", "refused"}, {"warm", "refused"}, {"-", ""},
	}, func(s string) string {
		b, err := Temperature(s, "°C")
		if err != nil {
			return answer(b.Celsius, err)
		}
		var out []string
		if !b.Celsius.Blank {
			out = append(out, answer(b.Celsius, nil)+" C")
		}
		if !b.Fahrenheit.Blank {
			out = append(out, answer(b.Fahrenheit, nil)+" F")
		}
		return strings.Join(out, " ")
	})
}

func TestDilutions(t *testing.T) {
	of := func(colon Colon) func(string) string {
		return func(s string) string {
			p, err := Dilution(s, colon)
			if err != nil || p.Blank {
				return answer(Cell{Blank: p.Blank}, err)
			}
			return fmt.Sprintf("%g+%g", p.Stock, p.Water)
		}
	}
	hold(t, []row{
		{"1+31", "1+31"}, {"1 + 31", "1+31"}, {"stock", "1+0"}, {"undiluted", "1+0"}, {"neat", "1+0"}, {"full strength", "1+0"}, {"10 %", "10+90"}, {"10%", "10+90"}, {"3+97", "3+97"}, {"1+0", "1+0"},
		{"1+1+100", "2+100"}, {"1+31*", "1+31"}, {"1:31 (1+31)", "1+31"}, {"1:32 (1+31)", "1+31"}, {"1:31 (1+50)", "refused"}, {"", "blank"}, {"B", "refused"}, {"1+0+", "refused"}, {"0+5", "refused"},
		{"1:31", "asked: 1+31 | 1+30, 1 part in 31"}, {"1 to 31", "asked: 1+31 | 1+30, 1 part in 31"}, {"1-31", "asked: 1+31 | 1+30, 1 part in 31"}, {"1/32", "asked: 1+32 | 1+31, 1 part in 32"},
	}, of(AskColon))
	hold(t, []row{{"1:31", "1+31"}, {"1 to 31", "1+31"}}, of(PartsOfWater))
	hold(t, []row{{"1:31", "1+30"}, {"1/32", "1+31"}}, of(PartsInAll))
}

func TestFilters(t *testing.T) {
	hold(t, []row{
		{"25", "25"}, {"8 yellow", "8 yellow"}, {"Yellow", "Yellow"}, {"No. 25", "25"}, {"#25", "25"}, {"25A", "25A"}, {"11 yellow-green", "11 yellow-green"}, {"25*", "25"},
		{"ND 0.9", "density 0.900"}, {"0.9 ND", "density 0.900"}, {"ND.9", "density 0.900"}, {"ND0.3", "density 0.300"}, {"ND 3.0", "density 3.000"}, {"ND8", "density 0.903"}, {"ND 64", "density 1.806"}, {"ND1000", "density 3.000"},
		{"NDx4", "density 0.602"}, {"ND 3 stops", "density 0.903"}, {"-", "blank"}, {"ND x", "refused"}, {"ND 99.5", "refused"},
		{"ND3", "asked: density 3.0 | a factor of 3"}, {"ND 1", "asked: density 1.0 | a factor of 1"},
	}, func(s string) string {
		f, err := Filter(s)
		switch {
		case err != nil || f.Blank:
			return answer(Cell{Blank: f.Blank}, err)
		case f.Neutral:
			return fmt.Sprintf("density %.3f", float64(f.Density))
		}
		return f.Name
	})
}

// No form makes anything panic, or yields a number that is none.
func FuzzForms(f *testing.F) {
	for _, s := range []string{"6'30\"", "1:05:00", "8–10 min", "400/27°", "1:31 (1+31)", "20°C/68°F", "+1⅔ stops", "ND 3 stops", "1.5-2×", "1,600", "-1e-5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		b, errB := Temperature(s, "°C")
		for _, r := range []struct {
			c   Cell
			err error
		}{{b.Celsius, errB}, {b.Fahrenheit, errB}} {
			allowed(t, r.c, r.err)
		}
		for _, of := range []func() (Cell, error){
			func() (Cell, error) { return Time(s, 60) }, func() (Cell, error) { return Stops(s) }, func() (Cell, error) { return Factor(s, AskPlus) },
			func() (Cell, error) { return Index(s, PlusIsPlain) }, func() (Cell, error) { return Number(s) },
		} {
			c, err := of()
			allowed(t, c, err)
		}
		if p, err := Dilution(s, PartsOfWater); err == nil && !p.Blank && !(p.Stock > 0 && p.Water >= 0) {
			t.Fatalf("%q: %v", s, p)
		}
		if _, err := Filter(s); err != nil && !errors.Is(err, ErrForm) {
			t.Fatal(err)
		}
	})
}

func allowed(t *testing.T, c Cell, err error) {
	t.Helper()
	switch {
	case err != nil && !errors.Is(err, ErrForm):
		t.Fatal(err)
	case err == nil && !c.Blank && (math.IsNaN(c.Value) || math.IsInf(c.Value, 0) || c.Low > c.Value || c.High < c.Value):
		t.Fatalf("%+v", c)
	}
}

// Commas stand between thousands where three digits follow one to three others; before others
// one stands for a point.
func TestThousands(t *testing.T) {
	hold(t, []row{{"1,600", "1600"}, {"12,800", "12800"}, {"102,400", "102400"}, {"1,024,000", "1.024e+06"}, {"1,600.5", "1600.5"},
		{"1,60", "1.6"}, {"1,6000", "1.6"}, {"0,600", "0.6"}, {"1024,000", "1024"}},
		func(s string) string { return answer(Number(s)) })
}
