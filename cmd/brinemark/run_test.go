package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

func TestHelpGoesToStdout(t *testing.T) {
	for _, line := range []string{
		"--help", "-h", "-help", "help", "--json --help", "inspect --help", "help inspect", "--help inspect", "inspect a.csv --temp 18C -h",
		"weigh --help", "bottle --help", "bottle add --help", "help bottle add",
	} {
		r := try(strings.Fields(line)...)
		assert.Equal(t, statusDone, r.status, "%s: %s", line, r.stderr)
		assert.Empty(t, r.stderr, line)
		assert.Contains(t, r.stdout, "brinemark", line)
		assert.Contains(t, r.stdout, "--time-zone", "%s: the flags of every command are named", line)
		for _, row := range strings.Split(r.stdout, "\n") {
			assert.LessOrEqual(t, len([]rune(row)), reports.DefaultWidth, "%s: %s", line, row)
		}
	}
	help := try("help", "weigh").stdout
	for _, part := range []string{"brinemark weigh [--flag value ...] [FILE] [FILE]", "--temp TEMPERATURE", "--target TARGET", "(may be repeated)",
		"--batch SIZE", "(required)", "--mode MODE", "(default: auto)"} {
		assert.Contains(t, help, part)
	}
	assert.NotContains(t, help, "(default: false)")
	assert.Contains(t, try("bottle", "--help").stdout, "brinemark bottle COMMAND")
	program := try("--help").stdout
	for _, part := range []string{"inspect", "weigh", "bottle", "Exit status"} {
		assert.Contains(t, program, part)
	}
}

func TestNoArgumentsPrintHelpOnStderr(t *testing.T) {
	r := try()
	assert.Equal(t, statusBadInput, r.status)
	assert.Empty(t, r.stdout)
	assert.Contains(t, r.stderr, "brinemark COMMAND")
	assert.Contains(t, r.stderr, "brinemark: no command is given\n")
}

func TestVersion(t *testing.T) {
	for _, line := range []string{"--version", "inspect --version", "-version"} {
		r := try(strings.Fields(line)...)
		assert.Equal(t, statusDone, r.status)
		assert.Empty(t, r.stderr)
		assert.Regexp(t, `^brinemark \S+\n$`, r.stdout, line)
	}
}

func TestExitStatus(t *testing.T) {
	for how, want := range map[string]outcome{
		"fine":  {"", "", statusDone},
		"input": {"", "brinemark: the bottle is empty\n", statusBadInput},
		"disk":  {"", "brinemark: save: disk full\n", statusCouldNot},
		"exit":  {"", "brinemark: leaving\n", statusBadInput}, // cli's exit codes neither end the process nor choose the status
		"lines": {"", "brinemark: first second\ufffd[2J\n", statusBadInput},
	} {
		assert.Equal(t, want, try("fail", how), how)
	}
	for _, how := range []string{"nan", "flag"} {
		r := try("--json", "fail", how)
		assert.Equal(t, statusCouldNot, r.status, how)
		assert.Empty(t, r.stdout, how)
		assert.NotEmpty(t, r.stderr, how)
	}
	assert.Equal(t, statusDone, exitStatus(nil))
	assert.NoError(t, couldNotDo(nil))
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		verdicts string
		status   int
		says     string
	}{
		{"pass", statusDone, ""}, {"agree", statusDone, ""}, {"pass pass", statusDone, ""},
		{"fail", statusNotPassing, "check: the verdict is fail"},
		{"undecided", statusNotPassing, "check: the verdict is undecided"},
		{"pass disagree agree undecided", statusNotPassing, "check: the verdict is disagree, undecided"},
		{" ", statusNotPassing, "check: the verdict is none (no tolerance was given)"},
	} {
		r := try("inspect", "--verdict", c.verdicts, "--check")
		assert.Equal(t, c.status, r.status, c.verdicts)
		assert.Contains(t, r.stderr, c.says, c.verdicts)
		assert.Equal(t, "pass\n", r.stdout, "%s: done, and the result is shown", c.verdicts)
		r = try("inspect", "--verdict", c.verdicts)
		assert.Equal(t, outcome{"pass\n", "", statusDone}, r, "%s: without --check", c.verdicts)
	}
}

func TestWarningsGoWhereTheyBelong(t *testing.T) {
	r := try("inspect", "--tag", "warm\nwater")
	assert.Equal(t, outcome{"pass\n", "warning: warm water\n", statusDone}, r)
	r = try("inspect", "--tag", "warm", "--json")
	assert.Empty(t, r.stderr, "they are in the object")
	assert.Contains(t, r.stdout, `"warm"`)
	assert.Contains(t, try("inspect", "--json").stdout, `"warnings": []`)
}

func TestJSONIsOneObject(t *testing.T) {
	decoder := json.NewDecoder(strings.NewReader(try("inspect", "--json").stdout))
	var object map[string]any
	require.NoError(t, decoder.Decode(&object))
	assert.Nil(t, object["temp_C"], "unknown is null")
	assert.Contains(t, object, "temp_C")
	assert.ErrorIs(t, decoder.Decode(&object), io.EOF, "and nothing after it")
}

// broken is a stream that cannot be written.
type broken struct{ err error }

func (b broken) Write([]byte) (int, error) { return 0, b.err }

func TestOutputThatCannotBeWritten(t *testing.T) {
	for name, c := range map[string]struct {
		err  error
		says string
	}{
		"disk full":   {syscall.ENOSPC, "write the result"},
		"closed pipe": {fmt.Errorf("write: %w", syscall.EPIPE), ""},
	} {
		for _, args := range [][]string{{"inspect"}, {"inspect", "--json"}, {"--help"}, {"--version"}} {
			var errText bytes.Buffer
			status := runCommands(testCommands(), append([]string{"brinemark"}, args...), strings.NewReader(""), broken{c.err}, &errText)
			assert.Equal(t, statusCouldNot, status, "%s %q", name, args)
			if c.says == "" {
				assert.Empty(t, errText.String(), "%s %q", name, args)
			}
			assert.Contains(t, errText.String(), c.says, "%s %q", name, args)
		}
	}
}

func TestReadTable(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "pen.csv")
	require.NoError(t, os.WriteFile(path, []byte("reading,time,shelf\n1413,2026-07-01 12:00,left\n"), 0o600))
	r := try("count", path, "--time-zone", "Europe/Vienna", "--json")
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.Equal(t, "note: pen.csv: the column \"shelf\" is ignored\n", r.stderr)
	assert.Contains(t, r.stdout, "1782900000", "2026-07-01 10:00 UTC: noon of Vienna's summer time")

	r = tryWith("reading\n1\n2\n", "count", "-", "--json")
	assert.Equal(t, statusDone, r.status, r.stderr)
	assert.Contains(t, strings.Join(strings.Fields(r.stdout), ""), `"at":[2,`)

	r = tryWith("reading\n1\nx\n", "count", "-")
	assert.Equal(t, outcome{"", "brinemark: standard input, row 3, column reading: found \"x\"; want a number, or an empty cell where it is not known\n", statusBadInput}, r)

	r = try("count", filepath.Join(folder, "pen.csv", "below"))
	assert.NotEqual(t, statusDone, r.status)
	assert.Empty(t, r.stdout)

	var out, errText bytes.Buffer
	status := runCommands(testCommands(), []string{"brinemark", "count", "-"}, brokenReader{}, &out, &errText)
	assert.Equal(t, statusCouldNot, status, "a stream that breaks is nobody's bad input")
	assert.Contains(t, errText.String(), "standard input: tape torn")
}

type brokenReader struct{}

func (brokenReader) Read([]byte) (int, error) { return 0, errors.New("tape torn") }

func TestColorIsOffInABuffer(t *testing.T) {
	assert.NotContains(t, try("inspect").stdout, "\x1b")
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer file.Close()
	assert.False(t, isTerminal(file), "a file is no terminal")
	reader, writer, err := os.Pipe()
	require.NoError(t, err)
	defer reader.Close()
	defer writer.Close()
	assert.False(t, isTerminal(writer), "a pipe is no terminal")
}

// The real commands: each has a help that says what it is for, and whose prose
// keeps to the screen's width. Examples are set in and stay in one piece.
func TestHelpOfEveryCommand(t *testing.T) {
	for _, c := range commands() {
		r := invoke(c.Name, "--help")
		require.Equal(t, statusDone, r.status, r.stderr)
		assert.Empty(t, r.stderr, c.Name)
		assert.NotEmpty(t, c.Usage, c.Name)
		assert.NotEmpty(t, c.Description, c.Name)
		for _, line := range strings.Split(r.stdout, "\n") {
			if !strings.HasPrefix(line, "  ") || strings.HasPrefix(line, "  --") {
				assert.LessOrEqual(t, len([]rune(line)), reports.DefaultWidth, "%s: %s", c.Name, line)
			}
		}
		for _, f := range c.Flags {
			assert.Len(t, f.Names(), 1, "%s: flags have one name", c.Name)
			assert.Contains(t, r.stdout, "--"+f.Names()[0], c.Name)
			documented, ok := f.(cli.DocGenerationFlag)
			require.True(t, ok)
			assert.NotEmpty(t, documented.GetUsage(), "%s --%s", c.Name, f.Names()[0])
			_, clash := globalNames()[f.Names()[0]]
			assert.False(t, clash, "%s --%s hides a flag of every command", c.Name, f.Names()[0])
		}
	}
}

// Every line of every help keeps to the screen's width, examples too: a long one
// goes on in the next line behind a backslash.
func TestHelpsFitTheScreen(t *testing.T) {
	var look func(path []string, list []*cli.Command)
	look = func(path []string, list []*cli.Command) {
		for _, c := range list {
			words := append(slices.Clone(path), c.Name)
			r := invoke(append(slices.Clone(words), "--help")...)
			require.Equal(t, statusDone, r.status, r.stderr)
			for _, line := range strings.Split(r.stdout, "\n") {
				assert.LessOrEqual(t, len([]rune(line)), reports.DefaultWidth, "%v: %s", words, line)
				assert.False(t, strings.HasPrefix(line, "brinemark "+strings.Join(words, " ")+" "), "%v: an example is set in: %s", words, line)
			}
			look(words, c.Subcommands)
		}
	}
	look(nil, commands())
}

func globalNames() map[string]bool {
	names := map[string]bool{}
	for _, f := range globalFlags() {
		names[f.Names()[0]] = true
	}
	return names
}

// A character device stands in for a terminal here: the null device is one.
func TestColorOnATerminal(t *testing.T) {
	device, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	require.NoError(t, err)
	defer device.Close()
	color := func(args ...string) bool {
		var got reports.Style
		list := []*cli.Command{{Name: "look", Action: func(c *cli.Context) error { got = style(c); return nil }}}
		require.Equal(t, statusDone, runCommands(list, append([]string{"brinemark", "look"}, args...), strings.NewReader(""), device, io.Discard))
		return got.Color
	}
	t.Setenv("TERM", "xterm")
	assert.True(t, color())
	assert.False(t, color("--no-color"))
	t.Setenv("NO_COLOR", "")
	assert.True(t, color(), "an empty NO_COLOR asks for nothing")
	t.Setenv("NO_COLOR", "1")
	assert.False(t, color())
	t.Setenv("NO_COLOR", "")
	t.Setenv("TERM", "dumb")
	assert.False(t, color())
}

// A message names the command by all of its words, what is missing, and what a
// folder stands in the place of.
func TestMessagesOfSlips(t *testing.T) {
	s := newSession(t)
	s.ok("meter", "add", "P1", "--quantity", "ph")
	s.ok("calibrate", "--point", "4=4.1", "--point", "7=7", "--meter", "P1", "--time", "2026-02-01", "--save")
	folder := t.TempDir()
	for want, args := range map[string][]string{
		"meter show needs ID;":                               {"meter", "show"},
		"event add needs METER;":                             {"event", "add"},
		"event add needs EVENT;":                             {"event", "add", "P1"},
		"label needs --out FILE;":                            {"label"},
		"there is only add;":                                 {"event", "x"},
		"or - for standard input;":                           {"logbook", "import"},
		"is a folder; want a file that logbook export wrote": {"logbook", "import", folder},
		"is a folder; want a log, CSV or JSON Lines":         {"correct", folder, "--meter", "ph=P1"},
		"is a folder; want a CSV file":                       {"calibrate", folder},
		`bottle list: unexpected argument "x"`:               {"bottle", "list", "x"},
	} {
		r := s.run(args...)
		assert.Equal(t, statusBadInput, r.status, "%v", args)
		assert.Contains(t, r.stderr, want, "%v", args)
		assert.Empty(t, r.stdout, "%v", args)
	}
}
