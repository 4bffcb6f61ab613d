package card

import (
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/provenance"
)

// Card is what of a film and a camera goes into the bag: all of it computed for this film.
// What is not known of the film is left out, and named in Missing.
type Card struct {
	Film        string           `json:"film"`
	Process     string           `json:"process,omitempty"`
	Camera      string           `json:"camera"`
	Basis       provenance.Basis `json:"basis"`                   // of the film
	Index       float64          `json:"index,omitempty"`         // the printed number to set
	Development float64          `json:"development_s,omitempty"` // as it is set, in seconds
	Rerated     []Index          `json:"pull_push"`
	Filters     []Filter         `json:"filters"`
	Long        []Time           `json:"long"`
	Fast        float64          `json:"fast,omitempty"` // fastest mark, in seconds, that needs no correction by the law
	Neutral     []Neutral        `json:"neutral"`
	Cautions    []string         `json:"cautions"`
	Missing     []string         `json:"missing"`
}

// Index is a push or pull: the index, its stops from the film's own, the development that
// gives the subject its density range again, and the shadow's density then and at home.
type Index struct {
	Index       float64         `json:"index"`
	Stops       sensito.Stops   `json:"stops"`
	Development float64         `json:"development_s"`
	Shadow      sensito.Density `json:"shadow_density"`
	OwnShadow   sensito.Density `json:"own_shadow_density"`
}

// Filter is what a filter asks for in a light.
type Filter struct {
	Filter string        `json:"filter"`
	Light  string        `json:"light"`
	Factor float64       `json:"factor"`
	Stops  sensito.Stops `json:"stops"`
	// AlmostBlind says that the film hardly sees what the filter passes, so that the
	// factor hangs on the very end of its sensitivity and is not to be relied on.
	AlmostBlind bool `json:"almost_blind,omitempty"`
}

// Time is a long time: what to set for what was metered, and by how many percent to
// change the development at the most, 0 where there is nothing to restore and nil where it
// is not known, see actinic.Plan.DevelopmentChange.
type Time struct {
	Metered float64  `json:"metered_s"`
	Set     float64  `json:"set_s"`
	Percent *float64 `json:"development_percent,omitempty"`
}

// Neutral is the grey filter that an aperture needs in the sun.
type Neutral struct {
	Aperture exposure.FNumber `json:"aperture"`
	Density  sensito.Density  `json:"density"`
	Time     string           `json:"time"` // to set with it
}
