package printed_test

import (
	"testing"

	"example.org/actinic/internal/held"
	"example.org/actinic/sensito/printed"
)

// What the package does with typical and impossible arguments is held to what it did.
func TestDrive(t *testing.T) {
	held.New(t).Drive([]any{
		printed.CheckFree, printed.NewBuilder, (*printed.Builder).Add, (*printed.Builder).Has,
		(*printed.Builder).Report, printed.SlipOf, printed.UnseenBelow, printed.Plain, printed.ThreeDigits,
		(*printed.Finding).Number, (*printed.Report).Accused, printed.Finding.MarshalJSON, printed.Finding.String,
		printed.Screen.Suspect, printed.ScreenTable, printed.CheckSeries, printed.Misplaced,
	}, held.Preconditions{}, printed.Series{Column: "factor", X: []float64{1, 2, 3, 4, 5, 6}, Y: []float64{2, 4, 6, 18, 10, 12}, Step: []float64{1}, Law: func(x float64) float64 { return 2 * x }, Words: "y = 2x", Order: 1},
		printed.Series{Column: "density", X: []float64{1, 2, 3, 4, 5, 6, 7, 8}, Y: []float64{0.1, 0.25, 0.4, 0.55, 0.7, 0.58, 1, 1.15}, Step: []float64{0.01}, Additive: true, Order: 1, Chain: true},
		printed.Series{Column: "x", X: []float64{1, 2, 3}, Y: []float64{9, 4, 1}, Step: []float64{1, 1, 1}, Text: []string{"9", "4", "1"}, Order: -1}, printed.Series{},
		printed.Finding{Row: 2, Column: "factor", Rule: "the law", Printed: "18", Implied: "8", Deviation: 1.17, Unit: "stops", Slip: printed.SlipAdded, Confidence: printed.High, Probability: 0.99},
		printed.Finding{Row: 1, Column: "minutes", Rule: "order", Printed: "3", Confidence: printed.Low}, printed.Finding{},
		[]float64{1, 2, 3, 4, 5, 6, 7, 8}, []float64{2, 4, 6, 18, 10, 12, 14, 16}, []float64{0.1, 0.25, 0.4, 0.55, 0.7, 0.58, 1, 1.15}, []float64(nil), []float64{1, 1, 1, 1, 1, 1, 1, 1},
		12.0, 15.0, 1.5, 0.0, 120.0, 0.12, 51.0, 60.0, -2.0, 5, 0, 1, 12, "12", "15", "120", "1.5", "factor", "")
}
