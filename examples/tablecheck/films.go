package main

import (
	"bytes"
	"fmt"
	"strings"

	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters/factortable"
	"example.org/actinic/spectral"
)

// conditions are the films and lights that a table of filters may be for; stated says that
// both were given.
type conditions struct {
	all    []factortable.Condition
	stated bool
}

// findConditions returns the stated film and light, and all usual ones for what is not
// stated.
func findConditions(film, light string) (conditions, error) {
	usual := factortable.Usual()
	if film == "" && light == "" {
		return conditions{all: usual}, nil
	}
	type named struct {
		film  spectral.Sensitivity
		words string
	}
	var films []named
	if film != "" {
		f, err := findFilm(film)
		if err != nil {
			return conditions{}, err
		}
		films = []named{{f, "the film " + film}}
	} else {
		for c := spectral.BlueSensitive; c <= spectral.ExtendedRed; c++ {
			films = append(films, named{spectral.Generic(c), "a generic " + c.String() + " film"})
		}
	}
	lights := []string{light}
	if light == "" {
		lights = []string{"daylight", "tungsten"}
	}
	out := conditions{stated: film != "" && light != ""}
	for _, f := range films {
		for _, name := range lights {
			l, err := findLight(name)
			if err != nil {
				return conditions{}, err
			}
			out.all = append(out.all, factortable.Condition{Film: f.film, Light: l, Words: f.words + " in " + name})
		}
	}
	return out, nil
}

func findFilm(name string) (spectral.Sensitivity, error) {
	var names []string
	for c := spectral.BlueSensitive; c <= spectral.ExtendedRed; c++ {
		if strings.EqualFold(strings.TrimSpace(name), c.String()) {
			return spectral.Generic(c), nil
		}
		names = append(names, c.String())
	}
	content, err := command.ReadFile(name)
	if err != nil {
		return spectral.Sensitivity{}, fmt.Errorf("-film: want %s, or a file: %w", strings.Join(names, ", "), err)
	}
	columns, err := spectral.ReadCSV(bytes.NewReader(content), name, spectral.Zero)
	if err != nil {
		return spectral.Sensitivity{}, err
	}
	return columns[0].Sensitivity()
}

func findLight(name string) (spectral.Light, error) {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "daylight":
		name = "5500 K"
	case "tungsten":
		name = "3200 K"
	}
	l, _, err := command.Light(name)
	if err != nil {
		return l, fmt.Errorf("-light: daylight, tungsten, or: %w", err)
	}
	return l, nil
}
