//go:build !amd64

package image

func detect() way { return plain }

type layout struct{}

func (p *Prepared) newLayout() layout { return layout{} }

// fast does no pixel here.
func (p *Prepared) fast(density, reflectance []float32, stream bool, counts *[4]int) int { return 0 }

// sums does no pixel here.
func (p *Prepared) sums(x []float32, channel int, reflectance []float32) int { return 0 }
