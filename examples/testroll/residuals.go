package main

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/examples/internal/figure"
)

// residuals draws what the readings lie from the curves: a row for each strip, whose
// middle is the curve.
func residuals(r *roll.Record) *plot.Plot {
	if len(r.Strips) == 0 {
		return nil
	}
	scale := 0.01
	for _, s := range r.Strips {
		_, greatest, _ := rms(s.Account.Residuals)
		scale = max(scale, math.Abs(greatest))
	}
	row := 2.4 * scale
	p := figure.New(title(r, "Residuals of the readings"), "log10 exposure", "Density read less the curve's")
	rows := float64(len(r.Strips))
	lo, hi := math.Inf(1), math.Inf(-1)
	var tags []figure.Tag
	for k, s := range r.Strips {
		middle := (rows - 0.5 - float64(k)) * row
		var all, doubted plotter.XYs
		for i, d := range s.Account.Residuals {
			if i >= len(s.Readings) {
				break
			}
			at := plotter.XY{X: float64(s.Readings[i].LogH), Y: middle + float64(d)}
			lo, hi = min(lo, at.X), max(hi, at.X)
			all = append(all, at)
			if wild(r, s.Strip, i+1) {
				doubted = append(doubted, at)
			}
		}
		if len(all) == 0 {
			continue
		}
		figure.Points(p, all, draw.CrossGlyph{}, figure.Black, 2)
		if len(doubted) > 0 {
			figure.Points(p, doubted, draw.RingGlyph{}, figure.Black, 5)
		}
		tags = append(tags, figure.Tag{X: all[len(all)-1].X, Y: middle, Text: fmt.Sprintf("%s  %s", s.Strip, development(s))})
	}
	if !(lo < hi) {
		return nil
	}
	p.X.Min, p.X.Max = lo-0.03*(hi-lo), hi+0.16*(hi-lo)
	for k := range len(r.Strips) {
		middle := (rows - 0.5 - float64(k)) * row
		figure.Line(p, plotter.XYs{{X: p.X.Min, Y: middle}, {X: hi, Y: middle}}, figure.Mid, 0.5, nil)
	}
	figure.Tags(p, tags...)
	p.Y.Min, p.Y.Max = 0, rows*row
	p.Y.Tick.Marker = plot.ConstantTicks(rowTicks(len(r.Strips), row, scale))
	return p
}

// crowded is the number of rows from which only their middles are numbered.
const crowded = 8

// rowTicks mark the middle of each row and a round number on either side of it.
func rowTicks(rows int, row, scale float64) []plot.Tick {
	step := math.Pow(10, math.Floor(math.Log10(scale)))
	for _, f := range []float64{5, 2} {
		if f*step <= scale {
			step *= f
			break
		}
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var out []plot.Tick
	for k := range rows {
		middle := (float64(k) + 0.5) * row
		low, high := signed(-step, decimals), signed(step, decimals)
		if rows >= crowded {
			low, high = "", ""
		}
		out = append(out, plot.Tick{Value: middle - step, Label: low}, plot.Tick{Value: middle, Label: "0"},
			plot.Tick{Value: middle + step, Label: high})
	}
	return out
}

// What a figure shows, for whoever does not see it.

func familyWords(r *roll.Record) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, density against log exposure, %d curves.", r.Film, len(r.Strips))
	for _, s := range r.Strips {
		fmt.Fprintf(&b, " Strip %s developed %s: from %.2f", s.Strip, development(s), s.BaseFog)
		if s.Curve != nil {
			lo, hi := s.Curve.Domain()
			if d, err := s.Curve.Density(hi); err == nil {
				fmt.Fprintf(&b, " to %.2f over log exposures %.2f to %.2f", float64(d), float64(lo), float64(hi))
			}
		}
		fmt.Fprintf(&b, ", speed point at %.2f.", s.SpeedPointLogH)
	}
	return b.String()
}

func contrastWords(r *roll.Record) string {
	var b strings.Builder
	b.WriteString("Average gradient against development.")
	for _, s := range r.Strips {
		if g := s.AverageGradient; g != nil {
			fmt.Fprintf(&b, " %s: %s %s.", development(s), s.Strip, number(g))
		}
	}
	fmt.Fprintf(&b, " The target is %.2f", r.TargetAverageGradient)
	if d := r.Development; d != nil {
		fmt.Fprintf(&b, ", reached at %s", development(roll.StripRecord{DevelopmentS: math.Round(d.Value)}))
	}
	return b.String() + "."
}

func bracketWords(r *roll.Record) string {
	b := r.Bracket
	words := fmt.Sprintf("Densities of %d frames from EI %.4g to %.4g", len(b.Frames), b.Frames[0].Index, b.Frames[len(b.Frames)-1].Index)
	if b.Index != nil {
		words += fmt.Sprintf("; the shadow has %.2f at EI %.0f", b.Target, b.Index.Value)
	}
	if b.Highlight != nil {
		words += fmt.Sprintf(", the highlight %.2f there", *b.Highlight)
	}
	return words + "."
}

func residualWords(r *roll.Record) string {
	var parts []string
	for _, s := range r.Strips {
		root, greatest, step := rms(s.Account.Residuals)
		parts = append(parts, fmt.Sprintf("strip %s root mean square %.4f, greatest %s at step %d", s.Strip, root, signed(greatest, 3), step))
	}
	return "Readings less curves: " + strings.Join(parts, "; ") + "."
}
