package datapackage

import (
	"bytes"
	"fmt"
	"io/fs"
	"slices"
	"strconv"

	"example.org/actinic/internal/rooted"
	"example.org/actinic/sensito/datafile"
)

// mostOfAll is how large the files of a package may be together to be sealed.
const mostOfAll = 1 << 30

// edit puts a text into the descriptor in the place of another.
type edit struct {
	from, to int64
	text     string
}

// Sealed returns all files of a package, each byte for byte, but for the sizes and hashes
// in the descriptor: those that are not true are replaced where they stand, and a table
// that needed names gets those that it lacks. changed says which files they are of. Nothing
// else of the descriptor changes, its order and its spaces included. A thing that is no
// plain file cannot be taken along; it is an error.
func Sealed(fsys fs.FS, needed func(name string) bool) (files map[string][]byte, changed []string, err error) {
	p, err := Open(fsys)
	if err != nil {
		return nil, nil, err
	}
	files = map[string][]byte{}
	total := 0
	err = fs.WalkDir(fsys, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		content, err := rooted.ReadFile(fsys, name)
		if err != nil {
			return fmt.Errorf("%w: it would be lost: %w", datafile.ErrData, err)
		}
		if total += len(content); total > mostOfAll {
			return fmt.Errorf("%w: files of more than %d MB together", datafile.ErrData, mostOfAll>>20)
		}
		files[name] = content
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	var edits []edit
	for i := range p.Resources {
		r := &p.Resources[i]
		content, ok := files[r.Path]
		if !ok {
			continue
		}
		more := r.edits(content, needed(r.Name))
		if edits = append(edits, more...); len(more) > 0 {
			changed = append(changed, r.Path)
		}
	}
	slices.SortStableFunc(edits, func(a, b edit) int { return int(b.from - a.from) })
	d := bytes.Clone(p.Content)
	for _, e := range edits {
		d = slices.Concat(d[:e.from], []byte(e.text), d[e.to:])
	}
	files[DescriptorFile] = d
	return files, changed, nil
}

// edits are what makes size and hash of a resource true.
func (r *Resource) edits(content []byte, needed bool) []edit {
	var out []edit
	size, hash, path := r.node.Get("bytes"), r.node.Get("hash"), r.node.Get("path")
	n := strconv.Itoa(len(content))
	switch v, ok := size.Whole(); {
	case size != nil && (!ok || v != int64(len(content))):
		out = append(out, edit{size.Offset, size.End, n})
	case size == nil && needed:
		out = append(out, edit{path.End, path.End, `, "bytes": ` + n})
	}
	switch sum := strconv.Quote(HashOf(content)); {
	case hash != nil && !sameHash(content, hash.Text()):
		out = append(out, edit{hash.Offset, hash.End, sum})
	case hash == nil && needed:
		out = append(out, edit{path.End, path.End, `, "hash": ` + sum})
	}
	return out
}
