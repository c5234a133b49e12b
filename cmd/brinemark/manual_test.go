package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

// The page is read without a warning by whatever reader of manuals there is, and
// what it then shows has every command, flag and example of the help.
func TestManualPageIsRead(t *testing.T) {
	page := invoke("manual")
	require.Equal(t, statusDone, page.status, page.stderr)
	for i, line := range strings.Split(page.stdout, "\n") {
		assert.Regexp(t, `^[\x20-\x7e]*$`, line, "line %d is ASCII", i+1)
	}
	file := filepath.Join(t.TempDir(), "brinemark.1")
	require.NoError(t, os.WriteFile(file, []byte(page.stdout), 0o644))
	var shown string
	switch {
	case found("groff"):
		var warnings strings.Builder
		c := exec.Command("groff", "-man", "-Tutf8", "-ww", "-P-cbou", file)
		c.Stderr = &warnings
		out, err := c.Output()
		require.NoError(t, err)
		assert.Empty(t, warnings.String())
		shown = string(out)
	case found("mandoc"):
		lint, err := exec.Command("mandoc", "-Tlint", "-Wwarning", file).CombinedOutput()
		require.NoError(t, err, string(lint))
		out, err := exec.Command("mandoc", "-Tutf8", file).Output()
		require.NoError(t, err)
		shown = string(out)
	default:
		require.Empty(t, os.Getenv("BRINEMARK_REQUIRE_ALL"), "groff is wanted here")
		t.Skip("neither groff nor mandoc is installed, so the manual page is not read")
	}
	shown = regexp.MustCompile(`.\x08`).ReplaceAllString(shown, "")
	oneSpace := func(text string) string { return strings.Join(strings.Fields(text), " ") }
	whole := oneSpace(shown)
	has := func(text string, of []string) {
		assert.True(t, strings.Contains(whole, oneSpace(text)), "%v: %q is not in the page", of, text)
	}
	for _, want := range []string{"NAME brinemark - references of known uncertainty", "EXIT STATUS", "BRINEMARK_LOGBOOK", "~/.local/share/brinemark/logbook.db", "--logbook FILE", "Every ± is one standard", "NaCl or KCl"} {
		has(want, nil)
	}
	eachCommand(newApp(commands(), nil, nil, nil), func(path []string, c *cli.Command) {
		has("brinemark "+strings.Join(path, " "), path)
		for _, f := range c.Flags {
			label, placeholder, usage, ok := flagHelp(f)
			if ok {
				has(label+" "+placeholder+" "+upperFirst(usage), path)
			}
		}
		for _, line := range strings.Split(c.Description, "\n") {
			has(line, path)
		}
	})
}

// On a terminal of 80 columns no line of the page is broken or cut: neither text,
// which is filled to what MANWIDTH leaves, nor usage and examples, which stay as
// they are.
func TestManualFitsATerminal(t *testing.T) {
	if !found("groff") {
		require.Empty(t, os.Getenv("BRINEMARK_REQUIRE_ALL"), "groff is wanted here")
		t.Skip("groff is not installed, so the manual page is not laid out")
	}
	file := filepath.Join(t.TempDir(), "brinemark.1")
	require.NoError(t, os.WriteFile(file, []byte(invoke("manual").stdout), 0o644))
	for _, width := range []string{"80n", "78n"} {
		out, err := exec.Command("groff", "-man", "-Tutf8", "-rLL="+width, "-P-cbou", file).Output()
		require.NoError(t, err)
		lines := strings.Split(regexp.MustCompile(`.\x08`).ReplaceAllString(string(out), ""), "\n")
		require.Greater(t, len(lines), 500)
		in := 0
		for _, line := range lines {
			assert.LessOrEqual(t, utf8.RuneCountInString(line), 80, line)
			if strings.HasPrefix(line, "       ") {
				in++
			}
		}
		assert.Greater(t, in, 400, "most lines stand as far in as text does: no block pulls what follows it")
	}
}

func found(program string) bool {
	_, err := exec.LookPath(program)
	return err == nil
}

// eachCommand visits every command of the program.
func eachCommand(app *cli.App, visit func(path []string, c *cli.Command)) {
	var walk func(path []string, list []*cli.Command)
	walk = func(path []string, list []*cli.Command) {
		for _, c := range list {
			if c.Hidden {
				continue
			}
			own := append(append([]string(nil), path...), c.Name)
			visit(own, c)
			walk(own, c.Subcommands)
		}
	}
	walk(nil, app.Commands)
}

// Text is never taken for a command of roff.
func TestManualTextIsText(t *testing.T) {
	for text, want := range map[string]string{
		".SH x":    `\&.SH x`,
		"'quoted'": `\&'quoted\(aq`,
		`a\b`:      `a\eb`,
		"--flag":   `\-\-flag`,
		"±~^`":     "\\[u00B1]\\(ti\\(ha\\(ga",
		"it's":     `it\(aqs`,
	} {
		assert.Equal(t, want, roffText(text))
	}
}
