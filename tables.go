package actinic

import (
	"errors"
	"strconv"
	"sync"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/provenance"
)

// The tables of a package of films, in the order of the descriptor. A column is one row
// here; what a part of a film has besides its columns is looked at in parts.go. A package
// is read in the order that its tables point to each other in, and written in the same.

// The rows of tables that are no part by themselves.
type (
	sourceRow struct{ short, citation string }
	pointRow  struct{ nm, log10, sd float64 }
	// readingRow is a reading of a strip, or a patch that got no light.
	readingRow struct {
		number  int
		exposed bool
		sensito.Reading
	}
)

var (
	toSource  = datapackage.Foreign{Fields: []string{"source"}, Resource: "sources", To: []string{"source"}}
	toFilm    = datapackage.Foreign{Fields: []string{"film"}, Resource: "films", To: []string{"film"}}
	toProcess = datapackage.Foreign{
		Fields:   []string{"film", "process"},
		Resource: "processes",
		To:       []string{"film", "process"},
	}
	toCurve = datapackage.Foreign{
		Fields:   []string{"film", "process", "curve"},
		Resource: "curves",
		To:       []string{"film", "process", "curve"},
	}
	toOne = func(resource string) datapackage.Foreign {
		return datapackage.Foreign{Fields: []string{"film"}, Resource: resource, To: []string{"film"}}
	}
)

var (
	filmKey    = datapackage.Text("film", "name of the film").Must()
	processKey = datapackage.Text("process", "name of the process, one of the film's").Must()
	curveKey   = datapackage.Text("curve", "name of the strip, one of the process").Must()
	logHField  = datapackage.Number("log_h_lx_s", "{log10(lx.s)}", "log10 of the exposure in lux seconds",
		plausible.LeastLogH, plausible.GreatestLogH)
)

// perMinute is the unit of a rate.
const perMinute = "/min"

// provenanceFields end the rows that say where a thing comes from.
var provenanceFields = []datapackage.Field{
	datapackage.Text("basis", "how the row came about").Must().OneOf(provenance.Words()...),
	datapackage.Text("source", "where it was found, see the table sources").Must(),
	datapackage.Text("conditions", "what it holds for, where no other column says so"),
}

// withProvenance ends the columns of a part with where it comes from. The source stands
// in the file by its short name, which reader and writer see to.
func withProvenance[T any](at func(*T) *Provenance, columns ...[]column[T]) []column[T] {
	var all []column[T]
	for _, c := range columns {
		all = append(all, c...)
	}
	return append(all,
		wordColumn(provenanceFields[0], nil, func(p *T) *Basis { return &at(p).Basis }),
		textColumn(provenanceFields[1], func(p *T) *string { return &at(p).Source }),
		textColumn(provenanceFields[2], func(p *T) *string { return &at(p).Conditions }))
}

// sourcesTable has one row a citation. Rows elsewhere name it by a short name, which is made
// when a package is written; a part of a film holds the citation itself.
var sourcesTable = table[sourceRow]{
	Table: datapackage.Table{
		Name:  "sources",
		Title: "Sources",
		About: "What the other tables name as the source of a row.",
		Key:   []string{"source"},
	},
	columns: []column[sourceRow]{
		textColumn(datapackage.Text("source", "short name").Must(), func(s *sourceRow) *string { return &s.short }),
		textColumn(datapackage.Text("citation", "the source in full").Must(),
			func(s *sourceRow) *string { return &s.citation }),
	},
}

// filmsTable has what is said of a film as a whole. Its key is what every other table
// points to.
var filmsTable = table[FilmData]{
	Table: datapackage.Table{Name: "films", Title: "Films", About: "One row a film: its identity.",
		Key: []string{"film"}, Foreign: []datapackage.Foreign{toSource}},
	columns: withProvenance(func(d *FilmData) *Provenance { return &d.Provenance }, []column[FilmData]{
		textColumn(filmKey, func(d *FilmData) *string { return &d.Name }),
		textColumn(datapackage.Text("description", "what kind of film it is"),
			func(d *FilmData) *string { return &d.Description }),
	}),
}

// processesTable has the conditions a film was developed under. An index, strips and a law
// of growth belong to one process, and hold for no other.
var processesTable = table[ProcessData]{
	Table: datapackage.Table{
		Name:    "processes",
		Title:   "Processes",
		About:   "A film in a developer at one dilution, temperature and agitation, under one light.",
		Key:     []string{"film", "process"},
		Foreign: []datapackage.Foreign{toFilm, toSource},
	},
	keys: []datapackage.Field{filmKey},
	columns: withProvenance(func(d *ProcessData) *Provenance { return &d.Provenance }, []column[ProcessData]{
		textColumn(processKey, func(d *ProcessData) *string { return &d.Name }),
		textColumn(datapackage.Text("developer", "name of the developer"),
			func(d *ProcessData) *string { return &d.Developer }),
		textColumn(datapackage.Text("dilution", "parts of stock and of water, such as 1+31, or stock"),
			func(d *ProcessData) *string { return &d.Dilution }),
		number(datapackage.Number("temperature_degc", "Cel", "temperature of the bath", 5, 60),
			func(d *ProcessData) *devtime.Celsius { return &d.Temperature }),
		textColumn(datapackage.Text("agitation", "how the bath was moved"),
			func(d *ProcessData) *string { return &d.Agitation }),
		textColumn(datapackage.Text("light", "light and time to which the strips were exposed"),
			func(d *ProcessData) *string { return &d.Light }),
	}),
}

// indexesTable has the index to set with the development that belongs to it, and their
// intervals; an end that nobody knows is missing, one that is not bounded is INF.
var indexesTable = table[IndexData]{
	Table: datapackage.Table{
		Name:    "indexes",
		Title:   "Indexes to set",
		About:   "The exposure index to set for a process, and the development that goes with it.",
		Key:     []string{"film", "process"},
		Foreign: []datapackage.Foreign{toProcess, toSource},
	},
	keys:  []datapackage.Field{filmKey, processKey},
	blank: func() IndexData { return IndexData{Index: nothingKnown()} },
	columns: withProvenance(func(d *IndexData) *Provenance { return &d.Provenance },
		withFirst(interval(
			datapackage.Number("ei", "1", "exposure index, arithmetic", plausible.LeastIndex, plausible.GreatestIndex).Must(),
			datapackage.Number("ei_low", "1", "lower end of its 95 % interval; missing where not known", 0),
			datapackage.Number("ei_high", "1", "upper end", 0),
			func(d *IndexData) *sensito.Estimate { return &d.Index },
		),
			func(c column[IndexData]) column[IndexData] { return c.comparedAs("index", "index to set").inStops() }),
		[]column[IndexData]{
			textColumn(datapackage.Text("ei_from", "what it was found from: bracket, curves, or a strip"),
				func(d *IndexData) *string { return &d.From }),
		},
		optionalInterval(
			datapackage.Number("development_s", "s", "development time", plausible.LeastDevelopment.Seconds(),
				plausible.LongestDevelopment.Seconds()),
			datapackage.Number("development_low_s", "s", "lower end of its 95 % interval", 0),
			datapackage.Number("development_high_s", "s", "upper end; INF where the strips set none", 0),
			func(d *IndexData) **sensito.Estimate { return &d.Development },
		),
		[]column[IndexData]{
			number(datapackage.Number("average_gradient", "1", "average gradient that the development gives", 0.1, 3),
				func(d *IndexData) *float64 { return &d.Gradient }),
		}),
}

// withFirst changes the first of some columns.
func withFirst[T any](cs []column[T], how func(column[T]) column[T]) []column[T] {
	cs[0] = how(cs[0])
	return cs
}

// constants is the place of the constants of a curve, which has none of them or all.
func constants(d *CurveData) *sensito.Constants {
	if d.Shape == nil {
		d.Shape = &sensito.Constants{}
	}
	return d.Shape
}

// constant is a column of a constant of a curve in closed form; 0 is missing of the
// shoulder's.
func constant[V ~float64](f datapackage.Field, at func(*sensito.Constants) *V) column[CurveData] {
	return optional(f, func(d *CurveData) bool { return d.Shape != nil },
		func(d *CurveData) *V { return at(constants(d)) })
}

// ofShoulder marks a constant that a curve without a shoulder has not got.
func ofShoulder(c column[CurveData]) column[CurveData] {
	c.zeroIsMissing, c.with = true, "gamma"
	return c
}

// curvesTable has a row a strip: how long it was developed, what was found of it, and its
// constants where it was fitted. A curve without constants is its points.
var curvesTable = table[CurveData]{
	Table: datapackage.Table{Name: "curves", Title: "Characteristic curves",
		About: "One developed strip. The constants are those of the closed form D = base_fog + u (1 + (u/shoulder)^sharpness)^(-1/sharpness), u = gamma toe_width ln(1 + exp((x - toe_log_h_lx_s)/toe_width)), x = log10 H, which holds from from_log_h_lx_s to to_log_h_lx_s; without a shoulder D = base_fog + u. Where they are missing the curve is given by its points alone.",
		Key:   []string{"film", "process", "curve"}, Foreign: []datapackage.Foreign{toProcess, toSource}},
	keys: []datapackage.Field{filmKey, processKey},
	columns: withProvenance(func(d *CurveData) *Provenance { return &d.Provenance }, []column[CurveData]{
		textColumn(curveKey, func(d *CurveData) *string { return &d.Name }),
		secondsColumn(
			datapackage.Number("development_s", "s", "development time", plausible.LeastDevelopment.Seconds(),
				plausible.LongestDevelopment.Seconds()),
			func(d *CurveData) *time.Duration { return &d.Development },
		).must(),
		number(datapackage.Number("base_fog", "1", "density of base plus fog", 0, plausible.GreatestDensity),
			func(d *CurveData) *sensito.Density { return &d.BaseFog }).must(),
		constant(datapackage.Number("gamma", "1", "slope of the straight part", 0),
			func(s *sensito.Constants) *float64 { return &s.Gamma }),
		constant(
			datapackage.Number("toe_log_h_lx_s", "{log10(lx.s)}", "where the straight part meets base plus fog",
				plausible.LeastLogH, plausible.GreatestLogH),
			func(s *sensito.Constants) *sensito.LogH { return &s.Toe },
		).beside("gamma"),
		constant(datapackage.Number("toe_width", "1", "width of the toe in log10 H", 0),
			func(s *sensito.Constants) *float64 { return &s.ToeWidth }).beside("gamma"),
		ofShoulder(
			constant(
				datapackage.Number("shoulder", "1",
					"density above base plus fog at which the curve levels off; missing for none", 0),
				func(s *sensito.Constants) *sensito.Density { return &s.Shoulder },
			),
		),
		ofShoulder(
			constant(
				datapackage.Number("sharpness", "1", "sharpness of the shoulder", 1),
				func(s *sensito.Constants) *float64 { return &s.Sharpness },
			),
		),
		constant(
			datapackage.Number("from_log_h_lx_s", "{log10(lx.s)}", "first exposure that the curve holds for",
				plausible.LeastLogH, plausible.GreatestLogH),
			func(s *sensito.Constants) *sensito.LogH { return &s.From },
		).beside("gamma"),
		constant(
			datapackage.Number("to_log_h_lx_s", "{log10(lx.s)}", "last exposure", plausible.LeastLogH, plausible.GreatestLogH),
			func(s *sensito.Constants) *sensito.LogH { return &s.To },
		).beside("gamma"),
		number(
			datapackage.Number("speed", "1", "arithmetic speed or index, unrounded", plausible.LeastIndex,
				plausible.GreatestIndex),
			func(d *CurveData) *float64 { return &d.Speed.Value },
		),
		number(datapackage.Number("speed_low", "1", "lower end of its 95 % interval", 0),
			func(d *CurveData) *float64 { return &d.SpeedLow }),
		number(datapackage.Number("speed_high", "1", "upper end", 0),
			func(d *CurveData) *float64 { return &d.SpeedHigh }),
		wordColumn(
			datapackage.Text("speed_kind", "ISO where the contrast condition of ISO 6 is met, otherwise EI").OneOf(
				"EI",
				"ISO",
			),
			hasSpeed,
			func(d *CurveData) *sensito.Kind { return &d.Speed.Kind },
		).beside("speed"),
		wordColumn(
			datapackage.Text("speed_criterion", "how the speed was found").OneOf(
				"stated",
				"iso",
				"fixed-density",
				"fractional-gradient",
				"delta-x",
				"field",
			),
			hasSpeed,
			func(d *CurveData) *sensito.Criterion { return &d.Speed.Criterion },
		).beside("speed"),
	}, optionalInterval(
		datapackage.Number("average_gradient", "1", "slope of the chord over 1.50 in log10 H from the speed point", 0),
		datapackage.Number("average_gradient_low", "1", "lower end of its 95 % interval"),
		datapackage.Number("average_gradient_high", "1", "upper end"),
		func(d *CurveData) **sensito.Estimate { return &d.Gradient })),
}

// hasSpeed tells a strip whose speed was found; an index of 0 is none.
func hasSpeed(d *CurveData) bool { return d.Speed.Value != 0 }

// pointsTable has the points of the curves, with constants or without, so that a reader in
// another language needs no formula of ours. Those beside constants are computed from them.
var pointsTable = table[sensito.Reading]{
	Table: datapackage.Table{Name: "curve_points", Title: "Points of the curves",
		About: "The curves as points, computed from the constants where there are any; rising exposures, densities that do not fall.",
		Key:   []string{"film", "process", "curve", "log_h_lx_s"}, Foreign: []datapackage.Foreign{toCurve}},
	keys: []datapackage.Field{filmKey, processKey, curveKey},
	columns: []column[sensito.Reading]{
		number(logHField.Ordered("increasing"), func(r *sensito.Reading) *sensito.LogH { return &r.LogH }).must(),
		number(
			datapackage.Number("density", "1", "density, base plus fog included", 0, plausible.GreatestDensity).Ordered(
				"nondecreasing",
			),
			func(r *sensito.Reading) *sensito.Density { return &r.Density },
		).must(),
	},
}

// readingsTable has what the instrument read, unexposed patches included: whoever doubts a
// fit can make another.
var readingsTable = table[readingRow]{
	Table: datapackage.Table{Name: "readings", Title: "Readings", About: "What was read on the strips.",
		Key: []string{"film", "process", "curve", "reading"}, Foreign: []datapackage.Foreign{toCurve}},
	keys: []datapackage.Field{filmKey, processKey, curveKey},
	columns: []column[readingRow]{
		{
			Field: datapackage.Field{
				Name:     "reading",
				Kind:     "integer",
				Unit:     "1",
				About:    "running number on the strip",
				Required: true,
				Min:      pointer(1),
				Order:    "increasing",
			},
			raw: func(r *readingRow) float64 { return float64(r.number) },
			set: func(r *readingRow, s string) error {
				n, err := strconv.Atoi(s)
				if r.number = n; err != nil {
					return errors.New("a whole number")
				}
				return nil
			},
		},
		optional(logHField.Saying("log10 of the exposure in lux seconds; missing for a patch that got no light"),
			func(r *readingRow) bool { return r.exposed }, func(r *readingRow) *sensito.LogH { r.exposed = true; return &r.LogH }),
		number(datapackage.Number("density", "1", "density as read, base plus fog included", 0, plausible.GreatestDensity),
			func(r *readingRow) *sensito.Density { return &r.Density }).must(),
		number(datapackage.Number("density_sd", "1", "its standard deviation; missing where not known", 0, 1),
			func(r *readingRow) *float64 { return &r.SD }),
	},
}

// pointer is for bounds of columns that may be missing.
func pointer(v float64) *float64 { return &v }

// filmTables are the tables in the order of the descriptor.
var filmTables = sync.OnceValue(func() []datapackage.Table {
	return []datapackage.Table{
		sourcesTable.spec(), filmsTable.spec(), processesTable.spec(), indexesTable.spec(), curvesTable.spec(), pointsTable.spec(), readingsTable.spec(),
		sensitivitiesTable.spec(), sensitivityPointsTable.spec(), lawsTable().spec(), lawReadingsTable.spec(), familiesTable.spec(),
		granularitiesTable.spec(), granularityPointsTable.spec(), responsesTable.spec(), responsePointsTable.spec(),
	}
})

// filmTable returns a table of films by its name; nil where there is none.
func filmTable(name string) *datapackage.Table {
	tables := filmTables()
	for i := range tables {
		if tables[i].Name == name {
			return &tables[i]
		}
	}
	return nil
}
