package plan

import (
	"encoding/json"
	"math"

	"example.org/actinic/internal/check"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
)

type planJSON struct {
	Camera       *camera.Described `json:"camera"`
	Assumed      bool              `json:"camera_assumed"`
	Index        float64           `json:"index"`
	Sure         sensito.Stops     `json:"sure_stops"`
	Light        exposure.EV100    `json:"light_ev100"`
	DevelopmentS float64           `json:"development_guess_s"`
	Target       float64           `json:"target_average_gradient"`
	HalfWidth    sensito.Stops     `json:"wanted_index_half_width_stops"`
	Percent      float64           `json:"wanted_development_half_width_percent"`
	DensitySD    float64           `json:"density_sd"`
	Scatter      sensito.Stops     `json:"exposure_scatter_stops"`
	layoutJSON
	Expected    expectedJSON `json:"expected"`
	Even        expectedJSON `json:"even"`
	EvenLayout  layoutJSON   `json:"even_layout"`
	StripsFirst *int         `json:"frames_if_strips_first"`
	Choices     []choiceJSON `json:"strip_choices"`
	Notes       []string     `json:"notes"`
}

type layoutJSON struct {
	Strips    []stripJSON `json:"strips"`
	Frames    []frameJSON `json:"frames"`
	Unexposed int         `json:"unexposed_frames"`
	Steps     []stepJSON  `json:"strip_settings"`
	StripsBy  How         `json:"strips_by"`
	FramesBy  How         `json:"frames_by"`
}

type stripJSON struct {
	Strip        string    `json:"strip"`
	DevelopmentS float64   `json:"development_s"`
	Stops        []float64 `json:"stops"`
	Unexposed    int       `json:"unexposed"`
}

type settingJSON struct {
	Time     string           `json:"time"`
	TimeS    float64          `json:"time_s"`
	Tv       exposure.Tv      `json:"time_tv"`
	Aperture exposure.FNumber `json:"aperture"`
	Av       exposure.Av      `json:"aperture_av"`
	ND       sensito.Density  `json:"nd"`
	Dial     float64          `json:"index_dial,omitempty"`
}

type frameJSON struct {
	Frame     int     `json:"frame"`
	EI        float64 `json:"ei"`
	ExposedAs float64 `json:"exposed_as"`
	settingJSON
}

type stepJSON struct {
	Stops float64 `json:"stops"`
	Times int     `json:"times"`
	settingJSON
}

type expectedJSON struct {
	Index       *float64 `json:"index_half_width_stops"`
	Development *float64 `json:"development_half_width_percent"`
	Efficiency  float64  `json:"efficiency"`
	Moved       *float64 `json:"index_moved_half_width_stops"`
	Tested      *float64 `json:"index_strips_first_half_width_stops"`
	Strips      int      `json:"strip_frames"`
	Bracket     int      `json:"bracket_frames"`
	Distinct    int      `json:"bracket_distinct_exposures"`
}

type choiceJSON struct {
	Strips  int      `json:"strips"`
	Each    int      `json:"frames_each"`
	Percent *float64 `json:"development_half_width_percent"`
}

// significant rounds what was computed, so that it prints the same on every machine.
func significant(v float64) float64 {
	if v == 0 || !check.Finite(v) {
		return v
	}
	e := math.Pow(10, 5-math.Ceil(math.Log10(math.Abs(v))))
	return math.Round(v*e) / e
}

// known is a number, nil where it is not finite.
func known(v float64) *float64 {
	if !check.Finite(v) {
		return nil
	}
	v = significant(v)
	return &v
}

func setting(s Setting) settingJSON {
	return settingJSON{s.Time.String(), s.Time.Time.Seconds(), s.Time.Tv, s.Aperture.Number, s.Aperture.Av,
		sensito.Density(math.Round(1000*float64(s.Neutral)) / 1000), s.Dial}
}

func (l *Layout) json() layoutJSON {
	j := layoutJSON{Strips: []stripJSON{}, Frames: []frameJSON{}, Steps: []stepJSON{}, Unexposed: l.Unexposed, StripsBy: l.StripsBy,
		FramesBy: l.FramesBy}
	for _, s := range l.Strips {
		j.Strips = append(j.Strips, stripJSON{s.Name, s.Development.Seconds(), s.Stops, s.Unexposed})
	}
	for _, f := range l.Frames {
		j.Frames = append(j.Frames, frameJSON{f.Number, f.Index, f.ExposedAs, setting(f.Setting)})
	}
	for _, s := range l.Steps {
		j.Steps = append(j.Steps, stepJSON{s.Stops, s.Times, setting(s.Setting)})
	}
	return j
}

func (l *Layout) expected() expectedJSON {
	s, b := l.FilmFrames()
	e := l.Expected
	return expectedJSON{known(float64(e.IndexHalfWidth)), known(100 * e.DevelopmentHalfWidth), significant(e.Efficiency),
		known(float64(e.Moved)), known(float64(e.Tested)), s, b, l.Distinct()}
}

// MarshalJSON writes the plan: its strips and frames, what it is expected to give and what
// the even plan of as much film would, and the notes. Half-widths are of 95 %; what is not
// known is null.
func (p *Plan) MarshalJSON() ([]byte, error) {
	w := &p.Wish
	j := planJSON{Camera: w.Camera, Index: w.Index, Sure: w.Sure, Light: w.Light, DevelopmentS: w.Development.Seconds(),
		Target: w.TargetAverageGradient, HalfWidth: w.HalfWidth, Percent: significant(100 * w.DevelopmentHalfWidth), DensitySD: w.DensitySD,
		Scatter: w.Scatter, layoutJSON: p.Own.json(), Expected: p.Own.expected(), Even: p.Even.expected(), EvenLayout: p.Even.json(),
		Choices: []choiceJSON{}, Notes: append([]string{}, p.Notes...)}
	if w.Camera != nil {
		j.Assumed = w.Camera.Assumed
	}
	if p.StripsFirst > 0 {
		j.StripsFirst = &p.StripsFirst
	}
	for _, c := range p.Choices {
		j.Choices = append(j.Choices, choiceJSON{c.Strips, c.FramesEach, known(100 * c.DevelopmentHalfWidth)})
	}
	return json.Marshal(j)
}
