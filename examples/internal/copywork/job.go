package copywork

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path"
	"strings"
	"time"

	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/sensito/scan"
)

// Picture is a file and the time it was exposed for.
type Picture struct {
	File    string  `json:"file"`
	Shutter Shutter `json:"shutter"`
}

// Pictures is one picture, or a list of them.
type Pictures []Picture

// Shutter is an exposure time: a camera's mark by its exact value, or seconds.
type Shutter time.Duration

// Flare is an opaque patch, or the fraction itself.
type Flare struct {
	Picture
	Box      *scan.Box `json:"box"`
	Fraction *float64  `json:"fraction"`
}

// Strict decodes one value and takes no member that it does not know.
func Strict(text []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	return d.Decode(v)
}

// UnmarshalJSON reads one or a list.
func (p *Pictures) UnmarshalJSON(text []byte) error {
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("[")) {
		return Strict(text, (*[]Picture)(p))
	}
	var one Picture
	err := Strict(text, &one)
	*p = Pictures{one}
	return err
}

// UnmarshalText reads a mark such as 1/60 or 30" by its exact value in third or half stops,
// and seconds with a unit as they stand.
func (s *Shutter) UnmarshalText(text []byte) error {
	t := strings.TrimSpace(string(text))
	d, err := exposure.ParseShutter(t)
	if err != nil {
		return err
	}
	engraved := strings.HasSuffix(t, `"`) || strings.HasSuffix(t, "\u2033")
	if strings.HasPrefix(t, "1/") && !strings.HasSuffix(t, "s") || engraved {
		mark, err := exactMark(d)
		if err != nil {
			return fmt.Errorf("shutter %q: %w", t, err)
		}
		d = mark
	}
	*s = Shutter(d)
	return nil
}

func exactMark(d time.Duration) (time.Duration, error) {
	for _, steps := range []camera.Steps{camera.ThirdStops, camera.HalfStops} {
		marks, _ := camera.TimeMarks(steps, 0, 0) // of all times, which always are
		for _, m := range marks {
			if m.Time == d { // both are what is engraved
				return time.Duration(math.Round(1e9 * math.Exp2(-float64(m.Tv)))), nil
			}
		}
	}
	return 0, fmt.Errorf("no mark of a shutter; write seconds with a unit, %.4gs", d.Seconds())
}

// Job names the file of a job and the program whose help shows its members.
type Job struct{ File, Program string }

// Read reads a job into v and refuses what v has no member for, with its place.
func (b Job) Read(text []byte, v any) error {
	if errs := b.oneSpelling(text); len(errs) > 0 {
		return errs
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	err := Strict(text, v) // that it is one value, and JSON, has been seen
	if err == nil {
		return nil
	}
	line, column := 0, 0
	if kind := (*json.UnmarshalTypeError)(nil); errors.As(err, &kind) {
		line, column = datafile.Place(text, kind.Offset-1)
		err = fmt.Errorf("no %s goes there", kind.Value)
	}
	return datafile.Errors{{File: b.File, Line: line, Column: column,
		Want: fmt.Sprintf("the members that %s -h shows (%s)", b.Program, strings.TrimPrefix(err.Error(), "json: "))}}
}

// oneSpelling refuses what two readers would take for two things: bytes that are no text,
// a name that stands twice, and a name in capitals, which the members here never have.
func (b Job) oneSpelling(text []byte) datafile.Errors {
	root, faults := jsonplace.Parse(text)
	var errs datafile.Errors
	fail := func(at int64, name, what string) {
		line, column := datafile.Place(text, at)
		e := &datafile.Error{File: b.File, Line: line, Column: column, Want: fmt.Sprintf("the members that %s -h shows (%s)", b.Program, what)}
		if name != "" {
			e.Field, e.Text, e.Want = "member", name, what
		}
		errs = append(errs, e)
	}
	for _, f := range faults {
		fail(f.Offset, f.Name, f.What)
	}
	var look func(n *jsonplace.Node)
	look = func(n *jsonplace.Node) {
		for _, m := range n.Members {
			if strings.ToLower(m.Name) != m.Name {
				fail(m.At, m.Name, fmt.Sprintf("a name in small letters, as %s -h shows it", b.Program))
			}
			look(m.Value)
		}
		for _, i := range n.Items {
			look(i)
		}
	}
	if root != nil {
		look(root)
	}
	return errs
}

// Failure reports what of a field cannot be.
type Failure func(field, text, want string)

// Failures returns a Failure and the errors that it has collected.
func (b Job) Failures() (Failure, *datafile.Errors) {
	errs := &datafile.Errors{}
	return func(field, text, want string) {
		*errs = append(*errs, &datafile.Error{File: b.File, Field: field, Text: text, Want: want})
	}, errs
}

// Name checks the name of a picture in the folder of the job.
func (fail Failure) Name(field, file, job string) {
	if file == "" || path.IsAbs(file) || path.Clean(file) != file || strings.HasPrefix(file, "..") {
		fail(field, file, "the name of a picture in the directory of "+job)
	}
}

// Picture checks a file and its time.
func (fail Failure) Picture(field string, p Picture, job string) {
	fail.Name(field+".file", p.File, job)
	if p.Shutter == 0 {
		fail(field+".shutter", "", "a mark such as 1/60, or seconds with a unit")
	}
}

// Box checks that there is a box with an area.
func (fail Failure) Box(field string, b *scan.Box) {
	if b == nil || b.Width < 1 || b.Height < 1 || b.X < 0 || b.Y < 0 {
		text := ""
		if b != nil {
			text = b.String()
		}
		fail(field, text, "[x, y, width, height] in pixels from the top left, with width and height")
	}
}

// Flare checks an opaque patch or a fraction.
func (fail Failure) Flare(f *Flare, job string) {
	switch {
	case f == nil:
	case f.Fraction != nil && (f.Box != nil || f.File != ""):
		fail("flare", "", "an opaque patch or a fraction, not both")
	case f.Fraction != nil && !(*f.Fraction >= 0 && *f.Fraction < 1):
		fail("flare.fraction", fmt.Sprint(*f.Fraction), "a fraction from 0 to below 1; divide a percentage by 100")
	case f.Fraction == nil:
		fail.Picture("flare", f.Picture, job)
		fail.Box("flare.box", f.Box)
	}
}
