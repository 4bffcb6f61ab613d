package cameras

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/exposure/camera"
)

// given is what a command line makes of the flag.
func given(t *testing.T, args ...string) (*camera.Described, []byte, error) {
	t.Helper()
	flags := command.New("name", "", io.Discard)
	f := New(flags)
	if err := flags.Parse(args, 0); err != nil {
		t.Fatal(err)
	}
	return f.Camera()
}

// Every camera that comes with the programs is read, says that it is invented, and is
// named in the help.
func TestShipped(t *testing.T) {
	if len(Names()) != 3 {
		t.Errorf("%v", Names())
	}
	for _, name := range Names() {
		d, content, err := given(t, "-camera", name)
		if err != nil || d.Assumed || len(content) == 0 || !strings.Contains(d.Name, "(invented)") || !strings.Contains(Help, name) {
			t.Errorf("%s: %v, %v", name, d, err)
		}
	}
}

func TestFile(t *testing.T) {
	said := held.New(t)
	name := filepath.Join(t.TempDir(), "mine.json")
	if err := os.WriteFile(name, []byte(`{"name": "Mine", "widest": "f/2"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if d, _, err := given(t, "-camera", name); err != nil || d.Name != "Mine" || d.Camera.Apertures()[0].Number != 2 {
		t.Errorf("%v, %v", d, err)
	}
	if err := os.WriteFile(name, []byte(`{"name": "Mine", "wide": "f/2"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, _, err := given(t, "-camera", name); !said.Refused("", err) || !strings.Contains(err.Error(), "mine.json:1:18:") {
		t.Error(err)
	}
	if _, _, err := given(t, "-camera", "none.json"); !said.Is("", err, os.ErrNotExist) || !strings.Contains(err.Error(), "bothy") {
		t.Error(err)
	}
}

// An error about marks says whose they are.
func TestExplain(t *testing.T) {
	said := held.New(t)
	d, content, err := given(t)
	if err != nil || !d.Assumed || content != nil {
		t.Fatal(d, err)
	}
	_, err = d.Camera.Aperture(2)
	if err = Explain(err, d); !said.Is("", err, camera.ErrReach) || !strings.Contains(err.Error(), "no camera was given") || !strings.Contains(err.Error(), "-camera") {
		t.Error(err)
	}
	bothy, _, _ := given(t, "-camera", "bothy")
	_, err = bothy.Camera.Aperture(22)
	if err = Explain(err, bothy); !strings.Contains(err.Error(), "Bothy 35") {
		t.Error(err)
	}
	if Explain(io.EOF, d) != io.EOF || Explain(nil, d) != nil {
		t.Error("another error is changed")
	}
}
