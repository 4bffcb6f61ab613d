package actinic

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/actinic/internal/datapackage"

	"example.org/actinic/devtime"
	"example.org/actinic/filters"
	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/held"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

var update = flag.Bool("update", false, "write data/ anew from the generators")

const shippedVersion = Version

var shippedInfo = PackageInfo{
	Name: "actinic-films", Title: "Invented black-and-white films and tables of standard values", Version: shippedVersion,
	Homepage: "https://example.org/actinic", Created: "2026-11-25T00:00:00Z",
	Keywords:     []string{"black-and-white film", "sensitometry", "characteristic curve", "film speed", "reciprocity failure", "spectral sensitivity", "filter factor"},
	Description:  "Films that were made up, so that their truth is known, in the form in which a tester would publish real ones; and tables that go with the use of any film: speed scale, marks of cameras, illuminants, filters, test colours. No figure is that of a film one can buy.",
	Contributors: []Contributor{{Title: "The actinic authors", Roles: []string{"author", "publisher"}}},
}

// row turns values into cells.
func row(vs ...any) []string {
	out := make([]string, len(vs))
	for i, v := range vs {
		switch v := v.(type) {
		case float64:
			out[i] = figures.Numeral(v)
		default:
			out[i] = fmt.Sprint(v)
		}
	}
	return out
}

func spectrumRows(name string, s spectral.Spectrum, decimals int) [][]string {
	var rows [][]string
	v := s.Values()
	for i, nm := range s.Wavelengths() {
		rows = append(rows, row(name, nm, figures.Round(v[i], decimals)))
	}
	return rows
}

// sourced ends the fields of a table with where a row comes from.
func sourced(fields ...datapackage.Field) []datapackage.Field {
	return append(fields, provenanceFields...)
}

var wavelength = datapackage.Number("wavelength_nm", "nm", "wavelength", 50, 100000).Must().Ordered("increasing")

// standardTables are tables of the library's own laws and figures, for whoever does
// not use the library. citations is by short name.
func standardTables() (tables []datapackage.Filled, citations map[string]string) {
	citations = map[string]string{
		"iso-5800": "ISO 5800:1987, ISO speed scales, as listed in the encyclopaedia article \"Film speed\"", "iso-12232": "ISO 12232:1998, table 1, as listed in the encyclopaedia article \"Film speed\"",
		"iso-2720": "ISO 2720:1974, as cited in the encyclopaedia article \"Light meter\"", "ansi-ph3-49": "ANSI PH3.49-1971, general purpose photographic exposure meters",
		"extension": "calculated beyond the printed scale of ISO 5800 and ISO 12232", "f-number-tables": "encyclopaedia article \"f-number\", tables of full, half and third stops",
		"shutter-tables": "encyclopaedia article \"Shutter speed\" for full stops, a table of half and third stops from 1 s on for those; half and third stops longer than 1 s from memory",
		"exposure-value": "computed: luminance 2^EV K/100 with K = 12.5, illuminance 2^EV C/100 with C = 250", "iso-7589": "ISO 7589:2002, as transcribed in an open library of colorimetry (BSD-3-Clause); the standard itself was not seen", "iso-6": "ISO 6:1993, as stated in the encyclopaedia article \"Film speed\"; the tolerance from memory",
		"cie-15": "CIE 15, Colorimetry; daylight after Judd, MacAdam and Wyszecki 1964", "iso-cie-11664-1": "ISO/CIE 11664-1, the 5 nm table of the 1931 standard observer", "iso-cie-11664-2": "ISO/CIE 11664-2, formula of illuminant A",
		"astm-g173":   "ASTM G173-03, reference spectra of sunlight, as packaged with an open library of solar energy (BSD-3-Clause); means every 5 nm by us",
		"nist-skin":   filters.Skin().Source,
		"glass-index": filters.GlassSamples()[0].Source,
		"definition":  "by definition", "cie-13-3": "CIE 13.3-1995, tables 1 and 2", "niederpruem": "C. J. Niederpruem, C. N. Nelson and J. A. C. Yule, Contrast index, Photogr. Sci. Eng. 10 (1966), as described after it; the paper itself from memory",
		"trade": "common practice, no source", "jones-nelson": "C. N. Nelson and J. L. Simonds, J. Opt. Soc. Am. 46 (1956) 324, and a survey of sensitometry",
		"essential-skills": "a table of factors and stops in a text on photographic lighting (\"Essential Skills\"), which has 1.25 to 10; the rest are the usual roundings",
		"zone-book":        "chapter on the reciprocity effect of a zone-system book", "zone-memory": "from memory of the widely reprinted general table of handbooks",
		"ansi-ph2-2": "ANSI PH2.2-1966, appendix, as quoted; grade 6 after a draft of 1978: Focal Encyclopedia of Photography, 4th ed., p. 679",
		"invented":   "made up for this package",
	}
	add := func(spec datapackage.Table, rows [][]string) {
		spec.Foreign = append(spec.Foreign, toSource)
		if spec.Field("source") == nil {
			spec.Foreign = slices.DeleteFunc(spec.Foreign, func(f datapackage.Foreign) bool { return f.Resource == "sources" })
		}
		tables = append(tables, datapackage.Filled{Table: spec, Rows: rows})
	}

	var rows [][]string
	for _, r := range sensito.Scale() {
		src, basis := "extension", Derived
		switch r.Source {
		case sensito.ISO5800:
			src, basis = "iso-5800", Standard
		case sensito.ISO12232:
			src, basis = "iso-12232", Standard
		}
		rows = append(rows, row(float64(r.Degrees), r.Number, figures.Round(math.Log10(.8)-float64(r.Degrees-1)/10, 4), basis, src, ""))
	}
	add(datapackage.Table{Name: "speed_scale", Title: "Speed scale", About: "Arithmetic and logarithmic film speed as printed.", Key: []string{"speed_degrees"}, Fields: sourced(
		datapackage.Number("speed_degrees", "{deg}", "logarithmic speed, S° = 1 + 10 log10 S").Must().Ordered("increasing"), datapackage.Number("speed", "1", "arithmetic speed as printed", 0).Must(),
		datapackage.Number("speed_point_log_h_lx_s", "{log10(lx.s)}", "log10 Hm = log10 0.80 - (S° - 1)/10").Must())}, rows)

	var apertures, times [][]string
	for _, s := range []camera.Steps{camera.FullStops, camera.HalfStops, camera.ThirdStops} {
		for _, m := range must(camera.ApertureMarks(s, 0, 0)) {
			apertures = append(apertures, row(s, figures.Round(float64(m.Av), 4), float64(m.Number), Handbook, "f-number-tables", ""))
		}
		marks := must(camera.TimeMarks(s, 0, 0))
		slices.SortFunc(marks, func(a, b camera.TimeMark) int { return cmp.Compare(a.Tv, b.Tv) })
		for _, m := range marks {
			times = append(times, row(s, figures.Round(float64(m.Tv), 4), exposure.FormatShutter(m.Time), m.Time.Seconds(), Handbook, "shutter-tables", ""))
		}
	}
	steps := datapackage.Text("scale", "how finely the scale is marked").Must().OneOf("full stops", "half stops", "third stops")
	add(datapackage.Table{Name: "aperture_marks", Title: "Marks of aperture rings", About: "The engraved number and the aperture value that its position stands for.", Key: []string{"scale", "av_stops"}, Fields: sourced(steps,
		datapackage.Number("av_stops", "{stop}", "aperture value of the position, 2 log2 N exactly", -10, 20).Must().Ordered("increasing"), datapackage.Number("f_number", "1", "as engraved", 0).Must())}, apertures)
	add(datapackage.Table{Name: "time_marks", Title: "Marks of shutter dials", About: "The engraved time and the time value that its position stands for.", Key: []string{"scale", "tv_stops"}, Fields: sourced(steps,
		datapackage.Number("tv_stops", "{stop}", "time value of the position, -log2 of seconds exactly", -20, 20).Must().Ordered("increasing"), datapackage.Text("mark", "as engraved").Must(), datapackage.Number("time_s", "s", "the engraved time", 0).Must())}, times)

	rows = nil
	for ev := -6; ev <= 20; ev++ {
		rows = append(rows, row(float64(ev), must(exposure.ReflectedMeter{}.Luminance(exposure.EV100(ev))), must(exposure.IncidentMeter{}.Illuminance(exposure.EV100(ev))), Derived, "exposure-value", "ISO 100; K = 12.5 cd/m2, C = 250 lx with a flat receptor"))
		for i := 1; i < 3; i++ {
			rows[len(rows)-1][i] = figures.Numeral(figures.Digits(math.Exp2(float64(ev))*[]float64{.125, 2.5}[i-1], 8))
		}
	}
	add(datapackage.Table{Name: "exposure_values", Title: "Exposure values", About: "What an exposure value at ISO 100 stands for.", Key: []string{"ev100_stops"}, Fields: sourced(
		datapackage.Number("ev100_stops", "{stop}", "exposure value of the scene at ISO 100").Must().Ordered("increasing"), datapackage.Number("luminance_cd_m2", "cd/m2", "luminance", 0).Must().Ordered("nondecreasing"), datapackage.Number("illuminance_lx", "lx", "illuminance", 0).Must())}, rows)

	add(datapackage.Table{Name: "meter_constants", Title: "Constants of exposure meters", About: "Range in which the calibration constant of a meter must lie.", Key: []string{"constant", "receptor"}, Fields: sourced(
		datapackage.Text("constant", "K of a reflected-light meter in cd/m2, C of an incident-light one in lx").Must().OneOf("K", "C"), datapackage.Text("receptor", "receptor of an incident-light meter").Must().OneOf("none", "flat", "hemispherical"),
		datapackage.Text("constant_unit", "unit of the numbers of the row, as UCUM has it").Must().OneOf("cd/m2", "lx"),
		datapackage.Number("least", "1", "in the constant_unit of the row", 0).Must(), datapackage.Number("most", "1", "in the constant_unit of the row", 0).Must(), datapackage.Number("usual", "1", "what is taken where nothing is said, in the constant_unit of the row", 0).Must())}, [][]string{
		row("K", "none", "cd/m2", 10.6, 13.4, 12.5, Standard, "iso-2720", "usual value: ANSI PH3.49-1971"), row("C", "flat", "lx", 240., 400., 250., Standard, "iso-2720", "usual value: ANSI PH3.49-1971"),
		row("C", "hemispherical", "lx", 320., 540., 322., Standard, "iso-2720", "usual value: mean of ANSI PH3.49-1971")})

	add(datapackage.Table{Name: "contrast_measures", Title: "Measures of contrast", About: "What is meant by each; x is log10 H, xm the speed point, D density.", Key: []string{"measure"}, Fields: sourced(
		datapackage.Text("measure", "name").Must(), datapackage.Text("definition", "formula").Must())}, [][]string{
		row("speed point", "x at which D is 0.10 above base plus fog; speed S = 0.80/Hm with Hm in lx s", Standard, "iso-6", ""),
		row("iso delta D", "D(xm + 1.30) - D(xm), 0.80 +- 0.05 for an ISO speed", Standard, "iso-6", ""),
		row("average gradient", "(D(xm + 1.50) - D(xm))/1.50", Handbook, "trade", "one form that the trade uses"),
		row("contrast index", "slope of the line from base plus fog that meets the curve at the distances 0.2 and 2.2 from its foot, radii on equal scales", Handbook, "niederpruem", ""),
		row("gamma", "slope of the chord over the part whose slope is at least 98 % of the greatest", Handbook, "trade", "the 98 % are this package's choice"),
		row("fractional gradient point", "x at which the slope is 0.3 (D(x + 1.5) - D(x))/1.5", Handbook, "jones-nelson", "")})

	rows = nil
	for m := filters.FactorMark(0); m <= 30; m++ {
		rows = append(rows, row(int(m), figures.Round(float64(m.Stops()), 4), m.Factor(), Handbook, "essential-skills", ""))
	}
	add(datapackage.Table{Name: "filter_factor_marks", Title: "Filter factors as printed", About: "Thirds of a stop and the round factor that stands for them.", Key: []string{"thirds"}, Fields: sourced(
		datapackage.Field{Name: "thirds", Kind: "integer", Unit: "1", About: "thirds of a stop", Required: true, Order: "increasing"}, datapackage.Number("exposure_stops", "{stop}", "in stops", 0).Must(), datapackage.Number("factor", "1", "as printed", 1).Must().Ordered("nondecreasing"))}, rows)

	rows = nil
	for _, r := range reciprocity.Handbook() {
		src := "zone-memory"
		if r.Read {
			src = "zone-book"
		}
		adjusted := ""
		if r.Adjusted > 0 {
			adjusted = figures.Numeral(r.Adjusted.Seconds())
		}
		rows = append(rows, row(figures.Numeral(r.Indicated.Seconds()), float64(r.Aperture), adjusted, r.Development, Handbook, src, "conventional black-and-white films; for comparison only, films differ by factors; the aperture and the time are two routes and not one correction"))
	}
	add(datapackage.Table{Name: "reciprocity_handbook", Title: "General table of reciprocity failure", About: "What handbooks reprint.", Key: []string{"indicated_s"}, Fields: sourced(
		datapackage.Number("indicated_s", "s", "metered time", 0).Must().Ordered("increasing"), datapackage.Number("aperture_stops", "{stop}", "open by this and keep the time").Must(), datapackage.Number("adjusted_s", "s", "or expose this long; missing where the table has none", 0),
		datapackage.Number("development_change_percent", "%", "change of development time").Must())}, rows)

	rows = nil
	for g := 0; g <= 6; g++ {
		lo, hi, err := devtime.PaperRange(g)
		if err != nil {
			panic(err)
		}
		basis := Standard
		if g == 6 { // the standard has grades 0 to 5
			basis = Handbook
		}
		rows = append(rows, row(g, float64(lo), float64(hi), basis, "ansi-ph2-2", ""))
	}
	add(datapackage.Table{Name: "paper_grades", Title: "Grades of paper", About: "Density range of the negatives that suit a grade.", Key: []string{"grade"}, Fields: sourced(
		datapackage.Field{Name: "grade", Kind: "integer", Unit: "1", About: "grade, 0 soft", Required: true, Order: "increasing"}, datapackage.Number("least_density_range", "1", "from", 0).Must(), datapackage.Number("greatest_density_range", "1", "to", 0).Must())}, rows)

	// Spectra.
	var heads, points [][]string
	for _, i := range spectral.Illuminants() {
		src, basis, cond := "iso-7589", Standard, ""
		decimals := 6
		switch i {
		case spectral.A:
			src, decimals = "iso-cie-11664-2", 4
		case spectral.E:
			src = "definition"
		case spectral.SunAbove, spectral.SunGlobal, spectral.SunDirect:
			src, basis, decimals = "astm-g173", Derived, 3
			cond = "means over 10 nm, weighted with a triangle"
		case spectral.D50, spectral.D55, spectral.D65, spectral.D75:
			src, decimals = "cie-15", 4
			cond = "from the components S0, S1, S2 at the nominal temperature times 1.4388/1.4380, multipliers to three decimals"
		default:
			if strings.HasPrefix(i.String(), "ISO") {
				cond = "behind the ISO standard camera lens"
			}
		}
		parts := i.Light().Spectra()
		if len(parts) != 1 {
			panic("an illuminant of several spectra")
		}
		if i == spectral.A || i == spectral.E { // the formula goes on beyond the standard
			parts[0] = must(parts[0].Cut(300, 830))
		}
		lo, hi := parts[0].Range()
		heads = append(heads, row(i, lo, hi, basis, src, cond))
		points = append(points, spectrumRows(i.String(), parts[0], decimals)...)
	}
	add(datapackage.Table{Name: "illuminants", Title: "Illuminants", About: "Lights whose spectral power a standard fixes.", Key: []string{"illuminant"}, Fields: sourced(datapackage.Text("illuminant", "name").Must(),
		datapackage.Number("shortest_nm", "nm", "first wavelength", 50).Must(), datapackage.Number("longest_nm", "nm", "last wavelength", 50).Must())}, heads)
	add(datapackage.Table{Name: "illuminant_spectra", Title: "Spectra of the illuminants", About: "Relative power by energy, straight between the points.", Key: []string{"illuminant", "wavelength_nm"},
		Foreign: []datapackage.Foreign{{Fields: []string{"illuminant"}, Resource: "illuminants", To: []string{"illuminant"}}},
		Fields:  []datapackage.Field{datapackage.Text("illuminant", "name").Must(), wavelength, datapackage.Number("relative_power", "1", "relative power, any scale", 0).Must()}}, points)

	// S0, S1 and S2 from three phases of daylight: each is S0 + M1 S1 + M2 S2.
	rows = nil
	s0, s1, s2 := daylightComponents()
	for i, nm := range must(spectral.Grid(300, 830, 5)) {
		rows = append(rows, row(nm, s0[i], s1[i], s2[i], Standard, "cie-15", ""))
	}
	add(datapackage.Table{Name: "cie_daylight_components", Title: "Components of CIE daylight", About: "Power is S0 + M1 S1 + M2 S2.", Key: []string{"wavelength_nm"}, Fields: sourced(wavelength,
		datapackage.Number("s0", "1", "mean").Must(), datapackage.Number("s1", "1", "first component").Must(), datapackage.Number("s2", "1", "second component").Must())}, rows)

	eye := spectral.Eye().Spectra()[0]
	rows = nil
	for i, nm := range eye.Wavelengths() {
		rows = append(rows, row(nm, eye.Values()[i], Standard, "iso-cie-11664-1", ""))
	}
	add(datapackage.Table{Name: "luminous_efficiency", Title: "Luminous efficiency V", About: "The standard observer for day vision, the response of an ideal meter.", Key: []string{"wavelength_nm"}, Fields: sourced(wavelength, datapackage.Number("v", "1", "V, 1 at 555 nm", 0, 1).Must())}, rows)

	lens := spectral.Lens()
	rows = nil
	for i, nm := range lens.Wavelengths() {
		rows = append(rows, row(nm, lens.Values()[i], Standard, "iso-7589", ""))
	}
	add(datapackage.Table{Name: "iso_lens_transmittance", Title: "ISO standard camera lens", About: "Relative transmittance.", Key: []string{"wavelength_nm"}, Fields: sourced(wavelength, datapackage.Number("transmittance", "1", "relative transmittance", 0, 1).Must())}, rows)

	heads, points = nil, nil
	for _, p := range append(filters.TestColours(), filters.Subjects()...) {
		basis, src := Invented, "invented"
		if Basis(p.Basis) == Standard {
			basis, src = Standard, "cie-13-3"
		}
		lo, hi := p.Reflectance.Range()
		heads = append(heads, row(p.Name, lo, hi, basis, src, ""))
		points = append(points, spectrumRows(p.Name, p.Reflectance, 5)...)
	}
	add(datapackage.Table{Name: "subjects", Title: "Surfaces", About: "Test colours of a standard, and invented models of what stands in a slate quarry.", Key: []string{"subject"}, Fields: sourced(datapackage.Text("subject", "name").Must(),
		datapackage.Number("shortest_nm", "nm", "first wavelength", 50).Must(), datapackage.Number("longest_nm", "nm", "last wavelength", 50).Must())}, heads)
	add(datapackage.Table{Name: "subject_reflectances", Title: "Spectral reflectances of the surfaces", About: "Reflectance as a fraction.", Key: []string{"subject", "wavelength_nm"},
		Foreign: []datapackage.Foreign{{Fields: []string{"subject"}, Resource: "subjects", To: []string{"subject"}}},
		Fields:  []datapackage.Field{datapackage.Text("subject", "name").Must(), wavelength, datapackage.Number("reflectance", "1", "as a fraction", 0, 1.5).Must()}}, points)

	heads, points = nil, nil
	swift := must(must(filmOfTables()).Sensitivity())
	for _, e := range filters.Catalogue() {
		src := "filter-" + e.Basis.String()
		if old, ok := citations[src]; ok && old != e.Source {
			src += "-2"
		}
		citations[src] = e.Source
		basis := Invented
		if Basis(e.Basis) == Derived {
			basis = Derived
		}
		f := must(filters.Factor(swift, spectral.PhotographicDaylight.Light().WithOutside(spectral.Hold), e.Filter))
		heads = append(heads, row(e.Filter.Name(), e.Number, e.Colour, figures.Round(f, 3), basis, src, "factor for the film Garnedd Swift in ISO 7589 photographic daylight; single samples of one number differ by 0.2 stop"))
		for nm := 350.; nm <= 750; nm += 5 {
			points = append(points, row(e.Filter.Name(), nm, figures.Round(must(e.Filter.Transmittance(nm)), 6)))
		}
	}
	add(datapackage.Table{Name: "filters", Title: "Generic contrast filters", About: "None is the filter of a maker.", Key: []string{"filter"}, Fields: sourced(datapackage.Text("filter", "name").Must(), datapackage.Text("number", "the trade's number; missing for the tints"), datapackage.Text("colour", "colour").Must(),
		datapackage.Number("daylight_factor", "1", "filter factor under the conditions", 1).Must())}, heads)
	add(datapackage.Table{Name: "filter_transmittances", Title: "Spectral transmittances of the filters", About: "Read every 5 nm off the curves of the library.", Key: []string{"filter", "wavelength_nm"},
		Foreign: []datapackage.Foreign{{Fields: []string{"filter"}, Resource: "filters", To: []string{"filter"}}},
		Fields:  []datapackage.Field{datapackage.Text("filter", "name").Must(), wavelength, datapackage.Number("transmittance", "1", "as a fraction", 0, 1).Must()}}, points)
	heads, points = nil, nil
	skin := filters.Skin()
	lo, hi := skin.Reflectance.Range()
	heads = append(heads, row(skin.Name, lo, hi, skin.Samples, Basis(skin.Basis), "nist-skin", skin.Conditions))
	for i, nm := range skin.Reflectance.Wavelengths() {
		points = append(points, row(skin.Name, nm, skin.Reflectance.Values()[i], skin.SD.Values()[i], skin.Least.Values()[i], skin.Most.Values()[i]))
	}
	reflectance := func(name, about string) datapackage.Field { return datapackage.Number(name, "1", about, 0, 1.5).Must() }
	add(datapackage.Table{Name: "measured_surfaces", Title: "Measured surfaces", About: "Real surfaces, measured by others, with the spread between samples.", Key: []string{"surface"}, Fields: sourced(datapackage.Text("surface", "name").Must(),
		datapackage.Number("shortest_nm", "nm", "first wavelength", 50).Must(), datapackage.Number("longest_nm", "nm", "last wavelength", 50).Must(),
		datapackage.Field{Name: "samples", Kind: "integer", Unit: "1", About: "how many were measured", Required: true})}, heads)
	add(datapackage.Table{Name: "measured_reflectances", Title: "Spectral reflectances of measured surfaces", About: "Mean, spread and extremes over the samples; the spread is that between samples, alike over wide bands, and no noise.", Key: []string{"surface", "wavelength_nm"},
		Foreign: []datapackage.Foreign{{Fields: []string{"surface"}, Resource: "measured_surfaces", To: []string{"surface"}}},
		Fields: []datapackage.Field{datapackage.Text("surface", "name").Must(), wavelength, reflectance("reflectance", "mean, as a fraction"), reflectance("reflectance_sd", "standard deviation between samples"),
			reflectance("reflectance_least", "the least of the samples"), reflectance("reflectance_most", "the most of the samples")}}, points)

	heads, points = nil, nil
	for _, g := range filters.GlassSamples() {
		heads = append(heads, row(g.Name, g.MM, Basis(g.Basis), "glass-index", g.Conditions))
		for i, nm := range g.Internal.Wavelengths() {
			points = append(points, row(g.Name, nm, figures.Round(g.Internal.Values()[i], 6)))
		}
	}
	add(datapackage.Table{Name: "glasses", Title: "Coloured glasses", About: "Kinds of glass, without their faces; none is a filter of the trade.", Key: []string{"glass"}, Fields: sourced(datapackage.Text("glass", "name").Must(),
		datapackage.Number("thickness_mm", "mm", "thickness that the transmittances are for", 0).Must())}, heads)
	add(datapackage.Table{Name: "glass_transmittances", Title: "Internal transmittances of the glasses", About: "Without the reflections of the faces.", Key: []string{"glass", "wavelength_nm"},
		Foreign: []datapackage.Foreign{{Fields: []string{"glass"}, Resource: "glasses", To: []string{"glass"}}},
		Fields:  []datapackage.Field{datapackage.Text("glass", "name").Must(), wavelength, datapackage.Number("internal_transmittance", "1", "as a fraction", 0, 1).Must()}}, points)
	return tables, citations
}

// filmOfTables makes the film that the filters' factors are for.
func filmOfTables() (*Film, error) {
	films, err := makeFilms()
	if err != nil {
		return nil, err
	}
	return films[3], nil
}

// daylightComponents are the tables of CIE 15 as the library has them, found from
// three phases of daylight.
func daylightComponents() (s0, s1, s2 []float64) {
	var m [3][3]float64
	var v [3][]float64
	for k, t := range []spectral.Kelvin{5000, 7500, 12000} {
		x, y, err := spectral.DaylightLocus(t)
		if err != nil {
			panic(err)
		}
		d := .0241 + .2562*x - .7341*y // CIE 15
		m[k] = [3]float64{1, (-1.3515 - 1.7703*x + 5.9114*y) / d, (.0300 - 31.4424*x + 30.0717*y) / d}
		v[k] = must(spectral.Daylight(t, spectral.Unrounded)).Spectra()[0].Values()
	}
	det := func(a [3][3]float64) float64 {
		return a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) - a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) + a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	}
	whole := det(m)
	for i := range v[0] {
		var s [3]float64
		for c := range 3 {
			a := m
			for k := range 3 {
				a[k][c] = v[k][i]
			}
			s[c] = figures.Round(det(a)/whole, 2)
		}
		s0, s1, s2 = append(s0, s[0]), append(s1, s[1]), append(s2, s[2])
	}
	return s0, s1, s2
}

func shippedFiles() (map[string][]byte, error) {
	films, err := makeFilms()
	if err != nil {
		return nil, err
	}
	plate, err := lanternPlate()
	if err != nil {
		return nil, err
	}
	tables, citations, err := filmRows(append(films, plate))
	if err != nil {
		return nil, err
	}
	standard, more := standardTables()
	standard = append(standard, historicTables()...)
	maps.Copy(more, historicSources)
	used := map[string]bool{}
	for _, t := range standard {
		for i, f := range t.Fields {
			for _, r := range t.Rows {
				if f.Name == "source" {
					used[r[i]] = true
				}
			}
		}
	}
	sources := &tables[0]
	for short, citation := range more {
		if !used[short] {
			continue
		}
		sources.Rows = append(sources.Rows, []string{short, citation})
		citations = append(citations, citation)
	}
	slices.SortFunc(sources.Rows, func(a, b []string) int { return strings.Compare(a[0], b[0]) })
	slices.Sort(citations)
	return datapackage.Files(infoFor(shippedInfo, slices.Compact(citations)), append(tables, standard...))
}

// The files of data/ are those of the generators: byte for byte on amd64, and on other
// processors, some of which fuse a multiplication with an addition, but for a rounding of
// numbers.
func TestShippedData(t *testing.T) {
	files, err := shippedFiles()
	if err != nil {
		t.Fatal(err)
	}
	const again = "run go test -run TestShippedData -update ."
	if *update {
		old, err := filepath.Glob("data/*.csv")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range old {
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
		for name, content := range files {
			if err := os.WriteFile(filepath.Join("data", name), content, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		return
	}
	for name, want := range files {
		if name == datapackage.DescriptorFile {
			continue
		}
		got, err := os.ReadFile(filepath.Join("data", name))
		if err != nil {
			t.Errorf("%v; %s", err, again)
			continue
		}
		if bytes.Equal(got, want) {
			continue
		}
		if held.Here() {
			t.Errorf("%s is not what the generator makes, byte for byte; %s", name, again)
			continue
		}
		if err := sameTable(got, want); err != nil {
			t.Errorf("%s is not what the generator makes: %v; %s", name, err, again)
		}
	}
	written := []string{"README.md", "LICENSE", "CITATION.cff"} // by hand
	entries, err := os.ReadDir("data")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if files[e.Name()] == nil && outputSchemas()[e.Name()] == nil && !slices.Contains(written, e.Name()) {
			t.Errorf("data/%s is not made by the generator", e.Name())
		}
	}
	// The descriptor but for hashes and sizes.
	got, err := os.ReadFile(filepath.Join("data", datapackage.DescriptorFile))
	if err != nil {
		t.Fatal(err)
	}
	a, b := string(got), string(files[datapackage.DescriptorFile])
	if !held.Here() {
		a, b = withoutHashes(a), withoutHashes(b)
	}
	if a != b {
		t.Errorf("%s is not what the generator makes; %s", datapackage.DescriptorFile, again)
	}
}

func withoutHashes(content string) string {
	var keep []string
	for _, line := range strings.Split(content, "\n") {
		if s := strings.TrimSpace(line); !strings.HasPrefix(s, `"hash"`) && !strings.HasPrefix(s, `"bytes"`) {
			keep = append(keep, line)
		}
	}
	return strings.Join(keep, "\n")
}

// intervalsAgree is how far the ends of intervals may differ between processors, as a part: where
// the weight of a law of growth lies at a bound, sums rounded otherwise lay its grid elsewhere. Measured
// 9e-4 on arm64 and 3e-4 on amd64 without AVX2, of ends that lie a fifth of the value from it.
const intervalsAgree = 2e-3

// sameTable compares cells as text, or as numbers to 5e-4 of themselves and ends of intervals to
// intervalsAgree: a constant
// that the readings hardly determine, such as the sharpness of a faint shoulder, ends
// where the search lets it, and that may differ from machine to machine.
func sameTable(got, want []byte) error {
	a, err := csv.NewReader(bytes.NewReader(got)).ReadAll()
	if err != nil {
		return err
	}
	b, err := csv.NewReader(bytes.NewReader(want)).ReadAll()
	if err != nil {
		return err
	}
	if len(a) != len(b) {
		return fmt.Errorf("%d rows, want %d", len(a), len(b))
	}
	for i := range a {
		if len(a[i]) != len(b[i]) {
			return fmt.Errorf("line %d has %d cells, want %d", i+1, len(a[i]), len(b[i]))
		}
		for j := range a[i] {
			tol := 5e-4
			if name := a[0][j]; strings.Contains(name, "_low") || strings.Contains(name, "_high") {
				tol = intervalsAgree
			}
			x, err1 := strconv.ParseFloat(a[i][j], 64)
			y, err2 := strconv.ParseFloat(b[i][j], 64)
			if a[i][j] != b[i][j] && !(err1 == nil && err2 == nil && math.Abs(x-y) <= tol*math.Abs(y)+1e-6) {
				return fmt.Errorf("line %d, %s: %q, want %q", i+1, a[0][j], a[i][j], b[i][j])
			}
		}
	}
	return nil
}
