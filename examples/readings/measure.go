package main

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"runtime"
	"slices"
	"time"

	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
	"example.org/actinic/sensito/scan"
)

// bench measures one job. It holds of a picture what lies in the boxes, and one picture at
// a time.
type bench struct {
	fsys  fs.FS
	job   *job
	res   *result
	setup scan.Setup
	// of is the size that all pictures have.
	width, height int
}

// measure does what readings.json asks for. The error says which picture cannot be read as
// linear light, or which box lies outside; what is wrong with a place is a warning of its
// own, and with the set-up a finding.
func measure(fsys fs.FS, j *job) (*result, error) {
	b := &bench{fsys: fsys, job: j, res: &result{Channel: j.Channel.String(), Patches: []patch{}, Findings: []string{},
		Pictures: []origin{}, Written: []string{}, brighter: map[string]bool{}}}
	if j.PixelUM > 0 {
		b.res.PixelUM = &j.PixelUM
	}
	for _, do := range []func() error{b.lightAndDark, b.linearity, b.flare, b.known, b.strips, b.frames} {
		if err := do(); err != nil {
			return nil, err
		}
	}
	b.nothing()
	return b.res, nil
}

func (b *bench) find(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(b.res.Findings, s) {
		b.res.Findings = append(b.res.Findings, s)
	}
}

// placeIn is a box with where readings.json says it.
type placeIn struct {
	where string
	box   scan.Box
}

// places are all places of film, and the opaque patch.
func (b *bench) places() []placeIn {
	var out []placeIn
	add := func(box scan.Box, format string, args ...any) {
		out = append(out, placeIn{fmt.Sprintf(format, args...), box})
	}
	for i, k := range b.job.Known {
		add(*k.Box, "known[%d].box", i)
	}
	for i, s := range b.job.Strips {
		add(*s.Box, "strips[%d].box", i)
		for _, u := range s.Unexposed {
			add(u, "strips[%d].unexposed", i)
		}
	}
	for i, f := range b.job.Frames {
		for _, p := range patchNames {
			for _, u := range f.Patches[p] {
				add(u, "frames[%d].patches.%s", i, p)
			}
		}
	}
	if f := b.job.Flare; f != nil && f.Box != nil {
		add(*f.Box, "flare.box")
	}
	return out
}

// boxes are those of the places, and the middle.
func (b *bench) boxes() []scan.Box {
	out := []scan.Box{b.middle()}
	for _, p := range b.places() {
		out = append(out, p.box)
	}
	return out
}

// inside refuses boxes that lie outside the pictures.
func (b *bench) inside() error {
	for _, p := range b.places() {
		if x := p.box; x.X+x.Width > b.width || x.Y+x.Height > b.height {
			return datafile.Errors{{File: jobFile, Field: p.where, Text: x.String(),
				Want: fmt.Sprintf("a box inside the pictures, which have %d × %d pixels", b.width, b.height)}}
		}
	}
	return nil
}

// middle is the middle ninth of a picture, at most 300 pixels on a side.
func (b *bench) middle() scan.Box {
	w, h := min(max(b.width/3, 1), 300), min(max(b.height/3, 1), 300)
	return scan.Box{X: (b.width - w) / 2, Y: (b.height - h) / 2, Width: w, Height: h}
}

// large is the pixels from which a picture's memory is worth a collection.
const large = 1 << 21

// load reads a picture and keeps the boxes of it.
func (b *bench) load(where string, p picture, boxes ...scan.Box) (*scan.Frame, error) {
	if b.width*b.height > large {
		runtime.GC() // the picture before is let go: no more than two are held at once
	}
	pic, err := scan.Read(b.fsys, p.File, b.job.Channel)
	if err != nil {
		return nil, fmt.Errorf("%s: %s: %w", jobFile, where, err)
	}
	f, err := scan.NewFrame(pic, time.Duration(p.Shutter))
	if err != nil {
		return nil, fmt.Errorf("%s: %s: %w", jobFile, where, err)
	}
	w, h := f.Size()
	if b.width == 0 {
		b.width, b.height = w, h
		if err := b.inside(); err != nil {
			return nil, err
		}
		boxes = b.boxes()
	}
	if w != b.width || h != b.height {
		return nil, fmt.Errorf("%s: %s: %w", jobFile, where,
			wrong("%s has %d × %d pixels, the light frame %d × %d; all are to be taken with one arrangement and cropped alike",
				p.File, w, h, b.width, b.height))
	}
	b.look(where, p.File, pic, boxes)
	if f, err = f.Keep(boxes...); err != nil {
		return nil, fmt.Errorf("%s: %s: %w", jobFile, where, err)
	}
	o := origin{p.File, f.Origin().Format, f.Origin().Numbers, f.Origin().Channel}
	if !slices.Contains(b.res.Pictures, o) {
		b.res.Pictures = append(b.res.Pictures, o)
	}
	return f, nil
}

func (b *bench) lightAndDark() error {
	light, err := b.load("light", *b.job.Light)
	if err != nil {
		return err
	}
	b.setup.Light = light
	if c := light.Clipped(); c > 0.001 {
		b.find("%.2g %% of the light table is at the camera's white; densities there cannot be measured: expose it shorter", 100*c)
	}
	for i, d := range b.job.Dark {
		f, err := b.load(fmt.Sprintf("dark[%d]", i), d, b.boxes()...)
		if err != nil {
			return err
		}
		b.setup.Darks = append(b.setup.Darks, f)
		if !(f.Mean() < light.Mean()) {
			return fmt.Errorf("%s: dark[%d]: %w", jobFile, i,
				wrong("%s (mean %.4g) is no darker than the light table %s (%.4g)", d.File, f.Mean(), b.job.Light.File,
					light.Mean()))
		}
	}
	if len(b.job.Dark) == 0 {
		b.find("there is no dark frame, and the camera's black counts as 0: each count of black takes from dense places what it is of their signal")
	}
	return nil
}

// nothing says what speaks against the whole.
func (b *bench) nothing() {
	measured := 0
	for _, p := range b.res.Patches {
		if p.Density != nil {
			measured++
		}
	}
	if measured == 0 {
		b.find("no place could be measured")
	}
	if b.job.Flare == nil {
		b.res.Flare.Source = "not known"
		b.find("the flare is not known and counts as 0: 1 %% of it makes a density of 2.0 in an open field read 1.70; photograph an opaque patch in the film's place")
	}
	times := map[time.Duration]bool{}
	for _, d := range b.setup.Darks {
		times[d.Time()] = true
	}
	if len(times) == 1 {
		dark := b.setup.Darks[0].Time()
		for _, s := range b.job.Strips {
			b.darkTime(dark, s.picture)
		}
		for _, f := range b.job.Frames {
			b.darkTime(dark, f.picture)
		}
	}
}

func (b *bench) darkTime(dark time.Duration, p picture) {
	if t := time.Duration(p.Shutter); float64(t) > 4*float64(dark) {
		b.find("the dark frame was exposed for %v, film for up to four times that and more (%s: %v): the camera's dark current is not taken off; add a dark frame of that time", dark, p.File, t)
	}
}

// linearity tests the light table's frames against their times.
func (b *bench) linearity() error {
	frames := []*scan.Frame{b.setup.Light}
	for i, p := range b.job.Linearity {
		f, err := b.load(fmt.Sprintf("linearity[%d]", i), p, b.middle())
		if err != nil {
			return err
		}
		frames = append(frames, f)
	}
	b.noise(frames)
	if len(b.job.Linearity) == 0 {
		b.find("the linearity was not tested: add frames of the bare table at other shutter times")
		return nil
	}
	var es []scan.Exposed
	var used []*scan.Frame
	for _, f := range frames {
		e, clipped, err := b.setup.Exposed(f, b.middle())
		if err != nil {
			return err
		}
		if clipped {
			b.find("%s is at the camera's white, and left out of the linearity", f.Origin().File)
			continue
		}
		es, used = append(es, e), append(used, f)
	}
	r, err := scan.FitResponse(es)
	if err != nil {
		b.find("the linearity could not be tested: %v", err)
		return nil
	}
	l := &linearity{Slope: r.Slope, SlopeSD: number(r.SlopeSD), Linear: r.Linear()}
	for i, f := range used {
		l.Frames = append(l.Frames, linearityFrame{f.Origin().File, f.Time().Seconds(), es[i].Signal(), r.Departures[i]})
	}
	b.res.Linearity = l
	switch {
	case r.Display():
		return fmt.Errorf("%s: linearity: %w", jobFile,
			fmt.Errorf("%w: the light table's values rise as the power %.2f of the exposure time, as a display's curve makes them; write the pictures linear, with gamma 1 and no tone curve",
				scan.ErrPicture, r.Slope))
	case !r.Linear():
		b.find("the values are not linear in the exposure time: slope %.3f, greatest departure %.3f in density; the shutter's times, a lamp that drifts or the camera's curve", r.Slope, r.Greatest())
	}
	return nil
}

// noise is the camera's, from pairs of frames of one time, or else from neighbouring pixels.
func (b *bench) noise(frames []*scan.Frame) {
	all := append(slices.Clone(frames), b.setup.Darks...)
	var points []scan.NoisePoint
	add := func(files []string, n scan.NoisePoint) {
		points = append(points, n)
		b.res.Noise.Points = append(b.res.Noise.Points, noisePoint{files, n.Signal, n.Variance})
	}
	b.res.Noise.Source = "pairs of frames"
	b.res.Noise.Points = []noisePoint{}
	for i, f := range all {
		for _, g := range all[i+1:] {
			if f.Time() != g.Time() || math.Abs(f.Mean()-g.Mean()) > 0.05*max(f.Mean(), g.Mean()) {
				continue
			}
			if n, err := b.setup.PairPoint(f, g, b.middle()); err == nil {
				add([]string{f.Origin().File, g.Origin().File}, n)
			}
		}
	}
	if len(points) < 2 {
		points, b.res.Noise.Points = nil, []noisePoint{}
		b.res.Noise.Source = "neighbouring pixels of single frames, the sensor's fixed pattern included"
		for _, f := range all {
			if n, err := b.setup.SinglePoint(f, b.middle()); err == nil {
				add([]string{f.Origin().File}, n)
			}
		}
	}
	n, err := scan.FitNoise(points)
	if err != nil {
		b.res.Noise.Source = "not known: there are no two signals with noise"
		return
	}
	b.res.Noise.ElectronsPerCount, b.res.Noise.ReadElectrons = &n.ElectronsPerCount, &n.ReadElectrons
}

func (b *bench) flare() error {
	f := b.job.Flare
	switch {
	case f == nil:
		return nil
	case f.Fraction != nil:
		b.setup.Flare = scan.Flare(*f.Fraction)
		b.res.Flare = flareFound{Fraction: f.Fraction, Source: "given"}
		return nil
	}
	frame, err := b.load("flare", f.Picture, *f.Box)
	if err != nil {
		return err
	}
	v, sd, err := b.setup.MeasureFlare(*f.Box, frame)
	if err != nil {
		return fmt.Errorf("%s: flare: %w", jobFile, err)
	}
	b.setup.Flare, b.setup.FlareSD = v, sd
	x := float64(v)
	b.res.Flare = flareFound{&x, &sd, "measured"}
	return nil
}

// known ties the densities to those of a certificate.
func (b *bench) known() error {
	var places []scan.Known
	t := &tie{}
	for i, k := range b.job.Known {
		where := fmt.Sprintf("known[%d]", i)
		f, err := b.load(where, k.picture, *k.Box)
		if err != nil {
			return err
		}
		r, err := b.setup.Measure(*k.Box, f)
		if err != nil {
			b.find("%s (%s) was not read: %v", where, k.File, err)
			continue
		}
		places = append(places, scan.Known{True: sensito.Density(*k.Density), Read: r.Density, SD: r.SD})
		t.Places = append(t.Places, knownRead{File: k.File, Density: *k.Density, Read: float64(r.Density)})
	}
	if len(places) == 0 {
		return nil
	}
	b.res.Tie = t
	fit, err := scan.FitTie(places)
	if err != nil {
		b.find("the known densities give no scale: %v", err)
		return nil
	}
	t.Scale, t.ScaleSD = fit.Scale, number(fit.ScaleSD)
	for i, r := range fit.Residuals {
		t.Places[i].Residual = r
		if math.Abs(r) > 0.03 {
			b.find("%s: known density %.3f is %+.3f off the scale that the known densities give; is the box on that step?",
				t.Places[i].File, t.Places[i].Density, -r)
		}
	}
	switch {
	case fit.Curve && len(places) > 1:
		return fmt.Errorf("%s: known: %w", jobFile,
			fmt.Errorf("%w: known densities read %.2f times too low, as through a display's curve; write the pictures linear, with gamma 1 and no tone curve",
				scan.ErrPicture, 1/fit.Scale))
	case !fit.Plausible():
		b.find("the known densities ask for a scale of %.3f, more than scattering in the film makes; it was not applied: flare, a curve in the files, or boxes on other steps", fit.Scale)
	default:
		t.Applied = true
		b.setup.Tie = fit
	}
	return nil
}

// place measures one place; what speaks against it is a warning.
func (b *bench) place(p patch, at scan.Box, frames []*scan.Frame) patch {
	p.Box, p.Warnings = at, append([]string{}, p.Warnings...)
	if b.job.PixelUM > 0 {
		p.AreaMM2 = number(float64(at.Width*at.Height) * b.job.PixelUM * b.job.PixelUM * 1e-6)
	}
	r, err := b.setup.Measure(at, frames...)
	if err != nil {
		p.Warnings = append(p.Warnings, err.Error())
		if owner := p.owner(); errors.Is(err, scan.ErrBrighter) {
			b.res.brighter[owner] = true
			b.find("%s reads brighter than the bare light table: its shutter, the lamp or its place is another than that of the light frame; all its densities are as wrong, and it is left out of the test's files", owner)
		}
		return p
	}
	p.Density, p.SD, p.Gradient = number(float64(r.Density)), number(r.SD), &r.Gradient
	p.Pixels, p.SetAside, p.Exposures, p.Correlation = r.Pixels, r.SetAside, r.Exposures, r.Correlation
	p.Warnings = append(p.Warnings, r.Warnings...)
	return p
}

func (b *bench) strips() error {
	var names []string
	of := map[string][]int{}
	for i, s := range b.job.Strips {
		if of[s.Strip] == nil {
			names = append(names, s.Strip)
		}
		of[s.Strip] = append(of[s.Strip], i)
	}
	for _, n := range names {
		if err := b.strip(n, of[n]); err != nil {
			return err
		}
	}
	return nil
}

func (b *bench) strip(name string, entries []int) error {
	s := b.job.Strips[entries[0]]
	var frames []*scan.Frame
	var unexposed boxes
	for _, i := range entries {
		e := b.job.Strips[i]
		for _, u := range e.Unexposed {
			if !slices.Contains(unexposed, u) {
				unexposed = append(unexposed, u)
			}
		}
		if s.LogH == nil {
			s.LogH = e.LogH
		}
		s.Steps = max(s.Steps, e.Steps)
	}
	for _, i := range entries {
		f, err := b.load(fmt.Sprintf("strips[%d]", i), b.job.Strips[i].picture, append([]scan.Box{*s.Box}, unexposed...)...)
		if err != nil {
			return err
		}
		frames = append(frames, f)
	}
	for _, u := range unexposed {
		b.res.Patches = append(b.res.Patches, b.place(patch{Strip: name, Patch: "unexposed"}, u, frames))
	}
	profile, err := b.setup.Profile(*s.Box, s.Along, frames...)
	if err != nil {
		return fmt.Errorf("%s: strip %s: %w", jobFile, name, err)
	}
	want := s.Steps
	if want == 0 && s.LogH != nil {
		want = len(s.LogH.List)
	}
	found := scan.Steps{Spans: []scan.Span{{First: 0, End: len(profile)}}}
	if want != 1 {
		found, err = scan.FindSteps(profile, want)
	}
	switch {
	case errors.Is(err, scan.ErrSteps), errors.Is(err, scan.ErrInput):
		b.find("strip %s: %v", name, err)
		return nil
	case err != nil:
		return err
	}
	for _, f := range found.Findings {
		b.find("strip %s: %s", name, f)
	}
	b.res.strips = append(b.res.strips, stripFound{name, profile, found.Spans})
	for k, span := range found.Spans {
		p := patch{Strip: name, Step: k + 1}
		if s.LogH != nil && (want == 0 || want == len(found.Spans)) {
			if x, ok := s.LogH.at(k); ok {
				p.LogH = &x
			}
		}
		box := span.Margin(scan.Margin).Box(*s.Box, s.Along)
		b.mark(b.job.Strips[entries[0]].File, box)
		b.res.Patches = append(b.res.Patches, b.place(p, box, frames))
	}
	return nil
}

func (b *bench) frames() error {
	var names []name
	of := map[name][]int{}
	for i, f := range b.job.Frames {
		if of[f.Frame] == nil {
			names = append(names, f.Frame)
		}
		of[f.Frame] = append(of[f.Frame], i)
	}
	for _, n := range names {
		places := map[string]boxes{}
		var all boxes
		for _, i := range of[n] {
			for _, k := range patchNames {
				for _, bx := range b.job.Frames[i].Patches[k] {
					if !slices.Contains(places[k], bx) {
						places[k], all = append(places[k], bx), append(all, bx)
					}
				}
			}
		}
		var frames []*scan.Frame
		for _, i := range of[n] {
			f, err := b.load(fmt.Sprintf("frames[%d]", i), b.job.Frames[i].picture, all...)
			if err != nil {
				return err
			}
			frames = append(frames, f)
		}
		for _, k := range patchNames {
			for _, bx := range places[k] {
				b.res.Patches = append(b.res.Patches, b.place(patch{Frame: string(n), Patch: k, EI: b.job.Frames[of[n][0]].EI}, bx, frames))
			}
		}
	}
	return nil
}
