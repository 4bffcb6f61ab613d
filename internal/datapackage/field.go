package datapackage

// Field is a column of a table as its schema has it.
type Field struct {
	Name, Kind string // Kind is string, number or integer
	Unit       string // of a number, one of Units
	About      string
	Required   bool
	Min, Max   *float64
	Enum       []string
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

// Units are what a number can be in, and how the name of its field then ends.
var Units = map[string]string{
	"1": "", "nm": "_nm", "s": "_s", "min": "_min", "1/min": "_per_min", "degC": "_degc", "mm": "_mm",
	"log10(lx.s)": "log_h_lx_s", "stop": "_stops", "cd/m2": "_cd_m2", "lx": "_lx", "K": "_k", "%": "_percent", "deg": "_degrees",
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
