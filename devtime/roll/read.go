package roll

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/internal/rooted"
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
func Read(fsys fs.FS) (*Roll, error) { return read(fsys, &Roll{}) }

// ReadPart is [Read] of a test of which not all is filled in yet: rows with neither density
// nor value are passed over. What comes of it may have strips or frames only, or nothing.
func ReadPart(fsys fs.FS) (*Roll, error) { return read(fsys, &Roll{part: true}) }

// readSoFar leaves out rows that are to be filled in, where they may be.
func (roll *Roll) readSoFar(t *datafile.Table) {
	if roll.part {
		t.Rows = slices.DeleteFunc(t.Rows, func(r datafile.Row) bool { return t.Text(r, "density") == "" && t.Text(r, "value") == "" })
	}
}

func read(fsys fs.FS, roll *Roll) (*Roll, error) {
	head, err := rooted.ReadFile(fsys, headFile)
	if err != nil {
		return nil, fmt.Errorf("actinic: a test needs the files test.json and strips.csv: %w", err)
	}
	strips, noStrips := rooted.ReadFile(fsys, stripsFile)
	bracket, noBracket := rooted.ReadFile(fsys, bracketFile)
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

func (roll *Roll) readStrips(content []byte) datafile.Errors {
	t := datafile.ReadSheet(content, stripsFile, []string{"strip", "development"}, append(scaleNames, readingNames...))
	roll.ignored(t)
	scale := roll.scale(t)
	roll.readSoFar(t)
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
			t.FailAt(r, "development", fmt.Sprintf("%s as for this strip on line %d; two developments are two strips",
				devtime.FormatTime(s.Development), first[name].Line))
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
	roll.readSoFar(t)
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
