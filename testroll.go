package actinic

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"reflect"
	"slices"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito"
)

// TestRoll is what was measured of one film in one process under one light:
// strips exposed through a step tablet and developed for several times, and
// perhaps frames of a subject bracketed over exposure indexes.
type TestRoll struct {
	Film    string
	Process string
	Light   string

	// TargetAverageGradient is the contrast the negatives should have, as the
	// average gradient of [sensito.AverageGradient].
	TargetAverageGradient float64

	// Criterion of the index where the contrast condition of ISO 6 is not met;
	// the zero value stands for sensito.FixedDensity.
	Criterion sensito.Criterion

	Strips []Strip

	// Bracket holds the frames, if there are any.
	Bracket []BracketFrame
	// ShadowStopsBelowMeter is how far under the meter reading the shadow patch
	// was placed; 0 stands for 4.
	ShadowStopsBelowMeter sensito.Stops
	// BracketDevelopment is the time for which the frames were developed; 0 where
	// it is not known.
	BracketDevelopment time.Duration
}

// Strip is one developed step tablet.
type Strip struct {
	Name        string
	Development time.Duration
	Readings    []sensito.Reading
	Unexposed   []sensito.Density // patches that got no light; may be empty
}

// Patch names a tone of the bracketed subject.
type Patch uint8

const (
	Shadow Patch = iota
	Midtone
	Highlight
	Unexposed // film that got no light, beside the frame
)

var patchNames = [...]string{"shadow", "midtone", "highlight", "unexposed"}

// String returns "shadow", "midtone", "highlight" or "unexposed".
func (p Patch) String() string {
	if int(p) < len(patchNames) {
		return patchNames[p]
	}
	return fmt.Sprintf("patch(%d)", p)
}

// BracketFrame is one patch read on one frame.
type BracketFrame struct {
	Frame   string
	Index   float64 // the exposure index that was set
	Patch   Patch
	Density sensito.Density
	SD      float64 // 0 where not known
}

// ReadTestRoll reads the files of a test from fsys:
//
//   - test.json: an object with film, process, light and target_average_gradient,
//     and where wanted shadow_stops_below_meter (4), bracket_development (a time
//     as text) and criterion ("fixed-density", "fractional-gradient" or "delta-x");
//   - strips.csv: strip, development, log_h_lx_s, density and where known
//     density_sd; development as 7:30, 7m30s or minutes; an empty log_h_lx_s marks
//     a patch that got no light;
//   - bracket.csv, if there is one: frame, ei, patch, density and where known
//     density_sd; patch is shadow, midtone, highlight or unexposed.
//
// What cannot be used is returned as [DataErrors], all of it, with file, line and
// column; what cannot be opened as the error of fsys.
func ReadTestRoll(fsys fs.FS) (*TestRoll, error) {
	roll := &TestRoll{}
	head, err := fs.ReadFile(fsys, "test.json")
	if err != nil {
		return nil, fmt.Errorf("actinic: a test needs the files test.json and strips.csv: %w", err)
	}
	strips, err := fs.ReadFile(fsys, "strips.csv")
	if err != nil {
		return nil, fmt.Errorf("actinic: a test needs the files test.json and strips.csv: %w", err)
	}
	errs := roll.readHead(head)
	errs = append(errs, roll.readStrips(strips)...)
	bracket, err := fs.ReadFile(fsys, "bracket.csv")
	switch {
	case err == nil:
		errs = append(errs, roll.readBracket(bracket)...)
	case !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("actinic: %w", err)
	}
	if err := errs.err(); err != nil {
		return nil, err
	}
	return roll, nil
}

type headJSON struct {
	Film     *string  `json:"film"`
	Process  *string  `json:"process"`
	Light    *string  `json:"light"`
	Target   *float64 `json:"target_average_gradient"`
	Below    *float64 `json:"shadow_stops_below_meter"`
	Criteria *string  `json:"criterion"`
	Develop  *string  `json:"bracket_development"`
}

func (roll *TestRoll) readHead(content []byte) DataErrors {
	const file = "test.json"
	fail := func(at int64, field, text, want string) DataErrors {
		e := &DataError{File: file, Field: field, Text: text, Want: want}
		if at >= 0 {
			before := content[:min(at, int64(len(content)))]
			e.Line = 1 + bytes.Count(before, []byte("\n"))
			e.Column = len(before) - (bytes.LastIndexByte(before, '\n') + 1) + 1
		}
		return DataErrors{e}
	}
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	// place of a member's name, for errors about its value
	at := func(name string) int64 {
		return int64(bytes.Index(content, []byte(`"`+name+`"`)))
	}
	const want = "an object with film, process, light, target_average_gradient, and where wanted shadow_stops_below_meter, bracket_development, criterion"
	var h headJSON
	d := json.NewDecoder(bytes.NewReader(content))
	d.DisallowUnknownFields()
	if err := d.Decode(&h); err != nil {
		var syn *json.SyntaxError
		var typ *json.UnmarshalTypeError
		switch {
		case errors.As(err, &syn):
			return fail(syn.Offset-1, "", "", want+" ("+err.Error()+")")
		case errors.As(err, &typ):
			kind := "text"
			if typ.Type.Kind() == reflect.Float64 {
				kind = "a number"
			}
			return fail(at(typ.Field), typ.Field, typ.Value, kind)
		case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
			return fail(int64(len(content)), "", "", want+"; the file ends too soon")
		}
		name := strings.Trim(strings.TrimPrefix(err.Error(), "json: unknown field "), `"`)
		return fail(at(name), "member", name, want)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return fail(d.InputOffset(), "", "", "nothing after the object")
	}
	var errs DataErrors
	for _, m := range []struct {
		name string
		from *string
		to   *string
	}{{"film", h.Film, &roll.Film}, {"process", h.Process, &roll.Process}, {"light", h.Light, &roll.Light}} {
		if m.from == nil || strings.TrimSpace(*m.from) == "" {
			errs = append(errs, fail(at(m.name), m.name, "", "a name: a speed belongs to a film, a process and a light together")...)
			continue
		}
		*m.to = *m.from
	}
	switch {
	case h.Target == nil:
		errs = append(errs, fail(-1, "target_average_gradient", "", "the contrast the negatives should have, usually 0.5 to 0.7")...)
	case !(*h.Target > 0.1 && *h.Target < 3):
		errs = append(errs, fail(at("target_average_gradient"), "target_average_gradient", fmt.Sprint(*h.Target), "a gradient between 0.1 and 3, usually 0.5 to 0.7")...)
	default:
		roll.TargetAverageGradient = *h.Target
	}
	if h.Below != nil {
		if !(*h.Below > 0 && *h.Below <= 10) {
			errs = append(errs, fail(at("shadow_stops_below_meter"), "shadow_stops_below_meter", fmt.Sprint(*h.Below), "stops above 0 and up to 10, usually 4")...)
		}
		roll.ShadowStopsBelowMeter = sensito.Stops(*h.Below)
	}
	if h.Develop != nil {
		d, err := devtime.ParseTime(*h.Develop)
		if err != nil || d < leastDevelop || d > longestDevelop {
			errs = append(errs, fail(at("bracket_development"), "bracket_development", *h.Develop, "a time like 7:30, 7m30s or 7.5 (minutes)")...)
		}
		roll.BracketDevelopment = d
	}
	if h.Criteria != nil {
		err := roll.Criterion.UnmarshalText([]byte(*h.Criteria))
		if err != nil || roll.Criterion != sensito.FixedDensity && roll.Criterion != sensito.FractionalGradient && roll.Criterion != sensito.DeltaX {
			errs = append(errs, fail(at("criterion"), "criterion", *h.Criteria, "fixed-density, fractional-gradient or delta-x")...)
		}
	}
	return errs
}

// Bounds for what a person can have measured; beyond them a unit was mistaken.
const (
	leastLogH, greatestLogH      = -8, 6
	greatestDensity              = 6
	leastIndex, greatestIndex    = 0.1, 1e6
	leastDevelop, longestDevelop = 10 * time.Second, 24 * time.Hour
)

func (roll *TestRoll) readStrips(content []byte) DataErrors {
	t := readTable(content, "strips.csv", []string{"strip", "development", "log_h_lx_s", "density"}, []string{"density_sd"})
	index := map[string]int{}
	first := map[string]tableRow{}
	for _, r := range t.rows {
		name := t.text(r, "strip")
		if name == "" {
			t.failAt(r, "strip", "the name of the strip")
			continue
		}
		dev, err := devtime.ParseTime(t.text(r, "development"))
		if err != nil || dev < leastDevelop || dev > longestDevelop {
			t.failAt(r, "development", "a time like 7:30, 7m30s or 7.5 (minutes)")
			continue
		}
		i, ok := index[name]
		if !ok {
			i = len(roll.Strips)
			index[name], first[name] = i, r
			roll.Strips = append(roll.Strips, Strip{Name: name, Development: dev})
		}
		s := &roll.Strips[i]
		if s.Development != dev {
			t.failAt(r, "development", fmt.Sprintf("%s as for this strip on line %d; two developments are two strips", devtime.FormatTime(s.Development), first[name].line))
			continue
		}
		d, ok := t.density(r)
		if !ok {
			continue
		}
		sd, ok := t.deviation(r)
		if !ok {
			continue
		}
		if t.text(r, "log_h_lx_s") == "" {
			s.Unexposed = append(s.Unexposed, sensito.Density(d))
			continue
		}
		x, ok := t.number(r, "log_h_lx_s", "log10 of lux seconds, or nothing for a patch that got no light")
		if !ok {
			continue
		}
		if !(x >= leastLogH && x <= greatestLogH) {
			t.failAt(r, "log_h_lx_s", fmt.Sprintf("log10 of lux seconds, between %d and %d; lux seconds themselves or other units are to be converted", leastLogH, greatestLogH))
			continue
		}
		s.Readings = append(s.Readings, sensito.Reading{LogH: sensito.LogH(x), Density: sensito.Density(d), SD: sd})
	}
	return t.errs
}

func (t *table) density(r tableRow) (float64, bool) {
	d, ok := t.number(r, "density", "a density")
	if ok && !(d >= 0 && d <= greatestDensity) {
		t.failAt(r, "density", fmt.Sprintf("a density from 0 to %d, base plus fog included", greatestDensity))
		return 0, false
	}
	return d, ok
}

func (t *table) deviation(r tableRow) (float64, bool) {
	if t.text(r, "density_sd") == "" {
		return 0, true
	}
	sd, ok := t.number(r, "density_sd", "a standard deviation, or nothing")
	if ok && !(sd > 0 && sd < 1) {
		t.failAt(r, "density_sd", "a standard deviation above 0 and below 1, or nothing where it is not known")
		return 0, false
	}
	return sd, ok
}

func (roll *TestRoll) readBracket(content []byte) DataErrors {
	t := readTable(content, "bracket.csv", []string{"frame", "ei", "patch", "density"}, []string{"density_sd"})
	eis := map[string]float64{}
	for _, r := range t.rows {
		f := BracketFrame{Frame: t.text(r, "frame")}
		if f.Frame == "" {
			t.failAt(r, "frame", "the name or number of the frame")
			continue
		}
		ei, ok := t.number(r, "ei", "an exposure index")
		if !ok {
			continue
		}
		if !(ei >= leastIndex && ei <= greatestIndex) {
			t.failAt(r, "ei", "an exposure index such as 400")
			continue
		}
		if was, ok := eis[f.Frame]; ok && was != ei {
			t.failAt(r, "ei", fmt.Sprintf("%v as set for this frame above", was))
			continue
		}
		eis[f.Frame] = ei
		f.Index = ei
		p := slices.Index(patchNames[:], t.text(r, "patch"))
		if p < 0 {
			t.failAt(r, "patch", strings.Join(patchNames[:], ", "))
			continue
		}
		f.Patch = Patch(p)
		d, ok := t.density(r)
		if !ok {
			continue
		}
		f.Density = sensito.Density(d)
		if f.SD, ok = t.deviation(r); !ok {
			continue
		}
		roll.Bracket = append(roll.Bracket, f)
	}
	return t.errs
}

// byTime returns the strips in order of development, then of name.
func (roll *TestRoll) byTime() []Strip {
	out := slices.Clone(roll.Strips)
	slices.SortStableFunc(out, func(a, b Strip) int {
		return cmp.Or(cmp.Compare(a.Development, b.Development), strings.Compare(a.Name, b.Name))
	})
	return out
}
