package reciprocity

// KindNoFailure is the fit of [NoFailure], with nothing to find.
const KindNoFailure Kind = "holds"

// NoFailure is the law without failure: reciprocity holds, adjusted and metered
// times are equal (R. Bunsen and H. E. Roscoe, 1862).
type NoFailure struct{ domain }

// Adjusted returns its argument.
func (NoFailure) Adjusted(metered float64) (float64, error) {
	_, err := seconds(metered)
	return metered, err
}

// Metered returns its argument.
func (NoFailure) Metered(adjusted float64) (float64, error) {
	_, err := seconds(adjusted)
	return adjusted, err
}

// Exponent is 1.
func (NoFailure) Exponent(metered float64) (float64, error) {
	_, err := seconds(metered)
	return 1, err
}

// String says that reciprocity holds, and for which times.
func (l NoFailure) String() string { return "reciprocity holds" + l.text() }

func (l NoFailure) within(d domain) Law { l.domain = d; return l }

// MarshalText is the law as its word and range, "holds", see [ParseLaw].
func (l NoFailure) MarshalText() ([]byte, error) { return marshalLaw(l) }

// UnmarshalText reads what MarshalText writes.
func (l *NoFailure) UnmarshalText(text []byte) error { return unmarshalLaw(text, l) }

// noFailureForm is NoFailure as data and as a fit.
type noFailureForm struct{}

func (noFailureForm) info() FormInfo {
	return FormInfo{Law: "holds", Formula: "t"}
}

func (noFailureForm) read(l Law) (v values, rows []Reading, ok bool) {
	_, ok = l.(NoFailure)
	return values{}, nil, ok
}

func (noFailureForm) make(values, []Reading) (Law, error) { return NoFailure{}, nil }

func (noFailureForm) names() []string { return nil }

func (noFailureForm) public([]float64) (v, slope []float64) { return nil, nil }

func (noFailureForm) model([]float64, float64, []float64) (float64, bool) { return 0, true }

func (noFailureForm) solve(*data) (solution, error) { return solution{}, nil }

func (noFailureForm) law([]float64) (Law, error) { return NoFailure{}, nil }

func (noFailureForm) nodes(*data, solution, likelihood) []node { return []node{{weight: 1}} }
