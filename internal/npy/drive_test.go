package npy_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/npy"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		npy.Size, npy.ReadHeader, npy.Elements, npy.Header, npy.ReadFloats, npy.WriteFloats,
	})
}
