//go:build !amd64

package avx2

// Have reports false.
func Have() bool { return false }
