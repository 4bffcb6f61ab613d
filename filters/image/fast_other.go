//go:build !amd64

package image

const haveAVX2 = false

type layout struct{}

func (p *Prepared) newLayout() layout { return layout{} }

// fast does no pixel here.
func (p *Prepared) fast(density, reflectance []float32, counts *[4]int) int { return 0 }
