package printed

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// The slip that is named for each of many printed values beside many implied ones is what it was. Where a
// slip was made on purpose the name must be its own.
func TestSlipsOfManyPairs(t *testing.T) {
	said := held.New(t)
	texts := []string{"1", "2", "3", "5", "10", "12", "15", "21", "51", "60", "120", "150", "105", "122", "1.5", "1.2", "0.12", "0.2", "15.5", "5.1", "11", "1000", "12000", "4:30", "3:40", "44:30", "1:05", "1:50", "0:30", "10:30", "100:30"}
	for _, implied := range []float64{0, 0.02, 0.12, 0.2, 1, 1.08, 1.2, 1.5, 1.83, 2, 3.67, 4.5, 5, 12, 15, 15.5, 21, 50, 51, 60, 100, 120, 720, 1000, 12345} {
		var line []string
		for _, text := range texts {
			v, ok := number(text)
			if !ok {
				t.Fatal(text)
			}
			line = append(line, text+" "+string(SlipOf(v, implied, 2, text)), string(SlipOf(v, implied, v, Plain(v), text)), string(SlipOf(v, implied, 0)))
		}
		said.Values("implied "+Plain(implied), strings.Join(line, "; "))
	}
	for _, c := range []struct {
		printed, implied float64
		text             string
		want             Slip
	}{
		{12, 21, "12", SlipDigits}, {1.52, 1.25, "1.52", SlipDigits}, {25.1, 2.51, "25.1", SlipDecimal}, {4.5, 45, "4.5", SlipDecimal}, {450, 4.5, "450", SlipDecimal}, {4500, 4.5, "4500", SlipTens}, {45000, 4.5, "45000", SlipTens},
		{7, 420, "7", SlipMinutes}, {420, 7, "420", SlipMinutes}, {44.5, 4.5, "44:30", SlipDoubled}, {912, 12, "912", SlipAdded}, {12, 912, "12", SlipDropped}, {5, 6, "5", ""}, {-1, 1, "-1", ""}, {1, -1, "1", ""},
	} {
		if got := SlipOf(c.printed, c.implied, 0, c.text); got != c.want {
			t.Errorf("%s for %g: %q, want %q", c.text, c.implied, got, c.want)
		}
	}
}

// The words of slips and confidence stand in reports and JSON, for others to read.
func TestWords(t *testing.T) {
	said := held.New(t)
	for _, s := range []Slip{SlipMinutes, SlipFahrenheit, SlipDigits, SlipDecimal, SlipCopied, SlipStops, SlipFactor, SlipSign, SlipShifted, SlipCopiedBelow, SlipDropped, SlipDoubled, SlipAdded, SlipTens, SlipColon} {
		said.Values("slip", s)
	}
	for _, f := range []Finding{
		{Row: 1, Column: "time", Printed: "6:30", Implied: "7:00", Deviation: 7.69, Unit: "percent", Rule: "r", Confidence: High},
		{Row: 1, Column: "dilution", Printed: "1+9", Implied: "12", Deviation: 299.9, Unit: "percent", Rule: "r", Slip: SlipColon},
		{Row: 1, Column: "factor", Printed: "8", Implied: "2", Deviation: 300, Unit: "percent", Rule: "r", Slip: SlipTens},
		{Row: 1, Column: "factor", Printed: "8", Implied: "2", Deviation: -300, Unit: "percent", Rule: "r"},
		{Row: 1, Column: "factor", Printed: "1e400", Implied: "NaN", Deviation: 2, Unit: "stops", Rule: "r"},
		{Row: 1, Column: "factor", Printed: "Inf", Implied: "", Deviation: -2, Unit: "°C", Rule: "r"},
		{Row: 1, Column: "factor", Printed: "2x", Rule: "r", Probability: 0.5},
	} {
		text, err := json.Marshal(f)
		said.Values("finding", f.String(), string(text), err)
	}
	for _, c := range []struct{ at, low, high, wantLow, wantHigh float64 }{
		{2, 1, 3, 1, 3}, {2, 2.5, 3, 2, 3}, {2, 1, 1.5, 1, 2}, {2, math.NaN(), 3, 2, 2}, {2, 1, math.Inf(1), 2, 2}, {2, math.NaN(), math.NaN(), 2, 2},
	} {
		var f Finding
		if f.Number(c.at, c.low, c.high); !f.Numbers || f.At != c.at || f.Low != c.wantLow || f.High != c.wantHigh {
			t.Errorf("%+v: %+v", c, f)
		}
		if f.Number(math.NaN(), c.low, c.high); f.Numbers {
			t.Errorf("%+v", f)
		}
	}
	r := Report{Findings: []Finding{{Confidence: High}, {Confidence: Low}, {Confidence: High}, {}}}
	if r.Accused() != 2 {
		t.Error(r.Accused())
	}
}

// Numbers of the kit: plain ones, and minutes with two digits of seconds below sixty.
func TestNumbers(t *testing.T) {
	for text, want := range map[string]float64{"6": 6, "6.5": 6.5, "6:30": 6.5, "0:01": 1. / 60, "65535:59": 65535 + 59./60, "6:59": 6 + 59./60, "1e3": 1000} {
		if got, ok := number(text); !ok || math.Abs(got-want) > 1e-12*want {
			t.Errorf("%s: %v, %v, want %v", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "x", "0", "-1", "0:00", "6:60", "6:5", "6:005", "x:30", "6:xx", "-6:30", "65536:00", "6.5:30", "6:256", "6:30:00"} {
		if got, ok := number(text); ok {
			t.Errorf("%s: %v", text, got)
		}
	}
	for v, want := range map[float64]string{1234567: "1.23e+06", 1235: "1240", 0.0012345: "0.00123", 2: "2", 99949: "99900", 99951: "100000"} {
		if got := ThreeDigits(v); got != want {
			t.Errorf("%v: %s, want %s", v, got, want)
		}
	}
}

// Series with each row changed in turn are told what they were: by their law, and without one.
func TestSeriesChangedRowByRow(t *testing.T) {
	said := held.New(t)
	laws := map[string]Series{
		"line":    {Column: "y", Law: func(x float64) float64 { return 2 + 3*x }, Words: "y = 2 + 3x", Additive: true, Step: []float64{0.1}, Order: 1},
		"falling": {Column: "time", Law: func(x float64) float64 { return 64 * math.Exp2(-x) }, Words: "halves", Step: []float64{0.01}, Order: -1},
		"chain":   {Column: "degrees", Law: func(x float64) float64 { return 1 + 0.15*x }, Words: "a step", Additive: true, Step: []float64{0.01}, Order: 1, Chain: true},
		"power":   {Column: "factor", Law: func(x float64) float64 { return 3 * x * x }, Words: "y = 3x²", Step: []float64{0.5}},
	}
	for name, s := range laws {
		for _, n := range []int{2, 3, 5, 9} {
			var x, y []float64
			for i := range n {
				v := s.Law(float64(i + 1))
				x, y = append(x, float64(i+1)), append(y, math.Round(v/s.Step[0])*s.Step[0])
			}
			for row := range n {
				var line []string
				for _, to := range []float64{1, 1.02, 1.1, 1.5, 2, 10, 0.1, 1. / 60, -1, 0} {
					s.X, s.Y, s.Text = x, append([]float64(nil), y...), nil
					s.Y[row] *= to
					if row+1 < n && to == 1 {
						s.Y[row], s.Y[row+1] = s.Y[row+1], s.Y[row]
					}
					for _, v := range s.Y {
						s.Text = append(s.Text, strconv.FormatFloat(v, 'f', 2, 64))
					}
					for _, check := range []func(Series) (*Report, error){CheckSeries, CheckFree} {
						rep, err := check(s)
						if err != nil {
							line = append(line, "refused")
							continue
						}
						var found []string
						for _, f := range rep.Findings {
							found = append(found, fmt.Sprint(f.Row, f.Confidence[0:1], f.Slip, " ", f.Implied))
						}
						line = append(line, strings.Join(found, ",")+" "+rep.Unseen)
					}
				}
				said.Refused(fmt.Sprintf("%s of %d, row %d", name, n, row+1), fmt.Errorf("%s", strings.Join(line, " | ")))
			}
		}
	}
	for _, ratios := range [][]float64{{1, 2}, {1, 1, 1}, {1.01, 1.02, 1.03}, {1.05, 1.05, 1.05, 1.05, 1.06}, {1.5, 1.5, 1.5}, {2, 2, 2}, {2.01, 2.01, 2.01}, {100, 100, 100}, {101, 101, 101}, {102, 102, 102}, {1, 1, 1, 1, 3}, {1, 1, 1, 3, 3}, {1, 1, 1, 1, 1, 1, 1, 1, 3, 3}, {math.Inf(1), 1, 2}, {math.NaN(), 1, 1}} {
		said.Values("unseen", ratios, UnseenBelow(ratios))
	}
}
