//go:build !amd64

package elementary

var fast = false

func exps(dst, x *float64, n int) int   { return 0 }
func logs(dst, x *float64, n int) int   { return 0 }
func log1ps(dst, x *float64, n int) int { return 0 }
