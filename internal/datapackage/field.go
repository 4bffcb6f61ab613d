package datapackage

import "strings"

// Field is a column of a table as its schema has it.
type Field struct {
	Name, Kind string // Kind is string, number or integer
	Unit       string // of a number, one of Units
	About      string
	Required   bool
	Min, Max   *float64
	Enum       []string
	others     bool   // of somebody else's table or column
	Order      string // "increasing" or "nondecreasing" among rows that agree in the rest of the key
}

// Foreign is a key that leads to rows of another table.
type Foreign struct {
	Fields   []string
	Resource string
	To       []string
}

// Table is a table without its rows.
type Table struct {
	Name, Title, About string
	Key                []string
	Foreign            []Foreign
	Fields             []Field
}

// Units are what a number can be in, by its code in UCUM, and how the name of its field
// then ends. What UCUM has no unit for is a number with a remark in braces.
//
// Source: the Unified Code for Units of Measure; /min, Cel, lx and cd are its codes.
var Units = map[string]string{
	"1": "", "nm": "_nm", "s": "_s", "min": "_min", "/min": "_per_min", "Cel": "_degc", "mm": "_mm",
	"{log10(lx.s)}": "log_h_lx_s", "{stop}": "_stops", "cd/m2": "_cd_m2", "lx": "_lx", "K": "_k", "%": "_percent", "{deg}": "_degrees",
	"um": "_um", "/mm": "_per_mm",
}

// formerUnits are the names that units had before version 1.0 of the format.
var formerUnits = map[string]string{"1/min": "/min", "degC": "Cel", "log10(lx.s)": "{log10(lx.s)}", "stop": "{stop}", "deg": "{deg}"}

// titles are those of fields whose name does not make one.
var titles = map[string]string{
	"ei": "Exposure index", "ei_from": "Exposure index found from", "ei_low": "Exposure index, lower end", "ei_high": "Exposure index, upper end",
	"q10": "Temperature coefficient per 10 °C", "a": "Constant a", "b": "Exponent b", "p": "Exponent p", "short_p": "Exponent p of short times",
	"s0": "Component S0", "s1": "Component S1", "s2": "Component S2", "v": "Luminous efficiency V", "log_h_lx_s": "log10 H",
	"f_number": "F-number", "ev100_stops": "Exposure value at ISO 100", "av_stops": "Aperture value", "tv_stops": "Time value",
	"speed_degrees": "Logarithmic speed", "log10_sensitivity": "log10 of the sensitivity", "from_log_h_lx_s": "From log10 H", "to_log_h_lx_s": "To log10 H",
	"toe_log_h_lx_s": "Toe, log10 H", "speed_point_log_h_lx_s": "Speed point, log10 H", "log10_sensitivity_sd": "log10 of the sensitivity, standard deviation",
}

// TitleOf makes a title of a field's name: words, without the unit.
func (f *Field) TitleOf() string {
	if t, ok := titles[f.Name]; ok {
		return t
	}
	name := strings.TrimSuffix(f.Name, Units[f.Unit])
	for _, end := range []struct{ of, say string }{{"_low", ", lower end"}, {"_high", ", upper end"}, {"_sd", ", standard deviation"}} {
		if before, ok := strings.CutSuffix(name, end.of); ok {
			name = before + end.say
		}
	}
	words := strings.ReplaceAll(name, "_", " ")
	return strings.ToUpper(words[:1]) + words[1:]
}

// Text is a field of text.
func Text(name, about string) Field { return Field{Name: name, Kind: "string", About: about} }

// Number is a field of numbers with a unit, and perhaps a least and a greatest value.
func Number(name, unit, about string, limits ...float64) Field {
	f := Field{Name: name, Kind: "number", Unit: unit, About: about}
	if len(limits) > 0 {
		f.Min = &limits[0]
	}
	if len(limits) > 1 {
		f.Max = &limits[1]
	}
	return f
}

// Must makes a field one that is not to be missing.
func (f Field) Must() Field { f.Required = true; return f }

// OneOf bounds a field to some words.
func (f Field) OneOf(words ...string) Field { f.Enum = words; return f }

// Ordered says that the rows are "increasing" or "nondecreasing" in the field.
func (f Field) Ordered(how string) Field { f.Order = how; return f }

// Saying gives the field another description.
func (f Field) Saying(about string) Field { f.About = about; return f }

// Field returns a field of the table by its name; nil where there is none.
func (t *Table) Field(name string) *Field {
	for i := range t.Fields {
		if t.Fields[i].Name == name {
			return &t.Fields[i]
		}
	}
	return nil
}

// Columns returns the names of the fields, those that must be in a file first.
func (t *Table) Columns() (required, optional []string) {
	for _, f := range t.Fields {
		if f.Required {
			required = append(required, f.Name)
		} else {
			optional = append(optional, f.Name)
		}
	}
	return required, optional
}
