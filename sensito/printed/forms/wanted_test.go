package forms

import (
	"io"
	"strings"
	"testing"

	"example.org/actinic/internal/held"
)

// Wanted leaves out what a message says beside it, and nothing of a question.
func TestWanted(t *testing.T) {
	said := held.New(t)
	_, err := Time(`": want tea`, 1)
	if got := Wanted(err); !said.Is(got, err, ErrForm) || strings.Contains(got, "tea") || !strings.Contains(err.Error(), got) || got == "" {
		t.Errorf("%q of %v", got, err)
	}
	_, err = Factor("+1", AskPlus)
	if !said.Is("", err, ErrAmbiguous) || Wanted(err) != err.Error() {
		t.Errorf("%q of %v", Wanted(err), err)
	}
	if Wanted(io.EOF) != "EOF" {
		t.Error(Wanted(io.EOF))
	}
}

// An error keeps to 64 bytes of a cell, and cuts no letter in two.
func TestLongCells(t *testing.T) {
	for text, want := range map[string]string{
		strings.Repeat("x", 64):       strings.Repeat("x", 64),
		strings.Repeat("x", 65):       strings.Repeat("x", 64) + "...",
		strings.Repeat("é", 32):       strings.Repeat("é", 32),
		"x" + strings.Repeat("é", 32): "x" + strings.Repeat("é", 31) + "...",
		strings.Repeat("\xa9", 70):    "...",
	} {
		if got := short(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
}
