package actinic

import (
	"math"
	"strings"
	"sync"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/reciprocity"
	"example.org/actinic/sensito"
)

// sensitivitiesTable has how a spectral sensitivity was found. The ends of its wavelengths
// follow from the points, and are written so that a reader sees them without adding up.
var sensitivitiesTable = table[SensitivityData]{
	Table: datapackage.Table{
		Name:    "sensitivities",
		Title:   "Spectral sensitivities",
		About:   "How the sensitivity in sensitivity_points was found.",
		Key:     []string{"film"},
		Foreign: []datapackage.Foreign{toFilm, toSource},
	},
	keys: []datapackage.Field{filmKey},
	columns: withProvenance(func(d *SensitivityData) *Provenance { return &d.Provenance }, []column[SensitivityData]{
		number(
			datapackage.Number("density_above_fog", "1", "density above base plus fog at which it was found", 0,
				plausible.GreatestDensity),
			func(d *SensitivityData) *sensito.Density { return &d.AboveFog },
		),
		derivedColumn(datapackage.Number("shortest_nm", "nm", "first wavelength", 50, 100000).Must(),
			func(d *SensitivityData) float64 { first, _ := ends(d.Wavelengths); return first }),
		derivedColumn(
			datapackage.Number("longest_nm", "nm", "last wavelength; the film is taken to be blind outside", 50, 100000).Must(),
			func(d *SensitivityData) float64 { _, last := ends(d.Wavelengths); return last },
		),
	}),
}

// sensitivityPointsTable has the logarithms of the sensitivity, per energy, at the
// wavelengths where they were found: nothing is put onto a grid.
var sensitivityPointsTable = table[pointRow]{
	Table: datapackage.Table{Name: "sensitivity_points", Title: "Points of the sensitivities",
		About: "log10 of the relative spectral sensitivity per unit of energy, straight between the points.",
		Key:   []string{"film", "wavelength_nm"}, Foreign: []datapackage.Foreign{toOne("sensitivities")}},
	keys: []datapackage.Field{filmKey},
	columns: []column[pointRow]{
		number(datapackage.Number("wavelength_nm", "nm", "wavelength", 50, 100000).Ordered("increasing"),
			func(p *pointRow) *float64 { return &p.nm }).must(),
		number(datapackage.Number("log10_sensitivity", "1", "log10 of the relative sensitivity, any constant added", -30,
			30), func(p *pointRow) *float64 { return &p.log10 }).must(),
		number(datapackage.Number("log10_sensitivity_sd", "1", "its standard deviation; missing where not known", 0, 10),
			func(p *pointRow) *float64 { return &p.sd }),
	},
}

// lawsTable has the laws of package reciprocity: their words, constants and formulas are
// what that package says they are.
var lawsTable = sync.OnceValue(func() *table[ReciprocityData] {
	var words, formulas []string
	for _, f := range reciprocity.Forms() {
		words = append(words, f.Law)
		formulas = append(formulas, f.Law+": "+f.Formula+".")
	}
	columns := []column[ReciprocityData]{
		textColumn(datapackage.Text("law", "which law").Must().OneOf(words...),
			func(d *ReciprocityData) *string { return &d.Form.Law }),
	}
	for _, c := range reciprocity.Constants() {
		columns = append(columns, lawConstant(c))
	}
	columns = append(
		columns,
		secondsColumn(datapackage.Number("shortest_s", "s", "shortest metered time that the law holds for", 0),
			func(d *ReciprocityData) *time.Duration { return &d.Form.Shortest }).must(),
		secondsColumn(datapackage.Number("longest_s", "s", "longest", 0),
			func(d *ReciprocityData) *time.Duration { return &d.Form.Longest }).must(),
	)
	return &table[ReciprocityData]{
		Table: datapackage.Table{Name: "reciprocity_laws", Title: "Reciprocity laws",
			About: "adjusted time against metered time t. " + strings.Join(formulas, " "),
			Key:   []string{"film"}, Foreign: []datapackage.Foreign{toFilm, toSource}},
		keys:    []datapackage.Field{filmKey},
		columns: withProvenance(func(d *ReciprocityData) *Provenance { return &d.Provenance }, columns),
	}
})

// lawConstant is the column of a constant of a law; 0 is missing.
func lawConstant(c reciprocity.ConstantInfo) column[ReciprocityData] {
	limits := []float64{c.Least}
	if c.Most-c.Most == 0 {
		limits = append(limits, c.Most)
	}
	return column[ReciprocityData]{Field: datapackage.Number(c.Name, c.Unit, c.About, limits...), zeroIsMissing: true,
		raw: func(d *ReciprocityData) float64 { return d.Form.Constants[c.Name] },
		set: func(d *ReciprocityData, s string) error {
			v, err := readNumber(c.Name, s)
			if err != nil {
				return err
			}
			if d.Form.Constants == nil {
				d.Form.Constants = map[string]float64{}
			}
			d.Form.Constants[c.Name] = v
			return nil
		},
	}
}

// lawReadingsTable has the tests of a reciprocity law: pairs of times of equal density. The
// law reaches no further than they do, and a table law is nothing else.
var lawReadingsTable = table[reciprocity.Reading]{
	Table: datapackage.Table{
		Name:    "reciprocity_readings",
		Title:   "Tests of reciprocity",
		About:   "Metered times and the times that came out right.",
		Key:     []string{"film", "metered_s"},
		Foreign: []datapackage.Foreign{toOne("reciprocity_laws")},
	},
	keys: []datapackage.Field{filmKey},
	columns: []column[reciprocity.Reading]{
		secondsColumn(
			datapackage.Number("metered_s", "s", "time for which the light would be right if reciprocity held", 0).Ordered(
				"increasing",
			),
			func(r *reciprocity.Reading) *time.Duration { return &r.Metered },
		).must(),
		secondsColumn(datapackage.Number("adjusted_s", "s", "time that really gave the density", 0),
			func(r *reciprocity.Reading) *time.Duration { return &r.Adjusted }).must(),
		number(
			datapackage.Number("adjusted_sd_stops", "{stop}",
				"standard deviation of the adjusted time; missing where not known", 0),
			func(r *reciprocity.Reading) *sensito.Stops { return &r.SD },
		),
	},
}

// familiesTable has the growth of contrast with time in a process, and with temperature
// where that was tested; the constants with their intervals, and the range they hold for.
var familiesTable = table[GrowthData]{
	Table: datapackage.Table{Name: "development_families", Title: "Development families",
		About: "Growth of the average gradient with development, limit (1 - exp(-rate (t - induction))), t in minutes, and its temperature coefficient.",
		Key:   []string{"film", "process"}, Foreign: []datapackage.Foreign{toProcess, toSource}},
	keys: []datapackage.Field{filmKey, processKey},
	blank: func() GrowthData {
		return GrowthData{Limit: nothingKnown(), Rate: nothingKnown(), Induction: nothingKnown()}
	},
	columns: withProvenance(func(d *GrowthData) *Provenance { return &d.Provenance },
		withFirst(interval(
			datapackage.Number("limit", "1", "average gradient that the longest development approaches", 0).Must(),
			datapackage.Number("limit_low", "1", "lower end of its 95 % interval"),
			datapackage.Number("limit_high", "1", "upper end"),
			func(d *GrowthData) *sensito.Estimate { return &d.Limit }),
			func(c column[GrowthData]) column[GrowthData] {
				return c.comparedAs("development family", "limit of the average gradient")
			}),
		interval(
			datapackage.Number("rate_per_min", perMinute, "rate", 0).Must(),
			datapackage.Number("rate_low_per_min", perMinute, "lower end of its 95 % interval"),
			datapackage.Number("rate_high_per_min", perMinute, "upper end"),
			func(d *GrowthData) *sensito.Estimate { return &d.Rate }),
		interval(
			datapackage.Number("induction_min", "min", "time before anything is seen").Must(),
			datapackage.Number("induction_low_min", "min", "lower end of its 95 % interval"),
			datapackage.Number("induction_high_min", "min", "upper end"),
			func(d *GrowthData) *sensito.Estimate { return &d.Induction }),
		[]column[GrowthData]{
			secondsColumn(datapackage.Number("shortest_s", "s", "shortest development of the strips", 0),
				func(d *GrowthData) *time.Duration { return &d.Shortest }).must(),
			secondsColumn(datapackage.Number("longest_s", "s", "longest", 0),
				func(d *GrowthData) *time.Duration { return &d.Longest }).must(),
			number(
				datapackage.Number("q10", "1", "temperature coefficient per 10 °C", 1, 10),
				func(d *GrowthData) *float64 { return &d.Q10 },
			).comparedAs("development family", "temperature coefficient per 10 °C"),
			number(datapackage.Number("coldest_degc", "Cel", "from where it holds", 5, 60),
				func(d *GrowthData) *devtime.Celsius { return &d.Coldest }),
			number(datapackage.Number("warmest_degc", "Cel", "to where", 5, 60),
				func(d *GrowthData) *devtime.Celsius { return &d.Warmest }),
		}),
}

// ends are the first and the last of some numbers; NaN where there are none.
func ends(vs []float64) (first, last float64) {
	if len(vs) == 0 {
		return math.NaN(), math.NaN()
	}
	return vs[0], vs[len(vs)-1]
}
