package rolls

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"example.org/actinic"
	"example.org/actinic/devtime"
	"example.org/actinic/examples/page/answer"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
)

func seconds(s float64) time.Duration { return figures.Seconds(s) }

// ofPackage says what a package of films holds, after it was held to the rules.
func ofPackage(files answer.Dropped) answer.Answer {
	if err := actinic.CheckPackage(files); err != nil {
		return answer.Failed("This package breaks a rule", lines(err)...)
	}
	// What follows can be done with what was passed.
	remarks, remarksErr := actinic.PackageRemarks(files)
	pack, err := actinic.ReadPackage(files, actinic.Verify)
	if err := errors.Join(remarksErr, err); err != nil {
		return answer.Failed("This package cannot be read", lines(err)...)
	}
	info := pack.Info()
	a := answer.Answer{Title: info.Title, Under: []string{fmt.Sprintf("Package %s, version %s, licence %s", info.Name, info.Version, info.License), info.Description},
		Cautions: []string{devtime.Caution}}
	if a.Title == "" {
		a.Title = info.Name
	}
	if len(remarks) > 0 {
		a.Sections = append(a.Sections, answer.Section{Heading: "Remarks", Findings: remarks})
	}
	for _, name := range pack.Films() {
		film, err := pack.Film(name)
		if err != nil {
			return answer.Failed("This package cannot be used", lines(err)...)
		}
		a.Sections = append(a.Sections, ofFilm(film))
	}
	a.Box = []answer.Line{{Name: "Rules", Text: "sizes, hashes, tables and films: nothing found"}, {Name: "Films", Text: fmt.Sprint(len(pack.Films()))}}
	return a
}

// ofFilm is what a film says of itself.
func ofFilm(film *actinic.Film) answer.Section {
	d := film.Data()
	s := answer.Section{Heading: film.Name()}
	s.Texts = append(s.Texts, fmt.Sprintf("%s: %s.", d.Provenance.Basis, d.Provenance.Source))
	if d.Description != "" {
		s.Texts = append(s.Texts, d.Description)
	}
	rows, err := film.Combinations(false)
	if err != nil {
		s.Findings = append(s.Findings, err.Error())
	}
	t := answer.Table{Caption: "Processes at the development of their index, with 95 % intervals",
		Head: []string{"Process", "Development", "Index", "Speed", "Average gradient", "Base plus fog"}}
	fig := answer.Figure{Caption: "Characteristic curves at the development of the index.", X: "log10 exposure (lux seconds)", Y: "Density", Alt: "Curves:"}
	for i, row := range rows {
		cell := func(trait actinic.Trait, format string) string {
			e, has := row.Traits[trait]
			if !has {
				return "–"
			}
			return pm(&e, format)
		}
		took := "–"
		if row.Development > 0 {
			took = devtime.FormatTime(row.Development.Round(time.Second))
		}
		t.Rows = append(t.Rows, []string{row.Process.Name(), took, cell(actinic.TraitIndex, "%.0f"), cell(actinic.TraitSpeed, "%.0f"),
			cell(actinic.TraitGradient, "%.3f"), cell(actinic.TraitBaseFog, "%.2f")})
		if row.Curve == nil {
			continue
		}
		c := answer.Curve{Name: fmt.Sprint(i + 1), Dashed: i%2 == 1}
		lo, hi := row.Curve.Domain()
		for k := range 41 {
			x := min(lo+(hi-lo)*sensito.LogH(float64(k)/40), hi)
			if y, err := row.Curve.Density(x); err == nil {
				c.Points = append(c.Points, answer.Point{float64(x), float64(y)})
			}
		}
		if len(c.Points) > 1 {
			fig.Curves = append(fig.Curves, c)
			last := c.Points[len(c.Points)-1]
			fig.Alt += fmt.Sprintf(" %d %s up to density %.2f.", i+1, row.Process.Name(), last[1])
		}
	}
	if len(t.Rows) > 0 {
		s.Tables = append(s.Tables, t)
	}
	if len(fig.Curves) > 0 {
		s.Figures = append(s.Figures, fig)
	}
	if law, err := film.Reciprocity(); err == nil {
		s.Tables = append(s.Tables, longTimes(law))
	}
	if missing := film.Missing(); len(missing) > 0 {
		s.Texts = append(s.Texts, "Not known of this film: "+strings.Join(missing, ", ")+".")
	}
	return s
}

// longTimes is what to set for metered times, as far as the law goes.
func longTimes(law reciprocity.Law) answer.Table {
	t := answer.Table{Caption: "Long exposures", Head: []string{"Metered", "Set", "Stops more"}}
	for _, metered := range []time.Duration{time.Second, 2 * time.Second, 5 * time.Second, 10 * time.Second, 20 * time.Second, 40 * time.Second, 100 * time.Second} {
		c, err := reciprocity.Correct(law, metered)
		if err != nil || c.Extrapolated {
			continue
		}
		t.Rows = append(t.Rows, []string{reciprocity.FormatLong(metered), reciprocity.FormatLong(c.Adjusted), fmt.Sprintf("%+.2f", float64(c.ByTime))})
	}
	return t
}
