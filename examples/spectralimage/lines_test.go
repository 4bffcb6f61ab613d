package main

import (
	"context"
	"encoding/binary"
	"fmt"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/actinic/examples/internal/golden"
	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
)

// What is said and written of small cubes is what it was.
func TestLines(t *testing.T) {
	golden.Lines(t, "", uninterrupted, map[string]string{"waves.txt": "400\n500\n600\n700\n", "bad.txt": "400\nx\n",
		"falling.txt": "500\n400\n", "c.hdr": "ENVI\nsamples = 2\nlines = 2\nbands = 2\ndata type = 4\ninterleave = bip\n",
		"c.raw": "0123456789abcdef0123456789abcdef"},
		"-demo -demo-rows 12 -demo-columns 16 -out OUT", "-demo -demo-rows 9 -demo-columns 7 -films panchromatic -lights A,D55 -filters none,25 -out OUT", "-demo -demo-rows 0 -out OUT", "-demo -demo-columns -1 -out OUT",
		"-cube IN/nothing.npy -out OUT", "-cube IN/waves.txt -out OUT", "-cube IN/c.raw -header IN/c.hdr -from 400 -to 700 -out OUT", "-cube IN/c.raw -header IN/c.hdr -wavelengths IN/waves.txt -out OUT", "-cube IN/c.raw -header IN/c.hdr -wavelengths IN/bad.txt -out OUT", "-cube IN/c.raw -header IN/c.hdr -wavelengths IN/falling.txt -out OUT",
		"-cube IN/c.raw -out OUT", "-header IN/c.hdr -out OUT", "-demo -rows 1:3 -demo-rows 9 -demo-columns 7 -out OUT", "-demo -rows 3:1 -out OUT", "-demo -rows x -out OUT", "-join -out OUT", "-join IN -out OUT", "-demo -scale 0 -out OUT", "-demo -outside x -out OUT", "-demo -film nobody -out OUT", "-h", "", "-nothing")
}

func uninterrupted(args []string, stdout, stderr io.Writer) error {
	return run(context.Background(), args, stdout, stderr)
}

// A file that cannot be read is an error, whichever it is and whenever; so is a disk or an output that is full.
func TestFaults(t *testing.T) {
	parts, cube := t.TempDir(), os.Getenv("ACTINIC_TEST_CUBE") // the process that is run again is given the same
	if cube == "" {
		cube = saved(t, grey(4*3, 4), 4, 3, 4)
		t.Setenv("ACTINIC_TEST_CUBE", cube)
	}
	part := func(name, rows string) string {
		if err := uninterrupted([]string{"-cube", cube, "-from", "400", "-to", "700", "-outside", "hold", "-rows", rows, "-out",
			filepath.Join(parts, name)}, io.Discard, io.Discard); err != nil {
			t.Fatal(err)
		}
		return filepath.Join(parts, name)
	}
	a, b := part("a", "0:2"), part("b", "2:4")
	golden.FullDisk(t, uninterrupted, []uint64{0, 60, 200, 400}, "-cube "+cube+" -from 400 -to 700 -outside hold -out OUT",
		"-demo -demo-rows 3 -demo-columns 4 -out OUT", "-join "+a+" "+b+" -out OUT")
	files := map[string]string{
		"film.csv":   "wavelength_nm,sensitivity\n400,0.5\n450,1\n550,0.8\n650,0.3\n",
		"light.csv":  "wavelength_nm,radiance\n380,0.5\n450,1\n550,0.8\n700,0.3\n",
		"filter.csv": "wavelength_nm,transmittance\n380,0.5\n450,0.1\n550,0.8\n700,0.9\n",
		"curve.csv":  "log_h_lx_s,density\n-3,0.2\n-2,0.5\n-1,1.2\n0,1.8\n",
		"waves.txt":  "400\n500\n600\n700\n",
	}
	golden.Faults(t, uninterrupted, files,
		"-cube "+cube+" -wavelengths IN/waves.txt -film IN/film.csv -light IN/light.csv -filters none,IN/filter.csv -curve IN/curve.csv -out OUT")
	if err := os.Remove(cube); err != nil { // which parts can do without
		t.Fatal(err)
	}
	golden.Faults(t, uninterrupted, nil, "-join "+a+" "+b+" -out OUT")
}

// What values, bands and lights are odd in is said as it was, and what is made of them is.
func TestOdd(t *testing.T) {
	cube := func(columns, bands int, value func(x, b int) float32) string {
		v := make([]float32, columns*bands)
		for x := range columns {
			for b := range bands {
				v[x*bands+b] = value(x, b)
			}
		}
		b := npy.Header(npy.Float32, 1, columns, bands)
		for _, x := range v {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
		}
		return string(b)
	}
	files := map[string]string{
		"even.npy": cube(8, 5, func(x, b int) float32 { return 0.02 * float32(1+x+b) }), "negative.npy": cube(8, 5, func(x,
			b int) float32 {
			return 0.1 * float32(x-3)
		}), "tiny.npy": cube(8, 5, func(x,
			b int) float32 {
			return 1e-5 * float32(1+x)
		}),
		"bright.npy": cube(8, 5, func(x, b int) float32 { return float32(1 + x) }), "nan.npy": cube(8, 5, func(x,
			b int) float32 {
			return float32(math.NaN())
		}), "half.npy": cube(8, 5, func(x, b int) float32 {
			return [2]float32{0.2,
				float32(math.NaN())}[x%2]
		}),
		"many.npy":   cube(1, 4000, func(x, b int) float32 { return 0.2 }),
		"uneven.txt": "# bands\n380\n450 # blue\n520\n600\n700\n", "double.txt": "380\n380\n520\n600\n700\n",
		"same.txt": "500\n500\n500\n500\n500\n",
		"far.csv":  "wavelength_nm,power\n900,1\n1000,1\n", "early.csv": "wavelength_nm,power\n380,1\n600,1\n",
		"filter.csv": "wavelength_nm,transmittance\n420,0.5\n600,0.5\n",
		"curve.csv":  "log_h_lx_s,density\n-3,0.2\n\n-2,0.5\n-1,1.2\n0,1.8\n", "falls.csv": "log_h_lx_s,density\n-3,0.9\n-2,0.5\n",
	}
	const at = " -from 380 -to 700 -out OUT"
	golden.Lines(t, "", uninterrupted, files, "-cube IN/even.npy"+at, "-cube IN/negative.npy"+at, "-cube IN/tiny.npy"+at,
		"-cube IN/bright.npy"+at, "-cube IN/bright.npy -scale 1"+at, "-cube IN/bright.npy -scale 0.05"+at,
		"-cube IN/tiny.npy -scale 2"+at, "-cube IN/nan.npy"+at, "-cube IN/half.npy"+at, "-cube IN/many.npy"+at,
		"-cube IN/even.npy -wavelengths IN/uneven.txt -out OUT", "-cube IN/even.npy -wavelengths IN/double.txt -out OUT",
		"-cube IN/even.npy -wavelengths IN/same.txt -out OUT", "-cube IN/even.npy -from 430 -to 650 -outside hold -out OUT",
		"-cube IN/even.npy -from 430 -to 650 -outside zero -out OUT", "-cube IN/even.npy -from 430 -to 650 -out OUT",
		"-cube IN/even.npy -grey 3"+at, "-cube IN/even.npy -grey -6"+at, "-cube IN/even.npy -grey 3 -refuse"+at,
		"-cube IN/even.npy -same-exposure -filters 25,8+ND0.3"+at, "-cube IN/even.npy -light IN/far.csv"+at,
		"-cube IN/even.npy -light IN/early.csv"+at, "-cube IN/even.npy -light IN/early.csv -outside hold"+at,
		"-cube IN/even.npy -filters IN/filter.csv -outside zero"+at,
		"-cube IN/even.npy -films , "+at, "-cube IN/even.npy -lights , "+at, "-cube IN/even.npy -filters , "+at,
		"-cube IN/even.npy -bands 1"+at, "-cube IN/even.npy -bands 5"+at, "-cube IN/even.npy -bands 4"+at,
		"-cube IN/even.npy -workers 3 -curve IN/curve.csv"+at, "-cube IN/even.npy -curve IN/falls.csv"+at,
		"-cube IN/even.npy -rows 0:1"+at, "-cube IN/even.npy -rows 0:2"+at,
		"-cube IN/even.npy -interleave bil"+at, "-cube IN/even.npy -film Lantern"+at, "-cube IN/even.npy -log -linear"+at,
		"-cube IN/even.npy -scale Inf"+at)
}

// Tests say nothing of how far they are, on a slow machine either; who waits is told.
func init() { patience = time.Hour }

func TestHowFar(t *testing.T) {
	defer func(was time.Duration) { patience = was }(patience)
	patience = -1
	var said strings.Builder
	if err := uninterrupted([]string{"-demo", "-demo-rows", "4", "-demo-columns", "5", "-out", filepath.Join(t.TempDir(),
		"out")}, io.Discard, &said); err != nil {
		t.Fatal(err)
	}
	got := regexp.MustCompile("about .* left").ReplaceAllString(said.String(), "about T left")
	for _, want := range []string{"making the cube: 25 %, about T left\n", "making the cube: 100 %, about T left\n",
		"densities: 100 %, about T left\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("%q lacks %q", got, want)
		}
	}
}

// Pictures are the densities on one scale, averaged in squares where there are many, black where there is no data, a gap
// between two.
func TestPictures(t *testing.T) {
	said := held.New(t)
	for _, size := range [][3]int{{4, 5, 2}, {3, 2, 1}, {1, widest + 1, 1}, {2, 2*widest + 1, 1}, {1, widest, 1}} {
		rows, columns, channels := size[0], size[1], size[2]
		p := newPictures(rows, columns, channels)
		for y := range rows {
			density := make([]float32, columns*channels)
			for i := range density {
				density[i] = float32(math.Mod(0.37*float64(y*columns*channels+i), 2)) + 0.2
			}
			density[len(density)-1] = float32(math.NaN())
			p.add(y*columns, density[:channels])
			p.add(y*columns+1, density[channels:])
		}
		dir := t.TempDir()
		names, err := p.write(dir, []string{"none", "25 red/x"}[:channels])
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			f, err := os.Open(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			img, err := png.Decode(f)
			f.Close()
			if err != nil {
				t.Fatal(err)
			}
			var greys []int
			b := img.Bounds()
			for i := range min(b.Dx()*b.Dy(), 80) {
				r, _, _, _ := img.At(i%b.Dx(), i/b.Dx()).RGBA()
				greys = append(greys, int(r>>8))
			}
			said.Values(fmt.Sprint(size, name), b.Dx(), b.Dy(), greys)
		}
	}
}
