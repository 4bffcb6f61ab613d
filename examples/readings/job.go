package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"example.org/actinic/devtime"
	"example.org/actinic/examples/internal/copywork"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/plausible"
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

// What the jobs of programs that read pictures have in common.
type (
	picture  = copywork.Picture
	pictures = copywork.Pictures
	flareOf  = copywork.Flare
)

var theJob = copywork.Job{File: jobFile, Program: "readings"}

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

func (b *boxes) UnmarshalJSON(text []byte) error {
	if t := bytes.TrimLeft(bytes.TrimPrefix(bytes.TrimSpace(text), []byte("[")), " \t\r\n"); bytes.HasPrefix(t, []byte("[")) {
		return copywork.Strict(text, (*[]scan.Box)(b))
	}
	var one scan.Box
	err := copywork.Strict(text, &one)
	*b = boxes{one}
	return err
}

func (n *name) UnmarshalJSON(text []byte) error {
	if bytes.HasPrefix(text, []byte(`"`)) {
		return copywork.Strict(text, (*string)(n))
	}
	var v json.Number
	if err := copywork.Strict(text, &v); err != nil {
		return errors.New("a frame is a number or a name")
	}
	*n = name(v.String())
	return nil
}

func (l *ladder) UnmarshalJSON(text []byte) error {
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("[")) {
		return copywork.Strict(text, &l.List)
	}
	var v struct {
		First *float64 `json:"first"`
		Step  *float64 `json:"step"`
	}
	if err := copywork.Strict(text, &v); err != nil {
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

// parse reads readings.json and refuses what cannot be measured.
func parse(text []byte) (*job, error) {
	j := &job{}
	if err := theJob.Read(text, j); err != nil {
		return nil, err
	}
	fail, errs := theJob.Failures()
	j.check(fail)
	return j, errs.Err()
}

type failure = copywork.Failure

func (j *job) check(fail failure) {
	if !(j.PixelUM >= 0 && j.PixelUM < 1000) {
		fail("pixel_um", fmt.Sprint(j.PixelUM), "micrometres on the film from pixel to pixel, above 0, or nothing")
	}
	if j.Light == nil {
		fail("light", "", `a picture of the bare light table, {"file": …, "shutter": …}`)
	} else {
		fail.Picture("light", *j.Light, jobFile)
	}
	for i, d := range j.Dark {
		fail.Picture(fmt.Sprintf("dark[%d]", i), d, jobFile)
	}
	for i, l := range j.Linearity {
		fail.Picture(fmt.Sprintf("linearity[%d]", i), l, jobFile)
	}
	fail.Flare(j.Flare, jobFile)
	for i, k := range j.Known {
		field := fmt.Sprintf("known[%d]", i)
		fail.Picture(field, k.picture, jobFile)
		fail.Box(field+".box", k.Box)
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
	fail.Picture(field, s.picture, jobFile)
	fail.Box(field+".box", s.Box)
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
		fail.Box(field+".unexposed", &s.Unexposed[k])
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
	fail.Picture(field, f.picture, jobFile)
	if len(f.Patches) == 0 {
		fail(field+".patches", "", "boxes by "+strings.Join(patchNames, ", "))
	}
	for k, bs := range f.Patches {
		if !slices.Contains(patchNames, k) {
			fail(field+".patches", k, strings.Join(patchNames, ", "))
		}
		for i := range bs {
			fail.Box(field+".patches."+k, &bs[i])
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
