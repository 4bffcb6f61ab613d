package actinic

import (
	"time"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
)

const (
	micrometre    = "um"
	perMillimetre = "/mm"
)

var (
	toItsGranularity = datapackage.Foreign{Fields: []string{"film", "process"}, Resource: "granularities", To: []string{"film", "process"}}
	toItsResponse    = datapackage.Foreign{Fields: []string{"film", "process"}, Resource: "responses", To: []string{"film", "process"}}
)

// developed is the column of the development of the film that was measured.
func developed[T any](at func(*T) *time.Duration) column[T] {
	return secondsColumn(datapackage.Number("development_s", "s", "development of the film that was measured; missing where not known",
		plausible.LeastDevelopment.Seconds(), plausible.LongestDevelopment.Seconds()), at)
}

// granularitiesTable has how the granularity of a film in a process was measured.
var granularitiesTable = table[GranularityData]{
	Table: datapackage.Table{Name: "granularities", Title: "Granularities",
		About: "How the granularity in granularity_points was measured.",
		Key:   []string{"film", "process"}, Foreign: []datapackage.Foreign{toProcess, toSource}},
	keys: []datapackage.Field{filmKey, processKey},
	columns: withProvenance(func(d *GranularityData) *Provenance { return &d.Provenance }, []column[GranularityData]{
		number(datapackage.Number("aperture_um", micrometre, "diameter of the round aperture on the film", 1, 10000),
			func(d *GranularityData) *float64 { return &d.Aperture }).must(),
		developed(func(d *GranularityData) *time.Duration { return &d.Development }),
	}),
}

// granularityPointsTable has the standard deviations by density.
var granularityPointsTable = table[GranularityPoint]{
	Table: datapackage.Table{Name: "granularity_points", Title: "Points of the granularities",
		About: "Standard deviation of density in the aperture, by the mean density of the patch.",
		Key:   []string{"film", "process", "density"}, Foreign: []datapackage.Foreign{toItsGranularity}},
	keys:  []datapackage.Field{filmKey, processKey},
	blank: func() GranularityPoint { return GranularityPoint{SD: nothingKnown()} },
	columns: append([]column[GranularityPoint]{
		number(datapackage.Number("density", "1", "mean density of the patch, base plus fog included", 0,
			plausible.GreatestDensity).Ordered("increasing"), func(p *GranularityPoint) *sensito.Density { return &p.Density }).must(),
	}, interval(
		datapackage.Number("granularity", "1", "standard deviation of density", 0, 1).Must(),
		datapackage.Number("granularity_low", "1", "lower end of its 95 % interval; missing where not known", 0),
		datapackage.Number("granularity_high", "1", "upper end", 0),
		func(p *GranularityPoint) *sensito.Estimate { return &p.SD })...),
}

// responsesTable has how the response of a film in a process was measured.
var responsesTable = table[ResponseData]{
	Table: datapackage.Table{Name: "responses", Title: "Responses by frequency",
		About: "How the response in response_points was measured, and whether a lens has a part in it.",
		Key:   []string{"film", "process"}, Foreign: []datapackage.Foreign{toProcess, toSource}},
	keys: []datapackage.Field{filmKey, processKey},
	columns: withProvenance(func(d *ResponseData) *Provenance { return &d.Provenance }, []column[ResponseData]{
		textColumn(datapackage.Text("of", "film where the edge was printed on it by contact, otherwise lens and film").Must().
			OneOf(filmAlone, lensAndFilm), func(d *ResponseData) *string { return &d.Of }),
		developed(func(d *ResponseData) *time.Duration { return &d.Development }),
		number(datapackage.Number("density_low", "1", "density on the thin side of the edge; missing where not known", 0,
			plausible.GreatestDensity), func(d *ResponseData) *sensito.Density { return &d.Low }),
		number(datapackage.Number("density_high", "1", "density on the dense side", 0, plausible.GreatestDensity),
			func(d *ResponseData) *sensito.Density { return &d.High }),
	}),
}

// responsePointsTable has the response by frequency.
var responsePointsTable = table[ResponsePoint]{
	Table: datapackage.Table{Name: "response_points", Title: "Points of the responses",
		About: "Share of a sine's modulation of exposure that the film keeps, by frequency along the normal of the edge.",
		Key:   []string{"film", "process", "cycles_per_mm"}, Foreign: []datapackage.Foreign{toItsResponse}},
	keys:  []datapackage.Field{filmKey, processKey},
	blank: func() ResponsePoint { return ResponsePoint{M: nothingKnown()} },
	columns: append([]column[ResponsePoint]{
		number(datapackage.Number("cycles_per_mm", perMillimetre, "frequency on the film", 0, 10000).Ordered("increasing"),
			func(p *ResponsePoint) *float64 { return &p.Frequency }).must(),
	}, interval(
		datapackage.Number("response", "1", "response, 1 where it is whole; above 1 where development sharpens edges", -0.5, 5).Must(),
		datapackage.Number("response_low", "1", "lower end of its 95 % interval; missing where not known"),
		datapackage.Number("response_high", "1", "upper end"),
		func(p *ResponsePoint) *sensito.Estimate { return &p.M })...),
}
