package cube

import (
	"syscall"
	"testing"
	"unsafe"
)

// memory returns n float32 in pages as large as the system gives, as arrays of that
// size have them in numerical tools: small pages alone cost a third of the speed of
// reading.
func memory(b testing.TB, n int) []float32 {
	m, err := syscall.Mmap(-1, 0, 4*n+1<<21, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_PRIVATE|syscall.MAP_ANON)
	if err != nil {
		b.Skip(err)
	}
	b.Cleanup(func() { syscall.Munmap(m) })
	syscall.Madvise(m, 14) // MADV_HUGEPAGE; without it only slower
	return unsafe.Slice((*float32)(unsafe.Pointer(&m[0])), n)
}
