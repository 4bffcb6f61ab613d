package camera

import (
	"encoding/json"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"example.org/actinic/internal/jsonplace"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/internal/rooted"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/exposure"
)

// Priority says what the camera sets by itself from its meter.
type Priority uint8

const (
	NoPriority       Priority = iota // the user sets both
	AperturePriority                 // the user sets the aperture, the camera the time
	ShutterPriority                  // the user sets the time, the camera the aperture
)

var priorityNames = [...]string{"none", "aperture", "shutter"}

// String returns "none", "aperture" or "shutter".
func (p Priority) String() string {
	if int(p) < len(priorityNames) {
		return priorityNames[p]
	}
	return fmt.Sprintf("priority(%d)", uint8(p))
}

// MarshalText returns the String form. The error wraps [sensito.ErrInput] for a number
// that is no priority.
func (p Priority) MarshalText() ([]byte, error) {
	if int(p) >= len(priorityNames) {
		return nil, inputf("no %v", p)
	}
	return []byte(p.String()), nil
}

// UnmarshalText reads the String form. The error wraps [sensito.ErrSyntax].
func (p *Priority) UnmarshalText(text []byte) error {
	for i, name := range priorityNames {
		if string(text) == name {
			*p = Priority(i)
			return nil
		}
	}
	return fmt.Errorf("camera: priority %q, want none, aperture or shutter: %w", text, sensito.ErrSyntax)
}

// Described is a camera as its file describes it: the marks, and what is not marks. Make
// one by [Read], [Parse] or [Default].
type Described struct {
	Name     string
	Camera   *Camera
	MeterK   float64 // calibration constant of its reflected-light meter, in cd/m²
	Priority Priority
	// Assumed is set by [Default]: nobody described a camera, so that whoever meets its
	// limits should be told whose they are.
	Assumed bool

	times, apertures scale // as written
}

// scale is a scale as a file has it: the name of a printed one, or a list. The list is
// kept whole, since what it is cut down to might be taken for a part of another scale.
type scale struct {
	steps Steps
	list  []string
}

// word is what a file says.
func (s scale) word() any {
	if s.list != nil {
		return s.list
	}
	return s.steps
}

// Default returns the camera that is assumed where none is described: third stops from
// f/2.8 to f/22 and from 1/4000 to 30 s, held open for longer, K = 12.5, no priority.
// A key that a file does not have is taken from it.
func Default() *Described {
	d := &Described{Name: "camera assumed", MeterK: defaultK, Assumed: true}
	d.times.steps, d.apertures.steps = ThirdStops, ThirdStops
	d.Camera, _ = OfScale(ThirdStops, defaultWidest, defaultSmallest, defaultFastest, defaultLongest) // TestDefault
	return d
}

const (
	defaultK                       = 12.5 // ISO 2720 allows 10.6 to 13.4; see exposure.ReflectedMeter
	defaultWidest, defaultSmallest = exposure.FNumber(2.8), exposure.FNumber(22)
	defaultFastest, defaultLongest = time.Second / 4000, 30 * time.Second
)

// Meter returns the camera's meter, whatever its constant.
func (d *Described) Meter() exposure.ReflectedMeter {
	return exposure.ReflectedMeter{K: d.MeterK, AnyConstant: true}
}

// String says in a line what the camera can be set to, for results to be kept with.
func (d *Described) String() string {
	if d == nil || d.Camera == nil || len(d.Camera.times) == 0 {
		return "no camera"
	}
	as, ts := d.Camera.apertures, d.Camera.times
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s from %v to %v, %s from %v to %v", d.Name, counted(len(as), "aperture"), as[0], as[len(as)-1],
		counted(len(ts), "time"), ts[len(ts)-1], ts[0])
	if d.Camera.bulb {
		b.WriteString(", bulb")
	}
	if d.Priority != NoPriority {
		fmt.Fprintf(&b, ", %v priority", d.Priority)
	}
	if d.MeterK != defaultK {
		fmt.Fprintf(&b, ", meter K %g", d.MeterK)
	}
	if d.Assumed {
		b.WriteString(" (no camera was given)")
	}
	return b.String()
}

func counted(n int, what string) string {
	if n == 1 {
		return "one " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// Read reads the description of a camera from a file of fsys, by [Parse].
func Read(fsys fs.FS, name string) (*Described, error) {
	content, err := rooted.ReadFile(fsys, name)
	if err != nil {
		return nil, fmt.Errorf("camera: %w", err)
	}
	return Parse(name, content)
}

// Parse reads the description of a camera. The file is named in errors. The content is a
// JSON object, each member of which may be left out:
//
//	name       text; "unnamed camera"
//	times      "full", "half" or "third" for a printed scale, or a list such as
//	           ["1/500", "1/250", "1s"]; third
//	fastest    the ends of the times: "1/500" …
//	longest    … and "1s"; those of a list, or 1/4000 and 30s
//	bulb       whether the shutter can be held open; true
//	apertures  as times, in f-numbers; third
//	widest     the ends of the apertures: "f/2" …
//	smallest   … and "f/16"; those of a list, or f/2.8 and f/22
//	meter_k    constant of its reflected-light meter; 12.5
//	priority   what the camera sets by itself: "none", or with "aperture" set by the
//	           user the time, with "shutter" the aperture; none
//
// Names that begin with x- are passed over, others refused. An end that stands on the
// scale is a mark of it; another, such as 1/12000 or f/1.9, is added to the marks
// within it, and is taken by its number. A list is taken as a part of the printed scale
// that has most of its marks, of full, half and third stops in this order where two have
// as many; what is not on that scale is taken by its number.
//
// What cannot be used is returned as [datafile.Errors], with file, line and column.
func Parse(file string, content []byte) (*Described, error) {
	r := &reader{file: file, content: content}
	d := r.read()
	if err := r.errs.Err(); err != nil {
		return nil, err
	}
	return d, nil
}

// members are the names of the file.
var members = []string{"name", "times", "fastest", "longest", "bulb", "apertures", "widest", "smallest", "meter_k", "priority"}

// reader reads a file and collects what cannot be.
type reader struct {
	file    string
	content []byte
	root    *jsonplace.Node
	errs    datafile.Errors
}

func (r *reader) fail(offset int64, field, text, want string) {
	line, column := datafile.Place(r.content, offset)
	r.errs = append(r.errs, &datafile.Error{File: r.file, Line: line, Column: column, Field: field, Text: text, Want: want})
}

// bad reports the value of a member.
func (r *reader) bad(name, want string) {
	v := r.root.Get(name)
	r.fail(v.Or(r.root), name, v.Plain(), want)
}

const wantCamera = `an object such as {"name": "…", "times": "full", "fastest": "1/500", "longest": "1s", "apertures": "full", "widest": "f/2", "smallest": "f/16"}`

func (r *reader) read() *Described {
	root, faults := jsonplace.Parse(r.content)
	if root == nil {
		want := wantCamera
		if strings.Contains(faults[0].What, "UTF-") {
			want = "UTF-8 text"
		}
		r.fail(faults[0].Offset, "", "", want+" ("+faults[0].What+")")
		return nil
	}
	if root.Kind != '{' {
		r.fail(root.Offset, "", root.Plain(), wantCamera)
		return nil
	}
	r.root = root
	for _, f := range faults {
		r.fail(f.Offset, "member", f.Name, f.What)
	}
	for _, m := range root.Members {
		if !known(m.Name) {
			r.fail(m.At, "member", m.Name, "one of "+strings.Join(members, ", ")+", or a name of your own that begins with x-")
		}
	}
	d := &Described{Name: "unnamed camera", MeterK: defaultK}
	r.readRest(d)
	apertures := readMarks(r, apertureScale, &d.apertures)
	times := readMarks(r, timeScale, &d.times)
	bulb := true
	if v := root.Get("bulb"); v != nil {
		var ok bool
		if bulb, ok = v.Scalar.(bool); !ok || v.Kind != 0 {
			r.bad("bulb", "true or false, without quotation marks")
		}
	}
	if len(r.errs) > 0 {
		return nil
	}
	c, err := New(Scales{Apertures: apertures, Times: times, Bulb: bulb})
	if err != nil {
		r.fail(root.Offset, "", "", "marks that differ ("+err.Error()+")")
		return nil
	}
	d.Camera = c
	return d
}

func known(name string) bool { return slices.Contains(members, name) || strings.HasPrefix(name, "x-") }

// readRest reads what is not marks.
func (r *reader) readRest(d *Described) {
	if r.root.Has("name") {
		s, ok := r.root.Get("name").IsText()
		if !ok || s == "" || plausible.Name(s) != nil {
			r.bad("name", "plain text on one line, without spaces around it")
		}
		d.Name = s
	}
	if r.root.Has("meter_k") {
		k, ok := r.root.Get("meter_k").Number()
		if !ok || !(k >= leastK && k <= greatestK) {
			r.bad("meter_k", fmt.Sprintf("a number between %d and %d, usually 12.5", leastK, greatestK))
		}
		d.MeterK = k
	}
	if r.root.Has("priority") {
		if d.Priority.UnmarshalText([]byte(r.root.Get("priority").Text())) != nil {
			r.bad("priority", "none, aperture or shutter")
		}
	}
}

// A meter's constant beyond these is of another meter or another unit.
const leastK, greatestK = 5, 30

// fileJSON is a camera file as it is written.
type fileJSON struct {
	Name      string   `json:"name"`
	Times     any      `json:"times"`
	Fastest   string   `json:"fastest"`
	Longest   string   `json:"longest"`
	Bulb      bool     `json:"bulb"`
	Apertures any      `json:"apertures"`
	Widest    string   `json:"widest"`
	Smallest  string   `json:"smallest"`
	MeterK    float64  `json:"meter_k"`
	Priority  Priority `json:"priority"`
}

// MarshalJSON writes the camera's file, which [Parse] reads back to an equal camera. The
// error wraps [sensito.ErrInput] for a camera that has no file: marks that were not read
// from one, or a constant beyond measure.
func (d *Described) MarshalJSON() ([]byte, error) {
	if d == nil || d.Camera == nil || len(d.Camera.times) == 0 {
		return nil, inputf("no camera; make one by Parse or Default")
	}
	if !(d.MeterK >= leastK && d.MeterK <= greatestK) {
		return nil, inputf("meter constant %v", d.MeterK)
	}
	as, ts := d.Camera.apertures, d.Camera.times
	f := fileJSON{Name: d.Name, Times: d.times.word(), Apertures: d.apertures.word(), Bulb: d.Camera.bulb, MeterK: d.MeterK, Priority: d.Priority,
		Fastest: exposure.FormatShutter(ts[len(ts)-1].Time), Longest: exposure.FormatShutter(ts[0].Time),
		Widest: as[0].String(), Smallest: as[len(as)-1].String()}
	return json.Marshal(f)
}

// UnmarshalJSON reads what [Parse] reads.
func (d *Described) UnmarshalJSON(text []byte) error {
	read, err := Parse("camera", text)
	if err != nil {
		return err
	}
	*d = *read
	return nil
}
