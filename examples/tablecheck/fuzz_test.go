package main

import (
	"io"
	"os"
	"path/filepath"
	"testing"
)

// Whatever stands in a file, nothing panics in reading, checking, printing or drawing it.
func FuzzFile(f *testing.F) {
	for _, s := range book {
		f.Add(s)
	}
	f.Add("Step,Density\n1,0.05\n2,0.20\n3,0.35\n4,0.51\n5,0.65\n")
	f.Add("# kind: xy\nx,y\n1,2\n2,4\n3,6\n4,9\n5,10\n")
	f.Add("Metered (s),Open by (stops)\n1,+1/3\n10,1\n20,-\n40,2\n80,1\n160,3\n")
	o, err := parse([]string{"-"}, io.Discard)
	if err != nil {
		f.Fatal(err)
	}
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, s string) {
		if len(s) > 2000 {
			return
		}
		path := filepath.Join(dir, "a.csv")
		if err := os.WriteFile(path, []byte(s), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, j := range o.file(source{path, true}, nil) {
			if j.err != nil {
				continue
			}
			if err := line(io.Discard, j.json()); err != nil {
				t.Fatal(err)
			}
			words(io.Discard, &j)
			if err := suggest(io.Discard, &j); err != nil {
				t.Fatal(err)
			}
			if len(j.Implied) < 20 {
				if err := draw(map[string][]byte{}, j); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}
