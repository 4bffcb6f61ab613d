// Command standin stands in for exposing, developing and reading: it fills the densities of
// a planned test with those of an invented film, so that the whole way from a plan to a card
// can be gone without a darkroom. The film's form is not one that the fits have.
//
//	go run ./examples/internal/standin -index 1900 DIR
//
// DIR holds test.json, strips.csv and bracket.csv as testplan writes them; cells that have a
// density are left alone.
package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"example.org/actinic/devtime"
	"example.org/actinic/internal/rolltest"
	"example.org/actinic/sensito"
)

func main() {
	index := flag.Float64("index", 1900, "index of the invented film after ten minutes, shadows four stops down")
	seed := flag.Uint64("seed", 4, "seed of film and noise")
	sd := flag.Float64("sd", 0.012, "standard deviation of a reading")
	flag.Parse()
	if err := run(flag.Arg(0), *index, *sd, *seed); err != nil {
		fmt.Fprintln(os.Stderr, "standin:", err)
		os.Exit(1)
	}
}

func run(dir string, index, sd float64, seed uint64) error {
	content, err := os.ReadFile(filepath.Join(dir, "test.json"))
	if err != nil {
		return err
	}
	var test struct {
		Metered   float64 `json:"metered_at_ei"`
		Developed string  `json:"bracket_development"`
	}
	if err := json.Unmarshal(content, &test); err != nil {
		return fmt.Errorf("test.json: %w", err)
	}
	bracket, err := devtime.ParseTime(test.Developed)
	if err != nil {
		return fmt.Errorf("test.json: bracket_development: %w", err)
	}
	r := rand.New(rand.NewPCG(seed, 1900))
	film := rolltest.NewFilm("1/x toe", r)
	const shadow = -4
	// By so much the film lies beside one of the index that is wanted.
	off := math.Log10(sensito.MeteredExposure/index) + shadow*math.Log10(2) - film.SpeedPoint(10)
	density := func(x float64, developed time.Duration) float64 {
		m := developed.Minutes()
		d := film.BaseFog(m)
		if !math.IsInf(x, -1) {
			d += film.Net(x-off, m)
		}
		return max(d+sd*r.NormFloat64(), 0)
	}
	metered := func(ei, stops float64) float64 {
		return math.Log10(sensito.MeteredExposure/ei) + stops*math.Log10(2)
	}
	if err := fill(filepath.Join(dir, "strips.csv"), func(cell func(string) string) (float64, error) {
		developed, err := devtime.ParseTime(cell("development"))
		if err != nil || cell("stops") == "" {
			return density(math.Inf(-1), developed), err
		}
		stops, err := strconv.ParseFloat(cell("stops"), 64)
		return density(metered(test.Metered, stops), developed), err
	}); err != nil {
		return err
	}
	return fill(filepath.Join(dir, "bracket.csv"), func(cell func(string) string) (float64, error) {
		ei, err := strconv.ParseFloat(cell("ei"), 64)
		tone, lit := map[string]float64{"shadow": shadow, "midtone": 0, "highlight": 3}[cell("patch")]
		if !lit || err != nil {
			return density(math.Inf(-1), bracket), err
		}
		return density(metered(ei, tone), bracket), nil
	})
}

// fill writes the densities that are missing in a table.
func fill(name string, density func(cell func(string) string) (float64, error)) error {
	content, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	rows, err := csv.NewReader(bytes.NewReader(content)).ReadAll()
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	at := slices.Index(rows[0], "density")
	if at < 0 {
		return fmt.Errorf("%s: no column density", name)
	}
	for i, row := range rows[1:] {
		if row[at] != "" {
			continue
		}
		d, err := density(func(column string) string {
			if k := slices.Index(rows[0], column); k >= 0 {
				return row[k]
			}
			return ""
		})
		if err != nil {
			return fmt.Errorf("%s:%d: %w", name, i+2, err)
		}
		row[at] = strconv.FormatFloat(d, 'f', 3, 64)
	}
	var b bytes.Buffer
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		return err
	}
	return os.WriteFile(name, b.Bytes(), 0o644)
}
