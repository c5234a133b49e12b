package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestMain removes the binary that the end-to-end tests have built.
func TestMain(m *testing.M) {
	flag.Parse()
	// The tests choose the environment; what a person has set must not count.
	for _, name := range []string{"NO_COLOR", "BRINEMARK_LOGBOOK"} {
		os.Unsetenv(name)
	}
	// Nor must the record in the place where a person keeps it.
	binary.environment = os.Environ()
	home, err := os.MkdirTemp("", "brinemark-home")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for _, name := range []string{"XDG_DATA_HOME", "HOME", "LocalAppData"} {
		os.Setenv(name, home)
	}
	status := m.Run()
	os.RemoveAll(home)
	if binary.folder != "" {
		os.RemoveAll(binary.folder)
	}
	os.Exit(status)
}

// binary is the program, built once for all end-to-end tests.
var binary struct {
	once         sync.Once
	folder, path string
	err          error
	environment  []string // to build it in: the compiler has a cache at home
}

// buildBinary builds the program and returns its path.
func buildBinary(t *testing.T) string {
	t.Helper()
	binary.once.Do(func() {
		binary.folder, binary.err = os.MkdirTemp("", "brinemark-test")
		if binary.err != nil {
			return
		}
		binary.path = filepath.Join(binary.folder, "brinemark")
		if runtime.GOOS == "windows" {
			binary.path += ".exe"
		}
		command := exec.Command("go", "build", "-o", binary.path, ".")
		command.Env = binary.environment
		if text, err := command.CombinedOutput(); err != nil {
			binary.err = fmt.Errorf("%w: %s", err, text)
		}
	})
	require.NoError(t, binary.err)
	return binary.path
}

// brinemark runs the built binary, with nothing on its standard input.
func brinemark(t *testing.T, args ...string) (stdout, stderr string, status int) {
	t.Helper()
	command := exec.Command(buildBinary(t), args...)
	var out, err bytes.Buffer
	command.Stdout, command.Stderr = &out, &err
	failed := command.Run()
	var exit *exec.ExitError
	if failed != nil && !errors.As(failed, &exit) {
		require.NoError(t, failed)
	}
	return out.String(), err.String(), command.ProcessState.ExitCode()
}

func TestBinaryHelpAndVersion(t *testing.T) {
	out, errText, status := brinemark(t, "--help")
	assert.Equal(t, 0, status)
	assert.Empty(t, errText)
	assert.Contains(t, out, "brinemark COMMAND")
	out, errText, status = brinemark(t, "--version")
	assert.Equal(t, 0, status)
	assert.Empty(t, errText)
	assert.Regexp(t, `^brinemark \S+\n$`, out)
}

func TestBinaryRefusesOnStderr(t *testing.T) {
	for _, args := range [][]string{{}, {"recpie"}, {"--jsn"}, {"reference", "--temp"}} {
		out, errText, status := brinemark(t, args...)
		assert.Equal(t, 2, status, args)
		assert.Empty(t, out, args)
		assert.Contains(t, errText, "brinemark: ", args)
	}
}

// A reader that goes away, as in "brinemark --help | head -1", is no fault
// worth a message.
func TestBinaryIsQuietOnAClosedPipe(t *testing.T) {
	reader, writer, err := os.Pipe()
	require.NoError(t, err)
	require.NoError(t, reader.Close())
	defer writer.Close()
	command := exec.Command(buildBinary(t), "--help")
	var errText bytes.Buffer
	command.Stdout, command.Stderr = writer, &errText
	var exit *exec.ExitError
	require.ErrorAs(t, command.Run(), &exit)
	assert.Equal(t, 1, exit.ExitCode())
	assert.Empty(t, errText.String())
}
