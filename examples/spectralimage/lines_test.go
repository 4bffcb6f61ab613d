package main

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What is said and written of small cubes is what it was.
func TestLines(t *testing.T) {
	golden.Lines(t, "", uninterrupted, map[string]string{"waves.txt": "400\n500\n600\n700\n", "bad.txt": "400\nx\n", "falling.txt": "500\n400\n", "c.hdr": "ENVI\nsamples = 2\nlines = 2\nbands = 2\ndata type = 4\ninterleave = bip\n", "c.raw": "0123456789abcdef0123456789abcdef"},
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
		if err := uninterrupted([]string{"-cube", cube, "-from", "400", "-to", "700", "-outside", "hold", "-rows", rows, "-out", filepath.Join(parts, name)}, io.Discard, io.Discard); err != nil {
			t.Fatal(err)
		}
		return filepath.Join(parts, name)
	}
	a, b := part("a", "0:2"), part("b", "2:4")
	golden.FullDisk(t, uninterrupted, []uint64{0, 60, 200, 400}, "-cube "+cube+" -from 400 -to 700 -outside hold -out OUT", "-demo -demo-rows 3 -demo-columns 4 -out OUT", "-join "+a+" "+b+" -out OUT")
	files := map[string]string{
		"film.csv":   "wavelength_nm,sensitivity\n400,0.5\n450,1\n550,0.8\n650,0.3\n",
		"light.csv":  "wavelength_nm,radiance\n380,0.5\n450,1\n550,0.8\n700,0.3\n",
		"filter.csv": "wavelength_nm,transmittance\n380,0.5\n450,0.1\n550,0.8\n700,0.9\n",
		"curve.csv":  "log_h_lx_s,density\n-3,0.2\n-2,0.5\n-1,1.2\n0,1.8\n",
		"waves.txt":  "400\n500\n600\n700\n",
	}
	golden.Faults(t, uninterrupted, files, "-cube "+cube+" -wavelengths IN/waves.txt -film IN/film.csv -light IN/light.csv -filters none,IN/filter.csv -curve IN/curve.csv -out OUT")
	if err := os.Remove(cube); err != nil { // which parts can do without
		t.Fatal(err)
	}
	golden.Faults(t, uninterrupted, nil, "-join "+a+" "+b+" -out OUT")
}
