package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The README shows commands with what they print. Here every one of them is
// run, and the text must be the README's.
//
// A block that opens with ```console is a session: a line "$ brinemark …" is a
// command, the lines up to the next "$" are all it prints (stdout, then
// stderr); "$ cat FILE" shows a file that the commands after it read. All
// blocks share one folder, and one record at one time. The random part of an
// identity may be any. With -update the README is rewritten.
func TestREADMEShowsWhatTheCommandsPrint(t *testing.T) {
	readme, err := filepath.Abs("../../README.md") // before the folder changes
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	atNoon(t, "2026-03-01T12:00:00Z")
	t.Setenv("BRINEMARK_LOGBOOK", filepath.Join(t.TempDir(), "logbook.db"))

	var out strings.Builder
	ran := 0
	lines := strings.SplitAfter(string(text), "\n")
	for i := 0; i < len(lines); {
		line := lines[i]
		out.WriteString(line)
		i++
		if strings.TrimRight(line, "\n") != "```console" {
			continue
		}
		for i < len(lines) && !strings.HasPrefix(lines[i], "```") {
			command := lines[i]
			require.True(t, strings.HasPrefix(command, "$ "), "README line %d: a console block holds a command, found %q", i+1, command)
			at := i + 1
			i++
			for strings.HasSuffix(command, "\\\n") {
				command += lines[i]
				i++
			}
			begin := i
			for i < len(lines) && !strings.HasPrefix(lines[i], "$ ") && !strings.HasPrefix(lines[i], "```") {
				i++
			}
			shown := strings.Join(lines[begin:i], "")
			out.WriteString(command)
			words := shellWords(t, strings.TrimPrefix(strings.ReplaceAll(command, "\\\n", " "), "$ "))
			switch words[0] {
			case "cat":
				require.NoError(t, os.WriteFile(words[1], []byte(shown), 0o600))
				out.WriteString(shown)
			case "brinemark":
				r := invoke(words[1:]...)
				require.Equal(t, statusDone, r.status, "README line %d shows an error: %s", at, r.stderr)
				fitsTheScreen(t, words[1:], r)
				printed := r.stdout + r.stderr
				if chance.ReplaceAllString(shown, "$1") == chance.ReplaceAllString(printed, "$1") {
					printed = shown
				}
				if !*update {
					assert.Equal(t, shown, printed, "README line %d: %s", at, command)
				}
				out.WriteString(printed)
				ran++
			default:
				require.Failf(t, "unknown command", "README line %d: %q", at, words[0])
			}
		}
	}
	require.Greater(t, ran, 3, "the README shows the main commands")
	if *update {
		require.NoError(t, os.WriteFile(readme, []byte(out.String()), 0o644))
	}
}

// shellWords splits a command as a shell does, as far as the README needs:
// words, single and double quotes.
func shellWords(t *testing.T, command string) []string {
	t.Helper()
	var words []string
	var word strings.Builder
	inWord, quote := false, rune(0)
	for _, r := range command {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(r)
		case r == '\'' || r == '"':
			quote, inWord = r, true
		case r == ' ' || r == '\n' || r == '\t':
			if inWord {
				words = append(words, word.String())
				word.Reset()
				inWord = false
			}
		default:
			word.WriteRune(r)
			inWord = true
		}
	}
	require.Zero(t, quote, "an open quote in %q", command)
	if inWord {
		words = append(words, word.String())
	}
	return words
}
