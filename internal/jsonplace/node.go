package jsonplace

import (
	"fmt"
	"math"
)

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

// Has reports whether the object has a member.
func (n *Node) Has(name string) bool { return n.Get(name) != nil }

// Text returns a string's text; "" for what is none.
func (n *Node) Text() string {
	s, _ := n.IsText()
	return s
}

// IsText returns a string's text, and whether the value is one.
func (n *Node) IsText() (string, bool) {
	if n == nil {
		return "", false
	}
	s, ok := n.Scalar.(string)
	return s, ok
}

// Number returns a number, and whether the value is one; NaN for what is none.
func (n *Node) Number() (float64, bool) {
	if n != nil {
		if v, ok := n.Scalar.(float64); ok {
			return v, true
		}
	}
	return math.NaN(), false
}

// Whole returns a whole number, however it is written (97, 97.0, 9.7e1), and whether the
// value is one that a float64 holds exactly.
func (n *Node) Whole() (int64, bool) {
	v, ok := n.Number()
	if !ok || v != math.Trunc(v) || !(math.Abs(v) <= 1<<53) {
		return 0, false
	}
	return int64(v), true
}

// Texts returns the texts of an array, or of a single string.
func (n *Node) Texts() []string {
	if n == nil {
		return nil
	}
	if n.Text() != "" {
		return []string{n.Text()}
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

// Or returns where a value stands, or another where there is none.
func (n *Node) Or(otherwise *Node) int64 {
	if n != nil {
		return n.Offset
	}
	return otherwise.Offset
}
