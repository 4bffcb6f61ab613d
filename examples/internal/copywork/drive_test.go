package copywork

import (
	"encoding/json"
	"math"
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/scan"
)

// What is read of times, pictures, jobs and their parts, and what of them is refused, is held to what it was.
func TestDrive(t *testing.T) {
	job := Job{File: "job.json", Program: "program"}
	shutter := func(text string) (float64, error) {
		var s Shutter
		err := s.UnmarshalText([]byte(text))
		return float64(s) / 1e9, err
	}
	pictures := func(text []byte) (Pictures, error) {
		var p Pictures
		err := p.UnmarshalJSON(text)
		return p, err
	}
	read := func(text []byte) (any, error) {
		var v struct {
			A     int       `json:"a"`
			Light *Picture  `json:"light"`
			Film  Pictures  `json:"film"`
			Box   *scan.Box `json:"box"`
		}
		err := job.Read(text, &v)
		return v, err
	}
	checked := func(check func(Failure)) datafile.Errors {
		fail, errs := job.Failures()
		check(fail)
		return *errs
	}
	name := func(file string) datafile.Errors {
		return checked(func(f Failure) { f.Name("light", file, "job.json") })
	}
	picture := func(p Picture) datafile.Errors { return checked(func(f Failure) { f.Picture("light", p, "job.json") }) }
	box := func(b *scan.Box) datafile.Errors { return checked(func(f Failure) { f.Box("box", b) }) }
	flare := func(l *Flare) datafile.Errors { return checked(func(f Failure) { f.Flare(l, "job.json") }) }
	part := func(v float64) *float64 { return &v }
	good := Picture{"a.png", Shutter(1e9)}
	pool := []any{good, Picture{}, Picture{"../a", 1}, Picture{"a.png", 0}, (*scan.Box)(nil), &scan.Box{X: 0, Y: 0, Width: 1, Height: 1}, &scan.Box{X: -1, Y: 0, Width: 1, Height: 1}, &scan.Box{X: 0, Y: -1, Width: 1, Height: 1}, &scan.Box{X: 0, Y: 0, Width: 0, Height: 1}, &scan.Box{X: 0, Y: 0, Width: 1, Height: 0},
		(*Flare)(nil), &Flare{}, &Flare{Fraction: part(0)}, &Flare{Fraction: part(1)}, &Flare{Fraction: part(0.01)}, &Flare{Fraction: part(-0.1)}, &Flare{Fraction: part(math.NaN())}, &Flare{Picture: good, Box: &scan.Box{Width: 2, Height: 2}}, &Flare{Picture: good}, &Flare{Picture: good, Fraction: part(0.1)}, &Flare{Box: &scan.Box{Width: 2, Height: 2}, Fraction: part(0.1)},
		"1/60", "1/125", "1/15", "1/13", "1/90", "0.0156s", "1/60s", "8s", `30"`, "30\u2033", "2m", "1/70", "1/0", "fast", "", " 1/60 ", "1/3", "0.3s", "60", "a.png", "/a", "a/../b", "..x", "x/y.png", "./a"}
	for _, text := range []string{`{"a": 1}`, `{"film": {"file": "a", "shutter": "1/60"}}`, `{"film": [{"file": "a", "shutter": "1/60"}, {"file": "b", "shutter": "2s"}]}`, `{"film": {"file": "a", "time": 1}}`, `{"film": [{"file": 3}]}`, `{"Film": 1}`, `{"a": {"b": [{"C": 1}]}}`, `{"a": 1, "a": 2}`, `{"a": "x"}`, `{"a": 1} 2`, "{\n\"a\": 1,\n\"b\": 2}", "{\n \"a\": tru}", "", "[]", "[1", "\xff", `{"box": [1, 2, 3, 4]}`, `{"box": [1, 2]}`, `{"light": {"file": "a", "shutter": "1/70"}}`, " [{}]", `{"file": "a", "shutter": "1/60"}`, `[{"file": "a", "shutter": "1/60"}]`, `[{"x": 1}]`, "\ufeff{}", `{"box": 1e999}`} {
		pool = append(pool, []byte(text), json.RawMessage(text))
	}
	held.New(t).Drive([]any{shutter, pictures, read, name, picture, box, flare}, pool...)
}
