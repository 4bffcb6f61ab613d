// Package jsonplace reads JSON that a stranger may have written, with the place of every
// value. It is stricter than the language's own reader, and there is one of it: whoever
// checks a file and whoever uses it see the same. Names are taken exactly as they are
// written; a name that stands twice in an object, or in two spellings that differ in
// capitals only, is a fault; so are bytes that are no UTF-8 and halves of characters
// (lone surrogates). A byte order mark is passed over.
package jsonplace

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits of what is read: how deep values may be nested, and how many there may be.
const (
	Deepest = 100
	Most    = 1_000_000
)

// Node is a JSON value that knows where it stands.
type Node struct {
	Offset, End int64 // of its first byte, and of the byte behind it
	Members     []Member
	Items       []*Node // of an array
	Scalar      any     // string, float64, bool or nil
	Kind        byte    // '{', '[' or 0
}

// Member is a member of an object.
type Member struct {
	Name  string
	At    int64 // of the name
	Value *Node
}

// Fault is something that cannot be, and where.
type Fault struct {
	Offset int64
	Name   string // of the member that stands twice; "" otherwise
	What   string // what is the matter
}

// Error says what is the matter.
func (f *Fault) Error() string { return f.What }

// Parse reads one value. The node is nil where the content is no JSON, and there is then
// one fault; the others are names that stand twice.
func Parse(content []byte) (*Node, []*Fault) {
	p := &parser{content: content}
	if at, what := notText(content); what != "" {
		return nil, []*Fault{{Offset: at, What: what}}
	}
	p.texts = string(content)
	if bytes.HasPrefix(content, []byte("\ufeff")) {
		p.at = 3
	}
	n, err := p.value(0)
	if err == nil {
		if p.space(); p.at < len(content) {
			err = p.fault("something follows the value")
		}
	}
	if err != nil {
		return nil, []*Fault{err}
	}
	return n, p.doubles
}

// notText says where content is no UTF-8, and what it is instead.
func notText(content []byte) (int64, string) {
	if bytes.HasPrefix(content, []byte("\xff\xfe")) || bytes.HasPrefix(content, []byte("\xfe\xff")) ||
		len(content) > 1 && (content[0] == 0 || content[1] == 0) {
		return 0, "UTF-16; save the file in UTF-8"
	}
	if utf8.Valid(content) {
		return 0, ""
	}
	for i := 0; ; { // to the byte that is none
		c, size := utf8.DecodeRune(content[i:])
		if c == utf8.RuneError && size == 1 {
			return int64(i), "not UTF-8 text; save the file in UTF-8"
		}
		i += size
	}
}

type parser struct {
	content []byte
	texts   string // the content, of which texts and names are parts
	at      int
	values  int
	doubles []*Fault
	room    []Node // nodes to come, made many at a time

	// Members and items of what is being read, one within the other, and where the lists
	// come from that are made of them.
	openMembers []Member
	openItems   []*Node
	memberRoom  []Member
	itemRoom    []*Node
}

// nodesAtOnce is how many nodes are made at a time.
const nodesAtOnce = 64

// node is a new value that begins here.
func (p *parser) node() *Node {
	if len(p.room) == 0 {
		p.room = make([]Node, nodesAtOnce)
	}
	n := &p.room[0]
	p.room = p.room[1:]
	n.Offset = int64(p.at)
	return n
}

func (p *parser) fault(format string, args ...any) *Fault {
	return &Fault{Offset: int64(p.at), What: fmt.Sprintf(format, args...)}
}

// space passes over white space.
func (p *parser) space() {
	for p.at < len(p.content) {
		switch p.content[p.at] {
		case ' ', '\t', '\r', '\n':
			p.at++
		default:
			return
		}
	}
}

// peek is the byte that comes next after white space; 0 at the end.
func (p *parser) peek() byte {
	p.space()
	if p.at < len(p.content) {
		return p.content[p.at]
	}
	return 0
}

// unexpected is the fault of what stands here.
func (p *parser) unexpected(want string) *Fault {
	if p.at >= len(p.content) {
		return p.fault("the file ends too soon")
	}
	c, _ := utf8.DecodeRune(p.content[p.at:])
	return p.fault("%q where %s is expected", c, want)
}

func (p *parser) value(depth int) (*Node, *Fault) {
	c := p.peek()
	n := p.node()
	if p.values++; p.values > Most {
		return nil, p.fault("more than %d values", Most)
	}
	var err *Fault
	switch {
	case c == '{' || c == '[':
		if depth > Deepest {
			return nil, p.fault("nested too deep, more than %d", Deepest)
		}
		n.Kind = c
		p.at++
		if c == '{' {
			err = p.members(n, depth)
		} else {
			err = p.items(n, depth)
		}
	case c == '"':
		n.Scalar, err = p.text()
	case c == '-' || c >= '0' && c <= '9':
		n.Scalar, err = p.number()
	default:
		n.Scalar, err = p.word()
	}
	n.End = int64(p.at)
	return n, err
}

// word reads true, false or null.
func (p *parser) word() (any, *Fault) {
	for _, w := range [...]struct {
		spelt string
		value any
	}{{"true", true}, {"false", false}, {"null", nil}} {
		if bytes.HasPrefix(p.content[p.at:], []byte(w.spelt)) {
			p.at += len(w.spelt)
			return w.value, nil
		}
	}
	return nil, p.unexpected("a value")
}

// fewMembers is how many members of an object are looked through one by one; where there are
// more a map has their names.
const fewMembers = 16

// spelt are the names of an object as they were written last, by capitals or not.
type spelt struct {
	members []Member          // where they are few
	odd     bool              // one of them is not of ASCII alone
	folded  map[string]string // by their folded spelling, where they are many
}

// as returns the spelling in which a name was there before.
func (s *spelt) as(name string) (was string, ok bool) {
	if s.folded != nil {
		was, ok = s.folded[fold(name)]
		return was, ok
	}
	s.odd = s.odd || !ascii(name)
	for i := len(s.members) - 1; i >= 0; i-- {
		// Within ASCII capitals are as long as others.
		if !s.odd && len(s.members[i].Name) != len(name) {
			continue
		}
		if strings.EqualFold(s.members[i].Name, name) {
			return s.members[i].Name, true
		}
	}
	return "", false
}

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// add takes the members with one more, the last.
func (s *spelt) add(members []Member) {
	s.members = members
	switch {
	case len(members) <= fewMembers:
		return
	case s.folded == nil:
		s.folded = map[string]string{}
	default:
		members = members[len(members)-1:]
	}
	for _, m := range members {
		s.folded[fold(m.Name)] = m.Name
	}
}

func (p *parser) members(n *Node, depth int) *Fault {
	var seen spelt
	from := len(p.openMembers)
	defer func() { p.openMembers = p.openMembers[:from] }()
	for first := true; ; first = false {
		c := p.peek()
		if c == '}' && first {
			p.at++
			return nil
		}
		if c != '"' {
			return p.unexpected("a name in quotation marks")
		}
		at := int64(p.at)
		name, err := p.text()
		if err != nil {
			return err
		}
		if was, ok := seen.as(name); ok && was == name {
			p.doubles = append(p.doubles, &Fault{at, name, "each member once"})
		} else if ok {
			p.doubles = append(p.doubles, &Fault{at, name, fmt.Sprintf("no name that differs from %q in capitals only", was)})
		}
		if p.peek() != ':' {
			return p.unexpected("a colon")
		}
		p.at++
		v, err := p.value(depth + 1)
		if err != nil {
			return err
		}
		p.openMembers = append(p.openMembers, Member{name, at, v})
		seen.add(p.openMembers[from:])
		if done, err := p.next('}'); done || err != nil {
			n.Members = kept(&p.memberRoom, p.openMembers[from:])
			return err
		}
	}
}

func (p *parser) items(n *Node, depth int) *Fault {
	if p.peek() == ']' {
		p.at++
		return nil
	}
	from := len(p.openItems)
	defer func() { p.openItems = p.openItems[:from] }()
	for {
		v, err := p.value(depth + 1)
		if err != nil {
			return err
		}
		p.openItems = append(p.openItems, v)
		if done, err := p.next(']'); done || err != nil {
			n.Items = kept(&p.itemRoom, p.openItems[from:])
			return err
		}
	}
}

// kept is a copy of a list, from memory for many of them.
func kept[T any](room *[]T, list []T) []T {
	n := len(list)
	if len(*room) < n {
		*room = make([]T, max(nodesAtOnce, n))
	}
	out := (*room)[:n:n]
	*room = (*room)[n:]
	copy(out, list)
	return out
}

// next reads a comma, or the bracket that ends a list.
func (p *parser) next(closing byte) (done bool, err *Fault) {
	switch p.peek() {
	case ',':
		p.at++
		return false, nil
	case closing:
		p.at++
		return true, nil
	}
	return false, p.unexpected("a comma or " + string(closing))
}

// fold is a name without capitals, as readers that do not mind capitals take it.
func fold(name string) string {
	return strings.Map(func(c rune) rune {
		least := c
		for f := unicode.SimpleFold(c); f != c; f = unicode.SimpleFold(f) {
			least = min(least, f)
		}
		return least
	}, name)
}

// number reads a number as the grammar of JSON has it.
func (p *parser) number() (any, *Fault) {
	start := p.at
	digits := func() bool {
		from := p.at
		for p.at < len(p.content) && p.content[p.at] >= '0' && p.content[p.at] <= '9' {
			p.at++
		}
		return p.at > from
	}
	is := func(set string) bool {
		if p.at < len(p.content) && strings.IndexByte(set, p.content[p.at]) >= 0 {
			p.at++
			return true
		}
		return false
	}
	is("-")
	if !is("0") && !digits() {
		return nil, p.unexpected("a digit")
	}
	if is(".") && !digits() {
		return nil, p.unexpected("a digit")
	}
	if is("eE") {
		if is("+-"); !digits() {
			return nil, p.unexpected("a digit")
		}
	}
	v, err := strconv.ParseFloat(p.texts[start:p.at], 64)
	if err != nil {
		p.at = start
		return nil, p.fault("a number beyond all measure")
	}
	return v, nil
}

// plain passes over a string in which nothing is written with a backslash, and returns what
// stands between its quotation marks; ok is false, and nothing passed over, for another.
func (p *parser) plain() (between string, ok bool) {
	from := p.at + 1
	for i, c := range p.content[from:] {
		switch {
		case c == '"':
			p.at = from + i + 1
			return p.texts[from : from+i], true
		case c == '\\' || c < ' ':
			return "", false
		}
	}
	return "", false
}

// text reads a string.
func (p *parser) text() (string, *Fault) {
	if s, ok := p.plain(); ok {
		return s, nil
	}
	p.at++ // the quotation mark
	var b strings.Builder
	for p.at < len(p.content) {
		switch c := p.content[p.at]; {
		case c == '"':
			p.at++
			return b.String(), nil
		case c == '\\':
			if err := p.escape(&b); err != nil {
				return "", err
			}
		case c < ' ':
			return "", p.fault("a control character in a text; write it as \\u%04x", c)
		default:
			b.WriteByte(c)
			p.at++
		}
	}
	return "", p.fault("the file ends too soon")
}

var escapes = map[byte]byte{'"': '"', '\\': '\\', '/': '/', 'b': '\b', 'f': '\f', 'n': '\n', 'r': '\r', 't': '\t'}

// escape reads what a backslash begins.
func (p *parser) escape(b *strings.Builder) *Fault {
	if p.at+1 >= len(p.content) {
		p.at = len(p.content)
		return p.fault("the file ends too soon")
	}
	if c, ok := escapes[p.content[p.at+1]]; ok {
		b.WriteByte(c)
		p.at += 2
		return nil
	}
	r, ok := p.unit(p.at)
	if !ok {
		return p.fault("a backslash before what it does not go with")
	}
	size := 6
	switch {
	case r >= 0xd800 && r < 0xdc00:
		low, ok := p.unit(p.at + 6)
		if !ok || low < 0xdc00 || low > 0xdfff {
			return p.fault("half a character (a lone surrogate)")
		}
		r, size = 0x10000+(r-0xd800)<<10+(low-0xdc00), 12
	case r >= 0xdc00 && r <= 0xdfff:
		return p.fault("half a character (a lone surrogate)")
	}
	b.WriteRune(r)
	p.at += size
	return nil
}

// unit reads \uXXXX.
func (p *parser) unit(at int) (r rune, ok bool) {
	if at+6 > len(p.content) || p.content[at] != '\\' || p.content[at+1] != 'u' {
		return r, false
	}
	v, err := strconv.ParseUint(string(p.content[at+2:at+6]), 16, 16)
	return rune(v), err == nil
}
