package command

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"example.org/actinic"
)

// Library is the path of the library, as outputs name it.
const Library = "example.org/actinic"

// Made says what an output was made with and from: the library with its version, and the
// files that were read, by their hashes. It is the same on every machine.
type Made struct {
	Library string            `json:"library"`
	Version string            `json:"version"`
	Inputs  map[string]string `json:"inputs"` // "sha256:…" by the name of the file
}

// MadeOf hashes the files of fsys that are there.
func MadeOf(fsys fs.FS, names ...string) (Made, error) {
	m := Made{Library, actinic.Version, map[string]string{}}
	for _, name := range names {
		sum, err := hash(fsys, name)
		if errors.Is(err, fs.ErrNotExist) {
			continue // one that may be missing, such as the readings of a bracket
		}
		if err != nil {
			return m, err
		}
		m.Inputs[name] = sum
	}
	return m, nil
}

// hash reads through a file of any size.
func hash(fsys fs.FS, name string) (string, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return "", err
	}
	defer f.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, f); err != nil {
		return "", fmt.Errorf("%s: %w", name, err)
	}
	return fmt.Sprintf("sha256:%x", sum.Sum(nil)), nil
}

// MadeFrom is for a single input that was read already.
func MadeFrom(name string, content []byte) Made {
	return Made{Library, actinic.Version,
		map[string]string{name: fmt.Sprintf("sha256:%x", sha256.Sum256(content))}}
}

// With returns an object as JSON for people and programs, with the member made at its end.
func (m Made) With(v any) ([]byte, error) {
	text, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	own, _ := json.Marshal(m) // texts always can be
	if len(text) < 2 || text[len(text)-1] != '}' {
		return nil, fmt.Errorf("%T is no object as JSON", v)
	}
	comma := ","
	if len(text) == 2 {
		comma = ""
	}
	var b bytes.Buffer
	joined := append(text[:len(text)-1], comma+`"made":`+string(own)+"}"...)
	json.Indent(&b, joined, "", "  ") // of what was just made
	b.WriteByte('\n')
	return b.Bytes(), nil
}

// Print prints what With returns.
func (m Made) Print(w io.Writer, v any) error {
	text, err := m.With(v)
	if err != nil {
		return err
	}
	_, err = w.Write(text)
	return err
}
