package provenance_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/provenance"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		provenance.Basis.Valid, provenance.Words, provenance.Basis.String, provenance.ParseBasis,
		provenance.Basis.MarshalText,
	})
}

// What JSON reads back as, as it is written and with one thing in it changed.
func TestReadsJSON(t *testing.T) { held.New(t).Reads(provenance.Measured) }
