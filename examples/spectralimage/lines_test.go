package main

import (
	"context"
	"io"
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What is said and written of small cubes is what it was.
func TestLines(t *testing.T) {
	golden.Lines(t, "", func(args []string, stdout, stderr io.Writer) error {
		return run(context.Background(), args, stdout, stderr)
	}, map[string]string{"waves.txt": "400\n500\n600\n700\n", "bad.txt": "400\nx\n", "falling.txt": "500\n400\n", "c.hdr": "ENVI\nsamples = 2\nlines = 2\nbands = 2\ndata type = 4\ninterleave = bip\n", "c.raw": "0123456789abcdef0123456789abcdef"},
		"-demo -demo-rows 12 -demo-columns 16 -out OUT", "-demo -demo-rows 9 -demo-columns 7 -films panchromatic -lights A,D55 -filters none,25 -out OUT", "-demo -demo-rows 0 -out OUT", "-demo -demo-columns -1 -out OUT",
		"-cube IN/nothing.npy -out OUT", "-cube IN/waves.txt -out OUT", "-cube IN/c.raw -header IN/c.hdr -from 400 -to 700 -out OUT", "-cube IN/c.raw -header IN/c.hdr -wavelengths IN/waves.txt -out OUT", "-cube IN/c.raw -header IN/c.hdr -wavelengths IN/bad.txt -out OUT", "-cube IN/c.raw -header IN/c.hdr -wavelengths IN/falling.txt -out OUT",
		"-cube IN/c.raw -out OUT", "-header IN/c.hdr -out OUT", "-demo -rows 1:3 -demo-rows 9 -demo-columns 7 -out OUT", "-demo -rows 3:1 -out OUT", "-demo -rows x -out OUT", "-join -out OUT", "-join IN -out OUT", "-demo -scale 0 -out OUT", "-demo -outside x -out OUT", "-demo -film nobody -out OUT", "-h", "", "-nothing")
}
