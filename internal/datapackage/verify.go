package datapackage

import (
	"crypto/md5"
	"crypto/sha1"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/hex"
	"fmt"
	"strings"

	"example.org/actinic/internal/rooted"
	"example.org/actinic/sensito/datafile"
)

// HashOf returns the hash of a file as a descriptor has it.
func HashOf(content []byte) string { return fmt.Sprintf("sha256:%x", sha256.Sum256(content)) }

// sameHash holds a file to a hash as Data Package 2.0 has them: an algorithm and a colon
// before the digits, MD5 where there is none. An algorithm that is not known here is false.
func sameHash(content []byte, hash string) bool {
	algorithm, digits, found := strings.Cut(hash, ":")
	if !found {
		algorithm, digits = "md5", hash
	}
	var sum []byte
	switch strings.ToLower(algorithm) {
	case "md5":
		s := md5.Sum(content)
		sum = s[:]
	case "sha1":
		s := sha1.Sum(content)
		sum = s[:]
	case "sha256":
		s := sha256.Sum256(content)
		sum = s[:]
	case "sha512":
		s := sha512.Sum512(content)
		sum = s[:]
	default:
		return false
	}
	return strings.EqualFold(digits, hex.EncodeToString(sum))
}

// file returns a file of the package, read once: what was verified is what is used.
func (p *Package) file(name string) ([]byte, error) {
	if content, ok := p.files[name]; ok {
		return content, nil
	}
	content, err := rooted.ReadFile(p.FS, name)
	if err != nil {
		return nil, err
	}
	if p.files == nil {
		p.files = map[string][]byte{}
	}
	p.files[name] = content
	return content, nil
}

// changed is what is said of a file that is not what its hash says.
const changed = "; where the file is right, write the package anew"

// Verify holds the files of a package to the sizes and hashes of its descriptor. A table
// that needed names must have both; a resource of anybody else's is held to what it has.
func (p *Package) Verify(needed func(name string) bool) datafile.Errors {
	var errs datafile.Errors
	for i := range p.Resources {
		r := &p.Resources[i]
		size, hash := r.node.Get("bytes"), r.node.Get("hash")
		must := needed(r.Name)
		if !must && (size == nil && hash == nil || !SafePath(r.Path)) {
			continue
		}
		if !SafePath(r.Path) {
			path := r.node.Get("path")
			errs = append(errs, p.fault(path.Or(r.node), "path", path.Plain(), "the path of a file in the package"))
			continue
		}
		content, err := p.file(r.Path)
		if err != nil {
			errs = append(errs, p.fault(r.node.Get("path").Offset, "path", r.Path, "a file of the package ("+err.Error()+")"))
			continue
		}
		if n, ok := size.Whole(); must && size == nil || size != nil && (!ok || n != int64(len(content))) {
			errs = append(errs, p.fault(size.Or(r.node), "bytes", size.Plain(),
				fmt.Sprintf("%d, the size of %s%s", len(content), r.Path, changed)))
		}
		if must && hash == nil || hash != nil && !sameHash(content, hash.Text()) {
			errs = append(errs, p.fault(hash.Or(r.node), "hash", hash.Plain(), HashOf(content)+", of "+r.Path+changed))
		}
	}
	return errs
}
