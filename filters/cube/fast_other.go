//go:build !amd64

package cube

func detect() way { return plain }

type layout struct{}

func (p *Renderer) newLayout() layout { return layout{} }

// fast does no pixel here.
func (p *Renderer) fast(density, reflectance []float32, stream bool, counts *[4]int) int { return 0 }

// sums does no pixel here.
func (p *Renderer) sums(x []float32, channel int, reflectance []float32) int { return 0 }
