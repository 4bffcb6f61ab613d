package main

import (
	"fmt"
	"time"

	"example.org/actinic/examples/internal/copywork"
	"example.org/actinic/internal/check"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito/scan"
)

const jobFile = "structure.json"

var theJob = copywork.Job{File: jobFile, Program: "grain"}

// job is structure.json.
type job struct {
	Channel    scan.Channel      `json:"channel"`
	PixelUM    float64           `json:"pixel_um"`
	Light      *copywork.Picture `json:"light"`
	Dark       copywork.Pictures `json:"dark"`
	Flare      *copywork.Flare   `json:"flare"`
	CameraEdge *edgeOf           `json:"camera_edge"`
	Patches    []patchOf         `json:"patches"`
	FilmEdge   *filmEdgeOf       `json:"film_edge"`

	// assumed are places whose shutter was not told.
	assumed []string
}

// edgeOf is a picture of an edge.
type edgeOf struct {
	copywork.Picture
	Box *scan.Box `json:"box"`
}

// filmEdgeOf is one of an edge on the film, with the certificate's densities of its sides, and
// what it came through: "contact", or "lens".
type filmEdgeOf struct {
	copywork.Picture
	Box      *scan.Box   `json:"box"`
	Contrast *[2]float64 `json:"contrast_density"`
	Through  string      `json:"through"`
}

// patchOf is an even patch in one or more frames of the same place.
type patchOf struct {
	Step     int              `json:"step"`
	Files    []string         `json:"files"`
	Shutter  copywork.Shutter `json:"shutter"`
	Box      *scan.Box        `json:"box"`
	Gradient float64          `json:"gradient"`
}

// most frames of a place, and patches. Choices.
const mostFrames, mostPatches = 64, 200

// parse reads structure.json and refuses what cannot be measured.
func parse(text []byte) (*job, error) {
	j := &job{}
	if err := theJob.Read(text, j); err != nil {
		return nil, err
	}
	j.assume()
	fail, errs := theJob.Failures()
	j.check(fail)
	return j, errs.Err()
}

// assume gives what says no shutter the light's: a razor's edge is the same at any, and others
// are named in a warning.
func (j *job) assume() {
	if j.Light == nil || j.Light.Shutter == 0 {
		return
	}
	give := func(field string, s *copywork.Shutter) {
		if *s == 0 {
			*s = j.Light.Shutter
			j.assumed = append(j.assumed, field)
		}
	}
	for i := range j.Dark {
		give(fmt.Sprintf("dark[%d]", i), &j.Dark[i].Shutter)
	}
	if j.CameraEdge != nil {
		give("camera_edge", &j.CameraEdge.Shutter)
	}
	if j.FilmEdge != nil {
		give("film_edge", &j.FilmEdge.Shutter)
	}
	if j.Flare != nil && j.Flare.Fraction == nil {
		give("flare", &j.Flare.Shutter)
	}
}

func (j *job) check(fail copywork.Failure) {
	if !(j.PixelUM > 0 && j.PixelUM < 1000) {
		fail("pixel_um", fmt.Sprint(j.PixelUM), "micrometres on the film from pixel to pixel, above 0")
	}
	if j.Light == nil {
		fail("light", "", `a picture of the bare light table, {"file": …, "shutter": …}`)
	} else {
		fail.Picture("light", *j.Light, jobFile)
	}
	for i, d := range j.Dark {
		fail.Picture(fmt.Sprintf("dark[%d]", i), d, jobFile)
	}
	fail.Flare(j.Flare, jobFile)
	if e := j.CameraEdge; e != nil {
		fail.Picture("camera_edge", e.Picture, jobFile)
		fail.Box("camera_edge.box", e.Box)
	}
	if len(j.Patches) == 0 && j.FilmEdge == nil && j.CameraEdge == nil {
		fail("patches", "", "patches or edges to measure")
	}
	if len(j.Patches) > mostPatches {
		fail("patches", fmt.Sprint(len(j.Patches)), fmt.Sprintf("%d at most", mostPatches))
	}
	for i := range j.Patches {
		j.Patches[i].check(fmt.Sprintf("patches[%d]", i), fail)
	}
	if e := j.FilmEdge; e != nil {
		e.check(fail)
	}
}

func (p *patchOf) check(field string, fail copywork.Failure) {
	if p.Step < 0 || p.Step > 10000 {
		fail(field+".step", fmt.Sprint(p.Step), "the number of the step on the tablet")
	}
	if len(p.Files) == 0 || len(p.Files) > mostFrames {
		fail(field+".files", fmt.Sprint(len(p.Files)), fmt.Sprintf("one to %d frames of the same place", mostFrames))
	}
	seen := map[string]bool{}
	for _, f := range p.Files {
		fail.Name(field+".files", f, jobFile)
		if seen[f] {
			fail(field+".files", f, "another frame each: one file twice has no noise to tell from grain")
		}
		seen[f] = true
	}
	if p.Shutter == 0 {
		fail(field+".shutter", "", "a mark such as 1/60, or seconds with a unit")
	}
	fail.Box(field+".box", p.Box)
	if !(p.Gradient >= 0 && p.Gradient < 10) {
		fail(field+".gradient", fmt.Sprint(p.Gradient), "the gradient of the curve there, above 0, or nothing where it is not known")
	}
}

func (e *filmEdgeOf) check(fail copywork.Failure) {
	fail.Picture("film_edge", e.Picture, jobFile)
	fail.Box("film_edge.box", e.Box)
	if e.Through != "" && e.Through != "contact" && e.Through != "lens" {
		fail("film_edge.through", e.Through, "contact, or lens where the edge was photographed")
	}
	if c := e.Contrast; c != nil && !(c[0] >= 0 && c[1] > c[0] && c[1] <= plausible.GreatestDensity) {
		fail("film_edge.contrast_density", fmt.Sprint(*c), "the two densities, the lower first")
	}
}

// boxIn is a box with where structure.json says it.
type boxIn struct {
	where string
	box   scan.Box
}

// boxes are all places that are looked at.
func (j *job) boxes() []boxIn {
	var out []boxIn
	if e := j.CameraEdge; e != nil {
		out = append(out, boxIn{"camera_edge.box", *e.Box})
	}
	for i, p := range j.Patches {
		out = append(out, boxIn{fmt.Sprintf("patches[%d].box", i), *p.Box})
	}
	if e := j.FilmEdge; e != nil {
		out = append(out, boxIn{"film_edge.box", *e.Box})
	}
	if f := j.Flare; f != nil && f.Box != nil {
		out = append(out, boxIn{"flare.box", *f.Box})
	}
	return out
}

func seconds(s copywork.Shutter) time.Duration { return time.Duration(s) }

// wrong reports a failure of the input that is no picture's.
func wrong(format string, args ...any) error { return check.Errorf(scan.ErrInput, format, args...) }
