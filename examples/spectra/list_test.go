package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/filters"
	"example.org/actinic/spectral"
)

// listed runs the program and returns its table, a map to a row.
func listed(t *testing.T, args ...string) []map[string]string {
	t.Helper()
	var out, notes bytes.Buffer
	if err := run(append(args, "-csv"), &out, &notes); err != nil {
		t.Fatal(err)
	}
	all, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(all[0], ","); got != "film,light,filter,factor,factor_low,factor_high,stops,mark,meter_error_stops,centroid_nm,notes" {
		t.Fatalf("columns %s", got)
	}
	var rows []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = r[i]
		}
		rows = append(rows, m)
	}
	return rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Error(err)
	}
	return x
}

func TestLists(t *testing.T) {
	rows := listed(t, "-films", "panchromatic,orthochromatic", "-lights", "D55,A", "-filters", "none, 25+ND 0.9,8")
	if len(rows) != 12 {
		t.Fatalf("%d rows", len(rows))
	}
	r := rows[1]
	red, err := filters.Find("25")
	if err != nil {
		t.Fatal(err)
	}
	want, err := filters.Factor(spectral.Generic(spectral.Panchromatic), spectral.D55.Light().WithOutside(spectral.Zero), red.Filter)
	if err != nil {
		t.Fatal(err)
	}
	if got := number(t, r["factor"]); !(math.Abs(got/(want*math.Pow(10, 0.9))-1) < 1e-9) {
		t.Errorf("factor %v, want %v times 10^0.9", got, want)
	}
	if r["filter"] != "25 red+ND 0.9" || r["light"] != "D55" || r["factor_low"] != "" || r["factor_high"] != "" {
		t.Errorf("row %v", r)
	}
	if got := number(t, r["stops"]); !(math.Abs(got-math.Log2(number(t, r["factor"]))) < 1e-9) {
		t.Errorf("stops %v", got)
	}
	if a, b := number(t, rows[0]["centroid_nm"]), number(t, r["centroid_nm"]); !(b > a+50) {
		t.Errorf("the centroid is %v without and %v with a red filter", a, b)
	}
	// JSON has the same rows, with the version and the hashes.
	var out, notes bytes.Buffer
	film := write(t, "film.csv", panB)
	if err := run([]string{"-films", film, "-lights", "D55,A", "-filters", "8", "-json"}, &out, &notes); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Version string `json:"actinic_version"`
		Inputs  []struct{ Role, Name, SHA256 string }
		Rows    []struct{ Factor, Stops float64 }
	}
	if err := json.Unmarshal(out.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	same := listed(t, "-films", film, "-lights", "D55,A", "-filters", "8")
	if doc.Version == "" || len(doc.Inputs) != 4 || len(doc.Inputs[0].SHA256) != 64 || len(doc.Rows) != 2 {
		t.Fatalf("%+v", doc)
	}
	for i, r := range doc.Rows {
		if !(math.Abs(r.Factor/number(t, same[i]["factor"])-1) < 1e-9) {
			t.Errorf("row %d: %v in JSON, %v in CSV", i, r.Factor, same[i]["factor"])
		}
	}
}

// One film and one filter, written in every way that files may be, have the same factor.
func TestKindsOfFiles(t *testing.T) {
	nm := []float64{}
	for x := 380.0; x <= 700; x += 5 {
		nm = append(nm, x)
	}
	film := func(x float64) float64 { return math.Exp(-math.Pow((x-530)/70, 2)) }
	pass := func(x float64) float64 { return 0.05 + 0.8/(1+math.Exp(-(x-580)/20)) }
	file := func(head, cut string, unit float64, down bool, f func(float64) float64) string {
		var b strings.Builder
		fmt.Fprintf(&b, "# invented\n%s\n", strings.ReplaceAll(head, ",", cut))
		for i := range nm {
			if down {
				i = len(nm) - 1 - i
			}
			fmt.Fprintf(&b, "%v%s%.15g\n", nm[i]*unit, cut, f(nm[i]))
		}
		return write(t, "x.csv", b.String())
	}
	factor := func(args ...string) float64 {
		return number(t, listed(t, append(args, "-light", "D55")...)[0]["factor"])
	}
	plain := file("wavelength_nm,sensitivity", ",", 1, false, film)
	red := file("wavelength_nm,transmittance", ",", 1, false, pass)
	want := factor("-film", plain, "-filter", red)
	for _, r := range []struct {
		name, film, filter string
		more               []string
		within             float64
	}{
		{"micrometres", file("wavelength_um,sensitivity", ",", 1e-3, false, film), red, nil, 1e-9},
		{"ångström, falling, semicolons", file("wavelength_angstrom,sensitivity", ";", 10, true, film), red, nil, 1e-9},
		{"tabs", file("wavelength_nm,sensitivity", "\t", 1, false, film), red, nil, 1e-9},
		{"percent", plain, file("wavelength_nm,transmittance_percent", ",", 1, true, func(x float64) float64 { return 100 * pass(x) }), nil, 1e-9},
		{"percent by flag", plain, file("wavelength_nm,value", ",", 1, false, func(x float64) float64 { return 100 * pass(x) }), []string{"-filter-kind", "transmittance_percent"}, 1e-9},
		// Lines that are straight in the logarithm lie below those that are straight: up to
		// (h s)²/8 for a slope s of the logarithm over a step h.
		{"density", plain, file("wavelength_nm,density", ";", 1, false, func(x float64) float64 { return -math.Log10(pass(x)) }), nil, 2e-3},
		{"logarithms", file("wavelength_nm,log10_sensitivity", ",", 1, false, func(x float64) float64 { return math.Log10(film(x)) }), red, nil, 2e-3},
		{"photons", file("wavelength_nm,sensitivity_per_photon", ",", 1, false, func(x float64) float64 { return film(x) * 550 / x }), red, nil, 1e-3},
		{"logarithms of photons", file("wavelength_nm,log10_sensitivity_per_photon", ",", 1, false, func(x float64) float64 { return math.Log10(film(x) * 550 / x) }), red, nil, 2e-3},
		{"logarithms by flag", file("wavelength_nm,value", ",", 1, false, func(x float64) float64 { return math.Log10(film(x)) }), red, []string{"-log"}, 2e-3},
	} {
		got := factor(append([]string{"-film", r.film, "-filter", r.filter}, r.more...)...)
		if !(math.Abs(got/want-1) <= r.within) {
			t.Errorf("%s: %.9g, want %.9g", r.name, got, want)
		}
	}
	// A film of the package that comes along, by its name.
	if f := factor("-film", "Garnedd Swift", "-filter", red); !(f > 1) {
		t.Errorf("a built-in film has the factor %v", f)
	}
}

// The interval of a stack is that of draws of all its errors.
func TestIntervals(t *testing.T) {
	noisy := func(at float64) string {
		return "# scale_sd 0.01\n# wavelength_sd_nm 0.5\n# correlation_nm 5\n" +
			table("wavelength_nm,transmittance", func(x float64) float64 { return 0.02 + 0.85/(1+math.Exp(-(x-at)/10)) }, 380, 700, 10)
	}
	a, b := write(t, "a.csv", noisy(500)), write(t, "b.csv", noisy(590))
	film := "wavelength_nm,sensitivity,sd\n"
	for x := 380.0; x <= 700; x += 10 {
		film += fmt.Sprintf("%g,%g,%g\n", x, math.Exp(-math.Pow((x-540)/90, 2)), 0.02)
	}
	f := write(t, "film.csv", film)
	one := func(args ...string) (low, mid, high float64) {
		r := listed(t, append(args, "-light", "D55")...)[0]
		return number(t, r["factor_low"]), number(t, r["factor"]), number(t, r["factor_high"])
	}
	width := func(args ...string) float64 { l, _, h := one(args...); return math.Log(h / l) }
	all, filmAlone := width("-film", f, "-filters", a+"+"+b), width("-film", f, "-filters", "25")
	if !(filmAlone > 0 && all > 0) {
		t.Fatalf("widths %v and %v", all, filmAlone)
	}
	// A clear member of a stack changes nothing, nor does a neutral one.
	if got, want := width("-filters", b+"+ND 0.9"), width("-filters", b); !(math.Abs(got/want-1) < 1e-6) {
		t.Errorf("behind a neutral filter the interval is %v wide, without %v", got, want)
	}
	// Errors of the 100 % line are those of ln F itself, and add up as squares.
	line := func() string {
		return write(t, "line.csv", "# scale_sd 0.01\n"+table("wavelength_nm,transmittance", func(x float64) float64 { return x / 800 }, 380, 700, 10))
	}
	for n, stack := range []string{line(), line() + "+" + line(), line() + "+" + line() + "+25+" + line()} {
		if got, want := width("-filters", stack), 2*1.959964*0.01*math.Sqrt(float64(n+1)); !(math.Abs(got/want-1) < 1e-6) {
			t.Errorf("%d errors of 1 %%: the interval of ln F is %v wide, want %v", n+1, got, want)
		}
	}
	// One filter against the library's Monte Carlo.
	l, m, h := one("-filters", b)
	s, err := readForTest(b)
	if err != nil {
		t.Fatal(err)
	}
	e, err := filters.FactorMonteCarlo(spectral.Generic(spectral.Panchromatic), spectral.D55.Light().WithOutside(spectral.Zero), s,
		filters.Deviations{Filter: filters.Deviation{Scale: 0.01, Wavelength: 0.5, Correlation: 5}}, 4000, 1)
	if err != nil {
		t.Fatal(err)
	}
	if !(math.Abs(math.Log(h/l)/math.Log(e.High/e.Low)-1) < 0.06) || !(m > l && m < h) {
		t.Errorf("%v (%v to %v), drawn %v", m, l, h, e)
	}
}

func readForTest(name string) (filters.Filter, error) {
	k := kitForTest()
	f, err := k.Filter(name)
	return f.Filter, err
}

func TestManyCombinations(t *testing.T) {
	n, m := 4, 3
	if !testing.Short() {
		n, m = 50, 20
	}
	var fs, ls, ts []string
	for i := range n {
		at := 480 + 3*float64(i)
		fs = append(fs, write(t, fmt.Sprintf("film%d.csv", i), table("wavelength_nm,sensitivity", func(x float64) float64 { return math.Exp(-math.Pow((x-at)/70, 2)) }, 380, 700, 5)))
	}
	for i := range m {
		ls = append(ls, fmt.Sprintf("%dK", 2800+200*i))
	}
	for i := range 2 * m {
		ts = append(ts, write(t, fmt.Sprintf("t%d.csv", i), table("wavelength_nm,transmittance", func(x float64) float64 { return 0.9 / (1 + math.Exp(-(x-450-5*float64(i))/15)) }, 350, 750, 5)))
	}
	start := time.Now()
	rows := listed(t, "-films", strings.Join(fs, ","), "-lights", strings.Join(ls, ","), "-filters", strings.Join(ts, ","))
	t.Logf("%d combinations in %v", len(rows), time.Since(start))
	if len(rows) != n*m*2*m {
		t.Errorf("%d rows", len(rows))
	}
}

func kitForTest() *spectrafile.Kit { return &spectrafile.Kit{Outside: spectral.Hold} }
