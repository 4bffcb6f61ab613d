// Package wholedir writes folders that are there whole or not at all. A folder is made
// beside its place, every file of it is brought to the disk, and it is exchanged with the
// one that was there in one step, so that whoever looks sees all of the old one or all of
// the new one, after a kill and a full disk too.
//
// The one step is renameat2 with RENAME_EXCHANGE on Linux. Where there is none (other
// systems, some file systems), the old folder is moved aside first: for that moment
// nothing is at the place, and a program that is killed in it leaves the old folder in the
// work folder, from where the next writer puts it back.
//
// The work folder of NAME is .NAME.writing beside it. A writer holds a lock on it, so a
// second one is told; what a killed one left is cleared by the next.
package wholedir

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// ErrBusy is wrapped by the error about a folder that somebody else is writing.
var ErrBusy = errors.New("somebody else is writing this folder")

// ErrOther is wrapped by the error about a folder that holds what a new one would not.
var ErrOther = errors.New("not to be written over")

// The steps on the disk that can fail; tests put others here.
var (
	exchange  = exchangeFolders // puts two folders in each other's place
	mkdir     = os.Mkdir
	mkdirAll  = os.MkdirAll
	rename    = os.Rename
	remove    = os.Remove
	removeAll = os.RemoveAll
	readDir   = os.ReadDir
	lstat     = os.Lstat
	openFile  = func(name string, flag int) (*os.File, error) { return os.OpenFile(name, flag, 0o644) }
	fsync     = (*os.File).Sync
)

// errNoExchange says that the system has no such step.
var errNoExchange = errors.ErrUnsupported

// Write makes a folder: fill puts its files into a new, empty one, and it takes the place
// of what was at dir. ours says of each file that is there, by its path below dir with
// slashes, that it may go; a folder with any other is left as it is, and the error wraps
// [ErrOther]. A nil ours says that dir must not exist; the error wraps [os.ErrExist].
// The error wraps [ErrBusy] where another writer is at work, is that of fill, or that of
// the file system. Whatever it is, dir is then as it was, or whole as it is to be where only what comes after
// failed: bringing its name to the disk, and taking the work folder away.
func Write(dir string, ours func(name string) bool, fill func(dir string) error) (err error) {
	if dir == "" {
		return fmt.Errorf("a folder without a name: %w", fs.ErrInvalid)
	}
	if dir, err = filepath.Abs(dir); err != nil {
		return err
	}
	parent := filepath.Dir(dir)
	if err := refused(dir, ours); err != nil {
		return err
	}
	if err := mkdirAll(parent, 0o755); err != nil {
		return err
	}
	work := filepath.Join(parent, "."+filepath.Base(dir)+".writing")
	unlock, err := lock(work)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, recovered(work, dir), unlock()) }()
	if err := recovered(work, dir); err != nil {
		return err
	}
	made := filepath.Join(work, "new")
	if err := mkdir(made, 0o755); err != nil {
		return err
	}
	if err := fill(made); err != nil {
		return err
	}
	if err := flush(made); err != nil {
		return err
	}
	// It may have come, or gone, or been written to meanwhile.
	if err := refused(dir, ours); err != nil {
		return err
	}
	if err := put(work, made, dir); err != nil {
		return err
	}
	return syncFolder(parent)
}

// put moves a folder to its place, and what was there into the work folder.
func put(work, made, dir string) error {
	in, err := there(dir)
	if err != nil {
		return err
	}
	if !in {
		return rename(made, dir)
	}
	err = exchange(made, dir)
	if !errors.Is(err, errNoExchange) {
		return err
	}
	old := filepath.Join(work, "old")
	if err := rename(dir, old); err != nil {
		return err
	}
	if err := rename(made, dir); err != nil {
		return errors.Join(err, rename(old, dir))
	}
	return nil
}

// recovered puts back the folder that was moved aside, where nothing came to its place, and clears
// the work folder. Where it cannot look nothing is cleared: it may be the last copy.
func recovered(work, dir string) error {
	old := filepath.Join(work, "old")
	moved, err := there(old)
	if err != nil {
		return err
	}
	if moved {
		in, err := there(dir)
		if err != nil {
			return err
		}
		if !in {
			if err := rename(old, dir); err != nil {
				return err
			}
		}
	}
	return cleared(work)
}

// there reports whether a file or folder is there.
func there(name string) (bool, error) {
	_, err := lstat(name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

func cleared(work string) error {
	entries, err := readDir(work)
	if err != nil {
		return err
	}
	for _, e := range entries {
		if err := removeAll(filepath.Join(work, e.Name())); err != nil {
			return err
		}
	}
	return nil
}

// refused says why a folder must not be written over; nil where it may.
func refused(dir string, ours func(string) bool) error {
	st, err := lstat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	case ours == nil:
		return fmt.Errorf("%s: %w", dir, os.ErrExist)
	case !st.IsDir():
		return fmt.Errorf("%s: %w: it is no folder", dir, ErrOther)
	}
	return fs.WalkDir(os.DirFS(dir), ".", func(below string, e fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil // another writer has just moved it aside; it is looked at again under the lock
		}
		if err != nil || below == "." {
			return err
		}
		switch {
		case e.IsDir() && (strings.HasPrefix(e.Name(), ".writing-") || strings.HasPrefix(e.Name(),
			".") && strings.HasSuffix(e.Name(), ".writing")):
			return fs.SkipDir // left by a writer that was killed
		case e.IsDir() && ours(below+"/"):
			return nil
		}
		if e.IsDir() || !e.Type().IsRegular() || !ours(below) {
			return fmt.Errorf("%s: %w: it holds %s, which nobody made here; name a folder of its own", dir, ErrOther, below)
		}
		return nil
	})
}

// flush brings the files of a folder to the disk, and the folders after what is in them.
func flush(dir string) error {
	var folders []string
	err := filepath.WalkDir(dir, func(name string, e fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if e.IsDir() {
			folders = append(folders, name)
			return nil
		}
		f, err := openFile(name, os.O_RDWR)
		if err != nil {
			return err
		}
		return errors.Join(fsync(f), f.Close())
	})
	for i := len(folders) - 1; i >= 0 && err == nil; i-- {
		err = syncFolder(folders[i])
	}
	return err
}

// Files puts files into a folder that may hold others, each whole or not at all: they are
// written beside their places, brought to the disk, and renamed when all are there. What a
// killed writer left is cleared. The error wraps [ErrBusy] where another writer is at work,
// and is that of the file system otherwise.
func Files(dir string, files map[string][]byte) (err error) {
	if err := mkdirAll(dir, 0o755); err != nil {
		return err
	}
	work := filepath.Join(dir, ".files.writing")
	unlock, err := lock(work)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, cleared(work), unlock()) }()
	if err := cleared(work); err != nil {
		return err
	}
	for name, content := range files {
		if err := writeFile(filepath.Join(work, name), content); err != nil {
			return err
		}
	}
	for name := range files {
		if err := rename(filepath.Join(work, name), filepath.Join(dir, name)); err != nil {
			return err
		}
	}
	return syncFolder(dir)
}

// writeFile writes a file and brings it to the disk.
func writeFile(name string, content []byte) error {
	f, err := openFile(name, os.O_WRONLY|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	return errors.Join(err, fsync(f), f.Close())
}
