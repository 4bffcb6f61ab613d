package main

import (
	"math"

	"example.org/actinic/internal/figures"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/scan"
	"example.org/actinic/sensito/structure"
)

// result is what is printed as JSON. Numbers that are not known are null.
type result struct {
	Invented       bool          `json:"invented"`
	Channel        string        `json:"channel"`
	PixelUM        float64       `json:"pixel_um"`
	SetUp          setUp         `json:"set_up"`
	Granularity    []granularity `json:"granularity"`
	Law            *grainLaw     `json:"granularity_law"`
	NoisePower     []noisePower  `json:"noise_power"`
	CameraResponse *response     `json:"camera_response"`
	FilmResponse   *response     `json:"film_response"`
	Acutance       []acutance    `json:"acutance"`
	Prints         []printOf     `json:"prints"`
	Signal         *signal       `json:"signal"`
	Limits         []string      `json:"limits"`
	Warnings       []string      `json:"warnings"`
	Pictures       []string      `json:"pictures"`

	film     string
	spectra  []spectrumOf
	law      *structure.GrainLaw
	camera   *structure.Response
	response *structure.Response
	edge     *structure.Edge
	views    []*pictured
}

// setUp is what the camera can see on the film, from its own edge and noise.
type setUp struct {
	ResponseAt48 *float64 `json:"response_at_1_48um"`
	Sees         *float64 `json:"sees_cycles_per_mm"` // where the response is 0.2, or half the sampling rate
	HalfSampling float64  `json:"half_sampling_cycles_per_mm"`
	Electrons    *float64 `json:"electrons_per_count"`
	Read         *float64 `json:"read_noise_electrons"`
	Flare        *float64 `json:"flare"`
	CanMeasure   bool     `json:"can_measure_48um"`
	Corrected    bool     `json:"corrected"`
}

// granularity is that of one patch.
type granularity struct {
	Step     int      `json:"step"`
	Density  *float64 `json:"density"`
	SD       *float64 `json:"sd_48um"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
	Averaged *float64 `json:"averaged_48um"` // from real averages, the camera's response in it
	Expected *float64 `json:"expected_48um"` // of these averages, by the spectrum
	LogH     *float64 `json:"log_h_sd"`      // sd over the gradient
	Camera   *float64 `json:"camera_48um"`   // that one frame's camera noise looks like
	UpTo     *float64 `json:"up_to_cycles_per_mm"`
	LeftOut  *float64 `json:"carried_on"` // share of the variance beyond
	Frames   int      `json:"frames"`
	Box      scan.Box `json:"box"`
	Dust     float64  `json:"dust"` // share set aside

	gradient float64
}

// grainLaw is granularity by density, at 1.0 and as ln sd = a + p ln D + c (ln D)².
type grainLaw struct {
	At1      *float64 `json:"sd_48um_at_1"`
	Low      *float64 `json:"low"`
	High     *float64 `json:"high"`
	Exponent *float64 `json:"exponent"`
	ExpLow   *float64 `json:"exponent_low"`
	ExpHigh  *float64 `json:"exponent_high"`
	Bend     float64  `json:"bend"`
	From     float64  `json:"from_density"`
	To       float64  `json:"to_density"`
}

// noisePower is the spectrum of one patch, in density² µm².
type noisePower struct {
	Step      int        `json:"step"`
	Frequency []float64  `json:"cycles_per_mm"`
	Power     []*float64 `json:"um2"`
	Raw       []*float64 `json:"raw_um2"`
	SD        []*float64 `json:"sd_um2"` // of um2, from how few values were averaged
}

// response is one by frequency along the normal of the edge.
type response struct {
	Of        string     `json:"of"`
	Degrees   float64    `json:"edge_degrees"`
	Frequency []float64  `json:"cycles_per_mm"`
	M         []*float64 `json:"m"`
	Low       []*float64 `json:"low"`
	High      []*float64 `json:"high"`
	Reaches   []reach    `json:"reaches"`
	// Sides are the densities of a film's edge, and Above and Below how far its profile
	// goes beyond them, as shares of the step in transmittance.
	Sides *[2]float64 `json:"densities,omitempty"`
	Above *float64    `json:"above,omitempty"`
	Below *float64    `json:"below,omitempty"`
}

// reach is where a response falls to a value.
type reach struct {
	M         float64  `json:"m"`
	Frequency *float64 `json:"cycles_per_mm"`
	Low       *float64 `json:"low"`
	High      *float64 `json:"high"`
}

// acutance is one number for sharpness, with what it is by.
type acutance struct {
	By    string   `json:"by"`
	Of    string   `json:"of"`
	Unit  string   `json:"unit"`
	Value *float64 `json:"value"`
}

// printOf is what one format gives on a print.
type printOf struct {
	Format      string   `json:"format"`
	Enlargement float64  `json:"enlargement"`
	WidthMM     float64  `json:"print_width_mm"`
	HeightMM    float64  `json:"print_height_mm"`
	DistanceMM  float64  `json:"distance_mm"`
	Density     float64  `json:"density"` // of the negative whose grain it is
	ApertureUM  float64  `json:"eye_on_film_um"`
	Lens        *float64 `json:"lens_half_cycles_per_mm"` // of the camera; null where it is left out
	GrainSD     *float64 `json:"grain_sd"`
	DetailUM    *float64 `json:"detail_um"`
	ByEye       bool     `json:"detail_by_eye"`
	Acutance    *float64 `json:"acutance"`
	Eye         string   `json:"eye"`
	Tones       []tones  `json:"tones,omitempty"`
}

// tones is how finely a subject's tones are told apart.
type tones struct {
	Subject      string   `json:"subject"`
	Filter       string   `json:"filter"`
	RangeStops   float64  `json:"range_stops"`
	Steps        float64  `json:"steps"`
	StopsPerStep *float64 `json:"stops_per_step"`
	LostStops    float64  `json:"lost_stops"`
}

// signal is the signal to noise in 48 µm over the characteristic curve.
type signal struct {
	Process string        `json:"process"`
	Points  []signalPoint `json:"points"`
	Ranges  []signalRange `json:"ranges"`
}

type signalPoint struct {
	LogH            float64 `json:"log_h_lx_s"`
	Density         float64 `json:"density"`
	Gradient        float64 `json:"gradient"`
	ToNoise         float64 `json:"signal_to_noise"`
	NoiseEquivalent float64 `json:"noise_equivalent_log_h"`
	Stop            float64 `json:"contrast_of_a_stop_to_noise"`
}

// signalRange is where the signal to noise is at least so much, and the index for shadows there.
type signalRange struct {
	Least float64  `json:"signal_to_noise"`
	From  *float64 `json:"from_log_h_lx_s"`
	To    *float64 `json:"to_log_h_lx_s"`
	// The ends are open where the signal is still above it at the last exposure that is known.
	FromOpen bool     `json:"from_open"`
	ToOpen   bool     `json:"to_open"`
	Index    *float64 `json:"ei"`
}

type spectrumOf struct {
	step int
	bins []structure.Bin
	d    sensito.Density
}

// known is nil for what is not finite.
func known(v float64) *float64 { return figures.Known(v) }

// estimate splits an estimate.
func estimate(e sensito.Estimate) (v, low, high *float64) {
	return known(e.Value), known(e.Low), known(e.High)
}

// digits rounds the numbers of a list for the output.
func digits(v float64, n int) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	return figures.Digits(v, n)
}
