package actinic

import (
	"math"
	"time"

	"example.org/actinic/filters"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// Scene is the light of a subject: its luminance, or the illuminance on it, or what a
// meter reads. One of the three is given, and no more; a scene without light is refused.
type Scene struct {
	Luminance   exposure.Luminance      // 0: not given
	Illuminance exposure.Illuminance    // 0: not given
	EV100       *exposure.EV100         // what a meter reads at ISO 100; nil: not given
	Reflected   exposure.ReflectedMeter // its K turns the luminance into a reading
	Incident    exposure.IncidentMeter  // its C turns the illuminance into one
	Light       spectral.Light          // what colour it has; needed with a filter
}

// MeteredScene is a scene in which a meter reads an exposure value at ISO 100. The light
// says what colour it has; it is needed with a filter only.
func MeteredScene(ev exposure.EV100, light spectral.Light) Scene {
	return Scene{EV100: &ev, Light: light}
}

// ev100 is what a meter reads, however the light is given.
func (s Scene) ev100() (exposure.EV100, error) {
	given := 0
	for _, is := range []bool{s.Luminance != 0, s.Illuminance != 0, s.EV100 != nil} {
		if is {
			given++
		}
	}
	switch {
	case given == 0:
		return 0, inputf("a scene without light; give its luminance, the illuminance on it, or what a meter reads (MeteredScene)")
	case given > 1:
		return 0, inputf("a scene with more than one of luminance, illuminance and a meter's reading; give one")
	case s.Luminance != 0:
		return s.Reflected.EV100(s.Luminance)
	case s.Illuminance != 0:
		return s.Incident.EV100(s.Illuminance)
	case !(math.Abs(float64(*s.EV100)) <= 60):
		return 0, inputf("a reading of %v; give the EV at ISO 100", *s.EV100)
	}
	return *s.EV100, nil
}

// Shot asks for a plan of one exposure.
type Shot struct {
	Scene   Scene
	Film    *Film
	Process string  // as for Film.Process
	Index   float64 // 0 stands for the index of the process

	// Filter is before the lens; the zero Filter is none. Its factor is computed for
	// the film in the light of the scene, unless Factor gives one, at least 1.
	Filter filters.Filter
	Factor float64
	// Neutral is a grey filter that is before the lens whatever the light, as a density.
	Neutral sensito.Density
	// Meter is the response of a meter that looks through the filters; the zero one is
	// a meter in the hand. Either way Scene is the light without a filter.
	Meter spectral.Sensitivity

	// Aperture and Time are marks of the camera; 0 leaves them free. Longer than the
	// longest mark, Time is a time for which a shutter is held open.
	Aperture exposure.FNumber
	Time     time.Duration
	// Start is the aperture wanted where both are free. The plan stays there while the
	// time is one that the camera has and nothing forbids; then it stays at the last such
	// time and moves the aperture. 0 stands for the middle mark, from which the aperture
	// is closed before the time gets faster than 1/1000 or the last but a stop, up to a
	// stop from the smallest: marks that a person would set.
	Start exposure.FNumber

	Camera *camera.Camera
	// Handheld is the longest time at which the camera is held by hand, 0 for one on
	// a tripod; Longest the longest that the subject allows, 0 for any.
	Handheld, Longest time.Duration

	// Shadow and Highlight are the ends of the subject in stops from the metered
	// tone, for what failure of reciprocity does to contrast; both 0 stand for -3
	// and +3.
	Shadow, Highlight sensito.Stops
}

// Caution tells the warnings of a plan apart.
type Caution string

const (
	BeyondLaw      Caution = "beyond the law"  // the time lies outside the range of the reciprocity law
	NoLaw          Caution = "no law"          // the film has none, and the time may need one
	TooFast        Caution = "too fast"        // the shutter has no time so short
	NeutralDensity Caution = "neutral density" // a grey filter is needed
	Tripod         Caution = "tripod"          // too long to hold by hand
	TooLong        Caution = "too long"        // longer than the subject allows
	Short          Caution = "underexposed"    // both settings given, and too little light for them
	ContrastChange Caution = "contrast"        // long or short times change the contrast
	PushOrPull     Caution = "push or pull"    // the index is not that of the film
	EyeSafety      Caution = "eyes"            // a filter is in the plan, and it does not protect the eye
	AlmostBlind    Caution = "almost blind"    // the film hardly sees what the filter passes
)

// PlanWarning is something to mind.
type PlanWarning struct {
	Caution Caution `json:"caution"`
	Text    string  `json:"text"`
}

// PlanStep is one step from the scene to the marks.
type PlanStep struct {
	Name string `json:"name"`
	// Stops is how many stops more exposure the step asks for or gives, less below 0: the
	// direction of the words. Ev is the exposure value left to set, which falls by them.
	Stops sensito.Stops `json:"stops"`
	Ev    exposure.Ev   `json:"ev"`
	Text  string        `json:"text"`
}

// Plan is what to set, and why.
type Plan struct {
	Film    string
	Process string
	Index   sensito.Speed

	Filter string // "" for none
	Factor float64
	// Neutral is the density of the grey filter that the light needs besides Worn, the one
	// that was before the lens; 0 for none.
	Neutral, Worn sensito.Density
	// Through is what a meter behind the filters does, nil for one in the hand.
	Through *exposure.ThroughMeter

	Aperture camera.ApertureMark
	Time     camera.TimeMark
	// Metered is the time, filters included, that the aperture asks for where
	// reciprocity holds, and Adjusted the one that the law makes of it. Where the time
	// is given and the aperture is free, Adjusted is the time, and Metered what it
	// counts for.
	Metered, Adjusted time.Duration
	// Residue is how many stops more than wanted the marks give.
	Residue sensito.Stops
	// Least and Most are the times between which the film may need its adjusted one where
	// that lies beyond what its law was found for, or the film has no law; 0 otherwise.
	Least, Most time.Duration

	// Steps go from the scene to the marks: the EV at ISO 100 less their stops is the
	// exposure value of the marks.
	Steps []PlanStep

	// Development is the time that goes with the film's index, 0 where it is not known, and
	// Develop the time to set: that to a quarter of a minute where this lies within its
	// interval, otherwise to the second. Contrast is what failure of reciprocity does: the density range of the subject
	// over that without failure. DevelopmentChange is the most that restores it, in
	// percent, and none at all the least, see [reciprocity.DevelopmentRange];
	// HandbookChange is the handbooks' figure. Both are 0 where there is nothing to
	// restore or nothing to go by.
	Development       time.Duration
	Develop           time.Duration
	Contrast          float64
	DevelopmentChange float64
	HandbookChange    float64

	// Rerating is what the index that was asked for does, nil at the film's own.
	Rerating *Rerating

	Warnings []PlanWarning
}

// PlanExposure goes from a scene to the marks of a camera:
//
//	Ev = EV100 + log2(S/100) - log2 F - stops of grey filter - log2(t/m(t))
//
// with the index S, the filter factor F for this film in this light, and m(t) the
// metered time that the time t counts for by the film's reciprocity law. The order
// matters, and is this one: the filter lengthens the time, and the longer time fails
// reciprocity. Ev = Av + Tv is then put on marks that the camera has.
//
// Where the aperture is free the time is one of the marks, so that its failure is
// known before the aperture is looked for; where the time is free it is t with m(t)
// the metered one. Both are exact: there is nothing left to iterate. Where both
// are free see Shot.Start. Where both are given they are kept; too much light then
// asks for a grey filter, and too little is a warning.
//
// The residue is at most half a step of the scale that is free, or half a step of
// grey filters (0.50 stop) where both are given.
//
// The error wraps [sensito.ErrInput] if the input is not usable, [camera.ErrReach] if the
// camera cannot do it, [ErrMissing] if the film lacks what is asked of it,
// [ErrUnknown] for a process that it has not got, and otherwise is that of the law.
//
// Source: the definitions of package exposure, taken together.
func PlanExposure(s Shot) (*Plan, error) {
	var pl planner
	if err := pl.prepare(s); err != nil {
		return nil, err
	}
	set, err := pl.settle()
	if err != nil {
		return nil, err
	}
	return pl.plan(set)
}
