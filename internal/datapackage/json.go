package datapackage

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// Node is a JSON value that knows where it stands.
type Node struct {
	Offset  int64
	Members []Member // of an object
	Items   []*Node  // of an array
	Scalar  any      // string, float64, bool or nil otherwise
	Kind    byte     // '{', '[' or 0
}

// Member is a member of an object.
type Member struct {
	Name  string
	At    int64 // of the name
	Value *Node
}

// Parse reads one value. The error is that of encoding/json with its offset.
func Parse(content []byte) (*Node, int64, error) {
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

func (p jsonParser) value(depth int) (*Node, error) {
	tok, at, err := p.next()
	if err != nil {
		return nil, err
	}
	return p.rest(tok, at, depth)
}

func (p jsonParser) rest(tok json.Token, at int64, depth int) (*Node, error) {
	n := &Node{Offset: at}
	delim, ok := tok.(json.Delim)
	if !ok {
		n.Scalar = tok
		return n, nil
	}
	if depth > deepest {
		return nil, errors.New("nested too deep")
	}
	n.Kind = byte(delim)
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
			n.Members = append(n.Members, Member{s, nameAt, v})
			continue
		}
		v, err := p.value(depth + 1)
		if err != nil {
			return nil, err
		}
		n.Items = append(n.Items, v)
	}
	_, _, err := p.next() // the closing bracket
	return n, err
}

// Get returns the value of a member; nil where there is none.
func (n *Node) Get(name string) *Node {
	if n != nil {
		for _, m := range n.Members {
			if m.Name == name {
				return m.Value
			}
		}
	}
	return nil
}

// Text returns a string's text; "" for what is none.
func (n *Node) Text() string {
	if n == nil {
		return ""
	}
	s, _ := n.Scalar.(string)
	return s
}

// Texts returns the texts of an array, or of a single string.
func (n *Node) Texts() []string {
	if n == nil {
		return nil
	}
	if n.Kind == 0 && n.Text() != "" {
		return []string{n.Text()} // a key of one field may stand without brackets
	}
	var out []string
	for _, i := range n.Items {
		out = append(out, i.Text())
	}
	return out
}

// Plain is a scalar as text, or a sign for what else it is; "" for nothing.
func (n *Node) Plain() string {
	switch {
	case n == nil:
		return ""
	case n.Kind == '{':
		return "{…}"
	case n.Kind == '[':
		return "[…]"
	case n.Scalar == nil:
		return "null"
	}
	return fmt.Sprint(n.Scalar)
}

// Values returns the values of an array; none of what is no array.
func (n *Node) Values() []*Node {
	if n == nil {
		return nil
	}
	return n.Items
}

// or returns where a value stands, or another where there is none.
func (n *Node) or(otherwise *Node) int64 {
	if n != nil {
		return n.Offset
	}
	return otherwise.Offset
}
