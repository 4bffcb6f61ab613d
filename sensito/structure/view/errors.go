package view

import "example.org/actinic/internal/check"

// ErrInput reports numbers that nothing can be made of.
var ErrInput = check.Sentinel("view: unusable input")

// ErrNotReached reports a signal that the film nowhere has.
var ErrNotReached = check.Sentinel("view: not reached")
