package golden

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// roomVariable tells a test's own process, run again, that its disk is full.
const roomVariable = "ACTINIC_TEST_ROOM"

// FullDisk runs a program in a process of its own on a disk where no file gets longer than some bytes, for several numbers
// of them: it is an error, and nothing is left of what was written. OUT among the arguments stands for the folder.
// A test calls it once, and first, for its process is the test's program run again.
func FullDisk(t *testing.T, run func(args []string, stdout, stderr io.Writer) error, rooms []uint64, lines ...string) {
	t.Helper()
	if room, parent, full := strings.Cut(os.Getenv(roomVariable), " "); full {
		os.Exit(onFullDisk(run, room, parent, lines))
	}
	for _, room := range rooms {
		parent := t.TempDir()
		again := exec.Command(os.Args[0], "-test.run=^"+t.Name()+"$")
		again.Env = append(os.Environ(), fmt.Sprintf("%s=%d %s", roomVariable, room, parent))
		var said bytes.Buffer
		again.Stdout = &said
		if err := again.Run(); err != nil {
			t.Errorf("with room for %d bytes a file: %v: %s", room, err, &said)
		}
		leavesNothing(t, parent)
	}
}

// onFullDisk runs the lines, and returns a status.
func onFullDisk(run func(args []string, stdout, stderr io.Writer) error, room, parent string, lines []string) int {
	n, err := strconv.ParseUint(room, 10, 64)
	if err == nil {
		signal.Ignore(syscall.SIGXFSZ)
		err = syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: n, Max: n})
	}
	if err != nil {
		fmt.Println(err)
		return 1
	}
	status := 0
	for i, line := range lines {
		args := strings.Fields(strings.ReplaceAll(line, "OUT", filepath.Join(parent, strconv.Itoa(i))))
		if err := run(args, io.Discard, io.Discard); err == nil {
			fmt.Printf("%s: no error\n", line)
			status = 1
		}
	}
	return status
}
