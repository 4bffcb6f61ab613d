package forms_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed/forms"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		forms.Temperature, forms.Dilution, forms.Stops, forms.Factor, forms.Index, forms.Filter, forms.Cell.Range,
		(*forms.Question).Error, (*forms.Question).Unwrap, forms.Wanted, forms.Number, forms.SecondsOf, forms.Time,
	}, &forms.Question{Text: "1:10", Readings: []string{"1+9", "1+10"}, How: "say which"}, forms.AskPlus, forms.PlusIsStops, forms.PlusIsPlain, forms.AskColon, forms.PartsOfWater, forms.PartsInAll,
		"12", "1,234", "1.234", "1,5", "1/125", "1½", "2 1/2", "3-5", "3–5", "-", "—", "", "n/a", "~7", "ca. 7", "7*", "7 (a)", "1+31", "1:31", "stock", "1+", "6 min 30 s", "6:30", "6'30\"", "90 sec", "1 h", "20 C", "68°F", "20", "20°C/68°F",
		"No. 8", "#25", "K2", "ND 0.9", "ND8", "ND 64x", "0.6", "+2", "-1/3", "2x", "x4", "2 stops", "+1 1/3", "ISO 400", "100/21°", "21°", "EI 320", "400+", "1e3", "99999999999999", "0", "+0", "<3", ">3", "≈4", "1 to 3", "10 %", "f/8", "1:1:100", "1+1+100", "abc", "1 2", "½", "٣", "1'", "1 min 75 s", "NaN", "Inf",
		1.0, 60.0, 3600.0, "C", "F")
}
