package devtime

import "example.org/actinic/internal/check"

// Errors that callers may want to tell apart with errors.Is.
var (
	// ErrInput marks input that no law can use: not finite, not positive where
	// it must be, too few, all alike.
	ErrInput = check.Sentinel("devtime: unusable input")
	// ErrSyntax marks text that cannot be read as the quantity asked for.
	ErrSyntax = check.Sentinel("devtime: cannot read")
	// ErrNoLaw marks readings that do not follow the law to be fitted: contrast
	// that does not grow, or grows without bending.
	ErrNoLaw = check.Sentinel("devtime: readings do not follow the law")
	// ErrLimit marks a contrast at or beyond the limit that no time reaches.
	ErrLimit = check.Sentinel("devtime: at or beyond the limit of development")
	// ErrOutside marks a question beyond the readings or beyond the range in
	// which a law holds.
	ErrOutside = check.Sentinel("devtime: outside the range")
	// ErrAmbiguous marks a dilution written with a colon, which some read as
	// 1+n and others as 1 part in n.
	ErrAmbiguous = check.Sentinel("devtime: ambiguous dilution")
	// ErrStock marks a bath that holds too little stock for its films; it comes as a
	// [StockError].
	ErrStock = check.Sentinel("devtime: too little stock for the films")
)
