// Package cameras is the flag -camera of the programs: a file that describes a camera, or
// the name of one that comes with them. Those are invented.
package cameras

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/sensito/exposure/camera"
)

//go:embed *.json
var files embed.FS

// Names are the cameras that come with the programs, all invented.
func Names() []string {
	var names []string
	entries, _ := fs.ReadDir(files, ".") // embedded
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".json"))
	}
	return names
}

// Help is the paragraph of a program's usage about the flag.
const Help = `The camera is a FILE such as
  {"name": "…", "times": "full", "fastest": "1/500", "longest": "1s", "bulb": true,
   "apertures": "half", "widest": "f/2", "smallest": "f/16", "meter_k": 12.5,
   "priority": "none"}
times and apertures: full, half or third stops, or a list; priority: none, aperture
or shutter; what is left out is that of third stops from f/2.8 to f/22 and 1/4000 to
30s, the camera assumed without a file. Or it is one of the invented ones that come
with the programs: adit, bothy, incline.
`

// Flag is the flag and the camera that it names.
type Flag struct {
	name string
}

// New describes the flag on a command line.
func New(flags *command.Flags) *Flag {
	f := &Flag{}
	flags.StringVar(&f.name, "camera", "", "`file` that describes the camera, or one of "+strings.Join(Names(), ", "))
	return f
}

// Camera reads the camera, after the command line was parsed: that of a name or of a file,
// the default one, with Assumed set, where none was given. The content is what was read,
// for [command.MadeFrom]; nil for the default.
func (f *Flag) Camera() (d *camera.Described, content []byte, err error) {
	if f.name == "" {
		return camera.Default(), nil, nil
	}
	content, none := files.ReadFile(f.name + ".json")
	if none != nil {
		content, err = command.ReadFile(f.name)
	}
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, nil, fmt.Errorf("camera: %w; the cameras that come with the programs are %s", err, strings.Join(Names(), ", "))
	case err != nil:
		return nil, nil, fmt.Errorf("camera: %w", err)
	}
	d, err = camera.Parse(f.name, content)
	return d, content, err
}

// Explain adds to an error about marks whose they are: where no camera was given, that
// they are those of the camera assumed, and how to give one. Other errors stay.
func Explain(err error, d *camera.Described) error {
	switch {
	case err == nil || d == nil || !errors.Is(err, camera.ErrReach):
		return err
	case d.Assumed:
		return fmt.Errorf("%w (no camera was given, so these are the marks of the one assumed; say yours by -camera)", err)
	}
	return fmt.Errorf("%w (the marks of %s)", err, d.Name)
}
