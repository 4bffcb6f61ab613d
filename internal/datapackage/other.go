package datapackage

import (
	"errors"
	"io/fs"
	"slices"
	"strconv"
	"strings"
)

// plainTable reports whether a resource is a table whose cells can be looked at here: one
// file of CSV in UTF-8 as RFC 4180 has it, with its fields in the descriptor and empty
// cells for what is missing.
func plainTable(r *Node) bool {
	missing := r.Get("schema").Get("missingValues")
	return r.Get("type").Text() == "table" && r.Get("format").Text() == "csv" && r.Get("path").Text() != "" && SafePath(r.Get("path").Text()) &&
		!r.Has("dialect") && (!r.Has("encoding") || r.Get("encoding").Text() == "utf-8") && r.Has("encoding") &&
		len(r.Get("schema").Get("fields").Values()) > 0 && (missing == nil || slices.Equal(missing.Texts(), []string{""}))
}

// other looks at a resource that is no table of ours: its files are there and are those of
// the size and the hash, if it has them. What is in them, and what lies elsewhere on the
// net, is not looked at.
func (c *Checker) other(r *Node, seen map[string]bool) {
	if r.Has("data") {
		return // in the descriptor itself
	}
	paths := r.Get("path").Texts()
	if len(paths) == 0 {
		c.at(r.Get("path").Or(r), "path", r.Get("path").Plain(), "the path of a file, or of several, or data")
	}
	for _, p := range paths {
		if strings.HasPrefix(p, "https://") || strings.HasPrefix(p, "http://") {
			continue
		}
		if !SafePath(p) {
			c.at(r.Get("path").Offset, "path", p, "the path of a file in the package")
			continue
		}
		seen[p] = true
		if content, ok := c.readable(r, p); ok && len(paths) == 1 {
			c.sizeAndHash(r, p, content, false)
		}
	}
}

// readable reads a file that a resource names, and reports one that is none.
func (c *Checker) readable(r *Node, p string) ([]byte, bool) {
	content, err := c.file(p)
	if err != nil {
		want := "a file of the package"
		if !errors.Is(err, fs.ErrNotExist) {
			want += " (" + err.Error() + ")"
		}
		c.at(r.Get("path").Offset, "path", p, want)
	}
	return content, err == nil
}

// sizeAndHash holds a file to what is said of it; must says that it is to be said.
func (c *Checker) sizeAndHash(r *Node, p string, content []byte, must bool) {
	if n := r.Get("bytes"); n == nil && must || n != nil && n.Scalar != float64(len(content)) { // 97.0 is 97
		c.at(n.Or(r), "bytes", n.Plain(), strconv.Itoa(len(content))+", the size of "+p+changed)
	}
	n := r.Get("hash")
	ours := n.Text() == HashOf(content)
	if n == nil && must || n != nil && !ours && (must || !sameHash(content, n.Text())) {
		c.at(n.Or(r), "hash", n.Plain(), HashOf(content)+", of "+p+changed)
	}
}
