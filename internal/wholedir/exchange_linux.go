//go:build linux && (amd64 || arm64 || 386 || arm || riscv64)

package wholedir

import (
	"errors"
	"os"
	"runtime"
	"syscall"
	"unsafe"
)

// renameat2 is the number of the call by processor, which package syscall does not have.
var renameat2 = map[string]uintptr{"amd64": 316, "arm64": 276, "386": 353, "arm": 382, "riscv64": 276}

// exchangeFolders puts two folders in each other's place in one step.
//
// Source: renameat2(2), RENAME_EXCHANGE = 2, from Linux 3.15 on.
func exchangeFolders(a, b string) error {
	pa, err := syscall.BytePtrFromString(a)
	if err != nil {
		return err
	}
	pb, err := syscall.BytePtrFromString(b)
	if err != nil {
		return err
	}
	const here, flag = -100, 2
	at := here // AT_FDCWD
	_, _, e := syscall.Syscall6(renameat2[runtime.GOARCH], uintptr(at), uintptr(unsafe.Pointer(pa)), uintptr(at), uintptr(unsafe.Pointer(pb)), flag, 0)
	switch {
	case e == 0:
		return nil
	case errors.Is(e, syscall.EINVAL), errors.Is(e, syscall.ENOSYS), errors.Is(e, syscall.ENOTSUP):
		return errNoExchange
	}
	return &os.LinkError{Op: "renameat2", Old: a, New: b, Err: e}
}
