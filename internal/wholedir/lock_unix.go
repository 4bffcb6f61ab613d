//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package wholedir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// clears says whether what a killed writer left is cleared by the next.
const clears = true

// lock makes the work folder and holds it against other writers. A killed program's lock
// goes with it. The function that is returned takes the folder, which must be empty, away and lets go.
func lock(work string) (func() error, error) {
	for range 100 {
		if err := mkdir(work, 0o755); err != nil && !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
		f, err := openFile(work, os.O_RDONLY)
		if errors.Is(err, fs.ErrNotExist) {
			continue // another writer has just taken it away
		}
		if err != nil {
			return nil, err
		}
		if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
			f.Close()
			if errors.Is(err, syscall.EWOULDBLOCK) {
				return nil, fmt.Errorf("%s: %w", filepath.Dir(work), ErrBusy)
			}
			return nil, fmt.Errorf("%s: %w", work, err)
		}
		mine, err := f.Stat()
		there, err2 := lstat(work)
		if err == nil && err2 == nil && there.IsDir() && os.SameFile(mine, there) {
			return func() error { return errors.Join(remove(work), f.Close()) }, nil
		}
		f.Close() // it was taken away between opening and locking
	}
	return nil, fmt.Errorf("%s: %w", filepath.Dir(work), ErrBusy)
}

// syncFolder brings the names in a folder to the disk.
func syncFolder(dir string) error {
	f, err := openFile(dir, os.O_RDONLY)
	if err != nil {
		return err
	}
	err = fsync(f)
	if errors.Is(err, syscall.EINVAL) || errors.Is(err, syscall.ENOTSUP) {
		err = nil // a file system that has no such thing
	}
	return errors.Join(err, f.Close())
}
