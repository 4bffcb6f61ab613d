package check_test

import (
	"testing"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		check.Sentinel, check.Errorf,
	})
}
