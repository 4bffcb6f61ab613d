package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"slices"
	"strings"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/sensito/scan"
)

const jobFile = "readings.json"

// job is readings.json.
type job struct {
	Channel   scan.Channel               `json:"channel"`
	PixelUM   float64                    `json:"pixel_um"`
	Light     *picture                   `json:"light"`
	Dark      pictures                   `json:"dark"`
	Flare     *flareOf                   `json:"flare"`
	Linearity []picture                  `json:"linearity"`
	Known     []knownOf                  `json:"known"`
	Strips    []stripOf                  `json:"strips"`
	Frames    []frameOf                  `json:"frames"`
	Film      map[string]json.RawMessage `json:"film"`
}

// picture is a file and the time it was exposed for.
type picture struct {
	File    string  `json:"file"`
	Shutter shutter `json:"shutter"`
}

// pictures is one picture, or a list of them.
type pictures []picture

// shutter is an exposure time: a camera's mark by its exact value, or seconds.
type shutter time.Duration

type flareOf struct {
	picture
	Box      *scan.Box `json:"box"`
	Fraction *float64  `json:"fraction"`
}

type knownOf struct {
	picture
	Box     *scan.Box `json:"box"`
	Density *float64  `json:"density"`
}

type stripOf struct {
	Strip       string `json:"strip"`
	Development string `json:"development"`
	picture
	Box       *scan.Box `json:"box"`
	Along     scan.Axis `json:"along"`
	Steps     int       `json:"steps"`
	LogH      *ladder   `json:"log_h_lx_s"`
	Unexposed boxes     `json:"unexposed"`
}

type frameOf struct {
	Frame name    `json:"frame"`
	EI    float64 `json:"ei"`
	picture
	Patches map[string]boxes `json:"patches"`
}

// name is a text or a number.
type name string

// boxes is one box, or a list of them.
type boxes []scan.Box

// ladder is the exposures of a tablet: the first and what is between two, or all of them.
type ladder struct {
	First, Step float64
	List        []float64
}

// filmName is the film with its process, "" where the file does not say it.
func (j *job) filmName() string {
	var names []string
	for _, key := range []string{"film", "process"} {
		var text string
		if json.Unmarshal(j.Film[key], &text) == nil && text != "" {
			names = append(names, text)
		}
	}
	return strings.Join(names, ", ")
}

// strict decodes one value and takes no member that it does not know.
func strict(text []byte, v any) error {
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	return d.Decode(v)
}

func (p *pictures) UnmarshalJSON(text []byte) error {
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("[")) {
		return strict(text, (*[]picture)(p))
	}
	var one picture
	err := strict(text, &one)
	*p = pictures{one}
	return err
}

func (b *boxes) UnmarshalJSON(text []byte) error {
	if t := bytes.TrimLeft(bytes.TrimPrefix(bytes.TrimSpace(text), []byte("[")), " \t\r\n"); bytes.HasPrefix(t, []byte("[")) {
		return strict(text, (*[]scan.Box)(b))
	}
	var one scan.Box
	err := strict(text, &one)
	*b = boxes{one}
	return err
}

func (n *name) UnmarshalJSON(text []byte) error {
	if bytes.HasPrefix(text, []byte(`"`)) {
		return strict(text, (*string)(n))
	}
	var v json.Number
	if err := strict(text, &v); err != nil {
		return errors.New("a frame is a number or a name")
	}
	*n = name(v.String())
	return nil
}

func (l *ladder) UnmarshalJSON(text []byte) error {
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("[")) {
		return strict(text, &l.List)
	}
	var v struct {
		First *float64 `json:"first"`
		Step  *float64 `json:"step"`
	}
	if err := strict(text, &v); err != nil {
		return err
	}
	if v.First == nil || v.Step == nil {
		return errors.New(`log_h_lx_s: want {"first": …, "step": …}, or a list of all`)
	}
	l.First, l.Step = *v.First, *v.Step
	return nil
}

// at returns the exposure of a step from 0, false where a list does not reach.
func (l *ladder) at(k int) (float64, bool) {
	if l.List != nil {
		if k >= len(l.List) {
			return 0, false
		}
		return l.List[k], true
	}
	return l.First + float64(k)*l.Step, true
}

// UnmarshalText reads a mark such as 1/60 or 30" by its exact value in third or half stops,
// and seconds with a unit as they stand.
func (s *shutter) UnmarshalText(text []byte) error {
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
	*s = shutter(d)
	return nil
}

func exactMark(d time.Duration) (time.Duration, error) {
	for _, steps := range []camera.Steps{camera.ThirdStops, camera.HalfStops} {
		marks, err := camera.TimeMarks(steps, 0, 0)
		if err != nil {
			return 0, err
		}
		for _, m := range marks {
			if math.Abs(float64(m.Time-d)) <= 1e-6*float64(d) {
				return time.Duration(math.Round(1e9 * math.Exp2(-float64(m.Tv)))), nil
			}
		}
	}
	return 0, fmt.Errorf("no mark of a shutter; write seconds with a unit, %.4gs", d.Seconds())
}

// parse reads readings.json and refuses what cannot be measured.
func parse(text []byte) (*job, error) {
	if errs := oneSpelling(text); len(errs) > 0 {
		return nil, errs
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	j := &job{}
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	err := d.Decode(j)
	if err == nil {
		if _, more := d.Token(); !errors.Is(more, io.EOF) {
			err = errors.New("something stands behind the object")
		}
	}
	if err != nil {
		line, column := 0, 0
		var syntax *json.SyntaxError
		var kind *json.UnmarshalTypeError
		switch {
		case errors.As(err, &syntax):
			line, column = datafile.Place(text, syntax.Offset-1)
		case errors.As(err, &kind):
			line, column = datafile.Place(text, kind.Offset-1)
			err = fmt.Errorf("no %s goes there", kind.Value)
		}
		return nil, datafile.Errors{{File: jobFile, Line: line, Column: column,
			Want: "the members that readings -h shows (" + strings.TrimPrefix(err.Error(), "json: ") + ")"}}
	}
	var errs datafile.Errors
	j.check(func(field, text, want string) {
		errs = append(errs, &datafile.Error{File: jobFile, Field: field, Text: text, Want: want})
	})
	return j, errs.Err()
}

// oneSpelling refuses what two readers would take for two things: bytes that are no text,
// a name that stands twice, and a name in capitals, which the members here never have.
func oneSpelling(text []byte) datafile.Errors {
	root, faults := jsonplace.Parse(text)
	var errs datafile.Errors
	fail := func(at int64, name, what string) {
		line, column := datafile.Place(text, at)
		e := &datafile.Error{File: jobFile, Line: line, Column: column, Want: "the members that readings -h shows (" + what + ")"}
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
				fail(m.At, m.Name, "a name in small letters, as readings -h shows it")
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

type failure func(field, text, want string)

// pictureIn checks a file and its time.
func (fail failure) pictureIn(field string, p picture) {
	if p.File == "" || path.IsAbs(p.File) || path.Clean(p.File) != p.File || strings.HasPrefix(p.File, "..") {
		fail(field+".file", p.File, "the name of a picture in the directory of "+jobFile)
	}
	if p.Shutter == 0 {
		fail(field+".shutter", "", "a mark such as 1/60, or seconds with a unit")
	}
}

func (fail failure) boxIn(field string, b *scan.Box) {
	if b == nil || b.Width < 1 || b.Height < 1 || b.X < 0 || b.Y < 0 {
		text := ""
		if b != nil {
			text = b.String()
		}
		fail(field, text, "[x, y, width, height] in pixels from the top left, with width and height")
	}
}

func (j *job) check(fail failure) {
	if !(j.PixelUM >= 0 && j.PixelUM < 1000) {
		fail("pixel_um", fmt.Sprint(j.PixelUM), "micrometres on the film from pixel to pixel, above 0, or nothing")
	}
	if j.Light == nil {
		fail("light", "", `a picture of the bare light table, {"file": …, "shutter": …}`)
	} else {
		fail.pictureIn("light", *j.Light)
	}
	for i, d := range j.Dark {
		fail.pictureIn(fmt.Sprintf("dark[%d]", i), d)
	}
	for i, l := range j.Linearity {
		fail.pictureIn(fmt.Sprintf("linearity[%d]", i), l)
	}
	if f := j.Flare; f != nil {
		switch {
		case f.Fraction != nil && (f.Box != nil || f.File != ""):
			fail("flare", "", "an opaque patch or a fraction, not both")
		case f.Fraction != nil && !(*f.Fraction >= 0 && *f.Fraction < 1):
			fail("flare.fraction", fmt.Sprint(*f.Fraction), "a fraction from 0 to below 1; divide a percentage by 100")
		case f.Fraction == nil:
			fail.pictureIn("flare", f.picture)
			fail.boxIn("flare.box", f.Box)
		}
	}
	for i, k := range j.Known {
		field := fmt.Sprintf("known[%d]", i)
		fail.pictureIn(field, k.picture)
		fail.boxIn(field+".box", k.Box)
		if k.Density == nil || !(*k.Density >= 0 && *k.Density <= plausible.GreatestDensity) {
			fail(field+".density", "", "the density of its certificate")
		}
	}
	for i := range j.Strips {
		j.Strips[i].check(fmt.Sprintf("strips[%d]", i), fail)
	}
	for i := range j.Frames {
		j.Frames[i].check(fmt.Sprintf("frames[%d]", i), fail)
	}
	j.checkGroups(fail)
	if len(j.Strips)+len(j.Frames) == 0 {
		fail("strips", "", "strips or frames to measure")
	}
}

func (s *stripOf) check(field string, fail failure) {
	if plausible.Name(s.Strip) != nil {
		fail(field+".strip", s.Strip, "the name of the strip, plain text on one line")
	}
	if d, err := devtime.ParseTime(s.Development); err != nil || d < plausible.LeastDevelopment || d > plausible.LongestDevelopment {
		fail(field+".development", s.Development, "a time like 7:30, 7m30s or 7.5 (minutes)")
	}
	fail.pictureIn(field, s.picture)
	fail.boxIn(field+".box", s.Box)
	if s.Steps < 0 || s.Steps > 64 {
		fail(field+".steps", fmt.Sprint(s.Steps), "the number of steps, 1 to 64, or nothing where it is not known")
	}
	if s.LogH != nil {
		n := max(s.Steps, len(s.LogH.List), 1)
		if s.LogH.List != nil && s.Steps > 0 && len(s.LogH.List) != s.Steps {
			fail(field+".log_h_lx_s", fmt.Sprintf("%d exposures", len(s.LogH.List)), fmt.Sprintf("one for each of the %d steps", s.Steps))
		}
		for k := range n {
			if x, ok := s.LogH.at(k); ok && !(x >= plausible.LeastLogH && x <= plausible.GreatestLogH) {
				fail(field+".log_h_lx_s", fmt.Sprint(x), fmt.Sprintf("log10 of lux seconds, %d to %d", plausible.LeastLogH,
					plausible.GreatestLogH))
				break
			}
		}
		if s.LogH.List == nil && s.LogH.Step == 0 {
			fail(field+".log_h_lx_s", "step 0", "the difference of log10 exposure from step to step")
		}
	}
	for k := range s.Unexposed {
		fail.boxIn(field+".unexposed", &s.Unexposed[k])
	}
}

var patchNames = []string{"shadow", "midtone", "highlight", "unexposed"}

func (f *frameOf) check(field string, fail failure) {
	if plausible.Name(string(f.Frame)) != nil {
		fail(field+".frame", string(f.Frame), "the number or name of the frame")
	}
	if !(f.EI >= plausible.LeastIndex && f.EI <= plausible.GreatestIndex) {
		fail(field+".ei", fmt.Sprint(f.EI), "an exposure index such as 400")
	}
	fail.pictureIn(field, f.picture)
	if len(f.Patches) == 0 {
		fail(field+".patches", "", "boxes by "+strings.Join(patchNames, ", "))
	}
	for k, bs := range f.Patches {
		if !slices.Contains(patchNames, k) {
			fail(field+".patches", k, strings.Join(patchNames, ", "))
		}
		for i := range bs {
			fail.boxIn(field+".patches."+k, &bs[i])
		}
	}
}

// checkGroups holds the entries of one strip or frame to each other: what is joined has to
// be the same place.
func (j *job) checkGroups(fail failure) {
	first := map[string]*stripOf{}
	for i := range j.Strips {
		s := &j.Strips[i]
		f, again := first[s.Strip]
		switch {
		case !again:
			first[s.Strip] = s
		case f.Development != s.Development:
			fail(fmt.Sprintf("strips[%d].development", i), s.Development,
				f.Development+", as in the first entry of this strip; two developments are two strips")
		case f.Box != nil && s.Box != nil && *f.Box != *s.Box, f.Along != s.Along:
			fail(fmt.Sprintf("strips[%d].box", i), fmt.Sprint(s.Box),
				fmt.Sprintf("%v, as in the first entry of this strip: exposures are joined pixel by pixel", f.Box))
		}
	}
	index := map[name]float64{}
	for i, f := range j.Frames {
		if ei, again := index[f.Frame]; again && ei != f.EI {
			fail(fmt.Sprintf("frames[%d].ei", i), fmt.Sprint(f.EI), fmt.Sprintf("%v, as in the first entry of this frame", ei))
		}
		index[f.Frame] = f.EI
	}
}

// wrong reports a failure of the input that is no picture's.
func wrong(format string, args ...any) error { return check.Errorf(scan.ErrInput, format, args...) }
