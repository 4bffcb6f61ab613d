package roll

import (
	"fmt"
	"math"
	"strings"

	"example.org/actinic/internal/figures"
	"example.org/actinic/internal/plausible"
	"example.org/actinic/sensito"
	"example.org/actinic/sensito/datafile"
)

// scaleNames are the columns that can say what a patch got, one of them in a file.
var scaleNames = []string{"log_h_lx_s", "stops", "ei"}

// readingNames are those of what was read there: densities or a camera's values.
var readingNames = []string{"density", "density_sd", "value", "value_sd"}

// metered is the exposure in log10 lx·s of a tone that was metered at an index, the field
// test's: see [sensito.MeteredExposure].
func metered(ei float64) float64 { return math.Log10(sensito.MeteredExposure / ei) }

// readScale reads how exposures and densities are to be taken.
func (roll *Roll) readScale(h *head) {
	if s, ok := h.text("exposure"); ok {
		if roll.Relative = s == "relative"; s != "relative" && s != "absolute" {
			h.bad("exposure", "relative, or absolute")
		}
	}
	if ei, ok := h.number("metered_at_ei"); ok {
		if !(ei >= plausible.LeastIndex && ei <= plausible.GreatestIndex) {
			h.bad("metered_at_ei", "an exposure index such as 400")
		} else {
			roll.meteredEI = ei
		}
	}
	if h.root.Has("metered_step") {
		k, ok := h.root.Get("metered_step").Whole()
		if !ok || !(k >= 1 && k <= 1000) || !h.root.Has("metered_at_ei") || !roll.Relative {
			h.bad("metered_step", "a step from 1, with metered_at_ei and exposure relative")
		} else {
			roll.meteredStep = int(k)
		}
	}
	roll.readRaw(h)
}

// readRaw reads the arrangement that a camera's values were read with.
func (roll *Roll) readRaw(h *head) {
	raw := h.root.Get("raw")
	if raw == nil {
		return
	}
	flareAt := raw.Offset
	for _, m := range raw.Members {
		if m.Name == "flare" {
			flareAt = m.At
		}
		if m.Name != "light" && m.Name != "dark" && m.Name != "flare" {
			h.fail(m.At, "raw", m.Name, "light, dark and flare")
			return
		}
	}
	light, ok1 := raw.Get("light").Number()
	dark, ok2 := raw.Get("dark").Number()
	flare, hasFlare := raw.Get("flare").Number()
	switch {
	case !ok1 || !ok2 || !(light > dark):
		h.bad("raw", "light and dark, the camera's values of the bare table and of the covered lens; the light above the dark")
	case raw.Has("flare") && !(hasFlare && flare >= 0 && flare < 1):
		h.fail(flareAt, "flare", raw.Get("flare").Plain(), "a fraction of the light field, from 0 to below 1; divide a percentage by 100")
	default:
		roll.raw = &sensito.Scan{Light: light, Dark: dark}
		if roll.flareKnown = hasFlare; hasFlare {
			roll.raw.Flare = flare
		}
	}
}

// ignored notes the columns that were passed over, but for a tester's own, whose names begin
// with x-.
func (roll *Roll) ignored(t *datafile.Table) {
	for _, name := range t.Ignored {
		if strings.HasPrefix(name, "x-") {
			continue
		}
		roll.notes = append(roll.notes, fmt.Sprintf("The column %q of %s was not read.", name, t.File))
	}
}

// scale finds the one column of exposures, and asks for that of the readings.
func (roll *Roll) scale(t *datafile.Table) string {
	if len(t.Errs) > 0 {
		return scaleNames[0]
	}
	found := ""
	for _, name := range scaleNames {
		switch {
		case !t.Has(name):
		case found == "":
			found = name
		default:
			t.Fail(1, 0, name, name, "one column of exposures, "+found+" or "+name)
			t.Rows = nil
		}
	}
	if found == "" {
		t.Fail(1, 0, scaleNames[0], "", "a column of this name, or stops, or ei")
		t.Rows = nil
		return scaleNames[0]
	}
	roll.hasReading(t)
	switch {
	case found == "stops":
		roll.Relative = roll.meteredEI == 0
	case roll.meteredEI > 0 && roll.meteredStep == 0:
		t.Fail(1, 0, found, "", "stops with metered_at_ei, or exposure relative with metered_step, which says where the metered tone is")
		t.Rows = nil
	case found == "ei":
		roll.Relative = false
	}
	return found
}

// hasReading asks for a column of densities or of values.
func (roll *Roll) hasReading(t *datafile.Table) {
	if len(t.Errs) > 0 {
		return
	}
	switch {
	case t.Has("density") && t.Has("value"):
		t.Fail(1, 0, "value", "value", "densities or the camera's values, not both")
	case t.Has("value") && roll.raw == nil:
		t.Fail(1, 0, "value", "value", `densities, or "raw": {"light": …, "dark": …, "flare": …} in test.json to make them of values`)
	case !t.Has("density") && !t.Has("value"):
		t.Fail(1, 0, "density", "", "a column of this name, or value with raw in test.json")
	default:
		return
	}
	t.Rows = nil
}

// exposure reads what a patch got.
func (roll *Roll) exposure(t *datafile.Table, r datafile.Row, scale string) (sensito.LogH, bool) {
	want := map[string]string{
		"log_h_lx_s": "log10 of lux seconds, or nothing for a patch that got no light",
		"stops":      "stops from the metered tone, or nothing for a patch that got no light",
		"ei":         "the exposure index at which the tone was metered, or nothing for a patch that got no light",
	}[scale]
	v, ok := t.Number(r, scale, want)
	if !ok {
		return 0, false
	}
	switch scale {
	case "stops":
		if !(math.Abs(v) <= 30) {
			t.FailAt(r, scale, "stops from the metered tone, between -30 and 30")
			return 0, false
		}
		x := sensito.LogH(sensito.Stops(v).Log10())
		if roll.meteredEI > 0 {
			x += sensito.LogH(metered(roll.meteredEI))
		}
		return x, true
	case "ei":
		if !(v >= plausible.LeastIndex && v <= plausible.GreatestIndex) {
			t.FailAt(r, scale, "an exposure index such as 400")
			return 0, false
		}
		return sensito.LogH(metered(v)), true
	}
	if !(v >= plausible.LeastLogH && v <= plausible.GreatestLogH) {
		t.FailAt(r, scale, fmt.Sprintf("log10 of lux seconds, between %d and %d; lux seconds themselves or other units are to be converted",
			plausible.LeastLogH, plausible.GreatestLogH))
		return 0, false
	}
	return sensito.LogH(v), true
}

// tie moves the exposures of a tablet so that its metered step got the field test's
// exposure.
func (roll *Roll) tie(t *datafile.Table) {
	if roll.meteredStep == 0 {
		return
	}
	roll.Relative = false
	for i := range roll.Strips {
		s := &roll.Strips[i]
		if len(s.Readings) < roll.meteredStep {
			t.Fail(s.FirstLine, 0, "strip", s.Name, fmt.Sprintf("%d steps at least, since metered_step is %d; it has %d",
				roll.meteredStep, roll.meteredStep, len(s.Readings)))
			return
		}
		by := sensito.LogH(metered(roll.meteredEI)) - s.Readings[roll.meteredStep-1].LogH
		for k := range s.Readings {
			s.Readings[k].LogH += by
		}
	}
}

// reading reads the density of a row, or makes it of the camera's value.
func (roll *Roll) reading(t *datafile.Table, r datafile.Row) (d, sd float64, ok bool) {
	if !t.Has("value") {
		if d, ok = density(t, r); !ok {
			return 0, 0, false
		}
		sd, ok = deviation(t, r)
		return d, sd, ok
	}
	v, ok := t.Number(r, "value", "the camera's value")
	if !ok {
		return 0, 0, false
	}
	if t.Text(r, "value_sd") != "" {
		if sd, ok = t.Number(r, "value_sd", "the standard deviation of the value, or nothing"); !ok {
			return 0, 0, false
		}
		if !(sd > 0) {
			t.FailAt(r, "value_sd", "a standard deviation above 0, or nothing where it is not known")
			return 0, 0, false
		}
	}
	got, sd, err := roll.raw.Density(v, sd)
	if err != nil {
		t.FailAt(r, "value", "a value between dark and light of test.json ("+figures.Bare(err)+")")
		return 0, 0, false
	}
	d = max(float64(got), 0)
	if d > plausible.GreatestDensity || sd >= 1 {
		t.FailAt(r, "value", fmt.Sprintf("a place that can be read: its density would be %.2f ± %.2f", d, sd))
		return 0, 0, false
	}
	return d, sd, true
}

// density reads the cell of a density.
func density(t *datafile.Table, r datafile.Row) (float64, bool) {
	d, ok := t.Number(r, "density", "a density")
	if ok && !(d >= 0 && d <= plausible.GreatestDensity) {
		t.FailAt(r, "density", fmt.Sprintf("a density from 0 to %d, base plus fog included", plausible.GreatestDensity))
		return 0, false
	}
	return d, ok
}

// deviation reads the cell of a standard deviation, 0 where it is empty.
func deviation(t *datafile.Table, r datafile.Row) (float64, bool) {
	if t.Text(r, "density_sd") == "" {
		return 0, true
	}
	sd, ok := t.Number(r, "density_sd", "a standard deviation, or nothing")
	if ok && !(sd > 0 && sd < 1) {
		t.FailAt(r, "density_sd", "a standard deviation above 0 and below 1, or nothing where it is not known")
		return 0, false
	}
	return sd, ok
}

// relative reports whether the strips' exposures are known to each other only.
func (r *Record) relative() bool { return r.Exposure == "relative" }

// copyFlare says what a flare that was not stated would do to camera readings.
func (r *builder) copyFlare(roll *Roll) {
	if roll.raw == nil || roll.flareKnown {
		return
	}
	most := 0.0
	for _, s := range roll.Strips {
		for _, g := range s.Readings {
			most = max(most, float64(g.Density))
		}
	}
	for _, f := range roll.Bracket {
		most = max(most, float64(f.Density))
	}
	if most == 0 {
		return
	}
	const fraction = 0.015
	// the true density that reads so through that flare; beyond it there is none
	text := fmt.Sprintf("a density read as %.2f could be no density at all", most)
	if t := (math.Pow(10, -most) - fraction) / (1 - fraction); t > 0 {
		text = fmt.Sprintf("a density read as %.2f would be %.2f", most, -math.Log10(t))
	}
	r.find(Finding{What: CopyFlare, File: headFile,
		Text: fmt.Sprintf("The flare of the copying camera is not stated and counts as 0. With 1.5 %% of it %s: contrast comes out too low and the development too long (1.5 %% turned 10:20 into 13:09 on a simulated roll). Read an opaque patch in the film's place and say raw.flare in test.json.", text)})
}
