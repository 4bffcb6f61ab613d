package plan

import (
	"encoding/json"
	"fmt"
	"strings"
	"text/tabwriter"
)

// listed is how many exposures and developments are printed.
const listed = 8

// String says what was reached and what comes next.
func (a *Advice) String() string {
	var b strings.Builder
	b.WriteString("So far\n")
	if x := a.Record.Index; x != nil {
		fmt.Fprintf(&b, "Index        %s  %s\n", index(x.Value), stops(float64(a.IndexHalfWidth)))
	} else {
		b.WriteString("Index        none yet\n")
	}
	if x := a.Record.Development; x != nil {
		fmt.Fprintf(&b, "Development  %s  %s\n", clock(seconds(x.Value)), percent(a.DevelopmentHalfWidth))
	} else {
		b.WriteString("Development  none yet\n")
	}
	if len(a.Frames) > 0 {
		b.WriteString("\nOne more frame of the bracket, and the half-width of its index after it\n")
	}
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	for i, f := range a.Frames {
		if i == listed {
			break
		}
		what, as := f.Setting.String(), fmt.Sprintf("exposed as EI %.0f", f.ExposedAs)
		if f.Unexposed {
			what, as = "lens covered", "unexposed"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%.1f %% narrower\n", what, as, stops(float64(f.HalfWidth)), f.Narrower)
	}
	_ = w.Flush() // a strings.Builder does not fail
	if len(a.Strips) > 0 {
		b.WriteString("\nOne more strip, and the half-width of the development after it\n")
		for i, s := range a.Strips {
			if i == listed {
				break
			}
			fmt.Fprintf(&b, "%6s  %s\n", clock(s.Development), percent(s.DevelopmentHalfWidth))
		}
	}
	b.WriteString("\n")
	for _, n := range a.Notes {
		folded(&b, "- "+n)
	}
	return b.String()
}

// MarshalJSON writes what was reached, and what one more frame or strip would reach, the
// best first; what is not known is null.
func (a *Advice) MarshalJSON() ([]byte, error) {
	type frame struct {
		EI        *float64     `json:"ei"`
		ExposedAs *float64     `json:"exposed_as"`
		Unexposed bool         `json:"unexposed"`
		Set       *settingJSON `json:"set"`
		HalfWidth *float64     `json:"index_half_width_stops"`
		Narrower  *float64     `json:"narrower_percent"`
	}
	type strip struct {
		DevelopmentS float64  `json:"development_s"`
		Percent      *float64 `json:"development_half_width_percent"`
	}
	j := struct {
		Index       *float64 `json:"index"`
		HalfWidth   *float64 `json:"index_half_width_stops"`
		Development *float64 `json:"development_s"`
		Percent     *float64 `json:"development_half_width_percent"`
		Frames      []frame  `json:"next_frames"`
		Strips      []strip  `json:"next_strips"`
		More        int      `json:"more_frames"`
		Notes       []string `json:"notes"`
	}{HalfWidth: known(float64(a.IndexHalfWidth)), Percent: known(100 * a.DevelopmentHalfWidth), Frames: []frame{}, Strips: []strip{},
		More: a.More, Notes: append([]string{}, a.Notes...)}
	if x := a.Record.Index; x != nil {
		j.Index = known(x.Value)
	}
	if x := a.Record.Development; x != nil {
		j.Development = known(x.Value)
	}
	for _, f := range a.Frames {
		out := frame{Unexposed: f.Unexposed, HalfWidth: known(float64(f.HalfWidth)), Narrower: known(f.Narrower)}
		if !f.Unexposed {
			set := setting(f.Setting)
			out.EI, out.ExposedAs, out.Set = known(f.Index), known(f.ExposedAs), &set
		}
		j.Frames = append(j.Frames, out)
	}
	for _, s := range a.Strips {
		j.Strips = append(j.Strips, strip{s.Development.Seconds(), known(100 * s.DevelopmentHalfWidth)})
	}
	return json.Marshal(j)
}
