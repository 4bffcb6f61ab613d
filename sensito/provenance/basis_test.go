package provenance

import (
	"encoding/json"
	"flag"
	"io"
	"testing"

	"example.org/actinic/internal/check"
	"example.org/actinic/internal/held"
)

func TestBasisText(t *testing.T) {
	said := held.New(t)
	for b := Standard; b <= Invented; b++ {
		text, err := json.Marshal(b)
		if err != nil {
			t.Fatal(err)
		}
		var back Basis
		if err := json.Unmarshal(text, &back); err != nil || back != b {
			t.Errorf("%s reads back as %v: %v", text, back, err)
		}
		if got, err := ParseBasis(Words()[b-1]); err != nil || got != b {
			t.Errorf("%q is %v: %v", Words()[b-1], got, err)
		}
	}
	var b Basis
	fs := flag.NewFlagSet("", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.TextVar(&b, "basis", Invented, "")
	if err := fs.Parse([]string{"-basis", "measured"}); err != nil || b != Measured {
		t.Errorf("as a flag: %v %v", b, err)
	}
	for _, word := range []string{"", "Measured", "basis(9)", "guess"} {
		if _, err := ParseBasis(word); !said.Is(word, err, ErrBasis) || !said.Is(word, err, check.ErrInput) {
			t.Errorf("%q: %v", word, err)
		}
		b := Measured
		if err := b.UnmarshalText([]byte(word)); !said.Is(word, err, ErrBasis) || b != Measured {
			t.Errorf("%q as text: %v, %v", word, b, err)
		}
	}
	for _, b := range []Basis{0, 6, 255} {
		if _, err := b.MarshalText(); !said.Is("", err, ErrBasis) || b.Valid() {
			t.Errorf("%v is printed", b)
		}
	}
}
