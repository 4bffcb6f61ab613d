package main

import (
	"strings"
	"testing"

	"example.org/actinic/examples/internal/golden"
)

// What short rolls, whole and spoilt, come to in words and pages is what it was.
func TestLines(t *testing.T) {
	const (
		head   = `{"film": "Garnedd Swift (invented)", "process": "Tarren 1+31, 20 °C (invented)", "light": "daylight", "target_average_gradient": 0.58}`
		strips = "strip,development,log_h_lx_s,density\nA,5,,0.21\nA,5,-3.3,0.22\nA,5,-3,0.25\nA,5,-2.7,0.32\nA,5,-2.4,0.42\nA,5,-2.1,0.55\nA,5,-1.8,0.68\nA,5,-1.5,0.79\nA,5,-1.2,0.92\nB,9,,0.22\nB,9,-3.3,0.23\nB,9,-3,0.28\nB,9,-2.7,0.39\nB,9,-2.4,0.54\nB,9,-2.1,0.72\nB,9,-1.8,0.91\nB,9,-1.5,1.08\nB,9,-1.2,1.27\nC,14,,0.24\nC,14,-3.3,0.26\nC,14,-3,0.31\nC,14,-2.7,0.45\nC,14,-2.4,0.64\nC,14,-2.1,0.87\nC,14,-1.8,1.10\nC,14,-1.5,1.33\nC,14,-1.2,1.57\n"
		frames = "frame,ei,patch,density\n1,100,shadow,0.41\n1,100,midtone,1.12\n2,200,shadow,0.29\n2,200,midtone,0.93\n3,400,shadow,0.24\n3,400,midtone,0.75\n4,800,shadow,0.22\n4,800,midtone,0.57\n5,1600,shadow,0.22\n5,1600,midtone,0.41\n6,,unexposed,0.22\n"
	)
	files := map[string]string{
		"roll/test.json": head, "roll/strips.csv": strips, "roll/bracket.csv": frames,
		"strips/test.json": head, "strips/strips.csv": strips,
		"spoilt/test.json": head, "spoilt/strips.csv": strings.Replace(strips, "B,9,-1.8,", "B,9,-1.8,1", 1), "spoilt/bracket.csv": frames,
		"relative/test.json": strings.Replace(head, `"light"`, `"exposure": "relative", "light"`, 1), "relative/strips.csv": strings.Replace(strips, "log_h_lx_s", "log_h", 1),
		"two/test.json": head, "two/strips.csv": strips[:strings.Index(strips, "C,14")], "two/bracket.csv": frames,
	}
	golden.Lines(t, "", run, files, "-dir IN/roll -out OUT", "-dir IN/strips -out OUT", "-dir IN/spoilt -out OUT",
		"-dir IN/two -out OUT", "-dir IN/strips -json", "-dir IN/spoilt -json", "-dir IN/relative -out OUT",
		"-dir IN/relative -json")
}
