package timetable

import (
	"fmt"
	"math"

	"example.org/actinic/devtime"
	"example.org/actinic/sensito/printed"
)

// checkTemperatures looks at the temperatures by themselves, and returns them with
// NaN in place of those that cannot be.
func checkTemperatures(rep *printed.Builder, rows []Row) []float64 {
	temps := make([]float64, len(rows))
	var step float64 = 1
	for _, r := range rows {
		if c := float64(r.Temperature); c != math.Round(c) {
			step = min(step, 0.1)
		}
	}
	for i, r := range rows {
		c := r.Temperature
		temps[i] = float64(c)
		if c == 0 && r.Fahrenheit != 0 {
			c = devtime.FromFahrenheit(r.Fahrenheit)
			if temps[i] = float64(c); c < coldest || c > hottest {
				temps[i] = math.NaN()
				rep.Add(printed.Finding{Row: i + 1, Column: "temperature_f", Printed: printed.Plain(r.Fahrenheit),
					Unit: "°F", Confidence: printed.High,
					Rule: fmt.Sprintf("baths of development are between %g and %g °F", coldest.Fahrenheit(), hottest.Fahrenheit())})
			}
			continue
		}
		if c == 0 {
			continue
		}
		// What it should be: by the other column, or as Fahrenheit.
		implied := math.NaN()
		if f := r.Fahrenheit; f != 0 {
			implied = float64(devtime.FromFahrenheit(f))
		} else if c < coldest || c > hottest {
			if f := devtime.FromFahrenheit(float64(c)); f >= coldest && f <= hottest {
				implied = float64(f)
			} else if t := 10 * c; t >= coldest && t <= hottest {
				implied = float64(t)
			} else if t := c / 10; t >= coldest && t <= hottest {
				implied = float64(t)
			}
		}
		f := printed.Finding{Row: i + 1, Column: "temperature_c", Printed: printed.Plain(float64(c)), Unit: "°C", Confidence: printed.High}
		switch {
		case c < coldest || c > hottest:
			f.Rule = fmt.Sprintf("baths of development are between %g and %g °C", float64(coldest), float64(hottest))
		case !math.IsNaN(implied) && math.Abs(float64(c)-implied) > step/2+1e-9:
			f.Rule = "the two columns of temperature agree"
		default:
			continue
		}
		if !math.IsNaN(implied) {
			f.Implied = printed.Plain(math.Round(implied*10) / 10)
			f.Deviation = float64(c) - implied
			switch {
			case math.Abs(float64(devtime.FromFahrenheit(float64(c)))-implied) < 0.6:
				f.Slip = printed.SlipFahrenheit
			case math.Abs(float64(c)/implied-10) < 0.1, math.Abs(implied/float64(c)-10) < 0.1:
				f.Slip = printed.SlipDecimal
			case i > 0 && rows[i-1].Temperature == c:
				f.Slip = printed.SlipCopied
			default:
				f.Slip = printed.SlipOf(float64(c), implied, 0, printed.Plain(float64(c)))
			}
		}
		temps[i] = implied
		rep.Add(f)
	}
	return temps
}
