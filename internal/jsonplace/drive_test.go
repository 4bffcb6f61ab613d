package jsonplace_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/internal/jsonplace"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		(*jsonplace.Node).Get, (*jsonplace.Node).Has, (*jsonplace.Node).Text, (*jsonplace.Node).IsText,
		(*jsonplace.Node).Number, (*jsonplace.Node).Whole, (*jsonplace.Node).Texts, (*jsonplace.Node).Plain,
		(*jsonplace.Node).Values, (*jsonplace.Node).Or, (*jsonplace.Fault).Error, jsonplace.Parse,
	})
}
