package card_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"example.org/actinic/sensito/exposure/card"
	"example.org/actinic/sensito/provenance"
)

// The names that other programs read.
func TestNames(t *testing.T) {
	percent := -20.0
	text, err := json.Marshal(card.Card{Film: "F", Basis: provenance.Invented, Index: 400, Development: 600, Fast: 0.002,
		Filters: []card.Filter{{Filter: "25 red", Light: "D55", Factor: 4, Stops: 2}}, Long: []card.Time{{Metered: 8, Set: 15, Percent: &percent}},
		Neutral: []card.Neutral{{Aperture: 2, Density: 0.9, Time: "1/500"}}})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"index":400`, `"development_s":600`, `"fast":0.002`, `{"filter":"25 red","light":"D55","factor":4,"stops":2}`,
		`{"metered_s":8,"set_s":15,"development_percent":-20}`, `{"aperture":"f/2","density":0.9,"time":"1/500"}`} {
		if !strings.Contains(string(text), want) {
			t.Errorf("lacks %s: %s", want, text)
		}
	}
	var back card.Card
	if err := json.Unmarshal(text, &back); err != nil || *back.Long[0].Percent != percent || back.Neutral[0] != (card.Neutral{Aperture: 2, Density: 0.9, Time: "1/500"}) {
		t.Errorf("%+v, %v", back, err)
	}
}

// A card that a program stored is read back: what a metered 8 s is set to.
func Example() {
	var c card.Card
	stored := `{"film": "Swift (invented)", "index": 1000, "long": [{"metered_s": 4, "set_s": 6.1}, {"metered_s": 8, "set_s": 15}]}`
	if err := json.Unmarshal([]byte(stored), &c); err != nil {
		fmt.Println(err)
		return
	}
	for _, l := range c.Long {
		if l.Metered == 8 {
			fmt.Printf("%s: set %.0f s for %.0f s\n", c.Film, l.Set, l.Metered)
		}
	}
	// Output: Swift (invented): set 15 s for 8 s
}
