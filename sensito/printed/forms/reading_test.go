package forms

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// The degrees of the scale of speeds beside their numbers (ISO 6:1993, table of values, as it is
// quoted in print: 1/1° to 8/10°, 10/11°, 12/12°, 16/13° to 3200/36°; above, by tens). 0° is 0.8.
func TestScaleOfSpeeds(t *testing.T) {
	for i, row := range []string{
		"0.8 1 1.25 1.6 2 2.5 3.2 4 5 6.4", "8 10 12 16 20 25 32 40 50 64", "80 100 125 160 200 250 320 400 500 640",
		"800 1000 1250 1600 2000 2500 3200 4000 5000 6400",
	} {
		for j, want := range strings.Fields(row) {
			degrees := fmt.Sprintf("%d°", 10*i+j)
			if got := answer(Index(degrees, AskPlus)); got != want {
				t.Errorf("%s: %s, want %s", degrees, got, want)
			}
			// The number and its degrees agree, printed together.
			if got := answer(Index(want+"/"+degrees, AskPlus)); got != want {
				t.Errorf("%s/%s: %s", want, degrees, got)
			}
		}
	}
	hold(t, []row{
		{"60°", "800000"}, {"61°", "refused"}, {"-1°", "asked: a push or pull of -1° stops | the index -1"}, {"20.5°", "refused"}, {"x°", "refused"}, {"°", "refused"},
		// 400 is 27.02°: a number and degrees agree within 0.75 of a degree, so 0.77 off is no pair.
		{"400/26.3°", "400"}, {"400/26.25°", "refused"}, {"400/27.7°", "400"}, {"400/27.8°", "refused"}, {"0/0°", "refused"}, {"0.5/-2°", "refused"}, {"x/27°", "refused"}, {"400/x", "refused"}, {"0.8/0", "0.8"},
	}, func(s string) string {
		if strings.HasPrefix(s, "-") {
			return map[bool]string{true: "asked: a push or pull of -1° stops | the index -1"}[errors.Is(func() error { _, err := Index(s, AskPlus); return err }(), ErrForm)]
		}
		return answer(Index(s, AskPlus))
	})
}

// Each fraction that has a sign of its own is the fraction (Unicode's names: VULGAR FRACTION ONE HALF and so on).
func TestVulgarFractions(t *testing.T) {
	names := map[rune][2]float64{
		'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4}, '⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5},
		'⅙': {1, 6}, '⅚': {5, 6}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
	}
	if len(names) != len(vulgar) {
		t.Errorf("%d fractions, want %d", len(vulgar), len(names))
	}
	for sign, f := range names {
		for text, want := range map[string]float64{
			string(sign): f[0] / f[1], "6" + string(sign): 6 + f[0]/f[1], "6 " + string(sign): 6 + f[0]/f[1], fmt.Sprintf("6 %g/%g", f[0], f[1]): 6 + f[0]/f[1],
			fmt.Sprintf("%g/%g", f[0], f[1]): f[0] / f[1],
		} {
			if c, err := Number(text); err != nil || math.Abs(c.Value-want) > 1e-15*want {
				t.Errorf("%q: %v, %v, want %v", text, c.Value, err, want)
			}
		}
	}
}

// Each name of a unit of time is that of its unit, alone, in a heading, and where times of two
// units stand together.
func TestUnitsOfTime(t *testing.T) {
	for seconds, names := range map[float64][]string{
		3600: {"h", "hr", "hrs", "hour", "hours"}, 60: {"m", "'", "min", "mins", "minute", "minutes", "mn"}, 1: {"s", `"`, "sec", "secs", "second", "seconds"},
	} {
		for _, name := range names {
			for _, n := range []string{name, strings.ToUpper(name), name + ".", " " + name + " "} {
				if got := SecondsOf(n); got != seconds {
					t.Errorf("%q: %g s, want %g", n, got, seconds)
				}
			}
			for text, want := range map[string]float64{"2" + name: 2 * seconds, "2 " + name: 2 * seconds, "1 1/2 " + name: 1.5 * seconds, "1-2 " + name: 1.5 * seconds} {
				if c, err := Time(text, 7); err != nil || c.Value != want {
					t.Errorf("%q: %v, %v, want %v", text, c.Value, err, want)
				}
			}
			for _, less := range map[float64][]string{3600: {"min", "s"}, 60: {"s"}}[seconds] {
				text := "2 " + name + " 3 " + less
				if c, err := Time(text, 7); err != nil || c.Value != 2*seconds+3*SecondsOf(less) {
					t.Errorf("%q: %v, %v", text, c.Value, err)
				}
			}
			for _, more := range map[float64][]string{3600: {"h"}, 60: {"h", "min"}, 1: {"h", "min", "s"}}[seconds] {
				if c, err := Time("2 "+name+" 3 "+more, 7); err == nil {
					t.Errorf("%s before %s: %v", name, more, c.Value)
				}
			}
		}
	}
	if len(perUnit) != 5+7+6 {
		t.Errorf("%d names", len(perUnit))
	}
}

// Each cell on this list reads as it did, or is refused in the same words: forms at their bounds, and
// with one sign too many. The list is ours; that it is right is for the other tests to say.
func TestCellsAtTheBounds(t *testing.T) {
	said := held.New(t)
	look := func(of string, read func(string) (any, error), cells ...string) {
		for _, s := range cells {
			v, err := read(s)
			if err != nil {
				said.Refused(of+" "+s, err)
				continue
			}
			said.Values(of+" "+s, v)
		}
	}
	look("time", func(s string) (any, error) { return Time(s, 60) },
		"1h59", "1h60", "1h5.5", "1h59.9", "6m59", "6m60", "6m0.5", "6m59.5", "6m5 s", "6m60s", "6m59.5s", "90m 5s", "59m 61s", "5s 5", `2"05`, `2"x`, `1'2"5`, `2s5`, `2"5 s`, "1h 1h", "1m 1h", "0m30s", "1h0m0s", "6min,30s",
		"6:00", "6:59", "6:59.5", "6:59.", "6.5:00", "6:5.5", "12345:00", "1234:00", "1:2:03", "1:02:3", ":30", "6:", "6:x0", "x:30", "a:b", "/:3", "6:30min", "1:59:59", "1:60:00", "6:030", "6:00:00:00", "0:00", "0:01",
		"8 - 10", "8...10", "8…10", "8 – 10", "8—10", "8-", "-8", "8--10", "8 to", "to 10", " to ", "10-10", "8 s-10 min", "8 min-10 s", "8 min - 10 min", "1 min-2", "8-10-12", "é", "6zz", "6[", "6`", "6{", "6@", "6Z", "6A", "6a", "6z", "min", "min 6", "'", `"`)
	look("exposure", func(s string) (any, error) { return Time(s, 1) }, "1/0", "0/1", "1/1", "2/1", "1/2/3", "1/ 2", "1 /2", "6-1/2", "6 1/1", "6 2/1", "6 - 1/2", "6-1/0", "6 1.5/2", "6 1/2.5", "1.5/2", "1/2.5", "1e-9", "1e-10", "0.", "5.", ".5", ",5", "5,", "5.5.", ".")
	numbers := []string{"0", "1", "-1", "+1", "±1", "- 1", "--1", "1.5", "1,5", "1,50", "1,500", "01,500", "0,500", "1,5000", "12,500", "123,500", "1234,500", "1,234,567", "1,234,56", "1,234,5678", "1,234.5", "1,234.", "1.234,5", "1e5", "1e+5", "1E-5", "1e", "1e+", "e5", "1e400", "1e-400",
		"-1e-5", "-e5", "-1e5.5", "-1e999", "1 2", "1.5 1/2", "1½½", "½1", "½ 1", "1 ½", "1-2", "-1-2", "-2--1", "2-1", "1-1", "1..2", "12.", "12. ", "12.5.", "9", "09", "٣", "a9", "9a", "/", ":", "1:", "1/", "1,", ",1", "1,/", "1,:00", "1e/", "1e:", "1/3", "0/3", "3/0"}
	look("number", func(s string) (any, error) { return Number(s) }, numbers...)
	look("stops", func(s string) (any, error) { return Stops(s) }, append(numbers, "1 f-stop", "1 f/stops", "1EV", "ev", "stop", "1 stops stops", "+-1", "-1 to -2", "-2 to -1", "0-1", "-0")...)
	look("factor", func(s string) (any, error) { return Factor(s, AskPlus) }, append(numbers, "x", "×", "2x×", "x2x", "2 times", "times 2", "ev", "2 ev", "x stops", "+x", "+ev", "1x-2x", "x1-x2", "2x-1x", "+1 x", "+1x")...)
	look("factor in stops", func(s string) (any, error) { return Factor(s, PlusIsStops) }, "+1", "-1", "+x", "+1-2", "+1/3", "2")
	look("factor plain", func(s string) (any, error) { return Factor(s, PlusIsPlain) }, "+1", "-1", "+x", "+0", "2")
	look("index", func(s string) (any, error) { return Index(s, AskPlus) }, append(numbers, "N", "n", "N+", "N+1", "N+12", "N+123", "N1", "Nx", "N+x", "N-1", "n-1", "NN", "N 1", "ISO", "ISO ", "EI", "ISO400", "EI400", "ASA 400", "400 ASA", "400 EI", "E.I. 400", "ISO/ASA 400", "400 ISO EI", "DIN 27", "27 DIN", "DIN", "DIN x", "400/DIN", "400/27°/3", "250-", "+x", "ISO +1")...)
	look("index plain", func(s string) (any, error) { return Index(s, PlusIsPlain) }, "+1", "-1", "+0", "+x")
	for _, scale := range []string{"°C", "°F", ""} {
		look("bath"+scale, func(s string) (any, error) { return Temperature(s, scale) }, "20", "-0", "0", "+20", "20.5", "20 C.", "20 °C.", "20 deg. C", "20 degC", "20 celsius", "20 fahrenheit", "20 K", "20°", "20 °", "20C/68F", "68F/20C", "20C/20C", "20/68F", "20C/68", "20C (68F)", "20C (68F", "20C 68F", "(20C)", "20-24C", "20C-24C", "-20--18", "-18--20", "-20 to 10", "24-20", "1/2 C", "20C/", "/20C", "C", "68 deg f", "68 DEG. F.")
	}
	for c, name := range []string{"ask", "water", "in all"} {
		look("dilution "+name, func(s string) (any, error) { return Dilution(s, Colon(c)) }, "stock", "Straight", "0%", "0.1%", "100%", "100.5%", "101%", "-5%", "x%", "%", "5 percent", "5 per cent", "1+", "+1", "1+0", "0+1", "0+0", "1+x", "1+2+3", "0+1+3", "1+2+3+4", "1+-1", "1:1", "1:2", "2:1", "1:0", "0:1", "0:0", "1:0.5", "1.5:3", "1:x", "x:1", ":", "1:31:2",
			"1 – 31", "1/1", "1 to 1", "A", "Z", "AB", "ABC", "a", "@", "[", "1+31 (1:31)", "1:31 (1+31)", "1:31 (1+30)", "1:31 (1+29)", "1:31 (1+32)", "2:62 (1+31)", "2:62 (1+30)", "1+31 (1+31)", "1+31 (2+62)", "1+31 (1+30)", "stock (1+0)", "stock (1+1)", "10% (1+9)", "10% (1+10)", "foo (1+9)", "(1+9)", "1+9 ()", "1+9 (stock)", "1+9 (x)", "1+9 (1:9)", "1:9 (1:9)", "1:9 (-)", "- (1+9)")
	}
	look("filter", func(s string) (any, error) { return Filter(s) }, "No.", "No. ", "No. 8", "no 8", "nr 8", "nr. 8", "№8", "№ 8", "# 8", "#8", "#", "filter 8", "filter", "8 ND", "0.9ND", ".9ND", ".9 ND", "0 ND", "x ND", " ND", "ND", "ND.", "ND-", "ND .9", "ND-8", "ND 0.9x", "ND8x", "ND 8 x", "ND x8", "neutral 0.9", "neutral density 0.9", "neutral",
		"ND 0 stops", "ND 0.5 stops", "ND 1 stop", "ND 30 stops", "ND 30.5 stops", "ND 31 stops", "ND x stops", "ND stops", "ND -1 stops", "ND 1e12", "ND 1099511627776", "ND 549755813888", "ND 2000000000000", "ND 1000000000000", "ND 900000000000", "ND 10", "ND 11", "ND 20", "ND 90", "ND 110", "ND 1 5", "ND 8.5.5", "ND 1,000", "ND20.0", "ND 20.05")
	marks := []string{"7 (a)", "7 (z)", "7 (A)", "7 ({)", "7 (`)", "7 [a]", "7 [1]", "7 [0]", "7 [9]", "7 [/]", "7 [:]", "7 (1)", "7 (ab)", "7 ()", "7)", "7]", "7 (]", "7 [)", "(a)", "[1]", "7 [a] [b]", "7*†", "7†*", "*7", "*", "**", "†", "7 #", "7¹²", "~", "~7", "~ 7", "about 7", "about", "About 7", "aboutish", "approx 7", "approx. 7", "circa 7", "ca 7", "ca. 7", "c. 7", "approximately 7", "≈7", "~~7", "~-", "~n/a",
		"-", "--", "---", "–", "—", "N/A", "na", "n.a.", "n/r", "NR", "...", "…", "./.", "none", "Nil", "?", "", " ", "*", "----", "x" + strings.Repeat("é", 31), "x" + strings.Repeat("é", 32), strings.Repeat("x", 63), strings.Repeat("x", 64), strings.Repeat("x", 65), strings.Repeat("x", 200), strings.Repeat("x", 201), strings.Repeat("7", 200), strings.Repeat("7", 201), "\xff", "7\xff",
		"7\u00a01/2", "7\u2009½", "\u22127", "7\u20448", "7'", "7''", "7\u2032", "7\u2033", "7\u201d", "7\u2019", "7\u20108", "7\u20118", "20º", "20˚", "20℃", "68℉", "7✕", "7·5"}
	look("cell", func(s string) (any, error) { return Number(s) }, marks...)
	look("cell of time", func(s string) (any, error) { return Time(s, 60) }, marks...)
	look("cell of baths", func(s string) (any, error) { return Temperature(s, "°C") }, marks[len(marks)-18:]...)
	look("cell of factors", func(s string) (any, error) { return Factor(s, AskPlus) }, "-", "~2", "2*", "7✕", "", strings.Repeat("x", 201))
	look("cell of indexes", func(s string) (any, error) { return Index(s, AskPlus) }, "-", "~400", "400*", "", "\xff")
	look("cell of filters", func(s string) (any, error) { return Filter(s) }, "-", "~8", "8*", "", "\xff")
	look("cell of dilutions", func(s string) (any, error) { return Dilution(s, AskColon) }, "-", "~1+9", "1+9*", "", "\xff")
	look("cell of stops", func(s string) (any, error) { return Stops(s) }, "-", "~1", "1*", "", "\xff")
}
