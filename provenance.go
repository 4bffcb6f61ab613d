package actinic

import "example.org/actinic/sensito/provenance"

// Basis says how a figure came about.
type Basis = provenance.Basis

// The kinds of figures, by where they come from.
const (
	Standard = provenance.Standard // printed by a standard
	Handbook = provenance.Handbook // printed by a book or a paper
	Measured = provenance.Measured // read by somebody on real material
	Derived  = provenance.Derived  // computed from figures of the other kinds
	Invented = provenance.Invented // made up
)

// Provenance says where a part comes from. Basis and Source must be given; a
// measurement's source is who measured it and when.
type Provenance struct {
	Basis      Basis  `json:"basis"`
	Source     string `json:"source"`
	Conditions string `json:"conditions,omitempty"` // what it holds for, where that is not said elsewhere
}
