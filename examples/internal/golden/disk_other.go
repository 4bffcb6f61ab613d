//go:build !linux

package golden

import (
	"io"
	"testing"
)

// FullDisk is not to be had here.
func FullDisk(*testing.T, func(args []string, stdout, stderr io.Writer) error, []uint64, ...string) {}
