package main

import (
	"errors"
	"fmt"
	"runtime"
	"strings"
	"syscall"

	"github.com/urfave/cli/v2"
)

// The exit status, the same for every command.
const (
	statusDone       = 0 // done
	statusCouldNot   = 1 // asked for rightly, but could not be done
	statusBadInput   = 2 // bad usage or bad input
	statusNotPassing = 3 // with --check: done, but the verdict is not pass
)

// exitStatus chooses the status for what a command returned. An error is bad
// input unless it says otherwise.
func exitStatus(err error) int {
	var failed *failure
	var verdict *verdictError
	switch {
	case err == nil:
		return statusDone
	case errors.As(err, &verdict):
		return statusNotPassing
	case errors.As(err, &failed):
		return statusCouldNot
	}
	return statusBadInput
}

// failure is an error that is nobody's bad input.
type failure struct{ err error }

func (f *failure) Error() string { return f.err.Error() }
func (f *failure) Unwrap() error { return f.err }

// couldNotDo marks an error as one the input is not to blame for: a disk that
// is full, a file that may not be read. The exit status is then 1. nil stays nil.
func couldNotDo(err error) error {
	if err == nil {
		return nil
	}
	return &failure{err}
}

// misuse is an error about how a command was typed; it points to the help of
// the command with these words.
type misuse struct {
	err  error
	path []string
}

func (m *misuse) Error() string {
	return fmt.Sprintf("%v; see %s --help", m.err, strings.Join(append([]string{"brinemark"}, m.path...), " "))
}

func (m *misuse) Unwrap() error { return m.err }

// usageError is an error about how the command was typed. The frame knows the
// command it belongs to and names it.
func usageError(format string, args ...any) error {
	return &misuse{err: fmt.Errorf(format, args...)}
}

// inCommand tells a misuse which command it happened in.
func inCommand(err error, path []string) error {
	if m, ok := errors.AsType[*misuse](err); ok && m.path == nil {
		m.path = path
	}
	return err
}

// verdictError is what --check makes of a verdict that is not a good one.
type verdictError struct{ verdicts []string }

func (e *verdictError) Error() string {
	words := make([]string, len(e.verdicts))
	for i, v := range e.verdicts {
		words[i] = v
		if v == "" {
			words[i] = "none (no tolerance was given)"
		}
	}
	return "check: the verdict is " + strings.Join(words, ", ")
}

// checkVerdict returns an error with the exit status 3 when --check is given
// and one of the verdicts is not "pass" or "agree". A verdict nobody could
// give ("") is not a good one either. Call it after the result is rendered.
func checkVerdict(c *cli.Context, verdicts ...string) error {
	if !c.Bool("check") {
		return nil
	}
	var bad []string
	for _, v := range verdicts {
		if v != "pass" && v != "agree" {
			bad = append(bad, v)
		}
	}
	if len(bad) == 0 && len(verdicts) > 0 {
		return nil
	}
	if len(verdicts) == 0 {
		bad = []string{""}
	}
	return &verdictError{bad}
}

// isClosedPipe tells that the reader of our output has gone away, which calls
// for no message: on Windows the same has two numbers of its own.
func isClosedPipe(err error) bool {
	if errors.Is(err, syscall.EPIPE) {
		return true
	}
	const brokenPipe, noData = syscall.Errno(109), syscall.Errno(232)
	return runtime.GOOS == "windows" && (errors.Is(err, brokenPipe) || errors.Is(err, noData))
}
