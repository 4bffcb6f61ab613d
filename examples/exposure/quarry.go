package main

import (
	"fmt"
	"io"
	"time"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// quarry plans the two classic cases.
func quarry(w io.Writer) error {
	film := command.Ours(actinic.LoadFilm("Garnedd Swift"))
	cam := camera.Default()
	orange := command.Ours(filters.Find("21"))
	dusk := command.Ours(spectral.LightAt(9000))
	for _, c := range []struct {
		title string
		shot  actinic.Shot
	}{
		{"Outdoors in the sun, the winding engine blurred by a slow shutter", actinic.Shot{
			Scene: actinic.Scene{Luminance: 4000}, Time: time.Second / 15}},
		{"The bright tips at dusk, on a tripod behind an orange filter", actinic.Shot{
			Scene: actinic.Scene{Luminance: 0.4, Light: dusk}, Filter: orange.Filter, Aperture: 8}},
	} {
		c.shot.Film, c.shot.Process, c.shot.Camera = film, "Tarren", cam.Camera
		fmt.Fprintf(w, "%s (film, developer and place are invented)\n%v\n", c.title, command.Ours(actinic.PlanExposure(c.shot)))
	}
	_, err := fmt.Fprintf(w, "Camera: %v\n", cam)
	return err
}
