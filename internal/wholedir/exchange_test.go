//go:build linux && (amd64 || arm64 || 386 || arm || riscv64)

package wholedir

import (
	"errors"
	"maps"
	"os"
	"testing"
)

// Numbers of renameat2 in the kernel's tables of calls: arch/x86/entry/syscalls/syscall_64.tbl and syscall_32.tbl,
// arch/arm/tools/syscall.tbl, and include/uapi/asm-generic/unistd.h for arm64 and riscv64; typed from memory.
func TestNumbersOfTheCall(t *testing.T) {
	want := map[string]uintptr{"386": 353, "amd64": 316, "arm": 382, "arm64": 276, "riscv64": 276}
	if !maps.Equal(renameat2, want) {
		t.Errorf("%v, want %v", renameat2, want)
	}
}

// Names may be relative, and hold no NUL.
func TestExchangeOfNames(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, names := range [][2]string{{"a\x00", "b"}, {"a", "b\x00"}} {
		if err := exchangeFolders(names[0], names[1]); err == nil {
			t.Errorf("%q: no error", names)
		}
	}
	if err := errors.Join(os.Mkdir("a", 0o755), os.Mkdir("b", 0o755), os.WriteFile("a/old", nil, 0o644)); err != nil {
		t.Fatal(err)
	}
	err := exchangeFolders("a", "b")
	if errors.Is(err, errNoExchange) {
		t.Skip("this file system has no such step")
	}
	if _, err2 := os.Stat("b/old"); err != nil || err2 != nil {
		t.Error(err, err2)
	}
}
