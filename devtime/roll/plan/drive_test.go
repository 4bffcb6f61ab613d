package plan

import (
	"testing"

	"example.org/actinic/internal/held"
)

// A plan, its words and its files are held to what they were: every field of it.
func TestDrive(t *testing.T) {
	said := held.New(t)
	p := plain(t)
	said.Look("plan", p)
	said.Look("words", p.String())
	said.Look("list", p.List())
	text, err := p.MarshalJSON()
	said.Look("JSON", string(text))
	if err != nil {
		t.Error(err)
	}
	files, err := p.Files(Names{Film: "Garnedd Swift (invented)", Process: "Tarren (invented)", Light: "daylight"})
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range files {
		said.Look(name, string(content))
	}
	said.Drive([]any{(*Layout).Distinct, (*Layout).FilmFrames, (*Layout).Neutral, Setting.String, Repeats}, held.Few{}, p.Own, p.Even, p.Own.Frames[0].Setting, 0.04, 0.05, 0.01, 0.0, -1.0, true, false)
	for name, frames := range map[string]bool{"strips alone": false, "with the bracket": true} {
		p, r := partly(t, frames)
		a, err := Next(p.Wish, r)
		if err != nil {
			t.Fatal(err)
		}
		said.Look("advice, "+name, a)
		said.Look("advice in words, "+name, a.String())
	}
}
