// Package avx2 tells whether the processor and the system have what our assembly for
// vectors of 256 bits wants.
package avx2
