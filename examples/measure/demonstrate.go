package main

import (
	"fmt"
	"io"
	"strings"

	"example.org/actinic"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/examples/measure/quarry"
)

// demonstrate fits the three laws to the invented readings that come with the program.
func demonstrate(stdout io.Writer, where string, asJSON bool) error {
	film := command.Ours(actinic.LoadFilm(quarry.Film))
	made := command.Ours(command.MadeOf(quarry.Files, "reciprocity.csv", "filters.csv", "temperature.csv"))
	var all []*result
	for _, kind := range []string{"reciprocity", "filters", "temperature"} {
		name := kind + ".csv"
		j := job{kind: kind, film: film, process: quarry.Process, light: "D55", sd: 0.1,
			provenance: actinic.Provenance{Basis: actinic.Invented, Source: "the readings that come with measure, made from known laws with scatter"}}
		r := command.Ours(kinds[kind](&j, name, command.Ours(quarry.Files.ReadFile(name))))
		r.invented = true
		film = r.film // each law goes into the film with those before it
		all = append(all, r)
	}
	if asJSON {
		return made.Print(stdout, struct {
			Fits []*result `json:"fits"`
		}{all})
	}
	for _, r := range all {
		if err := r.print(stdout); err != nil {
			return err
		}
		fmt.Fprintln(stdout)
	}
	if err := writePage(where, made, stdout, all...); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "Page: %s/%s\n", strings.TrimSuffix(where, "/"), pageFile)
	return nil
}
