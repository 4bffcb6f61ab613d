package answer

import (
	"bytes"
	"cmp"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"
)

// Dropped is a folder of files in memory, by their names without folders.
type Dropped map[string][]byte

// Open is the fs.FS method.
func (d Dropped) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if name == "." {
		return &folder{d: d}, nil
	}
	content, ok := d[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return &file{info{name, int64(len(content))}, bytes.NewReader(content)}, nil
}

// Names are the files in order.
func (d Dropped) Names() []string {
	names := make([]string, 0, len(d))
	for name := range d {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// Below returns the files of the folder that holds a file of a name, such as the package
// among what a report holds: the one with the shortest path. ok is false where there is none.
func Below(all map[string][]byte, holds string) (d Dropped, ok bool) {
	dir, found := "", false
	for name := range all {
		if at := path.Dir(name); path.Base(name) == holds && (!found || cmp.Or(cmp.Compare(len(at), len(dir)), cmp.Compare(at, dir)) < 0) {
			dir, found = at, true
		}
	}
	d = Dropped{}
	for name, content := range all {
		if rest, in := strings.CutPrefix(name, strings.TrimPrefix(dir+"/", "./")); in && found {
			d[rest] = content
		}
	}
	return d, found
}

type info struct {
	name string
	size int64
}

func (i info) Name() string               { return i.name }
func (i info) Size() int64                { return i.size }
func (i info) Mode() fs.FileMode          { return 0o444 }
func (i info) ModTime() time.Time         { return time.Time{} }
func (i info) IsDir() bool                { return false }
func (i info) Sys() any                   { return nil }
func (i info) Type() fs.FileMode          { return 0 }
func (i info) Info() (fs.FileInfo, error) { return i, nil }

type file struct {
	info
	*bytes.Reader
}

func (f *file) Stat() (fs.FileInfo, error) { return f.info, nil }
func (f *file) Close() error               { return nil }

// Size is that of the file; the reader has one too.
func (f *file) Size() int64 { return f.size }

type folder struct {
	d    Dropped
	done int
}

func (f *folder) Stat() (fs.FileInfo, error) { return folderInfo{}, nil }
func (f *folder) Read([]byte) (int, error) {
	return 0, &fs.PathError{Op: "read", Path: ".", Err: fs.ErrInvalid}
}
func (f *folder) Close() error { return nil }

// ReadDir is the fs.ReadDirFile method.
func (f *folder) ReadDir(n int) ([]fs.DirEntry, error) {
	var out []fs.DirEntry
	names := f.d.Names()
	for ; f.done < len(names) && (n <= 0 || len(out) < n); f.done++ {
		out = append(out, info{names[f.done], int64(len(f.d[names[f.done]]))})
	}
	if n > 0 && len(out) == 0 {
		return nil, io.EOF
	}
	return out, nil
}

type folderInfo struct{ info }

func (folderInfo) Name() string      { return "." }
func (folderInfo) Mode() fs.FileMode { return fs.ModeDir | 0o555 }
func (folderInfo) IsDir() bool       { return true }
