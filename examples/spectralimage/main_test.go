package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/spectrafile"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
	"example.org/actinic/spectral"
)

// saved writes an array as the program itself would, and returns the file's name.
func saved(t *testing.T, x []float32, shape ...int) string {
	t.Helper()
	b := npy.Header(npy.Float32, shape...)
	for _, v := range x {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
	}
	return file(t, "cube.npy", string(b))
}

func file(t *testing.T, name, text string) string {
	t.Helper()
	name = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return name
}

func loaded(t *testing.T, name string) ([]int, []float32) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	r := bytes.NewReader(b)
	_, shape, err := npy.ReadHeader(r)
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float32, r.Len()/4)
	if err := npy.ReadFloats(r, x, make([]byte, 4*len(x))); err != nil {
		t.Fatal(err)
	}
	return shape, x
}

func grey(n, bands int) []float32 {
	x := make([]float32, n*bands)
	for i := range x {
		x[i] = 0.18
	}
	return x
}

func percent(n, bands int) []float32 {
	x := grey(n, bands)
	for i := range x {
		x[i] *= 100
	}
	return x
}

func TestDemo(t *testing.T) {
	dir := t.TempDir()
	var out, errs bytes.Buffer
	if err := run(context.Background(), []string{"-demo", "-demo-rows", "90", "-demo-columns", "135", "-out", dir, "-filters", "none, 25"}, &out, &errs); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), "25 red") || errs.Len() != 0 {
		t.Errorf("said %q, and %q on standard error", &out, &errs)
	}
	shape, d := loaded(t, filepath.Join(dir, "densities.npy"))
	if !slices.Equal(shape, []int{90, 135, 2}) || len(d) != 90*135*2 {
		t.Fatalf("densities of shape %v, %d of them", shape, len(d))
	}
	at := func(u, v float64, k int) float64 { return float64(d[(int(v*90)*135+int(u*135))*2+k]) }
	// What the picture is for: the tip is darker than the sky without a filter and
	// lighter behind the red one, the card the same, the mills all but black.
	switch {
	case !(at(0.72, 0.10, 0) > at(0.50, 0.70, 0)):
		t.Error("without a filter the sky is not lighter than the near tip")
	case !(at(0.72, 0.45, 1) > at(0.72, 0.10, 1)):
		t.Error("behind red the far tip is not lighter than the sky")
	case !(math.Abs(at(0.48, 0.90, 0)-at(0.48, 0.90, 1)) < 0.005):
		t.Errorf("the grey card has %v and %v", at(0.48, 0.90, 0), at(0.48, 0.90, 1))
	case !(at(0.05, 0.80, 0) < 0.4):
		t.Errorf("the mill has %v", at(0.05, 0.80, 0))
	}
	for _, name := range []string{"1-none.png", "2-25-red.png", "side-by-side.png"} {
		f, err := os.Open(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		m, err := png.Decode(f)
		f.Close()
		if err != nil || m.Bounds().Dy() != 90 {
			t.Errorf("%s: %v, %v", name, m.Bounds(), err)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, ".writing-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// A cube of grey cards, in parts smaller than a row: each gets the density of the
// exposure that was asked for, behind any filter; and one without data gets none.
func TestOwnCube(t *testing.T) {
	const rows, columns, B = 7, 11, 9
	x := grey(rows*columns, B)
	x[(3*columns+4)*B+2] = float32(math.NaN())
	cube, dir := saved(t, x, rows, columns, B), t.TempDir()
	curve := file(t, "curve.csv", "log_h_lx_s,density\n-3,0.1\n-2,0.6\n-1,1.1\n0,1.6\n")
	waves := file(t, "nm.txt", "# nm\n380\n440\n480\n520\n560\n600\n640\n680\n700\n")
	args := []string{"-cube", cube, "-wavelengths", waves, "-curve", curve, "-grey", "-1.5", "-filters", "none,8,25", "-out", dir}
	var out, errs bytes.Buffer
	if err := run(context.Background(), args, &out, &errs); err != nil {
		t.Fatal(err)
	}
	_, d := loaded(t, filepath.Join(dir, "densities.npy"))
	for i, v := range d {
		if i/3 == 3*columns+4 {
			if v == v {
				t.Errorf("a pixel without data has density %v", v)
			}
		} else if math.Abs(float64(v)-0.85) > 0.0005 { // on the straight part
			t.Fatalf("density %d is %v, want 0.85", i, v)
		}
	}
	if !strings.Contains(errs.String(), "without data") {
		t.Errorf("nothing said of the missing data: %q", &errs)
	}
	// In parts of five pixels it is the same file.
	whole, err := os.ReadFile(filepath.Join(dir, "densities.npy"))
	if err != nil {
		t.Fatal(err)
	}
	j := job{kit: &spectrafile.Kit{}, interleave: "bip", outside: spectral.Hold, cube: cube, wavelengths: waves, out: t.TempDir(), grey: -1.5, memory: 5 * 4 * B, stdout: &out, stderr: &errs}
	if err := j.load([]string{""}, []string{"D55"}, "none,8,25", curve); err != nil {
		t.Fatal(err)
	}
	if err := j.work(context.Background()); err != nil {
		t.Fatal(err)
	}
	_, small := loaded(t, filepath.Join(j.out, "densities.npy"))
	_, large := loaded(t, filepath.Join(dir, "densities.npy"))
	for i := range small {
		if !(math.Abs(float64(small[i]-large[i])) < 1e-5) && small[i] == small[i] {
			t.Fatalf("in parts density %d is %v, not %v", i, small[i], large[i])
		}
	}
	if len(whole)%64 != (len(large)*4)%64 {
		t.Error("the numbers do not start at a multiple of 64")
	}
	// The same exposure for all filters is less behind them.
	if err := run(context.Background(), append(args, "-same-exposure"), &out, &errs); err != nil {
		t.Fatal(err)
	}
	if _, d := loaded(t, filepath.Join(dir, "densities.npy")); !(d[0] > d[1]+0.1 && d[1] > d[2]+0.2) {
		t.Errorf("densities at the same exposure: %v", d[:3])
	}
}

func TestRefuses(t *testing.T) {
	said := held.New(t)
	const B = 4
	good := saved(t, grey(6, B), 2, 3, B)
	short := saved(t, grey(5, B), 2, 3, B)
	long := saved(t, grey(7, B), 2, 3, B)
	head := func(s string) string {
		return file(t, "c.npy", "\x93NUMPY\x01\x00"+string(rune(len(s)))+"\x00"+s)
	}
	cube := func(name string) []string { return []string{"-cube", name, "-from", "380", "-to", "700"} }
	for _, r := range []struct {
		name, says string
		args       []string
	}{
		{"nothing", "-demo", nil},
		{"both", "-demo", append(cube(good), "-demo")},
		{"stray argument", "unknown argument", []string{"-demo", "x"}},
		{"no wavelengths", "wavelengths", []string{"-cube", good}},
		{"half the wavelengths", "wavelengths", []string{"-cube", good, "-from", "400"}},
		{"wavelengths twice", "wavelengths", append(cube(good), "-wavelengths", "x")},
		{"wavelengths of the demo", "leave out", []string{"-demo", "-from", "380"}},
		{"rows of the demonstration", "-demo", append(cube(good), "-demo-rows", "4")},
		{"no rows", "million", []string{"-demo", "-demo-rows", "0"}},
		{"no such cube", "no such file", cube("nowhere.npy")},
		{"not a cube", "NumPy", cube(file(t, "x.npy", "wavelength_nm,value"))},
		{"cut in the header", "cut short", cube(file(t, "x.npy", "\x93NUMPY\x01\x00\x50\x00{'descr"))},
		{"cut in the numbers", "cut short", cube(short)},
		{"too long", "behind it", cube(long)},
		{"int64", "astype", cube(head("{'descr': '<i8', 'fortran_order': False, 'shape': (2, 3, 4), }"))},
		{"Fortran", "ascontiguousarray", cube(head("{'descr': '<f4', 'fortran_order': True, 'shape': (2, 3, 4), }"))},
		{"two dimensions", "rows × columns × bands", cube(head("{'descr': '<f4', 'fortran_order': False, 'shape': (2, 3), }"))},
		{"no rows in the cube", "one at least", cube(head("{'descr': '<f4', 'fortran_order': False, 'shape': (0, 3, 4), }"))},
		{"one band", "two", cube(saved(t, grey(6, 1), 2, 3, 1))},
		{"infrared", "overlap", []string{"-cube", good, "-from", "900", "-to", "1000"}},
		{"micrometres", "micrometres", []string{"-cube", good, "-from", "0.4", "-to", "0.7"}},
		{"bands fall", "sort", []string{"-cube", good, "-from", "700", "-to", "400"}},
		{"wrong number of wavelengths", "bands", []string{"-cube", good, "-wavelengths", file(t, "w", "400\n500\n")}},
		{"no number", ":2:", []string{"-cube", good, "-wavelengths", file(t, "w", "400\nred\n")}},
		{"unknown filter", "no filter", append(cube(good), "-filters", "ultraviolet")},
		{"unknown light", "no illuminant", append(cube(good), "-light", "moon")},
		{"curve without heading", ":1:", append(cube(good), "-curve", file(t, "c", "1,2\n"))},
		{"curve with words", ":3:", append(cube(good), "-curve", file(t, "c", "log_h_lx_s,density\n1,2\na,b\n"))},
		{"curve without readings", "no readings", append(cube(good), "-curve", file(t, "c", "log_h_lx_s,density\n"))},
		{"bands that end early", "-outside", []string{"-cube", good, "-from", "450", "-to", "600"}},
		{"a light that ends early", "-outside", append(cube(good), "-light", file(t, "l.csv", "wavelength_nm,power\n400,1\n600,1\n"))},
		{"a filter that ends early", "-outside", append(cube(good), "-filters", file(t, "l.csv", "wavelength_nm,transmittance\n400,1\n600,1\n"))},
		{"outside in words", "hold and zero", append(cube(good), "-outside", "refuse")},
		{"percent", "-scale 0.01", cube(saved(t, percent(6, B), 2, 3, B))},
		{"integers", "-scale S", cube(file(t, "u.npy", string(npy.Header(npy.Uint16, 2, 3, B))+strings.Repeat("\x01\x02", 6*B)))},
		{"scale 0", "-scale", append(cube(good), "-scale", "0")},
		{"bands last taken for first", "-interleave", cube(saved(t, grey(31, 90*80), 31, 90, 80))},
		{"other bands", "-bands", append(cube(good), "-bands", "31")},
		{"an order that is none", "-interleave", append(cube(good), "-interleave", "pib")},
		{"rows that are none", "A:B", append(cube(good), "-rows", "3")},
		{"rows that are not there", "2 rows", append(cube(good), "-rows", "1:3")},
		{"one filter and several", "exclude", append(cube(good), "-filter", "8", "-filters", "25")},
		{"header for an array", "ENVI", append(cube(good), "-header", good)},
		{"joining nothing", "-join", []string{"-join"}},
		{"joining what is not there", "no such file", []string{"-join", "nowhere"}},
		{"film", "wavelength_nm", append(cube(good), "-film", file(t, "f", "nm,value\n400,1\n"))},
		{"beyond the curve", "-grey", append(cube(good), "-refuse", "-grey", "9")},
		{"no data", "no pixel", cube(saved(t, []float32{float32(math.NaN()), 1, 1, 1}, 1, 1, 4))},
		{"workers", "workers", append(cube(good), "-workers", "-1")},
	} {
		dir := filepath.Join(t.TempDir(), "out")
		var out, errs bytes.Buffer
		err := run(context.Background(), append(r.args, "-out", dir), &out, &errs)
		if r.name == "stray argument" {
			err = run(context.Background(), r.args, &out, &errs)
		}
		if !said.Refused(r.name, err) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%s: %v, want it to say %q", r.name, err, r.says)
		}
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("%s: wrote %v", r.name, left)
		}
	}
}

// An interrupted run leaves the directory as it was: the files of the last run.
func TestInterrupted(t *testing.T) {
	dir := t.TempDir()
	old := filepath.Join(dir, "densities.npy")
	if err := os.WriteFile(old, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	for _, args := range [][]string{{"-demo"}, {"-cube", saved(t, grey(6, 4), 2, 3, 4), "-from", "380", "-to", "700"}} {
		err := run(ctx, append(args, "-out", dir), &bytes.Buffer{}, &bytes.Buffer{})
		if err == nil || !strings.Contains(err.Error(), "interrupted") {
			t.Errorf("%v: %v", args, err)
		}
		if left, _ := os.ReadDir(dir); len(left) != 1 {
			t.Errorf("%v: left %v", args, left)
		}
		if b, _ := os.ReadFile(old); string(b) != "old" {
			t.Errorf("%v: overwrote the old file with %q", args, b)
		}
	}
}
