package roll

import (
	"example.org/actinic/sensito"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"example.org/actinic/internal/held"
)

const (
	fullHead = `{
  "film": "Garnedd Swift (invented)",
  "process": "Tarren 1+31, 20 °C (invented)",
  "light": "daylight",
  "target_average_gradient": 0.58,
  "shadow_stops_below_meter": 4,
  "density_sd": 0.01,
  "x-note": "made up"
}`
	fewStrips = "strip,development,log_h_lx_s,density\nA,5,,0.21\nA,5,-3.3,0.22\nA,5,-3,0.25\nA,5,-2.7,0.32\nA,5,-2.4,0.42\nA,5,-2.1,0.55\nA,5,-1.8,0.68\nA,5,-1.5,0.79\nA,5,-1.2,0.92\nB,9,,0.22\nB,9,-3.3,0.23\nB,9,-3,0.28\nB,9,-2.7,0.39\nB,9,-2.4,0.54\nB,9,-2.1,0.72\nB,9,-1.8,0.91\nB,9,-1.5,1.08\nB,9,-1.2,1.27\nC,14,,0.24\nC,14,-3.3,0.26\nC,14,-3,0.31\nC,14,-2.7,0.45\nC,14,-2.4,0.64\nC,14,-2.1,0.87\nC,14,-1.8,1.10\nC,14,-1.5,1.33\nC,14,-1.2,1.57\n"
	fewFrames = "frame,ei,patch,density\n1,100,shadow,0.41\n1,100,midtone,1.12\n2,200,shadow,0.29\n2,200,midtone,0.93\n3,400,shadow,0.24\n3,400,midtone,0.75\n4,800,shadow,0.22\n4,800,midtone,0.57\n5,1600,shadow,0.22\n5,1600,midtone,0.41\n6,,unexposed,0.22\n"
)

// What rolls with one cell or one line changed are told when they are read, and what some of them come to, is held to
// what it was.
func TestDrive(t *testing.T) {
	read := func(m fstest.MapFS) (*Roll, error) { return Read(m) }
	part := func(m fstest.MapFS) (*Roll, error) { return ReadPart(m) }
	record := func(m fstest.MapFS) ([]string, []Line, *Record, error) {
		r, err := Read(m)
		if err != nil {
			return nil, nil, nil, err
		}
		rec, err := r.Characterise(Settings{Seed: 2})
		if err != nil {
			return nil, nil, nil, err
		}
		var about []string
		for _, s := range []string{"A", "B", "C"} {
			for _, f := range rec.About(s) {
				about = append(about, f.Text)
			}
		}
		return about, append(rec.Box(), append(rec.DetailLines(), rec.TonesLines()...)...), rec, nil
	}
	var pool []any
	for _, v := range held.Variants(fewStrips) {
		pool = append(pool, dir("test.json", fullHead, "strips.csv", string(v.([]byte))))
	}
	for _, v := range held.Variants(fewFrames) {
		pool = append(pool, dir("test.json", fullHead, "strips.csv", fewStrips, "bracket.csv", string(v.([]byte))))
	}
	lines := strings.Split(fullHead, "\n")
	value := regexp.MustCompile(`: .*?(,?)$`)
	for i, line := range lines {
		for _, other := range []string{"", line + "\n" + line, value.ReplaceAllString(line, ": -17$1"), value.ReplaceAllString(line, `: ""$1`), value.ReplaceAllString(line, ": 1e9$1"), value.ReplaceAllString(line, ": null$1")} {
			if other == line {
				continue
			}
			changed := append([]string(nil), lines...)
			changed[i] = other
			pool = append(pool, dir("test.json", strings.Join(changed, "\n"), "strips.csv", fewStrips))
		}
	}
	pool = append(pool, fstest.MapFS{}, dir("test.json", fullHead), dir("strips.csv", fewStrips), dir("test.json", fullHead, "bracket.csv", fewFrames))
	said := held.New(t)
	said.Drive([]any{read, part}, pool...)
	said.Drive([]any{record}, dir("test.json", fullHead, "strips.csv", fewStrips, "bracket.csv", fewFrames), dir("test.json", fullHead, "strips.csv", fewStrips),
		dir("test.json", goodHead, "strips.csv", exactStrips(5, 8, 12, 18)), dir("test.json", goodHead, "strips.csv", strips(1, 2, 5, 9, 14)+thin("D", 20)),
		dir("test.json", fullHead, "strips.csv", strings.Replace(fewStrips, "B,9,-1.8,", "B,9,-1.8,1", 1), "bracket.csv", strings.Replace(fewFrames, "3,400,midtone,", "3,400,midtone,1", 1)))
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) {
	e := sensito.Estimate{Value: 372, Low: 300, High: 450}
	held.New(t).Reads(IndexRecord{e, "bracket", &e, "as made"}, SpeedRecord{Value: 320, Kind: sensito.EI, Criterion: sensito.Criterion(1)}, SpeedRecord{})
}
