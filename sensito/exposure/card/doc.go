// Package card holds the figures of a field card: what of a film and a camera goes into the
// bag. The root package computes them (actinic.FieldCard), and a program writes them on
// paper; what is between is data, with JSON names that other programs may rely on.
package card
