package main

import "testing"

// No text makes parse panic, and what it takes has boxes and files to read.
func FuzzParse(f *testing.F) {
	files := made()
	f.Add(files[jobFile].Data)
	f.Add([]byte(`{"pixel_um": 4, "light": {"file": "l", "shutter": "1/60"}, "camera_edge": {"file": "e", "box": [0, 0, 9, 9]}}`))
	f.Add([]byte(`{"patches": [{"files": ["a", "a"]}], "film_edge": {"contrast_density": [0]}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		j, err := parse(text)
		if err != nil {
			return
		}
		for _, x := range j.boxes() {
			if x.box.Width < 1 || x.box.Height < 1 || x.box.X < 0 || x.box.Y < 0 {
				t.Errorf("%s: box %v", x.where, x.box)
			}
		}
		for _, p := range j.Patches {
			if len(p.Files) == 0 || p.Shutter == 0 {
				t.Errorf("a patch without frames or time: %+v", p)
			}
		}
	})
}
