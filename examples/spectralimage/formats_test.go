package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
)

var large = flag.Bool("large", false, "the cube of TestFormats is 512 × 512 × 31")

// scene16 is an invented cube of integers, a ten-thousandth of a white surface each.
func scene16(rows, columns, bands int) []uint16 {
	x := make([]uint16, rows*columns*bands)
	for i := range x {
		p, b := i/bands, i%bands
		y, c := p/columns, p%columns
		x[i] = uint16(2500 + 1500*math.Sin(float64(y)/7+float64(b)/5) + 900*math.Cos(float64(c)/11-float64(b)/9))
	}
	return x
}

// stored is a cube in an order of the axes and a kind of number.
func stored(x []uint16, rows, columns, bands int, order, kind string) []byte {
	var b bytes.Buffer
	put := func(y, c, k int) {
		v := x[(y*columns+c)*bands+k]
		switch kind {
		case "uint16":
			b.Write(binary.LittleEndian.AppendUint16(nil, v))
		case "big uint16":
			b.Write(binary.BigEndian.AppendUint16(nil, v))
		case "float32":
			b.Write(binary.LittleEndian.AppendUint32(nil, math.Float32bits(float32(float64(v)*1e-4))))
		case "float64":
			b.Write(binary.LittleEndian.AppendUint64(nil, math.Float64bits(float64(v)*1e-4)))
		}
	}
	switch order {
	case "bip":
		for y := range rows {
			for c := range columns {
				for k := range bands {
					put(y, c, k)
				}
			}
		}
	case "bil":
		for y := range rows {
			for k := range bands {
				for c := range columns {
					put(y, c, k)
				}
			}
		}
	case "bsq":
		for k := range bands {
			for y := range rows {
				for c := range columns {
					put(y, c, k)
				}
			}
		}
	}
	return b.Bytes()
}

func shapeOf(rows, columns, bands int, order string) []int {
	return map[string][]int{"bip": {rows, columns, bands}, "bil": {rows, bands, columns}, "bsq": {bands, rows, columns}}[order]
}

func bytesOf(t *testing.T, dir, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func developed(t *testing.T, args ...string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "out")
	var out, errs bytes.Buffer
	if err := run(context.Background(), append(args, "-filters", "none,8,25+ND 0.3", "-out", dir), &out, &errs); err != nil {
		t.Fatalf("%v: %v", args, err)
	}
	// What it said, but for how far it was on a slow machine.
	told := strings.ReplaceAll(out.String()+errs.String(), dir, "OUT")
	for line := range strings.Lines(told) {
		if !*large && !strings.Contains(line, " left") {
			held.New(t).Values("said", temporaries.ReplaceAllString(line, "TMP"))
		}
	}
	return dir
}

// temporaries are folders of tests.
var temporaries = regexp.MustCompile(regexp.QuoteMeta(os.TempDir()) + `/Test\w+/\d+`)

// One scene, in every order and number, has the same densities to the last bit.
func TestFormats(t *testing.T) {
	rows, columns, bands := 24, 37, 31
	if *large {
		rows, columns = 512, 512
	}
	x := scene16(rows, columns, bands)
	ends := []string{"-from", "380", "-to", "700"}
	var want []byte
	same := func(name string, args ...string) {
		t.Helper()
		got := bytesOf(t, developed(t, append(args, ends...)...), "densities.npy")
		if want == nil {
			want = got
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s: other densities", name)
		}
	}
	code := map[string]string{"uint16": "data type = 12\nbyte order = 0", "big uint16": "data type = 12\nbyte order = 1", "float32": "data type = 4\nbyte order = 0", "float64": "data type = 5\nbyte order = 0"}
	for _, order := range interleaves {
		for _, kind := range []string{"float32", "float64", "uint16", "big uint16"} {
			b := stored(x, rows, columns, bands, order, kind)
			scale := []string{}
			if strings.Contains(kind, "uint16") {
				scale = []string{"-scale", "0.0001"}
			}
			if descr := map[string]string{"float32": npy.Float32, "float64": npy.Float64, "uint16": npy.Uint16}[kind]; descr != "" {
				name := file(t, "cube.npy", string(npy.Header(descr, shapeOf(rows, columns, bands, order)...))+string(b))
				same(order+" "+kind, append(scale, "-cube", name, "-interleave", order)...)
			}
			header := file(t, "scene.hdr", fmt.Sprintf("ENVI\nsamples = %d\nlines = %d\nbands = %d\nheader offset = 3\n%s\ninterleave = %s\n", columns, rows, bands, code[kind], order))
			same(order+" raw "+kind, append(scale, "-cube", file(t, "scene.img", "abc"+string(b)), "-header", header)...)
		}
	}
	// The wavelengths and the scale may be the header's.
	var nm []string
	for i := range bands {
		nm = append(nm, fmt.Sprint((380+320*float64(i)/float64(bands-1))/1000))
	}
	header := file(t, "scene.hdr", fmt.Sprintf("ENVI\ndescription = {invented,\n a slate quarry}\nsamples = %d\nlines = %d\nbands = %d\n%s\ninterleave = BSQ\nreflectance scale factor = 10000\nwavelength units = Micrometers\nwavelength = {\n%s}\n",
		columns, rows, bands, code["uint16"], strings.Join(nm, ",\n")))
	dir := developed(t, "-cube", file(t, "scene.img", string(stored(x, rows, columns, bands, "bsq", "uint16"))), "-header", header)
	_, got := loaded(t, filepath.Join(dir, "densities.npy"))
	_, all := read(t, want)
	for i := range got {
		if !(math.Abs(float64(got[i]-all[i])) < 1e-5) { // wavelengths through micrometres
			t.Fatalf("from the header density %d is %v, not %v", i, got[i], all[i])
		}
	}
}

func read(t *testing.T, b []byte) ([]int, []float32) {
	t.Helper()
	name := file(t, "x.npy", string(b))
	return loaded(t, name)
}

// However the rows are split, and with however many workers, all files are the same to
// the last byte.
func TestSplits(t *testing.T) {
	said := held.New(t)
	rows, columns, bands := 23, 37, 31
	x := scene16(rows, columns, bands)
	x[(5*columns+3)*bands+7] = 65535 // what the header will call no data
	img := file(t, "scene.img", string(stored(x, rows, columns, bands, "bil", "uint16")))
	header := file(t, "scene.hdr", fmt.Sprintf("ENVI\nsamples = %d\nlines = %d\nbands = %d\ndata type = 12\nbyte order = 0\ninterleave = bil\ndata ignore value = 65535\n", columns, rows, bands))
	args := []string{"-cube", img, "-header", header, "-from", "400", "-to", "700", "-outside", "hold", "-scale", "0.0001", "-grey", "-3.4"}
	whole := developed(t, args...)
	side := string(bytesOf(t, whole, "densities.json"))
	for _, want := range []string{`"outside": "hold"`, "2.99 % of the film's response", `"kind": "invalid",
      "count": 3,
      "first": {
        "row": 5,
        "column": 3`, `"kind": "below"`, `"sha256"`, `"actinic_version"`} {
		if !strings.Contains(side, want) {
			t.Errorf("densities.json does not have %q:\n%s", want, side)
		}
	}
	for _, split := range [][]int{{0, 23}, {0, 1, 2, 23}, {0, 7, 14, 23}, {0, 16, 23}} {
		var dirs []string
		for i := len(split) - 1; i > 0; i-- { // parts come in any order
			dirs = append(dirs, developed(t, append(args, "-workers", fmt.Sprint(i), "-rows", fmt.Sprintf("%d:%d", split[i-1], split[i]))...))
		}
		to := filepath.Join(t.TempDir(), "all")
		var out, errs bytes.Buffer
		if err := run(context.Background(), append(append([]string{"-join"}, dirs...), "-out", to), &out, &errs); err != nil {
			t.Fatalf("%v: %v", split, err)
		}
		for _, name := range []string{"densities.npy", "densities.json", "side-by-side.png", "1-none.png"} {
			if !bytes.Equal(bytesOf(t, to, name), bytesOf(t, whole, name)) {
				t.Errorf("split %v: %s differs\n%s", split, name, bytesOf(t, to, "densities.json"))
			}
		}
		if len(dirs) > 1 {
			err := run(context.Background(), append(append([]string{"-join"}, dirs[1:]...), "-out", to), &out, &errs)
			if !said.Refused("", err) || !strings.Contains(err.Error(), "no part has rows") {
				t.Errorf("a missing part: %v", err)
			}
			err = run(context.Background(), append(append([]string{"-join", dirs[0]}, dirs...), "-out", to), &out, &errs)
			if !said.Refused("", err) || !strings.Contains(err.Error(), "too") {
				t.Errorf("a part twice: %v", err)
			}
		}
	}
	// Nor are parts that somebody wrote by hand, or cut.
	for _, r := range []struct{ was, is, says string }{
		{`"rows": 23`, `"rows": 0`, "cannot be"}, {`"columns": 37`, `"columns": 99999999999`, "densities.npy"}, {`"columns": 37`, `"columns": -1`, "cannot be"},
		{`"rows": 23`, `"rows": 9223372036854775807`, "values"}, {`"channels"`, `"canals"`, "canals"}, {`    23
  ],`, `    22
  ],`, "no part has rows 22:23"}, {`{`, ``, "densities.json"},
	} {
		dir := t.TempDir()
		if err := os.CopyFS(dir, os.DirFS(whole)); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(side, r.was) {
			t.Fatalf("no %q", r.was)
		}
		if err := os.WriteFile(filepath.Join(dir, "densities.json"), []byte(strings.Replace(side, r.was, r.is, 1)), 0o644); err != nil {
			t.Fatal(err)
		}
		err := run(context.Background(), []string{"-join", dir, "-out", filepath.Join(t.TempDir(), "x")}, &bytes.Buffer{}, &bytes.Buffer{})
		if !said.Refused(r.is, err) || !strings.Contains(err.Error(), r.says) {
			t.Errorf("%q for %q: %v, want it to say %q", r.is, r.was, err, r.says)
		}
	}
	// Parts that were made otherwise are not joined.
	a := developed(t, append(args, "-rows", "0:10")...)
	b := developed(t, append(args, "-rows", "10:23", "-same-exposure")...)
	err := run(context.Background(), []string{"-join", a, b, "-out", filepath.Join(t.TempDir(), "x")}, &bytes.Buffer{}, &bytes.Buffer{})
	if !said.Refused("two images", err) || !strings.Contains(err.Error(), "not of one image") {
		t.Errorf("parts of two images: %v", err)
	}
}

// Bands 450 to 600 nm: held they are not what they are with nothing beyond.
func TestOutside(t *testing.T) {
	said := held.New(t)
	rows, columns, bands := 4, 5, 16
	name := file(t, "c.npy", string(npy.Header(npy.Float32, rows, columns, bands))+string(stored(scene16(rows, columns, bands), rows, columns, bands, "bip", "float32")))
	args := []string{"-cube", name, "-from", "450", "-to", "600"}
	var out, errs bytes.Buffer
	if err := run(context.Background(), append(args, "-out", t.TempDir()), &out, &errs); !said.Refused("",
		err) || !strings.Contains(err.Error(), "say -outside hold") {
		t.Errorf("refused with %v", err)
	}
	if !strings.Contains(out.String(), "4 × 5 pixels, 16 bands from 450 to 600 nm every 10 nm, float32 in bip order") {
		t.Errorf("said %q", &out)
	}
	if strings.Contains(out.String(), "factor") {
		t.Error("factors before the refusal")
	}
	_, hold := loaded(t, filepath.Join(developed(t, append(args, "-outside", "hold")...), "densities.npy"))
	_, zero := loaded(t, filepath.Join(developed(t, append(args, "-outside", "zero")...), "densities.npy"))
	differ := 0.0
	for i := range hold {
		differ = max(differ, math.Abs(float64(hold[i]-zero[i])))
	}
	if !(differ > 0.01) {
		t.Errorf("held and zero differ by %v", differ)
	}
}

// Whatever a header says, what is read from it is a shape that can be, or an error.
func FuzzEnviHeader(f *testing.F) {
	f.Add("ENVI\nsamples = 3\nlines = 2\nbands = 2\ndata type = 4\nbyte order = 0\ninterleave = bip\nwavelength units = nm\nwavelength = {400,\n500}\n")
	f.Add("ENVI\nx = {\n")
	f.Fuzz(func(t *testing.T, text string) {
		c := cubeFile{ignore: math.NaN()}
		if err := c.readHeader(file(t, "x.hdr", text)); err != nil {
			return
		}
		if c.rows < 1 || c.columns < 1 || c.bands < 1 || c.offset < 0 || !known(c.interleave) || c.number.size < 1 || c.nm != nil && len(c.nm) != c.bands {
			t.Errorf("%q: %+v", text, c)
		}
	})
}

// Lists of films and lights make the channels that each of them makes by itself.
func TestListsOfChannels(t *testing.T) {
	rows, columns, bands := 3, 8, 33
	name := file(t, "c.npy", string(npy.Header(npy.Float32, rows, columns, bands))+string(stored(scene16(rows, columns, bands), rows, columns, bands, "bip", "float32")))
	args := []string{"-cube", name, "-from", "380", "-to", "760"}
	dir := developed(t, append(args, "-films", "panchromatic,Machlud Red", "-lights", "D55,A")...)
	shape, all := loaded(t, filepath.Join(dir, "densities.npy"))
	if fmt.Sprint(shape) != "[3 8 12]" {
		t.Fatalf("shape %v", shape)
	}
	for i, film := range []string{"panchromatic", "Machlud Red"} {
		for k, light := range []string{"D55", "A"} {
			_, one := loaded(t, filepath.Join(developed(t, append(args, "-film", film, "-light", light)...), "densities.npy"))
			for n, v := range one {
				got := all[n/3*12+(2*i+k)*3+n%3]
				if !(math.Abs(float64(got-v)) < 2e-5) { // sums in another order
					t.Fatalf("%s in %s: density %d is %v, by itself %v", film, light, n, got, v)
				}
			}
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "12-Machlud-Red,-A,-25-red+ND-0.3.png")); err != nil {
		t.Error(err)
	}
}

// What headers cannot be is said with the place, and what they can is read, each limit on its side.
func TestHeaders(t *testing.T) {
	said := held.New(t)
	const good = "ENVI\nsamples = 3\nlines = 2\nbands = 2\ndata type = 4\nbyte order = 0\ninterleave = bip\n"
	with := func(was, is string) string { return strings.Replace(good, was, is, 1) }
	for _, text := range []string{good, "", "ENV\n", "\ufeff" + good, "ENVI \r\n" + good[5:], good + "nothing\n",
		good + " = 3\n", good + "samples = 4\n", good + "x = {\n", good + "x = {a,\nb}\n; a remark\n\n",
		good + "Description = {a = b}\n",
		with("samples = 3", ""), with("samples = 3", "samples = 0"), with("samples = 3", "samples = -1"), with("samples = 3",
			"samples = x"), with("lines = 2", "lines = 0"), with("lines = 2", "LINES = 5"), with("bands = 2", "bands = 1"),
		with("bands = 2", "bands = 1e3"), with("bands = 2", "bands = 99999999999999999999"),
		with("type = 4", "type = 1"), with("type = 4", "type = 2"), with("type = 4", "type = 3"), with("type = 4", "type = 5"),
		with("type = 4", "type = 12"), with("type = 4", "type = 13"), with("type = 4", "type = 6"), with("data type = 4", ""),
		with("order = 0", "order = 1"), with("order = 0", "order = 2"), with("byte order = 0", ""),
		with("bip", "bil"), with("bip", "BSQ"), with("bip", "pib"), with("interleave = bip", ""), good + "header offset = 7\n",
		good + "header offset = -1\n", good + "header offset = x\n", good + "reflectance scale factor = 10000\n",
		good + "reflectance scale factor = 0\n", good + "reflectance scale factor = x\n",
		good + "data ignore value = -9999\n", good + "data ignore value = x\n", good + "data ignore value = NaN\n", good + "data ignore value = 0x10\n", good + "wavelength = {400, 500}\n",
		good + "wavelength = {400}\n", good + "wavelength = {400, 500, 600}\n", good + "wavelength = {400, red}\n",
		good + "wavelength = {0.4, 0.5}\nwavelength units = Micrometers\n",
		good + "wavelength = {400, 500}\nwavelength units = Nanometers\n",
		good + "wavelength = {400, 500}\nwavelength units = nm\n", good + "wavelength = {400, 500}\nwavelength units = um\n",
		good + "wavelength = {400, 500}\nwavelength units = Unknown\n",
		good + "wavelength = {400, 500}\nwavelength units = miles\n", good + "wavelength = 400, 500\n",
		good + "wavelength units = Micrometers\n"} {
		c := cubeFile{ignore: math.NaN()}
		err := c.readHeader(file(t, "x.hdr", text))
		said.Values(fmt.Sprintf("%q", strings.Replace(text, good, "…", 1)), temporaries.ReplaceAllString(fmt.Sprint(err), "TMP"),
			c.rows, c.columns, c.bands, c.number.Name, c.order, c.interleave, c.offset, c.scale, c.ignore, c.nm)
	}
}
