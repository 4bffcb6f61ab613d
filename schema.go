package actinic

import (
	"sync"

	"example.org/actinic/internal/plausible"
)

// The tables of a package of films, in the order of the descriptor. Reader, writer
// and checker go by them.

type fieldSpec struct {
	name, kind string // kind is string, number or integer
	unit       string // of a number, one of units
	about      string
	required   bool
	min, max   *float64
	enum       []string
	order      string // "increasing" or "nondecreasing" among rows that agree in the rest of the key
}

type foreignSpec struct {
	fields   []string
	resource string
	to       []string
}

type tableSpec struct {
	name, title, about string
	key                []string
	foreign            []foreignSpec
	fields             []fieldSpec
}

// units are what a number can be in, and how the name of its field then ends.
var units = map[string]string{
	"1": "", "nm": "_nm", "s": "_s", "min": "_min", "1/min": "_per_min", "degC": "_degc", "mm": "_mm",
	"log10(lx.s)": "log_h_lx_s", "stop": "_stops", "cd/m2": "_cd_m2", "lx": "_lx", "K": "_k", "%": "_percent", "deg": "_degrees",
}

func at(v float64) *float64 { return &v }

func text(name, about string) fieldSpec { return fieldSpec{name: name, kind: "string", about: about} }

func numeric(name, unit, about string, limits ...float64) fieldSpec {
	f := fieldSpec{name: name, kind: "number", unit: unit, about: about}
	if len(limits) > 0 {
		f.min = at(limits[0])
	}
	if len(limits) > 1 {
		f.max = at(limits[1])
	}
	return f
}

func (f fieldSpec) must() fieldSpec { f.required = true; return f }

func (f fieldSpec) oneOf(words ...string) fieldSpec { f.enum = words; return f }

func (f fieldSpec) ordered(how string) fieldSpec { f.order = how; return f }

// provenance ends the rows that say where a thing comes from.
func provenance(fields ...fieldSpec) []fieldSpec {
	return append(fields,
		text("basis", "how the row came about").must().oneOf(basisNames[1:]...),
		text("source", "where it was found, see the table sources").must(),
		text("conditions", "what it holds for, where no other column says so"))
}

var (
	toSource  = foreignSpec{[]string{"source"}, "sources", []string{"source"}}
	toFilm    = foreignSpec{[]string{"film"}, "films", []string{"film"}}
	toProcess = foreignSpec{[]string{"film", "process"}, "processes", []string{"film", "process"}}
	toCurve   = foreignSpec{[]string{"film", "process", "curve"}, "curves", []string{"film", "process", "curve"}}
)

var (
	filmField     = text("film", "name of the film").must()
	processField  = text("process", "name of the process, one of the film's").must()
	curveField    = text("curve", "name of the strip, one of the process").must()
	exposureField = numeric("log_h_lx_s", "log10(lx.s)", "log10 of the exposure in lux seconds", plausible.LeastLogH, plausible.GreatestLogH)
)

const perMinute = "1/min"

var filmTables = sync.OnceValue(func() []tableSpec {
	return []tableSpec{{
		name: "sources", title: "Sources", about: "What the other tables name as the source of a row.",
		key: []string{"source"},
		fields: []fieldSpec{
			text("source", "short name").must(),
			text("citation", "the source in full").must(),
		},
	}, {
		name: "films", title: "Films", about: "One row a film: its identity.",
		key: []string{"film"}, foreign: []foreignSpec{toSource},
		fields: provenance(filmField, text("description", "what kind of film it is")),
	}, {
		name: "processes", title: "Processes", about: "A film in a developer at one dilution, temperature and agitation, under one light.",
		key: []string{"film", "process"}, foreign: []foreignSpec{toFilm, toSource},
		fields: provenance(filmField, processField,
			text("developer", "name of the developer"),
			text("dilution", "parts of stock and of water, such as 1+31, or stock"),
			numeric("temperature_degc", "degC", "temperature of the bath", 5, 60),
			text("agitation", "how the bath was moved"),
			text("light", "light and time to which the strips were exposed")),
	}, {
		name: "indexes", title: "Indexes to set", about: "The exposure index to set for a process, and the development that goes with it.",
		key: []string{"film", "process"}, foreign: []foreignSpec{toProcess, toSource},
		fields: provenance(filmField, processField,
			numeric("ei", "1", "exposure index, arithmetic", plausible.LeastIndex, plausible.GreatestIndex).must(),
			numeric("ei_low", "1", "lower end of its 95 % interval; missing where not known", 0),
			numeric("ei_high", "1", "upper end", 0),
			text("ei_from", "what it was found from: bracket, curves, or a strip"),
			numeric("development_s", "s", "development time", plausible.LeastDevelopment.Seconds(), plausible.LongestDevelopment.Seconds()),
			numeric("development_low_s", "s", "lower end of its 95 % interval", 0),
			numeric("development_high_s", "s", "upper end; INF where the strips set none", 0),
			numeric("average_gradient", "1", "average gradient that the development gives", 0.1, 3)),
	}, {
		name: "curves", title: "Characteristic curves", about: "One developed strip. The constants are those of the closed form D = base_fog + u (1 + (u/shoulder)^sharpness)^(-1/sharpness), u = gamma toe_width ln(1 + exp((x - toe_log_h_lx_s)/toe_width)), x = log10 H, which holds from from_log_h_lx_s to to_log_h_lx_s; without a shoulder D = base_fog + u. Where they are missing the curve is given by its points alone.",
		key: []string{"film", "process", "curve"}, foreign: []foreignSpec{toProcess, toSource},
		fields: provenance(filmField, processField, curveField,
			numeric("development_s", "s", "development time", plausible.LeastDevelopment.Seconds(), plausible.LongestDevelopment.Seconds()).must(),
			numeric("base_fog", "1", "density of base plus fog", 0, plausible.GreatestDensity).must(),
			numeric("gamma", "1", "slope of the straight part", 0),
			numeric("toe_log_h_lx_s", "log10(lx.s)", "where the straight part meets base plus fog", plausible.LeastLogH, plausible.GreatestLogH),
			numeric("toe_width", "1", "width of the toe in log10 H", 0),
			numeric("shoulder", "1", "density above base plus fog at which the curve levels off; missing for none", 0),
			numeric("sharpness", "1", "sharpness of the shoulder", 1),
			numeric("from_log_h_lx_s", "log10(lx.s)", "first exposure that the curve holds for", plausible.LeastLogH, plausible.GreatestLogH),
			numeric("to_log_h_lx_s", "log10(lx.s)", "last exposure", plausible.LeastLogH, plausible.GreatestLogH),
			numeric("speed", "1", "arithmetic speed or index, unrounded", plausible.LeastIndex, plausible.GreatestIndex),
			numeric("speed_low", "1", "lower end of its 95 % interval", 0),
			numeric("speed_high", "1", "upper end", 0),
			text("speed_kind", "ISO where the contrast condition of ISO 6 is met, otherwise EI").oneOf("EI", "ISO"),
			text("speed_criterion", "how the speed was found").oneOf("stated", "iso", "fixed-density", "fractional-gradient", "delta-x", "field"),
			numeric("average_gradient", "1", "slope of the chord over 1.50 in log10 H from the speed point", 0),
			numeric("average_gradient_low", "1", "lower end of its 95 % interval"),
			numeric("average_gradient_high", "1", "upper end")),
	}, {
		name: "curve_points", title: "Points of the curves", about: "The curves as points, computed from the constants where there are any; rising exposures, densities that do not fall.",
		key: []string{"film", "process", "curve", "log_h_lx_s"}, foreign: []foreignSpec{toCurve},
		fields: []fieldSpec{filmField, processField, curveField,
			exposureField.must().ordered("increasing"),
			numeric("density", "1", "density, base plus fog included", 0, plausible.GreatestDensity).must().ordered("nondecreasing")},
	}, {
		name: "readings", title: "Readings", about: "What was read on the strips.",
		key: []string{"film", "process", "curve", "reading"}, foreign: []foreignSpec{toCurve},
		fields: []fieldSpec{filmField, processField, curveField,
			{name: "reading", kind: "integer", unit: "1", about: "running number on the strip", required: true, min: at(1), order: "increasing"},
			exposureField.because("log10 of the exposure in lux seconds; missing for a patch that got no light"),
			numeric("density", "1", "density as read, base plus fog included", 0, plausible.GreatestDensity).must(),
			numeric("density_sd", "1", "its standard deviation; missing where not known", 0, 1)},
	}, {
		name: "sensitivities", title: "Spectral sensitivities", about: "How the sensitivity in sensitivity_points was found.",
		key: []string{"film"}, foreign: []foreignSpec{toFilm, toSource},
		fields: provenance(filmField,
			numeric("density_above_fog", "1", "density above base plus fog at which it was found", 0, plausible.GreatestDensity),
			numeric("shortest_nm", "nm", "first wavelength", 50, 100000).must(),
			numeric("longest_nm", "nm", "last wavelength; the film is taken to be blind outside", 50, 100000).must()),
	}, {
		name: "sensitivity_points", title: "Points of the sensitivities", about: "log10 of the relative spectral sensitivity per unit of energy, straight between the points.",
		key: []string{"film", "wavelength_nm"}, foreign: []foreignSpec{{[]string{"film"}, "sensitivities", []string{"film"}}},
		fields: []fieldSpec{filmField,
			numeric("wavelength_nm", "nm", "wavelength", 50, 100000).must().ordered("increasing"),
			numeric("log10_sensitivity", "1", "log10 of the relative sensitivity, any constant added", -30, 30).must()},
	}, {
		name: "reciprocity_laws", title: "Reciprocity laws", about: "adjusted time against metered time t. power: onset_s (t/onset_s)^(1/p) above onset_s. smooth: adjusted (adjusted + 1)^(p-1) = t. additive: t + a t^b. catenary: t cosh(a ln(t/optimum_s)) / cosh(a ln(reference_s/optimum_s)). hyperbola: t K(t)/K(reference_s), K = 10^(a (sqrt(x^2 + 1) - 1)), x = log10(t/optimum_s). two-branch: power above onset_s, and short_onset_s (t/short_onset_s)^(1/short_p) below short_onset_s. table: straight lines between the logarithms of reciprocity_readings. holds: t.",
		key: []string{"film"}, foreign: []foreignSpec{toFilm, toSource},
		fields: provenance(filmField,
			text("law", "which law").must().oneOf(lawNames...),
			numeric("onset_s", "s", "longest metered time that does not fail", 0),
			numeric("p", "1", "Schwarzschild's exponent", 0, 1),
			numeric("short_onset_s", "s", "shortest metered time that does not fail", 0),
			numeric("short_p", "1", "exponent of the short branch", 1),
			numeric("a", "1", "constant of the law, times in seconds", 0),
			numeric("b", "1", "exponent of the law", 1),
			numeric("optimum_s", "s", "metered time of least failure", 0),
			numeric("reference_s", "s", "metered time at which nothing is corrected", 0),
			numeric("shortest_s", "s", "shortest metered time that the law holds for", 0).must(),
			numeric("longest_s", "s", "longest", 0).must()),
	}, {
		name: "reciprocity_readings", title: "Tests of reciprocity", about: "Metered times and the times that came out right.",
		key: []string{"film", "metered_s"}, foreign: []foreignSpec{{[]string{"film"}, "reciprocity_laws", []string{"film"}}},
		fields: []fieldSpec{filmField,
			numeric("metered_s", "s", "time for which the light would be right if reciprocity held", 0).must().ordered("increasing"),
			numeric("adjusted_s", "s", "time that really gave the density", 0).must(),
			numeric("adjusted_sd_stops", "stop", "standard deviation of the adjusted time; missing where not known", 0)},
	}, {
		name: "development_families", title: "Development families", about: "Growth of the average gradient with development, limit (1 - exp(-rate (t - induction))), t in minutes, and its temperature coefficient.",
		key: []string{"film", "process"}, foreign: []foreignSpec{toProcess, toSource},
		fields: provenance(filmField, processField,
			numeric("limit", "1", "average gradient that the longest development approaches", 0).must(),
			numeric("limit_low", "1", "lower end of its 95 % interval"),
			numeric("limit_high", "1", "upper end"),
			numeric("rate_per_min", perMinute, "rate", 0).must(),
			numeric("rate_low_per_min", perMinute, "lower end of its 95 % interval"),
			numeric("rate_high_per_min", perMinute, "upper end"),
			numeric("induction_min", "min", "time before anything is seen").must(),
			numeric("induction_low_min", "min", "lower end of its 95 % interval"),
			numeric("induction_high_min", "min", "upper end"),
			numeric("shortest_s", "s", "shortest development of the strips", 0).must(),
			numeric("longest_s", "s", "longest", 0).must(),
			numeric("q10", "1", "temperature coefficient per 10 °C", 1, 10),
			numeric("coldest_degc", "degC", "from where it holds", 5, 60),
			numeric("warmest_degc", "degC", "to where", 5, 60)),
	}}
})

func (f fieldSpec) because(about string) fieldSpec { f.about = about; return f }

func (s *tableSpec) field(name string) *fieldSpec {
	for i := range s.fields {
		if s.fields[i].name == name {
			return &s.fields[i]
		}
	}
	return nil
}

// columns returns the names of the fields, those that must be in a file first.
func (s *tableSpec) columns() (required, optional []string) {
	for _, f := range s.fields {
		if f.required {
			required = append(required, f.name)
		} else {
			optional = append(optional, f.name)
		}
	}
	return required, optional
}

func filmTable(name string) *tableSpec {
	tables := filmTables()
	for i := range tables {
		if tables[i].name == name {
			return &tables[i]
		}
	}
	return nil
}
