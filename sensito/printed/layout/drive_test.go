package layout_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/layout"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		(*layout.Table).Remark, (*layout.Table).Fault, layout.Read, (*layout.Table).Turned, layout.Heading,
		(*layout.Table).Sheet, (*layout.Sheet).Missing, (*layout.Sheet).Has, (*layout.Sheet).Unit,
		(*layout.Sheet).Title, (*layout.Sheet).Cell, (*layout.Sheet).Fail, layout.First,
	})
}
