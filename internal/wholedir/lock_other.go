//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package wholedir

import (
	"errors"
	"fmt"
	"io/fs"
)

// clears says whether what a killed writer left is cleared by the next.
const clears = false

// lock makes the work folder, which must not be there. What a killed program left cannot
// be told from a writer at work here, so its user is asked.
func lock(work string) (func() error, error) {
	err := mkdir(work, 0o755)
	if errors.Is(err, fs.ErrExist) {
		return nil, fmt.Errorf("%w, or was killed at it; if nobody is, take %s away", ErrBusy, work)
	}
	if err != nil {
		return nil, err
	}
	return func() error { return remove(work) }, nil
}

// syncFolder does nothing: there is no such step here.
func syncFolder(string) error { return nil }
