// Package actinic holds what is known of a photographic film, publishes it as data that
// others load, and plans an exposure with it:
//
//	film, err := actinic.LoadFilm("Garnedd Swift") // an invented, very fast film
//	orange, err := filters.Find("21")
//	cam, err := camera.OfScale(camera.ThirdStops, 2.8, 22, time.Second/4000, 30*time.Second)
//	plan, err := actinic.PlanExposure(actinic.Shot{
//		Scene:  actinic.Scene{Luminance: 0.4, Light: spectral.D75.Light()},
//		Film:   film,
//		Filter: orange.Filter, Process: "Tarren", Aperture: 8, Camera: cam,
//	})
//	fmt.Println(plan) // marks the camera has, every step in stops, warnings
//
// A [Film] is known part by part, each with where it comes from. [LoadFilm] has the
// built-in ones, all of them invented; [ReadPackage] and [WritePackage] are for anybody's
// own, [CheckPackage] holds them to the rules, [Compare] sets two films side by side.
// [FilmOf] makes a film of a test roll (package devtime/roll); [Film.WithReciprocity],
// [Film.WithSensitivity] and [Film.WithTemperature] put other measurements into it.
//
// The laws are in the packages below: sensito (exposure, density, speed, contrast),
// sensito/exposure and sensito/exposure/camera, spectral, filters, reciprocity, devtime.
// The errors of all say by [ErrInput] that what was given is at fault.
package actinic
