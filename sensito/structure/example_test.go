package structure_test

import (
	"fmt"
	"math"
	"math/rand/v2"

	"example.org/actinic/internal/copystand"
	"example.org/actinic/sensito/structure"
)

// Two frames of one even patch of an invented film, pixels of 4 µm: what both have is grain, and the
// noise that each has of its own is not counted.
func Example() {
	const side = 200
	r := rand.New(rand.NewPCG(1, 1))
	grain := copystand.Correlated(r, side, side, 1) // over one pixel
	frames := make([][]float64, 2)
	for k := range frames {
		frames[k] = make([]float64, side*side)
		for i, g := range grain {
			frames[k][i] = math.Pow(10, -0.9-0.03*g) * (1 + 0.02*r.NormFloat64())
		}
	}
	camera, err := structure.Gaussian(2, 150, 100) // a lens of a spread of 2 µm, so that the film's grain is finer than what is seen
	if err != nil {
		fmt.Println(err)
		return
	}
	p, err := structure.NewPatch(side, side, 4, structure.Aperture48)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, tile := range p.Tiles() {
		var cut [2][]float64
		for k := range cut {
			for y := range tile.Height {
				at := (tile.Y+y)*side + tile.X
				cut[k] = append(cut[k], frames[k][at:at+tile.Width]...)
			}
		}
		if err := p.Add(nil, cut[0], cut[1]); err != nil {
			fmt.Println(err)
			return
		}
	}
	s, err := p.Spectrum()
	if err != nil {
		fmt.Println(err)
		return
	}
	g, err := s.Granularity(camera)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("density %.2f, in 48 µm %.4f (%.4f to %.4f)\n", float64(g.Density), g.SD.Value, g.SD.Low, g.SD.High)
	// Output:
	// density 0.90, in 48 µm 0.0067 (0.0064 to 0.0071)
}
