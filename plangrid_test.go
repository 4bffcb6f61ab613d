package actinic

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"example.org/actinic/filters"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// Plans of a typed film, asked in many ways, say what they said: text, numbers and JSON. The shots change one
// thing at a time, each to both sides of where something else is said.
func TestPlansOfManyShots(t *testing.T) {
	said := held.New(t)
	film := must(NewFilm(smallFilm("Aber")))
	dial := must(camera.OfScale(camera.FullStops, 2, 16, time.Second/500, time.Second))
	old := must(camera.OfScale(camera.ThirdStops, 4, 64, time.Second/125, 30*time.Second))
	red, yellow := must(filters.Find("25")).Filter, must(filters.Find("8")).Filter
	d55, a := spectral.D55.Light(), spectral.A.Light()
	base := func() Shot { return Shot{Scene: MeteredScene(10, d55), Film: film, Camera: dial} }
	changes := map[string][]func(s *Shot){}
	add := func(name string, of ...func(s *Shot)) { changes[name] = append(changes[name], of...) }
	for _, ev := range []exposure.EV100{-12, -6, -3, -1, 0, 1, 2, 3, 4, 5.5, 7, 9.3, 10, 12, 14, 15, 16, 17, 18, 19, 21} {
		add("ev", func(s *Shot) { s.Scene = MeteredScene(ev, d55) })
		add("ev with red", func(s *Shot) { s.Scene, s.Filter = MeteredScene(ev, a), red })
		add("ev on the old camera", func(s *Shot) { s.Scene, s.Camera = MeteredScene(ev, d55), old })
		add("ev by hand", func(s *Shot) { s.Scene, s.Handheld = MeteredScene(ev, d55), time.Second/60 })
		add("ev of a moving subject", func(s *Shot) { s.Scene, s.Longest = MeteredScene(ev, d55), time.Second/30 })
	}
	for _, n := range []exposure.FNumber{1, 1.4, 2, 2.8, 4, 5.6, 7.1, 8, 11, 16, 22, 64} {
		add("aperture", func(s *Shot) { s.Aperture = n })
		add("start", func(s *Shot) { s.Start = n })
		add("aperture in the sun", func(s *Shot) { s.Aperture, s.Scene = n, MeteredScene(15, d55) })
		add("aperture in the dark", func(s *Shot) { s.Aperture, s.Scene = n, MeteredScene(-2, d55) })
	}
	for _, d := range []time.Duration{-1, time.Second / 1000, time.Second / 500, time.Second / 60, time.Second / 59, time.Second / 4, time.Second, 2 * time.Second, 10 * time.Second, time.Minute, time.Hour} {
		add("time", func(s *Shot) { s.Time = d })
		add("time and aperture", func(s *Shot) { s.Time, s.Aperture = d, 8 })
		add("time in the dark", func(s *Shot) { s.Time, s.Scene = d, MeteredScene(-2, d55) })
		add("handheld", func(s *Shot) { s.Handheld = d })
		add("longest", func(s *Shot) { s.Longest = d })
	}
	for _, x := range []float64{-1, 0, 0.1, 6, 12, 25, 50, 80, 99, 100, 101, 125, 200, 320, 400, 800, 1600, 6400, 1e6, 1e7} {
		add("index", func(s *Shot) { s.Index = x })
		add("index of a process", func(s *Shot) { s.Index, s.Process = x, film.Processes()[0] })
	}
	for _, f := range []float64{-1, 0.9, 1, 1.04, 2, 8, 15.9, 16, 64, 1e11, 1e12} {
		add("factor", func(s *Shot) { s.Factor = f })
		add("factor of red", func(s *Shot) { s.Factor, s.Filter = f, red })
	}
	for _, d := range []sensito.Density{-0.1, 0, 0.3, 0.9, 3, 9.99, 10, 10.01} {
		add("neutral", func(s *Shot) { s.Neutral = d })
		add("neutral and yellow", func(s *Shot) { s.Neutral, s.Filter = d, yellow })
		add("neutral behind a meter", func(s *Shot) { s.Neutral, s.Filter, s.Meter = d, yellow, spectral.Eye() })
	}
	for _, r := range [][2]sensito.Stops{{-3, 3}, {0, 3}, {-3, 0}, {-1, 1}, {1, -1}, {-9, 9}, {-30, 30}, {2, 3}} {
		add("range", func(s *Shot) { s.Shadow, s.Highlight = r[0], r[1] })
		add("range in the dark", func(s *Shot) { s.Shadow, s.Highlight, s.Scene = r[0], r[1], MeteredScene(-4, d55) })
	}
	add("scene", func(s *Shot) { s.Scene = Scene{} }, func(s *Shot) { s.Scene = Scene{Luminance: 100} }, func(s *Shot) { s.Scene = Scene{Illuminance: 1000} }, func(s *Shot) { s.Scene = Scene{Luminance: 1, Illuminance: 1} }, func(s *Shot) { s.Scene = Scene{Luminance: -1} }, func(s *Shot) { s.Scene.Light, s.Filter = spectral.Light{}, red }, func(s *Shot) { s.Meter = spectral.Eye() }, func(s *Shot) { s.Meter, s.Factor = spectral.Eye(), 2 })
	add("film", func(s *Shot) { s.Film = nil }, func(s *Shot) { s.Process = "none" }, func(s *Shot) { s.Camera = nil })
	for _, d := range []string{"reciprocity", "sensitivity", "processes", "index", "growth", "curves"} {
		add("film without "+d, func(s *Shot) {
			data := smallFilm("Aber")
			switch d {
			case "reciprocity":
				data.Reciprocity = nil
			case "sensitivity":
				data.Sensitivity = nil
			case "processes":
				data.Processes = nil
			default:
				for i := range data.Processes {
					switch d {
					case "index":
						data.Processes[i].Index = nil
					case "growth":
						data.Processes[i].Growth = nil
					case "curves":
						data.Processes[i].Curves = nil
					}
				}
			}
			other, err := NewFilm(data)
			if err != nil {
				return
			}
			s.Film, s.Filter, s.Scene, s.Index = other, red, MeteredScene(3, d55), 200
		})
	}
	for name, all := range changes {
		for i, change := range all {
			s := base()
			change(&s)
			p, err := PlanExposure(s)
			if err != nil {
				said.Refused(fmt.Sprint(name, " ", i), err)
				continue
			}
			text, _, _ := strings.Cut(p.String(), "- Developers and fixers") // a caution that is always there
			said.Refused(fmt.Sprint(name, " ", i), errors.New(text))
		}
	}
}
