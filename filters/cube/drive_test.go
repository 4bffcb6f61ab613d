package cube_test

import (
	"context"
	"math"
	"testing"

	"example.org/actinic/filters"
	"example.org/actinic/filters/cube"
	"example.org/actinic/internal/held"
	"example.org/actinic/sensito"
	"example.org/actinic/spectral"
)

// Densities of a few pixels, and what is refused, are held to what they were.
func TestDrive(t *testing.T) {
	curve, err := sensito.NewClosedForm(sensito.Constants{BaseFog: 0.2, Gamma: 0.6, Toe: -2.6, ToeWidth: 0.2, Shoulder: 2.4, Sharpness: 2, From: -3.6, To: 0})
	if err != nil {
		t.Fatal(err)
	}
	yellow, err := filters.Find("8")
	if err != nil {
		t.Fatal(err)
	}
	film := spectral.Generic(spectral.Panchromatic)
	plain := cube.Channel{Film: film, Light: spectral.D55.Light(), Filter: filters.Clear(), Curve: curve, White: -1.2}
	behind := cube.Channel{Film: film, Light: spectral.A.Light(), Filter: yellow.Filter, Curve: curve, White: -1}
	render := func(bands []float64, outside spectral.Outside, beyond cube.OffCurve, channels []cube.Channel, reflectance []float32, workers int) ([]float32, cube.Counts, []float64, error) {
		r, err := cube.Prepare(bands, outside, beyond, channels...)
		if err != nil {
			return nil, cube.Counts{}, nil, err
		}
		density := make([]float32, len(reflectance)/max(r.Bands(), 1)*r.Channels())
		counts, err := r.Densities(context.Background(), density, reflectance, cube.Options{Workers: workers})
		return density, counts, append(r.Weights(0), float64(r.Bands()), float64(r.Channels())), err
	}
	some := make([]float32, 31*9)
	for i := range some {
		some[i] = float32(0.02 + 0.9*math.Abs(math.Sin(float64(i)*0.7)))
	}
	odd := append([]float32(nil), some...)
	odd[3], odd[40], odd[100] = -0.1, float32(math.NaN()), 900
	dark := make([]float32, 31*5)
	var bands []float64
	for i := range 31 {
		bands = append(bands, 400+10*float64(i))
	}
	held.New(t).Drive([]any{render}, held.Few{}, bands, bands[:1], []float64{500, 400}, []float64(nil), spectral.Zero, spectral.Refuse, spectral.Hold, spectral.Outside(7), cube.ClampToCurve, cube.RefuseOffCurve, cube.OffCurve(5),
		[]cube.Channel{plain, behind}, []cube.Channel{behind}, []cube.Channel(nil), []cube.Channel{{}}, some, odd, dark, some[:30], []float32(nil), 1, 2, 0, -1)
	held.New(t).Drive([]any{cube.Counts.Plus}, cube.Counts{}, cube.Counts{})
}
