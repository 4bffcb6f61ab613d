package plan

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
)

// Names are what the test belongs to.
type Names struct {
	Film, Process, Light string
}

// Files are the files of the test, ready to be filled: test.json, strips.csv and
// bracket.csv, which [roll.Read] takes when the densities are in, and readings.json for
// pictures of the negatives in place of them. Exposures stand in the tables by the exact
// values of the marks; columns whose names begin with x- say what to set.
//
// The error wraps [ErrWish] for a name that is not plain text on one line.
func (p *Plan) Files(n Names) (map[string][]byte, error) {
	for _, s := range []string{n.Film, n.Process, n.Light} {
		if err := plausible.Name(s); err != nil {
			return nil, check.Errorf(ErrWish, "a name of film, process or light: %v", err)
		}
	}
	head := []member{{"film", n.Film}, {"process", n.Process}, {"light", n.Light}, {"target_average_gradient", p.Wish.TargetAverageGradient},
		{"shadow_stops_below_meter", float64(p.Wish.ShadowStopsBelowMeter)}, {"bracket_development", clock(p.Wish.Development)}}
	about := []member{{"tester", ""}, {"date", ""}, {"camera", p.Wish.Camera.Name}}
	test, err := object(append(append(head, member{"metered_at_ei", p.Wish.Index}), about...))
	if err != nil {
		return nil, err
	}
	readings, err := p.readings(append(head, about...))
	if err != nil {
		return nil, err
	}
	return map[string][]byte{"test.json": test, "strips.csv": p.strips(), "bracket.csv": p.bracket(), "readings.json": readings}, nil
}

// member of an object in the order of the file.
type member struct {
	name  string
	value any
}

func object(ms []member) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("{\n")
	for i, m := range ms {
		var text bytes.Buffer
		e := json.NewEncoder(&text)
		e.SetEscapeHTML(false)
		if err := e.Encode(m.value); err != nil {
			return nil, err
		}
		comma := ","
		if i == len(ms)-1 {
			comma = ""
		}
		fmt.Fprintf(&b, "  %q: %s%s\n", m.name, bytes.TrimSpace(text.Bytes()), comma)
	}
	b.WriteString("}\n")
	return b.Bytes(), nil
}

// number prints a number without more digits than it has.
func number(v float64, decimals int) string {
	x := math.Pow(10, float64(decimals))
	return strconv.FormatFloat(math.Round(v*x)/x, 'f', -1, 64)
}

func (p *Plan) strips() []byte {
	sd := number(p.Wish.DensitySD, 4)
	set := map[float64]string{}
	for _, s := range p.Own.Steps {
		set[s.Stops] = s.Setting.String()
	}
	rows := [][]string{{"strip", "development", "stops", "density", "density_sd", "x-set"}}
	for _, s := range p.Own.Strips {
		for range Places * s.Unexposed {
			rows = append(rows, []string{s.Name, clock(s.Development), "", "", sd, "unexposed"})
		}
		for _, st := range s.Stops {
			rows = append(rows, []string{s.Name, clock(s.Development), number(st, 4), "", sd, set[st]})
		}
	}
	return table(rows)
}

// patches of a frame, in the order of the table.
var patches = []string{"shadow", "midtone", "highlight"}

func (p *Plan) bracket() []byte {
	sd := number(p.Wish.DensitySD, 4)
	rows := [][]string{{"frame", "ei", "patch", "density", "density_sd", "x-set"}}
	for _, f := range p.Own.Frames {
		for _, patch := range patches {
			rows = append(rows, []string{strconv.Itoa(f.Number), index(f.ExposedAs), patch, "", sd, f.Setting.String()})
		}
	}
	for k := range p.Own.Unexposed {
		for range Places {
			rows = append(rows, []string{strconv.Itoa(len(p.Own.Frames) + 1 + k), index(p.Wish.Index), "unexposed", "", sd, "lens covered"})
		}
	}
	return table(rows)
}

// index prints an index to five digits.
func index(v float64) string { return strconv.FormatFloat(significant(v), 'f', -1, 64) }

func table(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.WriteAll(rows) // a buffer takes everything
	return b.Bytes()
}

type boxJSON [4]int

// readings is readings.json for a picture of each strip on the light table and one of each
// frame: names of files, times and boxes are to be filled in.
func (p *Plan) readings(film []member) ([]byte, error) {
	type strip struct {
		Strip       string    `json:"strip"`
		Development string    `json:"development"`
		File        string    `json:"file"`
		Shutter     string    `json:"shutter"`
		Box         boxJSON   `json:"box"`
		Along       string    `json:"along"`
		Steps       int       `json:"steps"`
		LogH        []float64 `json:"log_h_lx_s"`
		Unexposed   []boxJSON `json:"unexposed"`
	}
	type frame struct {
		Frame   int            `json:"frame"`
		EI      float64        `json:"ei"`
		File    string         `json:"file"`
		Shutter string         `json:"shutter"`
		Patches map[string]any `json:"patches"`
	}
	const shutter = "1/60"
	picture := func(file string) map[string]string { return map[string]string{"file": file, "shutter": shutter} }
	var strips []strip
	for _, s := range p.Own.Strips {
		out := strip{Strip: s.Name, Development: clock(s.Development), File: "strip-" + s.Name + ".tif", Shutter: shutter, Along: "x", Steps: len(s.Stops)}
		for _, st := range s.Stops {
			h := math.Log10(sensito.MeteredExposure/p.Wish.Index) + st*stop
			out.LogH = append(out.LogH, math.Round(1e4*h)/1e4)
		}
		out.Unexposed = make([]boxJSON, Places*s.Unexposed)
		strips = append(strips, out)
	}
	var frames []frame
	for _, f := range p.Own.Frames {
		out := frame{f.Number, significant(f.ExposedAs), fmt.Sprintf("frame-%d.tif", f.Number), shutter, map[string]any{}}
		for _, patch := range patches {
			out.Patches[patch] = boxJSON{}
		}
		frames = append(frames, out)
	}
	for k := range p.Own.Unexposed {
		n := len(p.Own.Frames) + 1 + k
		frames = append(frames, frame{n, p.Wish.Index, fmt.Sprintf("frame-%d.tif", n), shutter, map[string]any{"unexposed": make([]boxJSON, Places)}})
	}
	head := map[string]any{}
	for _, m := range film {
		head[m.name] = m.value
	}
	j := struct {
		Channel string            `json:"channel"`
		Light   map[string]string `json:"light"`
		Dark    map[string]string `json:"dark"`
		Strips  []strip           `json:"strips"`
		Frames  []frame           `json:"frames"`
		Film    map[string]any    `json:"film"`
	}{"green", picture("light.tif"), picture("dark.tif"), strips, frames, head}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	err := e.Encode(j)
	return b.Bytes(), err
}
