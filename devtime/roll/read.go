package roll

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// Read reads the files of a test from fsys:
//
//   - test.json: an object with film, process, light and target_average_gradient,
//     and where wanted shadow_stops_below_meter (4), bracket_development (a time
//     as text) and criterion ("fixed-density", "fractional-gradient" or "delta-x");
//     "exposure": "relative" for a tablet under a light that is not known, and
//     metered_at_ei, with metered_step for a tablet, to tie such exposures by the
//     field test's 8/EI lx·s; raw, for camera values: light, dark and flare; who, when
//     and with what, by [Roll.Details]'s names and any that begin with x-;
//   - strips.csv: strip, development, log_h_lx_s, density and where known
//     density_sd; development as 7:30, 7m30s or minutes; an empty log_h_lx_s marks
//     a patch that got no light. Instead of log_h_lx_s it may have stops, from the
//     metered tone, or ei, at which that tone was metered; instead of density value
//     and value_sd, what the camera read;
//   - bracket.csv, if there is one; alone, without strips.csv, it gives the index: frame, ei, patch, density and where known
//     density_sd; patch is shadow, midtone, highlight or unexposed.
//
// What cannot be used is returned as [datafile.Errors], all of it, with file, line and
// column; what cannot be opened as the error of fsys.
func Read(fsys fs.FS) (*Roll, error) {
	roll := &Roll{}
	head, err := fs.ReadFile(fsys, headFile)
	if err != nil {
		return nil, fmt.Errorf("actinic: a test needs the files test.json and strips.csv: %w", err)
	}
	strips, noStrips := fs.ReadFile(fsys, stripsFile)
	bracket, noBracket := fs.ReadFile(fsys, bracketFile)
	if noStrips != nil && (noBracket != nil || !errors.Is(noStrips, fs.ErrNotExist)) {
		return nil, fmt.Errorf("actinic: a test needs the files test.json and strips.csv: %w", noStrips)
	}
	if noBracket != nil && !errors.Is(noBracket, fs.ErrNotExist) {
		return nil, fmt.Errorf("actinic: %w", noBracket)
	}
	errs := roll.readHead(head)
	if noStrips == nil {
		errs = append(errs, roll.readStrips(strips)...)
	}
	if noBracket == nil {
		errs = append(errs, roll.readBracket(bracket)...)
	}
	if err := errs.Err(); err != nil {
		return nil, err
	}
	return roll, nil
}

// wantName is what a text must be to go into a package of films.
const wantName = "plain text on one line, without spaces around it"

type headJSON struct {
	Film     *string  `json:"film"`
	Process  *string  `json:"process"`
	Light    *string  `json:"light"`
	Target   *float64 `json:"target_average_gradient"`
	Below    *float64 `json:"shadow_stops_below_meter"`
	Criteria *string  `json:"criterion"`
	Develop  *string  `json:"bracket_development"`

	Exposure    *string  `json:"exposure"`
	MeteredEI   *float64 `json:"metered_at_ei"`
	MeteredStep *int     `json:"metered_step"`
	Raw         *rawJSON `json:"raw"`
}

func (roll *Roll) readHead(content []byte) datafile.Errors {
	const file = headFile
	fail := func(at int64, field, text, want string) datafile.Errors {
		e := &datafile.Error{File: file, Field: field, Text: text, Want: want}
		if at >= 0 {
			before := content[:min(at, int64(len(content)))]
			e.Line = 1 + bytes.Count(before, []byte("\n"))
			e.Column = len(before) - (bytes.LastIndexByte(before, '\n') + 1) + 1
		}
		return datafile.Errors{e}
	}
	content = bytes.TrimPrefix(content, []byte("\ufeff"))
	for i := 0; i < len(content); {
		c, size := utf8.DecodeRune(content[i:])
		if c == utf8.RuneError && size <= 1 {
			return fail(int64(i), "", "", "UTF-8 text; save the file in UTF-8")
		}
		i += size
	}
	// place of a member's name, for errors about its value
	at := func(name string) int64 {
		return int64(bytes.Index(content, []byte(`"`+name+`"`)))
	}
	const want = "an object with film, process, light, target_average_gradient, and where wanted shadow_stops_below_meter, bracket_development, criterion"
	var h headJSON
	d := json.NewDecoder(bytes.NewReader(content))
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
		return fail(-1, "", "", want+" ("+err.Error()+")")
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return fail(d.InputOffset(), "", "", "nothing after the object")
	}
	errs := roll.readAbout(content, want, fail, at)
	errs = append(errs, roll.readScale(&h, fail, at)...)
	for _, m := range []struct {
		name string
		from *string
		to   *string
	}{{"film", h.Film, &roll.Film}, {"process", h.Process, &roll.Process}, {"light", h.Light, &roll.Light}} {
		if m.from == nil || strings.TrimSpace(*m.from) == "" {
			errs = append(errs, fail(at(m.name), m.name, "", "a name: a speed belongs to a film, a process and a light together")...)
			continue
		}
		if plausible.Name(*m.from) != nil {
			errs = append(errs, fail(at(m.name), m.name, *m.from, wantName)...)
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
		if err != nil || d < plausible.LeastDevelopment || d > plausible.LongestDevelopment {
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

func (roll *Roll) readStrips(content []byte) datafile.Errors {
	t := datafile.ReadSheet(content, stripsFile, []string{"strip", "development"}, append(scaleNames, readingNames...))
	roll.ignored(t)
	scale := roll.scale(t)
	index := map[string]int{}
	first := map[string]datafile.Row{}
	for _, r := range t.Rows {
		name := t.Text(r, "strip")
		if name == "" {
			t.FailAt(r, "strip", "the name of the strip")
			continue
		}
		if plausible.Name(name) != nil {
			t.FailAt(r, "strip", wantName)
			continue
		}
		dev, err := devtime.ParseTime(t.Text(r, "development"))
		if err != nil || dev < plausible.LeastDevelopment || dev > plausible.LongestDevelopment {
			t.FailAt(r, "development", "a time like 7:30, 7m30s or 7.5 (minutes)")
			continue
		}
		i, ok := index[name]
		if !ok {
			i = len(roll.Strips)
			index[name], first[name] = i, r
			roll.Strips = append(roll.Strips, Strip{Name: name, Development: dev, FirstLine: r.Line})
		}
		s := &roll.Strips[i]
		if s.Development != dev {
			t.FailAt(r, "development", fmt.Sprintf("%s as for this strip on line %d; two developments are two strips", devtime.FormatTime(s.Development), first[name].Line))
			continue
		}
		d, sd, ok := roll.reading(t, r)
		if !ok {
			continue
		}
		if t.Text(r, scale) == "" {
			s.Unexposed = append(s.Unexposed, sensito.Density(d))
			continue
		}
		x, ok := roll.exposure(t, r, scale)
		if !ok {
			continue
		}
		s.Readings = append(s.Readings, sensito.Reading{LogH: x, Density: sensito.Density(d), SD: sd})
		s.Lines = append(s.Lines, r.Line)
	}
	if len(t.Errs) == 0 {
		roll.tie(t)
	}
	return t.Errs
}

func (roll *Roll) readBracket(content []byte) datafile.Errors {
	t := datafile.ReadSheet(content, bracketFile, []string{"frame", "ei", "patch"}, readingNames)
	roll.ignored(t)
	roll.hasReading(t)
	eis := map[string]float64{}
	for _, r := range t.Rows {
		f := FrameReading{Frame: t.Text(r, "frame"), Line: r.Line}
		if f.Frame == "" {
			t.FailAt(r, "frame", "the name or number of the frame")
			continue
		}
		if plausible.Name(f.Frame) != nil {
			t.FailAt(r, "frame", wantName)
			continue
		}
		ei, ok := t.Number(r, "ei", "an exposure index")
		if !ok {
			continue
		}
		if !(ei >= plausible.LeastIndex && ei <= plausible.GreatestIndex) {
			t.FailAt(r, "ei", "an exposure index such as 400")
			continue
		}
		if was, ok := eis[f.Frame]; ok && was != ei {
			t.FailAt(r, "ei", fmt.Sprintf("%v as set for this frame above", was))
			continue
		}
		eis[f.Frame] = ei
		f.Index = ei
		p := slices.Index(toneNames[:], t.Text(r, "patch"))
		if p < 0 {
			t.FailAt(r, "patch", strings.Join(toneNames[:], ", "))
			continue
		}
		f.Tone = Tone(p)
		d, sd, ok := roll.reading(t, r)
		if !ok {
			continue
		}
		f.Density, f.SD = sensito.Density(d), sd
		roll.Bracket = append(roll.Bracket, f)
	}
	return t.Errs
}
