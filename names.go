package actinic

import (
	"fmt"
	"strings"

	"example.org/actinic/internal/figures"
)

// names are what things are called, to find one of them by what a person says.
type names struct {
	said  []string
	lower []string // the same in small letters
}

// add adds a name.
func (n *names) add(name string) {
	n.said, n.lower = append(n.said, name), append(n.lower, strings.ToLower(name))
}

// find returns the index of the name that is equal to want, or else of the only one that
// contains it; capitals do not matter unless they tell two names apart. "" finds the only
// name.
func (n *names) find(want string) (int, error) {
	if want == "" && len(n.said) > 1 {
		return 0, fmt.Errorf("say which of %s", figures.Quoted(n.said))
	}
	if i, err := n.only(want, func(i int) bool { return n.said[i] == want }); i >= 0 || err != nil {
		return i, err
	}
	w := strings.ToLower(strings.TrimSpace(want))
	if i, err := n.only(want, func(i int) bool { return n.lower[i] == w }); i >= 0 || err != nil {
		return i, err
	}
	if i, err := n.only(want, func(i int) bool { return strings.Contains(n.lower[i], w) }); i >= 0 || err != nil {
		return i, err
	}
	return 0, fmt.Errorf("%q is none of %s", want, figures.Quoted(n.said))
}

// only returns the index of the one name that is meant, -1 for none; the error lists several.
func (n *names) only(want string, meant func(i int) bool) (int, error) {
	found := -1
	for i := range n.said {
		switch {
		case !meant(i):
		case found >= 0:
			var some []string
			for j, name := range n.said {
				if meant(j) {
					some = append(some, name)
				}
			}
			return 0, fmt.Errorf("%q could be any of %s", want, figures.Quoted(some))
		default:
			found = i
		}
	}
	return found, nil
}
