package actinic

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
)

// node is a JSON value that knows where it stands.
type node struct {
	offset  int64
	members []member // of an object
	items   []*node  // of an array
	scalar  any      // string, float64, bool or nil otherwise
	kind    byte     // '{', '[' or 0
}

type member struct {
	name  string
	at    int64 // of the name
	value *node
}

// parseJSON reads one value. The error is that of encoding/json with its offset.
func parseJSON(content []byte) (*node, int64, error) {
	d := json.NewDecoder(bytes.NewReader(content))
	p := jsonParser{d, content}
	n, err := p.value(0)
	if err == nil {
		if _, err = d.Token(); errors.Is(err, io.EOF) {
			return n, 0, nil
		}
		err = errors.New("something follows the descriptor")
	}
	var syn *json.SyntaxError
	at := d.InputOffset()
	if errors.As(err, &syn) {
		at = max(syn.Offset-1, 0)
	}
	return nil, p.skip(at, " \t\r\n"), err
}

type jsonParser struct {
	*json.Decoder
	content []byte
}

// skip returns the offset of what follows the given characters.
func (p jsonParser) skip(at int64, chars string) int64 {
	for at < int64(len(p.content)) && strings.IndexByte(chars, p.content[at]) >= 0 {
		at++
	}
	return at
}

// next returns the next token and where it begins.
func (p jsonParser) next() (json.Token, int64, error) {
	at := p.skip(p.InputOffset(), " \t\r\n,:")
	tok, err := p.Token()
	if errors.Is(err, io.EOF) {
		err = io.ErrUnexpectedEOF
	}
	return tok, at, err
}

const deepest = 100

func (p jsonParser) value(depth int) (*node, error) {
	tok, at, err := p.next()
	if err != nil {
		return nil, err
	}
	return p.rest(tok, at, depth)
}

func (p jsonParser) rest(tok json.Token, at int64, depth int) (*node, error) {
	n := &node{offset: at}
	delim, ok := tok.(json.Delim)
	if !ok {
		n.scalar = tok
		return n, nil
	}
	if depth > deepest {
		return nil, errors.New("nested too deep")
	}
	n.kind = byte(delim)
	for p.More() {
		if delim == '{' {
			name, nameAt, err := p.next()
			if err != nil {
				return nil, err
			}
			v, err := p.value(depth + 1)
			if err != nil {
				return nil, err
			}
			s, _ := name.(string)
			n.members = append(n.members, member{s, nameAt, v})
			continue
		}
		v, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		n.items = append(n.items, v)
	}
	_, _, err := p.next() // the closing bracket
	return n, err
}

// get returns a member; nil where there is none.
func (n *node) get(name string) *node {
	if n != nil {
		for _, m := range n.members {
			if m.name == name {
				return m.value
			}
		}
	}
	return nil
}

func (n *node) text() string {
	if n == nil {
		return ""
	}
	s, _ := n.scalar.(string)
	return s
}

func (n *node) texts() []string {
	if n == nil {
		return nil
	}
	if n.kind == 0 && n.text() != "" {
		return []string{n.text()} // a key of one field may stand without brackets
	}
	var out []string
	for _, i := range n.items {
		out = append(out, i.text())
	}
	return out
}
