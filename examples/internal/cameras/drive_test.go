package cameras

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/exposure/camera"
)

// The help, what errors about marks are told besides, and what cannot be read are held to what they were.
func TestDrive(t *testing.T) {
	said := held.New(t)
	var help strings.Builder
	flags := command.New("name", "Usage.\n"+Help, &help)
	New(flags)
	err := flags.Parse([]string{"-h"}, 0)
	said.Values("help", help.String())
	said.Values("asked", fmt.Sprint(err))
	folder := t.TempDir()
	_, _, err = given(t, "-camera", folder)
	said.Refused("a folder", err)
	bad := filepath.Join(folder, "bad.json")
	if err := os.WriteFile(bad, []byte("{"), 0o644); err != nil {
		t.Fatal(err)
	}
	d, content, err := given(t, "-camera", bad)
	said.Refused("a broken file", err)
	said.Values("of a broken file", d != nil, string(content))
	_, _, err = given(t, "-camera", "nobody")
	said.Refused("nobody", err)
	reach := fmt.Errorf("no mark: %w", camera.ErrReach)
	mine := &camera.Described{Name: "Mine (invented)"}
	for name, got := range map[string]error{"nothing": Explain(nil, mine), "no camera": Explain(reach, nil), "another error": Explain(io.EOF, mine), "mine": Explain(reach, mine), "assumed": Explain(reach, camera.Default())} {
		said.Values(name, fmt.Sprint(got), errors.Is(got, camera.ErrReach))
	}
}
