package actinic

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/actinic/internal/datapackage"
	"example.org/actinic/internal/figures"
	"example.org/actinic/reciprocity"
)

// Readings of real material, as old books and public rules print them: named by kind and
// year, typed in as printed. What the source does not say is left blank.

const (
	wireless1919 = "M. J. Martin, Wireless Transmission of Photographs, 2nd ed., London 1919, chapter V, table of comparative speed numbers; https://www.gutenberg.org/ebooks/34052"
	renwick1913  = "F. F. Renwick, Die Tonabstufung in den photographischen positiven Kopierprozessen, Jahrbuch fuer Photographie 27 (1913), law p. 119, table p. 124"
	kron1914     = "E. Kron, Jahrbuch fuer Photographie 28 (1914), p. 8, the author's abstract of his work of 1913"
	scheiner1897 = "J. Scheiner, Die Photographie der Gestirne, 1897, p. 246, after Michalke"
	britannica   = "Encyclopaedia Britannica, 11th ed., vol. 21 (1911), Photography, p. 500"
	rulesND      = "North Dakota Administrative Code 33.1-10-06, Appendix D, time temperature chart; Minnesota Rules 4732.0555 has the same 21 rows"
	services     = "T.O. 33B-1-1 / TM 1-1500-335-23, Nondestructive Inspection Methods, p. 6-75, table 6-16, US Government; its text gives the cells column by column, and the pairing is the transcriber's"
	wall1910     = "E. J. Wall, Thermo-Entwicklung, Jahrbuch fuer Photographie 24 (1910), p. 44"
)

var historicSources = map[string]string{
	"martin-1919": wireless1919, "renwick-1913": renwick1913, "kron-1914": kron1914, "scheiner-1897": scheiner1897,
	"britannica-1911": britannica, "rules-x-ray": rulesND, "services-radiography": services, "wall-1910": wall1910,
}

// lanternPlate is the lantern plate of 1911: a law whose one constant follows from two
// printed numbers, and nothing else, for nothing else is known.
func lanternPlate() (*Film, error) {
	exact := Provenance{Basis: Handbook, Source: britannica}
	law := reciprocity.Form{Law: "power", Constants: map[string]float64{"onset_s": 10, "p": figures.Digits(5./6, 5)}, Shortest: 10 * time.Second, Longest: 640 * time.Second,
		Readings: []reciprocity.Reading{{Metered: 10 * time.Second, Adjusted: 10 * time.Second}, {Metered: 640 * time.Second, Adjusted: figures.Seconds(1470)}}}
	return NewFilm(FilmData{Name: "Lantern plate of 1911", Description: "a slow plate for lantern slides, named in an experiment on reciprocity", Provenance: exact,
		Reciprocity: &ReciprocityData{Form: law, Provenance: Provenance{Basis: Derived, Source: britannica,
			Conditions: "printed: an amyl acetate lamp at 2 ft for 10 s and at 16 ft, 1/64 of the light, for 640 s, of which 50 % of the useful energy counts; read as an equivalent exposure, 64^(p-1) = 1/2, p = 5/6, and the adjusted time 10 s 64^(1/p) = 1470 s; quick plates vary much less"}}})
}

func historicTables() []datapackage.Filled {
	var out []datapackage.Filled
	add := func(spec datapackage.Table, rows [][]string) {
		spec.Foreign = append(spec.Foreign, toSource)
		out = append(out, datapackage.Filled{Table: spec, Rows: rows})
	}
	number, text := datapackage.Number, datapackage.Text

	var rows [][]string
	for _, r := range speeds1919 {
		rows = append(rows, row(r[0], r[1], r[2], Handbook, "martin-1919", "plates and films of 1919"))
	}
	add(datapackage.Table{Name: "speed_numbers_of_1919", Title: "Speed numbers of 1919", About: "One speed in three systems, as printed: the first is 34 over the inertia, the second 50 over it, the third 6.4 times the root of the second. Rows 20 and 160 of the third do not follow.",
		Key: []string{"inertia_speed"}, Fields: sourced(number("inertia_speed", "1", "34 over the inertia", 0).Must().Ordered("increasing"),
			number("meter_speed", "1", "50 over the inertia, for a meter", 0).Must(), number("root_speed", "1", "6.4 times the root of that", 0).Must())}, rows)

	rows = nil
	for _, r := range toe1913 {
		rows = append(rows, row(r[0], r[1], Handbook, "renwick-1913", "positive emulsions; gamma 3"))
	}
	add(datapackage.Table{Name: "toe_of_1913", Title: "Toe of 1913", About: "The toe as density + c = u E, which the straight line of gamma touches at Et; density is 0 at E0. Printed is Et/E0 = 0.4343 gamma/c.",
		Key: []string{"c"}, Fields: sourced(number("c", "1", "constant of the toe, a density", 0, 1).Must().Ordered("increasing"), number("exposure_ratio", "1", "Et/E0 as printed", 1).Must())}, rows)

	rows = [][]string{row("A", 0.22, 1.7, Handbook, "kron-1914", ""), row("B", 0.11, 0.59, Handbook, "kron-1914", ""), row("C", 0.19, 0.042, Handbook, "kron-1914", "")}
	add(datapackage.Table{Name: "plates_of_1913", Title: "Plates of 1913", About: "Constants of reciprocity failure at both ends. The illuminance of least failure is in metre-Hefner-candles as printed; what these are in lux is not.",
		Key: []string{"plate"}, Fields: sourced(text("plate", "a letter for the plate").Must(), number("a", "1", "constant of the law", 0).Must(),
			number("optimum_metre_hefner_candles", "1", "illuminance of least failure, in metre-Hefner-candles", 0).Must())}, rows)

	rows = nil
	for _, r := range star1897 {
		rows = append(rows, row(r[0], r[1], Handbook, "scheiner-1897", "times in the unit of the first, which is not said"))
	}
	add(datapackage.Table{Name: "star_plate_of_1897", Title: "Star plate of 1897", About: "How much longer a plate was exposed to a light so many times weaker for the same blackening.",
		Key: []string{"weaker_by"}, Fields: sourced(number("weaker_by", "1", "how many times weaker the light is; the time of reciprocity too", 1).Must().Ordered("increasing"),
			number("relative_time", "1", "the time that was needed, relative to the first", 1).Must())}, rows)

	rows = nil
	for i, minutes := range xray {
		f := float64(80 - i)
		rows = append(rows, row("medical x-ray film, least", f, figures.Round((f-32)/1.8, 1), figures.Round(minutes*60, 0), Handbook, "rules-x-ray", "developed by hand; least times; printed in half minutes; the Celsius column of Minnesota"))
	}
	for _, r := range industrial {
		for k, name := range []string{"radiographic film, normal", "radiographic film, most"} {
			rows = append(rows, row(name, r[0], figures.Round((r[0]-32)/1.8, 1), figures.Round(r[1+k]*60, 0), Handbook, "services-radiography", "developed by hand; printed in quarter minutes; Celsius computed"))
		}
	}
	add(datapackage.Table{Name: "time_temperature_charts", Title: "Charts of time and temperature", About: "Developing times of real material against temperature. No single temperature coefficient reproduces any of them to its rounding.",
		Key: []string{"chart", "temperature_fahrenheit"}, Fields: sourced(text("chart", "what was developed, and how").Must(), number("temperature_fahrenheit", "1", "temperature in degrees Fahrenheit as printed", 32, 212).Must(),
			number("temperature_degc", "Cel", "the same in degrees Celsius", 0, 60).Must(), number("development_s", "s", "development time", 1).Must())}, rows)

	add(datapackage.Table{Name: "appearance_of_1910", Title: "Times of appearance of 1910", About: "When the image is first seen in a metol-hydroquinone developer.",
		Key: []string{"temperature_degc"}, Fields: sourced(number("temperature_degc", "Cel", "temperature of the bath", 0, 60).Must().Ordered("increasing"), number("appearance_s", "s", "time of appearance", 0).Must())},
		[][]string{row(8., 70., Handbook, "wall-1910", ""), row(20., 25., Handbook, "wall-1910", "")})
	return out
}

var (
	speeds1919 = [][3]float64{{10, 15, 24}, {20, 30, 28}, {40, 60, 49}, {80, 120, 69}, {100, 147, 77}, {120, 176, 84}, {140, 206, 91}, {160, 235, 103}, {200, 294, 109},
		{220, 323, 114}, {240, 352, 120}, {260, 382, 124}, {280, 412, 129}, {300, 441, 134}, {320, 470, 138}, {340, 500, 142}, {380, 558, 150}, {400, 588, 154}}
	toe1913  = [][2]float64{{.01, 130}, {.02, 65}, {.04, 32.5}, {.10, 13}, {.15, 8.7}}
	star1897 = [][2]float64{{1, 1}, {4, 4.8}, {16, 20}, {25, 32}, {36, 48}}
	// From 80 °F down to 60 °F, minutes.
	xray = []float64{2, 2, 2.5, 2.5, 3, 3, 3.5, 3.5, 4, 4, 4.5, 4.5, 5, 5.5, 5.5, 6, 6.5, 7, 8, 8.5, 9.5}
	// °F, minutes, most minutes.
	industrial = [][3]float64{{80, 3.25, 6.25}, {76, 3.75, 6.75}, {72, 4, 7}, {70, 4.5, 7.5}, {68, 5, 8}, {65, 5.5, 8.5}, {63, 6, 9}}
)

// The printed numbers follow the printed rules, but where the print slips.
func TestHistoricNumbers(t *testing.T) {
	// M. J. Martin 1919, chapter V: 50/34 of the first column, or one and a half times it.
	for _, r := range speeds1919 {
		if math.Abs(r[1]-r[0]*50/34) > 1 && r[1] != 1.5*r[0] {
			t.Errorf("speed %v: %v", r[0], r[1])
		}
		off := math.Abs(r[2]/(6.4*math.Sqrt(r[1]))-1) > 0.035
		if slip := r[0] == 20 || r[0] == 160; off != slip {
			t.Errorf("speed %v: third number %v, due %.1f", r[0], r[2], 6.4*math.Sqrt(r[1]))
		}
	}
	// F. F. Renwick 1913, p. 124: printed to two or three digits; all agree to 0.3 %.
	for _, r := range toe1913 {
		if due := .4343 * 3 / r[0]; math.Abs(r[1]/due-1) > .003 {
			t.Errorf("c = %v: %v, due %v", r[0], r[1], due)
		}
	}
	// Encyclopaedia Britannica 1911, p. 500: half the energy counts at 1/64 of the light.
	plate := must(lanternPlate())
	law := plate.data.Reciprocity.Form
	if p := 1 + math.Log(.5)/math.Log(64); math.Abs(law.Constants["p"]-p) > 1e-5 {
		t.Errorf("p is %v, want %v", law.Constants["p"], p)
	}
	// ... and 10 s 64^(1/p) of the lamp at 16 ft act as 10 s at 2 ft.
	if got := must(must(law.Make()).Adjusted(640)); math.Abs(got/1470.3-1) > 1e-3 {
		t.Errorf("%v s, want 1470", got)
	}
	// The charts at 68 °F: 5 minutes for both kinds of film in both sources.
	if xray[80-68] != 5 || industrial[4] != [3]float64{68, 5, 8} {
		t.Error("the charts do not meet at 68 °F")
	}
	// E. J. Wall 1910, p. 44: (log 70 - log 25)/12 begins 0.037.
	if k := math.Log10(70./25) / 12; !strings.HasPrefix(figures.Numeral(k), "0.037") {
		t.Errorf("%v", k)
	}
}
