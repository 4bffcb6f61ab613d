package timetable

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// makersLaw is of makers who follow no formula: a push has another factor for each stop, a
// dilution another exponent for each pair of neighbours, and the time falls with temperature
// by a share that changes at 20 °C.
type makersLaw struct{ u [6]float64 }

func newMakersLaw(u [6]float64) makersLaw { return makersLaw{u} }

func (l makersLaw) times(from origin, index, water, celsius float64) float64 {
	return math.Exp(l.pushed(math.Log2(index/from.index)) + l.diluted(water) - l.diluted(from.water) - l.warmed(celsius))
}

// at is a number from 0 to 1 of its own for a place k, from one of those drawn.
func (l makersLaw) at(which, k int) float64 {
	_, f := math.Modf(l.u[which] + 0.6180339887498949*float64(k) + 7*l.u[which]*l.u[5]*float64(k*k))
	return f
}

func (l makersLaw) pushed(stops float64) (y float64) {
	for k := range int(math.Round(stops)) {
		y += 0.22 + 0.2*l.at(0, k) // 1.25 to 1.52 times a stop
	}
	return y
}

func (l makersLaw) diluted(water float64) (y float64) {
	for k := range slices.Index(studyWaters, water) {
		y += (0.5 + 0.4*l.at(1, k)) * math.Log((1+studyWaters[k+1])/(1+studyWaters[k]))
	}
	return y
}

func (l makersLaw) warmed(celsius float64) float64 {
	if celsius < 20 {
		return (0.07 + 0.05*l.u[2]) * (celsius - 20)
	}
	return (0.07 + 0.05*l.u[3]) * (celsius - 20)
}

// TestSlipStudyOfMakers is TestSlipStudy by makers who follow no formula; the figures of the long
// run, -tables 300, are in the doc of Check.
func TestSlipStudyOfMakers(t *testing.T) {
	if testing.Short() {
		t.Skip("hundreds of tables")
	}
	n := 12
	if *long > 0 {
		n = *long
	}
	for _, size := range [][2]int{{8, 9}, {10, 12}} {
		t.Run(fmt.Sprintf("%d-%d rows", size[0], size[1]), func(t *testing.T) { slipStudy(t, size, n, newMakersLaw) })
	}
}
