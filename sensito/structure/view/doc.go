// Package view turns the structure of a film into what a print of it shows: acutance by an
// edge's gradient and by the eye's weights, grain and smallest detail by format and
// enlargement, signal to noise over the characteristic curve, and how finely tones can be
// told apart. It makes no score: every figure is a physical quantity, and which eye, aperture
// and threshold were taken is named with it.
//
// Left out: colour, the paper's own grain and curve beyond its gradient, and the eye's adaptation.
package view
