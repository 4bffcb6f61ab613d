package filmfit

// Data is a strip as the fit sees it: exposures in rising order, densities, and
// weights, each 1/variance in units of the noise's.
type Data struct {
	X, Y, W []float64
	Base    []float64 // readings of unexposed patches, or the one stated value
	BaseW   float64   // weight of one of them
	Held    bool      // base plus fog is stated and without error
	Pure    float64   // weighted squares of joined readings about their means
	Joined  float64   // how many readings were joined away

	// Known says that the unit of the weights is the variance itself. If not, it is
	// found along with the curve, from a start at UnitSD.
	Known  bool
	UnitSD float64
	Least  float64 // least standard deviation of unit weight, for rounded readings
}

// count is the number of readings.
func (d *Data) count() float64 {
	n := float64(len(d.Y)) + d.Joined
	if !d.Held {
		n += float64(len(d.Base))
	}
	return n
}

// Doubt is a hypothesis about the readings, beyond the noise that the data state.
type Doubt struct {
	Wild  []int   // readings that may be anything, shifts of deviation ShiftSD
	Leak  int     // so many of the least exposed readings are raised together
	Drift float64 // correlation of the errors of neighbouring readings
	Grows bool    // the noise grows with density
}

// ShiftSD is the standard deviation of a wild reading's or a leak's shift, in
// density (one outlier in a mixture: G. E. P. Box and G. C. Tiao, Biometrika 55
// (1968) 119-129, from memory).
const ShiftSD = 0.12
