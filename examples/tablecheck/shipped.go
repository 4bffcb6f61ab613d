package main

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"

	"example.org/actinic/devtime/timetable"
	"example.org/actinic/examples/internal/command"
	"example.org/actinic/filters/factortable"
	"example.org/actinic/sensito/printed"
	"example.org/actinic/sensito/printed/layout"
	"example.org/actinic/spectral"
	"example.org/actinic/testdata/tables"
)

// shippedTables checks the tables that come with the program.
func shippedTables() []job {
	day := command.Ours(spectral.LightAt(5500))
	var jobs []job
	for _, t := range []struct{ kind, name, file string }{
		{"reciprocity", "Reciprocity, Scheiner after Michalke 1897", "michalke_1897"},
		{"reciprocity", "Reciprocity, the general table of handbooks", "handbook_reciprocity"},
		{"development", "Time and temperature, state law: Minnesota", "minnesota"},
		{"development", "The same chart's range in words", "minnesota_range"},
		{"compare", "Time and temperature, state law: New Mexico as copied, beside North Dakota", "new_mexico_as_copied"},
		{"development", "Time and temperature, US services, normal", "services_normal"},
		{"development", "Time and temperature, US services, maximum", "services_maximum"},
		{"chain", "Exposures of Scheiner's limits, 1897", "scheiner_limits_1897"},
		{"wp", "Speed numbers, Martin 1919: W.P. from H&D", "martin_1919"},
		{"wf", "Speed numbers, Martin 1919: W.F. from W.P.", "martin_1919"},
		{"factors", "Factors of pyro, 1911", "pyro_factors"},
		{"development", "Dilution of pyro, about 1908", "pyro_dilution_1908"},
		{"development", "Development of an invented film, with a slip of each kind", "invented_development"},
		{"filters", "Filter factors of an invented film, with three slips", "invented_filters"},
	} {
		file := t.file + ".csv"
		content := command.Ours(tables.Files.ReadFile(file))
		j := job{Name: t.name, Source: heading(string(content)), file: t.file}
		switch t.kind {
		case "compare":
			j.compare(content, file)
		case "chain", "wp", "wf", "factors":
			j.file += "_" + t.kind
			j.series(t.kind, string(content))
		default:
			j.shipped(t.kind, content, file, day)
		}
		jobs = append(jobs, j)
	}
	return jobs
}

// shipped checks one table of the kinds that have a package of their own.
func (j *job) shipped(kind string, content []byte, file string, day spectral.Light) {
	tables := command.Ours(layout.Read(content, file))
	film := factortable.Condition{Film: spectral.Generic(spectral.Panchromatic), Light: day}
	one := command.Ours(check(tables[0], file, kind, &options{films: conditions{all: []factortable.Condition{film}, stated: true}}))
	j.Report, j.drawing = one[0].Report, one[0].drawing
}

// heading is what the lines above a table's header say.
func heading(content string) string {
	var words []string
	for _, line := range strings.Split(content, "\n") {
		if !strings.HasPrefix(line, "#") {
			break
		}
		words = append(words, strings.Fields(line[1:])...)
	}
	return strings.Join(words, " ")
}

func (j *job) compare(content []byte, file string) {
	const beside = "north_dakota.csv"
	rows := command.Ours(timetable.Read(bytes.NewReader(content), file))
	others := command.Ours(timetable.Read(bytes.NewReader(command.Ours(tables.Files.ReadFile(beside))), beside))
	j.Report, j.drawing = command.Ours(timetable.Compare(rows, others)), developmentDrawing(rows)
}

// series checks one of the shipped tables that are a column against another.
func (j *job) series(kind, content string) {
	r := csv.NewReader(strings.NewReader(content))
	r.Comment = '#'
	cells := command.Ours(r.ReadAll())
	column := func(k int) []float64 {
		out := make([]float64, len(cells)-1)
		for i := range out {
			out[i] = command.Ours(strconv.ParseFloat(cells[i+1][k], 64))
		}
		return out
	}
	s := printed.Series{Order: 1, Step: []float64{1}}
	switch kind {
	case "chain":
		s.Column, s.Y, s.Step, s.Chain = "exposure_s", column(0), column(1), true
		s.Words = "24 s, each row 2.5 times the one above"
		s.X = make([]float64, len(s.Y))
		for i := range s.X {
			s.X[i] = float64(i)
		}
		s.Law = func(x float64) float64 { return 24 * math.Pow(2.5, x) }
	case "wp":
		s.Column, s.X, s.Y = "wp", column(0), column(1)
		s.Words = "W.P. is 50/34 of H&D, below 100 by the book's shortcut one and a half times H&D"
		s.Law = func(x float64) float64 {
			if x < 100 {
				return 1.5 * x
			}
			return 50. / 34 * x
		}
	case "wf":
		s.Column, s.X, s.Y = "wf", column(1), column(2)
		s.Words = "W.F. is 6.4 times the root of W.P."
		s.Law = func(x float64) float64 { return 6.4 * math.Sqrt(x) }
	case "factors":
		s.Column, s.X, s.Y, s.Order = "factor", column(0), column(1), -1
		s.Step = []float64{0.25}
		s.Words = "factors fall as the developer gets stronger"
	}
	j.Report, j.drawing = command.Ours(printed.CheckSeries(s)), seriesDrawing(s)
}
