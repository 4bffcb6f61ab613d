package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"runtime"
	"slices"

	"example.org/actinic/examples/internal/copywork"
	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/scan"
	"example.org/actinic/sensito/structure"
)

// bench measures one job. It holds the light table, the dark frames and the frames of one
// place at a time.
type bench struct {
	fsys          fs.FS
	job           *job
	res           *result
	setup         scan.Setup
	width, height int
	points        []scan.NoisePoint
	patches       []measured
	noise         *scan.Noise
	curve         func(sides [2]float64) (ds, gs []float64) // of the film, nil where none was given
}

// measured is a patch whose spectrum is known, before the light frame's noise is taken off it.
type measured struct {
	of       int // of the job's patches
	spectrum *structure.Spectrum
	// light, gross and net are counts above the dark frame: of the light frame, and of a frame of
	// film with its flare and without.
	light, gross, net float64
	dust              float64
}

// measure does what structure.json asks for. The error says which picture cannot be read as
// linear light, or which box lies outside; what cannot be measured is null with a sentence. curve
// is that of the film, nil where it is not known.
func measure(fsys fs.FS, j *job, curve sensito.Curve) (*result, error) {
	b := &bench{fsys: fsys, job: j, res: &result{Channel: j.Channel.String(), PixelUM: j.PixelUM, Granularity: []granularity{},
		NoisePower: []noisePower{}, Acutance: []acutance{}, Prints: []printOf{}, Limits: []string{}, Warnings: []string{}, Pictures: []string{}}}
	if curve != nil {
		b.curve = curveOf(curve)
	}
	b.res.SetUp.HalfSampling = digits(500/j.PixelUM, 4)
	for _, do := range []func() error{b.lightAndDark, b.flare, b.cameraEdge, b.allPatches} {
		if err := do(); err != nil {
			return nil, err
		}
	}
	b.camera()
	b.granularities()
	return b.res, b.filmEdge()
}

func (b *bench) warn(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(b.res.Warnings, s) {
		b.res.Warnings = append(b.res.Warnings, s)
	}
}

func (b *bench) limit(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(b.res.Limits, s) {
		b.res.Limits = append(b.res.Limits, s)
	}
}

// large is the pixels from which a picture's memory is worth a collection.
const large = 1 << 21

// load reads a picture and keeps the boxes of it, or the whole where these are half of it.
func (b *bench) load(where string, p copywork.Picture, boxes ...scan.Box) (*scan.Frame, error) {
	if b.width*b.height > large {
		runtime.GC() // the picture before is let go
	}
	pic, err := scan.Read(b.fsys, p.File, b.job.Channel)
	if err != nil {
		return nil, fmt.Errorf("%s: %s: %w", jobFile, where, err)
	}
	if w, h := pic.Size(); b.width == 0 {
		b.width, b.height = w, h
	} else if w != b.width || h != b.height {
		return nil, fmt.Errorf("%s: %s: %w", jobFile, where, wrong("%s has %d × %d pixels, %s %d × %d; all are to be taken with one arrangement and cropped alike",
			p.File, w, h, b.job.Light.File, b.width, b.height))
	}
	if !slices.Contains(b.res.Pictures, p.File) {
		b.res.Pictures = append(b.res.Pictures, p.File)
	}
	b.look(where, p.File, pic, boxes)
	f, err := scan.NewFrame(pic, seconds(p.Shutter))
	if err != nil {
		return nil, fmt.Errorf("%s: %s: %w", jobFile, where, err)
	}
	area := 0
	for _, x := range boxes {
		if x.X+x.Width > b.width || x.Y+x.Height > b.height {
			return nil, b.outside(where, x)
		}
		area += x.Width * x.Height
	}
	if 4*area > b.width*b.height {
		return f, nil
	}
	return f.Keep(boxes...)
}

func (b *bench) outside(where string, x scan.Box) error {
	return datafile.Errors{{File: jobFile, Field: where, Text: x.String(),
		Want: fmt.Sprintf("a box inside the pictures, which have %d × %d pixels", b.width, b.height)}}
}

func (b *bench) lightAndDark() error {
	light, err := b.load("light", *b.job.Light, b.boxes()...)
	if err != nil {
		return err
	}
	for _, x := range b.job.boxes() {
		if x.box.X+x.box.Width > b.width || x.box.Y+x.box.Height > b.height {
			return b.outside(x.where, x.box)
		}
	}
	b.setup.Light = light
	for i, d := range b.job.Dark {
		f, err := b.load(fmt.Sprintf("dark[%d]", i), d, b.boxes()...)
		if err != nil {
			return err
		}
		if !(f.Mean() < light.Mean()) {
			return fmt.Errorf("%s: dark[%d]: %w", jobFile, i, wrong("%s (mean %.4g) is no darker than the light table %s (%.4g)",
				d.File, f.Mean(), b.job.Light.File, light.Mean()))
		}
		b.setup.Darks = append(b.setup.Darks, f)
		if p, err := b.setup.SinglePoint(f, b.middle()); err == nil {
			p.Signal = 0
			b.points = append(b.points, p)
		}
	}
	if len(b.job.Dark) == 0 {
		b.warn("there is no dark frame, and the camera's black counts as 0: it makes dense patches read too thin, and their grain too fine")
	}
	for _, f := range b.job.assumed {
		b.warn("%s has no shutter; it is taken to be the light table's", f)
	}
	return nil
}

// boxes are all places, and the middle where the dark frame's noise is read.
func (b *bench) boxes() []scan.Box {
	var out []scan.Box
	if b.width > 0 {
		out = append(out, b.middle())
	}
	for _, x := range b.job.boxes() {
		out = append(out, x.box)
	}
	return out
}

// middle is the middle ninth of a picture, at most 300 pixels on a side.
func (b *bench) middle() scan.Box {
	w, h := min(max(b.width/3, 1), 300), min(max(b.height/3, 1), 300)
	return scan.Box{X: (b.width - w) / 2, Y: (b.height - h) / 2, Width: w, Height: h}
}

func (b *bench) flare() error {
	f := b.job.Flare
	switch {
	case f == nil:
		b.warn("the flare is not known and counts as 0: at a density of 2.0 in an open field 1 %% of it halves the grain; photograph an opaque patch in the film's place")
		return nil
	case f.Fraction != nil:
		b.setup.Flare = scan.Flare(*f.Fraction)
	default:
		frame, err := b.load("flare", f.Picture, *f.Box)
		if err != nil {
			return err
		}
		v, sd, err := b.setup.MeasureFlare(*f.Box, frame)
		if err != nil {
			return fmt.Errorf("%s: flare: %w", jobFile, err)
		}
		b.setup.Flare, b.setup.FlareSD = v, sd
	}
	v := digits(float64(b.setup.Flare), 4)
	b.res.SetUp.Flare = &v
	return nil
}

// cameraEdge measures the camera's response; an edge that is none is a limit.
func (b *bench) cameraEdge() error {
	e := b.job.CameraEdge
	if e == nil {
		return nil
	}
	edge, err := b.edge("camera_edge", e.Picture, *e.Box)
	if err == nil {
		b.res.camera, err = edge.Response()
	}
	if isInput(err) {
		b.limit("The camera's response is not known: camera_edge: %s.", figures.Bare(err))
		return nil
	}
	if err != nil {
		return err
	}
	deg, _ := edge.Angle()
	b.res.CameraResponse = responseOf("camera", deg, b.res.camera, 500/b.job.PixelUM)
	return nil
}

// isInput tells what can be said of a place from what ends the program.
func isInput(err error) bool {
	return errors.Is(err, structure.ErrInput) || errors.Is(err, structure.ErrEdge) || errors.Is(err, structure.ErrCoarse) ||
		errors.Is(err, scan.ErrClipped)
}

// edge reads a picture and finds the edge in its box.
func (b *bench) edge(where string, p copywork.Picture, box scan.Box) (*structure.Edge, error) {
	f, err := b.load(where, p, box)
	if err != nil {
		return nil, err
	}
	t, _, err := b.setup.Transmittances(box, f)
	if err != nil {
		return nil, err
	}
	return structure.FindEdge(t[0], box.Width, box.Height, b.job.PixelUM)
}

// allPatches takes the spectra of all patches.
func (b *bench) allPatches() error {
	for i := range b.job.Patches {
		if err := b.patch(i); err != nil {
			return err
		}
	}
	return nil
}

// patch reads the frames of one place and takes their spectrum, tile by tile.
func (b *bench) patch(i int) error {
	p := &b.job.Patches[i]
	g := granularity{Step: p.Step, Frames: len(p.Files), Box: *p.Box, gradient: p.Gradient}
	b.res.Granularity = append(b.res.Granularity, g)
	var frames []*scan.Frame
	for k, name := range p.Files {
		f, err := b.load(fmt.Sprintf("patches[%d].files[%d]", i, k), copywork.Picture{File: name, Shutter: p.Shutter}, *p.Box)
		if err != nil {
			return err
		}
		frames = append(frames, f)
	}
	m := measured{of: i}
	aperture := structure.Aperture48
	if structure.CanMeasure(aperture, b.job.PixelUM, nil) != nil {
		aperture = 4 * b.job.PixelUM // for the spectrum alone; the granularity stays null
	}
	sp, err := structure.NewPatch(p.Box.Width, p.Box.Height, b.job.PixelUM, aperture)
	if err == nil {
		m.spectrum, m.dust, err = b.tiles(sp, *p.Box, frames)
	}
	if err == nil {
		err = b.signals(&m, *p.Box, frames)
	}
	switch {
	case isInput(err) || errors.Is(err, scan.ErrInput):
		b.limit("Step %d was not measured: %s.", p.Step, figures.Bare(err))
		return nil
	case err != nil:
		return err
	}
	b.patches = append(b.patches, m)
	return nil
}

// tiles adds a patch's tiles, one by one.
func (b *bench) tiles(sp *structure.Patch, box scan.Box, frames []*scan.Frame) (*structure.Spectrum, float64, error) {
	marked, all := 0.0, 0.0
	for _, tile := range sp.Tiles() {
		t, dust, err := b.setup.Transmittances(scan.Box{X: box.X + tile.X, Y: box.Y + tile.Y, Width: tile.Width, Height: tile.Height}, frames...)
		if err != nil {
			return nil, 0, err
		}
		for _, d := range dust {
			if d {
				marked++
			}
		}
		all += float64(len(dust))
		if err := sp.Add(dust, t...); err != nil {
			return nil, 0, err
		}
	}
	s, err := sp.Spectrum()
	return s, marked / all, err
}

// signals reads the counts of light and film in a patch, and the noise between its frames.
func (b *bench) signals(m *measured, box scan.Box, frames []*scan.Frame) error {
	box = middleOf(box) // counts and noise need no more
	light, _, err := b.setup.Exposed(b.setup.Light, box)
	if err != nil {
		return err
	}
	film, _, err := b.setup.Exposed(frames[0], box)
	if err != nil {
		return err
	}
	t := math.Pow(10, -float64(m.spectrum.Density()))
	m.light, m.gross = light.Signal(), film.Signal()
	m.net = t * m.light / (1 + float64(b.setup.Flare)) * film.Time.Seconds() / light.Time.Seconds()
	for k := 1; k < len(frames); k++ {
		if p, err := b.setup.PairPoint(frames[k-1], frames[k], box); err == nil {
			b.points = append(b.points, p)
		}
	}
	return nil
}

// middleOf is the middle of a box, at most 400 pixels on a side.
func middleOf(b scan.Box) scan.Box {
	const most = 400
	w, h := min(b.Width, most), min(b.Height, most)
	return scan.Box{X: b.X + (b.Width-w)/2, Y: b.Y + (b.Height-h)/2, Width: w, Height: h}
}

// camera finds the camera's noise, and says what this set-up can measure.
func (b *bench) camera() {
	if n, err := scan.FitNoise(b.points); err == nil {
		b.noise = &n
		b.res.SetUp.Electrons, b.res.SetUp.Read = known(digits(n.ElectronsPerCount, 4)), known(digits(n.ReadElectrons, 4))
	}
	s := &b.res.SetUp
	err := structure.CanMeasure(structure.Aperture48, b.job.PixelUM, b.res.camera)
	s.CanMeasure, s.Corrected = err == nil, b.res.camera != nil
	if err != nil {
		b.limit("Granularity in 48 µm cannot be measured with this set-up, and is null: %s.", figures.Bare(err))
	}
	if b.res.camera == nil {
		b.limit("The response of lens and pixels is not known, and nothing is corrected for it: granularity and noise power read too low, the film's response too. Photograph a razor's edge on the light table, slanted by 5°, as camera_edge.")
		return
	}
	const f = 1000 / structure.Aperture48
	if e, err := b.res.camera.At(f); err == nil {
		s.ResponseAt48 = known(digits(e.Value, 4))
	}
	sees := 500 / b.job.PixelUM
	word := "half the sampling rate"
	if e, err := b.res.camera.Frequency(structure.LeastResponse); err == nil && e.Value < sees {
		sees, word = e.Value, fmt.Sprintf("where lens and pixels keep %.1f", structure.LeastResponse)
	}
	s.Sees = known(digits(sees, 4))
	b.limit("This set-up sees up to %.3g cycles/mm on the film, %s; at 1/48 µm it keeps %.2f. Its response is that along the normal of its edge, and taken for all directions.",
		sees, word, orNaN(s.ResponseAt48))
}

func orNaN(v *float64) float64 {
	if v == nil {
		return math.NaN()
	}
	return *v
}
