package main

import (
	"math"

	"example.org/actinic/sensito/scan"
)

// result is what is printed as JSON. Numbers that are not known are null.
type result struct {
	Invented  bool       `json:"invented"`
	Channel   string     `json:"channel"`
	PixelUM   *float64   `json:"pixel_um"`
	Patches   []patch    `json:"patches"`
	Linearity *linearity `json:"linearity"`
	Flare     flareFound `json:"flare"`
	Noise     noise      `json:"noise"`
	Tie       *tie       `json:"tie"`
	Findings  []string   `json:"findings"`
	Pictures  []origin   `json:"pictures"`
	// Written are the files of the test.
	Written []string `json:"written"`

	film   string // the film's name, "" where it was not told
	strips []stripFound
	// brighter are strips ("strip A") and frames ("frame 1") of which a place reads more
	// light than the bare table: none of their densities is to be relied on.
	brighter map[string]bool
	views    []*view
}

// patch is one place that was measured.
type patch struct {
	Strip       string      `json:"strip,omitempty"`
	Frame       string      `json:"frame,omitempty"`
	Step        int         `json:"step,omitempty"`  // from 1 along the box
	Patch       string      `json:"patch,omitempty"` // of a frame, and unexposed of a strip
	EI          float64     `json:"ei,omitempty"`
	LogH        *float64    `json:"log_h_lx_s,omitempty"`
	Density     *float64    `json:"density"` // null where it could not be measured
	SD          *float64    `json:"density_sd"`
	Pixels      int         `json:"pixels"`
	SetAside    int         `json:"set_aside"`
	Exposures   int         `json:"exposures"`
	Correlation float64     `json:"correlation"` // standard error over that of pixels that know nothing of each other
	Gradient    *[2]float64 `json:"gradient"`    // of density along x and y over the place
	AreaMM2     *float64    `json:"area_mm2,omitempty"`
	Box         scan.Box    `json:"box"`
	Warnings    []string    `json:"warnings"`
}

type linearity struct {
	Slope   float64          `json:"slope"`
	SlopeSD *float64         `json:"slope_sd"`
	Linear  bool             `json:"linear"`
	Frames  []linearityFrame `json:"frames"`
}

type linearityFrame struct {
	File      string  `json:"file"`
	ShutterS  float64 `json:"shutter_s"`
	Signal    float64 `json:"signal"`    // counts above the dark frame, in the middle
	Departure float64 `json:"departure"` // log10 of it over that of a linear response
}

type flareFound struct {
	Fraction *float64 `json:"fraction"` // null where it is not known
	SD       *float64 `json:"sd"`
	Source   string   `json:"source"` // "measured", "given" or "not known"
}

type noise struct {
	ElectronsPerCount *float64     `json:"electrons_per_count"`
	ReadElectrons     *float64     `json:"read_noise_electrons"`
	Source            string       `json:"source"`
	Points            []noisePoint `json:"points"`
}

type noisePoint struct {
	Files    []string `json:"files"`
	Signal   float64  `json:"signal"`
	Variance float64  `json:"variance"`
}

type tie struct {
	Scale   float64     `json:"scale"`
	ScaleSD *float64    `json:"scale_sd"`
	Places  []knownRead `json:"places"`
	Applied bool        `json:"applied"`
}

type knownRead struct {
	File     string  `json:"file"`
	Density  float64 `json:"density"`
	Read     float64 `json:"read"`
	Residual float64 `json:"residual"`
}

type origin struct {
	File    string `json:"file"`
	Format  string `json:"format"`
	Numbers string `json:"numbers"`
	Channel string `json:"channel"`
}

// files are the pictures that were read.
func (r *result) files() []string {
	var names []string
	for _, p := range r.Pictures {
		names = append(names, p.File)
	}
	return names
}

// stripFound is what the page shows of a strip.
type stripFound struct {
	name    string
	profile []float64
	spans   []scan.Span
}

// number is nil for what is not finite: JSON has no word for it.
func number(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}
