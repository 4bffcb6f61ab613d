package actinic

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"sort"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/actinic/devtime/roll"
	"example.org/actinic/internal/rolltest"
	"example.org/actinic/sensito/exposure"
	"example.org/actinic/sensito/exposure/camera"
	"example.org/actinic/spectral"
)

// How many random rolls are worked through. The figures in the docs are from 4000:
//
//	go test -run TestRollStudy -v . -args -rolls 4000
var rolls = flag.Int("rolls", 40, "random rolls of the study")

var misses = flag.Bool("misses", false, "print each index of the roll study whose interval misses the truth")

// missed says how an index misses, "" where it does not.
func missed(r *roll.Record, m rolltest.Made) string {
	x, d := r.Index, m.Design
	if x == nil || x.Development == nil || !(x.Low > 0) || !(x.High > 0) {
		return ""
	}
	want := d.Index(x.Development.Value / 60)
	if x.Low <= want && want <= x.High {
		return ""
	}
	tested := ""
	if b := r.Bracket; b != nil && b.Index != nil {
		tested = fmt.Sprintf(" as tested %+.2f ± %.2f (%s);", math.Log2(b.Index.Value/d.Index(d.Developed)), math.Log2(b.Index.High/b.Index.Low)/2, b.Shape)
	}
	return fmt.Sprintf("%s: off %+.2f ± %.2f stop;%s %d strips of %d steps, first %.2f under the speed point, %d unexposed, sd %.3f stated %v, %d frames, developed %.1f said %v, shadows only %v, for %.1f min, strips %.1f to %.1f",
		x.From, math.Log2(x.Value/want), math.Log2(x.High/x.Low)/2, tested, len(d.Times), d.Steps, d.Under, d.Unexposed, d.SD, d.Stated, d.Frames, d.Developed, d.SayDevelop, d.ShadowsOnly, x.Development.Value/60, d.Times[0], d.Times[len(d.Times)-1])
}

// tally counts coverage in a class of rolls.
type tally struct {
	n, development, developed, index, indexed, named, other int
	width                                                   float64
}

// Every roll, of films of all families, long and short tablets, clean or with something
// wrong, ends with numbers or with a sentence that names the cause; its film is
// published, read back equal, passes the check and can be planned with.
func TestRollStudy(t *testing.T) {
	by := map[string]*tally{}
	in := func(class string) *tally {
		if by[class] == nil {
			by[class] = &tally{}
		}
		return by[class]
	}
	for k := range *rolls {
		r := rand.New(rand.NewPCG(27, uint64(k)))
		family := rolltest.Families[k%len(rolltest.Families)]
		mishap := rolltest.Mishaps[r.IntN(len(rolltest.Mishaps))]
		if r.IntN(2) == 0 {
			mishap = ""
		}
		made := rolltest.Draw(rolltest.NewFilm(family, r), mishap, r).Make(r)
		name := fmt.Sprintf("roll %d, %s, %q", k, family, mishap)
		record := work(t, name, made)
		if record == nil {
			continue
		}
		if *misses {
			if why := missed(record, made); why != "" {
				t.Logf("%s: %s", name, why)
			}
		}
		label := mishap
		if label == "" {
			label = "clean"
		}
		classes := []string{"all", "film: " + family, "roll: " + label, fmt.Sprintf("steps: %d", made.Design.Steps)}
		if mishap == "wrong time" {
			classes = append(classes, fmt.Sprintf("wrong time, %d strips", len(made.Design.Times)))
		}
		for _, c := range classes {
			in(c).count(record, made)
		}
	}
	var names []string
	for name := range by {
		names = append(names, name)
	}
	sort.Strings(names)
	for _, name := range names {
		t.Log(by[name].line(name))
	}
}

func (c *tally) line(name string) string {
	pc := func(a, b int) float64 { return 100 * float64(a) / math.Max(float64(b), 1) }
	return fmt.Sprintf("%-28s %4d rolls: development %5.1f %% of %d, index %5.1f %% of %d (half-width %.2f stop), named %5.1f %%, something else %5.1f %%",
		name, c.n, pc(c.development, c.developed), c.developed, pc(c.index, c.indexed), c.indexed, c.width/math.Max(float64(c.indexed), 1), pc(c.named, c.n), pc(c.other, c.n))
}

// count holds a record against the truth.
func (c *tally) count(r *roll.Record, m rolltest.Made) {
	d := m.Design
	c.n++
	if t := r.Development; t != nil && t.Low > 0 {
		c.developed++
		if want := 60 * d.Film.DevelopFor(d.Target); t.Low <= want && want <= t.High {
			c.development++
		}
	}
	if x := r.Index; x != nil && x.Low > 0 && x.High > 0 && x.Development != nil {
		c.indexed++
		c.width += math.Log2(x.High/x.Low) / 2
		if want := d.Index(x.Development.Value / 60); x.Low <= want && want <= x.High {
			c.index++
		}
	}
	right, other := false, false
	for _, f := range r.Findings {
		switch {
		case f.What == roll.Unusable || f.What == roll.Flare || f.What == roll.Form || f.What == roll.Noise || f.What == roll.Drift:
		case expected(f, m):
			right = true
		default:
			other = true
		}
	}
	if right {
		c.named++
	}
	if other {
		c.other++
	}
}

// expected reports whether a finding is what befell the roll.
func expected(f roll.Finding, m rolltest.Made) bool {
	strip := len(f.Strips) > 0 && f.Strips[0] == m.Strip
	switch m.Design.Mishap {
	case "wild reading":
		return f.What == roll.WildReading && strip && f.Step == m.Step && f.Line == m.Line
	case "leak":
		return f.What == roll.Leak && strip
	case "fog":
		return f.What == roll.Fog && strip
	case "swap":
		return f.What == roll.Order && len(f.Strips) == 2 && (strip && f.Strips[1] == m.Other || f.Strips[0] == m.Other && f.Strips[1] == m.Strip)
	case "wrong time":
		return f.What == roll.Order && len(f.Strips) == 1 && strip
	case "wild shadow":
		return f.What == roll.WildReading && f.Frame == m.Frame
	case "frame off":
		return (f.What == roll.WildFrame || f.What == roll.WildReading) && f.Frame == m.Frame
	}
	return false
}

// work takes a roll from its files to a plan.
func work(t *testing.T, name string, m rolltest.Made) *roll.Record {
	t.Helper()
	bad := func(format string, args ...any) {
		t.Helper()
		t.Errorf("%s: %s", name, fmt.Sprintf(format, args...))
	}
	test, err := roll.Read(m.Files)
	if err != nil {
		bad("not read: %v", err)
		return nil
	}
	record, err := test.Characterise(roll.Settings{})
	if err != nil {
		bad("not characterised: %v", err)
		return nil
	}
	if record.Index == nil && len(record.Findings)+len(record.Warnings) == 0 {
		bad("no index, and no word why")
	}
	text, err := json.Marshal(record)
	if err != nil {
		bad("no JSON: %v", err)
		return nil
	}
	var back roll.Record
	if err := json.Unmarshal(text, &back); err != nil {
		bad("JSON not read back: %v", err)
	}
	if d := cmp.Diff(*record, back, cmpopts.EquateNaNs(), cmpopts.EquateEmpty(), cmpopts.IgnoreFields(roll.StripRecord{}, "Curve"), cmpopts.IgnoreFields(roll.ContrastTimeRecord{}, "Growth")); d != "" {
		bad("JSON reads back another record:\n%s", d)
	}
	film, err := FilmOf(record, Provenance{Basis: Invented, Source: "a study of random rolls"})
	if err != nil {
		if !strings.Contains(err.Error(), "neither a curve nor an index") {
			bad("no film: %v", err)
		}
		return record
	}
	if err := carries(film, record); err != nil {
		bad("%v", err)
	}
	if err := published(t, film); err != nil {
		bad("%v", err)
	}
	return record
}

// carries holds a film to its record: the index with the development that belongs to it
// and how it came about, and the strips at the developments that they were taken to
// have had.
func carries(film *Film, r *roll.Record) error {
	p := film.Data().Processes[0]
	if x := r.Index; (x == nil) != (p.Index == nil) {
		return fmt.Errorf("index %v of the record, %v of the film", x, p.Index)
	} else if x != nil {
		near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-4*math.Abs(b) }
		if !near(p.Index.Index.Value, x.Value) || !strings.Contains(p.Index.Provenance.Conditions, x.History) {
			return fmt.Errorf("index %v, %q; of the film %v, %q", x.Value, x.History, p.Index.Index, p.Index.Provenance.Conditions)
		}
		if d := p.Index.Development; x.Development != nil && (d == nil || !near(d.Value, x.Development.Value)) || x.Development == nil && d != nil {
			return fmt.Errorf("the index holds at %v, that of the film at %v", x.Development, d)
		}
	}
	taken := map[string]float64{}
	for i := range r.Strips {
		taken[r.Strips[i].Strip] = r.Strips[i].Taken()
	}
	for _, c := range p.Curves {
		if math.Abs(c.Development.Seconds()-taken[c.Name]) > 1e-6 {
			return fmt.Errorf("curve %s at %v, its strip taken at %v s", c.Name, c.Development, taken[c.Name])
		}
	}
	return nil
}

// published writes a film, reads it back, checks it and plans with it.
func published(t *testing.T, film *Film) error {
	dir := t.TempDir()
	defer os.RemoveAll(dir)
	where := dir + "/package"
	if err := WritePackage(where, PackageInfo{Name: "study", Title: "Study", Version: "0.1.0", Description: "A study."}, film); err != nil {
		return fmt.Errorf("not written: %w", err)
	}
	fsys := os.DirFS(where)
	if err := CheckPackage(fsys); err != nil {
		return fmt.Errorf("check: %w", err)
	}
	p, err := ReadPackage(fsys)
	if err != nil {
		return fmt.Errorf("not read back: %w", err)
	}
	back, err := p.Film("")
	if err != nil {
		return fmt.Errorf("not read back: %w", err)
	}
	if d := cmp.Diff(film.Data(), back.Data(), cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); d != "" {
		return fmt.Errorf("reads back another film:\n%s", d)
	}
	process, err := back.Process("")
	if err != nil {
		return err
	}
	if _, err := process.Index(); err != nil {
		return nil // nothing to plan with
	}
	apertures, err := camera.ApertureMarks(camera.ThirdStops, 1.4, 22)
	if err != nil {
		return err
	}
	times, err := camera.TimeMarks(camera.ThirdStops, 0, 0)
	if err != nil {
		return err
	}
	held, err := camera.New(camera.Scales{Apertures: apertures, Times: times, Bulb: true})
	if err != nil {
		return err
	}
	plan, err := PlanExposure(Shot{Scene: MeteredScene(exposure.EV100(11), spectral.Light{}), Film: back, Camera: held})
	if err != nil {
		return fmt.Errorf("no plan: %w", err)
	}
	if x, _ := process.Index(); x.Development != nil && math.Abs(plan.Development.Seconds()-x.Development.Value) > 1e-6 {
		return fmt.Errorf("the plan develops %v, the film %v s", plan.Development, x.Development.Value)
	}
	return nil
}
