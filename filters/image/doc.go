// Package image turns spectral images into photographs.
package image
