// Package rooted reads the files of a folder that a stranger may have made. Nothing leaves
// the folder, nothing but plain files is opened, and nothing larger than a limit is read.
package rooted

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// Most is how large a file may be, in bytes.
const Most = 64 << 20

var (
	// ErrKind is wrapped by the error about a thing that is no plain file.
	ErrKind = errors.New("no plain file")
	// ErrSize is wrapped by the error about a file that is too large.
	ErrSize = errors.New("too large")
)

// The steps that can fail after a look said that they would not; tests put others here.
var (
	openRoot = os.OpenRoot
	openIn   = (*os.Root).Open
)

// ReadFile reads a file of fsys. A name that leads through a symbolic link, a device, a
// pipe or a directory is an error that wraps [ErrKind], a file above [Most] one that
// wraps [ErrSize]. A link can be told from what it leads to where fsys has Lstat, as
// os.DirFS and [Open] have; what fsys opens is its own matter otherwise.
func ReadFile(fsys fs.FS, name string) ([]byte, error) {
	bad := func(err error) ([]byte, error) { return nil, &fs.PathError{Op: "read", Path: name, Err: err} }
	if !fs.ValidPath(name) {
		return bad(fs.ErrInvalid)
	}
	if l, ok := fsys.(interface {
		Lstat(string) (fs.FileInfo, error)
	}); ok {
		for i := range strings.Split(name, "/") {
			part := strings.Join(strings.Split(name, "/")[:i+1], "/")
			st, err := l.Lstat(part)
			if err != nil {
				return nil, err
			}
			if part != name && !st.IsDir() || part == name && !st.Mode().IsRegular() {
				return bad(kind(st.Mode()))
			}
		}
	}
	st, err := fs.Stat(fsys, name) // before it is opened: a pipe would wait for a writer
	if err != nil {
		return nil, err
	}
	if !st.Mode().IsRegular() {
		return bad(kind(st.Mode()))
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if st, err = f.Stat(); err != nil || !st.Mode().IsRegular() {
		return bad(errors.Join(ErrKind, err))
	}
	var room bytes.Buffer
	room.Grow(int(min(uint64(st.Size()), Most)) + bytes.MinRead) // with room to see that it ends there
	content, err := limited(f, &room)
	if err != nil {
		return bad(err)
	}
	return content, nil
}

// Limited reads all of r, which may have up to [Most] bytes; the error wraps [ErrSize]
// where it has more.
func Limited(r io.Reader) ([]byte, error) { return limited(r, new(bytes.Buffer)) }

// limited is Limited into an empty buffer, which may have room for what is expected.
func limited(r io.Reader, b *bytes.Buffer) ([]byte, error) {
	n, err := b.ReadFrom(io.LimitReader(r, Most+1))
	if err == nil && n > Most {
		err = fmt.Errorf("%w: more than %d MB", ErrSize, Most>>20)
	}
	if err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func kind(m fs.FileMode) error {
	what := "a thing that is no file"
	switch {
	case m&fs.ModeSymlink != 0:
		what = "a symbolic link, which is not followed"
	case m.IsDir():
		what = "a folder"
	case m&fs.ModeNamedPipe != 0:
		what = "a pipe"
	case m&fs.ModeDevice != 0:
		what = "a device"
	case m&fs.ModeSocket != 0:
		what = "a socket"
	}
	return fmt.Errorf("%w: %s", ErrKind, what)
}

// Dir is a folder opened as a root that nothing leaves. Errors about its files name the
// folder too.
type Dir struct {
	name string
	root *os.Root
}

// Open opens a folder. The name itself may lead through links: it is the user's own.
func Open(name string) (*Dir, error) {
	st, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if !st.IsDir() {
		return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("not a folder")}
	}
	root, err := openRoot(name)
	if err != nil {
		return nil, err
	}
	return &Dir{name, root}, nil
}

// Close closes the folder.
func (d *Dir) Close() error { return d.root.Close() }

// named puts the folder's name into an error.
func (d *Dir) named(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		op := p.Op
		if plain, ok := map[string]string{"statat": "stat", "lstatat": "lstat", "openat": "open"}[op]; ok {
			op = plain // the calls behind them are nobody's business
		}
		return &fs.PathError{Op: op, Path: filepath.Join(d.name, filepath.FromSlash(p.Path)), Err: p.Err}
	}
	return err
}

// Open is the fs.FS method. Of files it opens plain ones only.
func (d *Dir) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, d.named(&fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid})
	}
	parts := strings.Split(name, "/")
	for i := range parts {
		st, err := d.Lstat(path.Join(parts[:i+1]...))
		if err != nil {
			return nil, err
		}
		if m := st.Mode(); !m.IsDir() && (i < len(parts)-1 || !m.IsRegular()) {
			return nil, d.named(&fs.PathError{Op: "open", Path: name, Err: kind(m)})
		}
	}
	f, err := openIn(d.root, name)
	if err != nil {
		return nil, d.named(err)
	}
	return f, nil
}

// Lstat says what a name is, without following it.
func (d *Dir) Lstat(name string) (fs.FileInfo, error) {
	st, err := d.root.Lstat(name)
	if err != nil {
		return nil, d.named(err)
	}
	return st, nil
}

// ReadLink is the method of fs.ReadLinkFS; no link is followed here.
func (d *Dir) ReadLink(name string) (string, error) {
	return "", d.named(&fs.PathError{Op: "readlink", Path: name, Err: kind(fs.ModeSymlink)})
}
