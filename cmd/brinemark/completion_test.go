package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/urfave/cli/v2"
)

// completed is what a shell must offer: for the words typed, the last of which is
// being typed, what is among the offers and what is not.
var completed = []struct {
	line      []string
	want, not []string
}{
	{[]string{"rec"}, []string{"recipe"}, []string{"reference", "made"}},
	{[]string{"re"}, []string{"recipe", "reference"}, []string{"calibrate"}},
	{[]string{""}, []string{"recipe", "bottle", "completion", "help"}, []string{"made", "--json"}},
	{[]string{"--js"}, []string{"--json"}, []string{"--salt"}},
	{[]string{"recipe", "--"}, []string{"--salt", "--target", "--json", "--logbook"}, []string{"--stock-mass", "--paper"}},
	{[]string{"recipe", "made", "--stock-m"}, []string{"--stock-mass"}, []string{"--target"}},
	{[]string{"recipe", "m"}, []string{"made"}, nil},
	{[]string{"recipe", "--salt", ""}, []string{"NaCl", "KCl"}, []string{"made", "--salt"}},
	{[]string{"recipe", "--salt", "made", "--gra"}, []string{"--grade"}, []string{"--stock-mass"}}, // a value, not a command
	{[]string{"recipe", "--grade", "f"}, []string{"food"}, []string{"reagent"}},
	{[]string{"--json", "--logbook", "bottle", "mete"}, []string{"meter"}, nil}, // a value, not a command
	{[]string{"bottle", ""}, []string{"add", "list", "show", "weigh"}, []string{"retire"}},
	{[]string{"meter", ""}, []string{"add", "list", "show", "retire"}, []string{"weigh"}},
	{[]string{"bottle", "--no-color", "add", "X", "--buffer", "4"}, []string{"4.00"}, []string{"7.00"}},
	{[]string{"label", "A", "--paper", ""}, []string{"a4", "letter"}, nil},
	{[]string{"meter", "add", "P1", "--quantity", "h"}, []string{"humidity"}, []string{"ec"}},
	{[]string{"help", "cal"}, []string{"calibrate"}, nil},
	{[]string{"calibrate", "read"}, []string{"readings.csv", "readings.tsv"}, []string{"notes", "readings.html"}},
	{[]string{"calibrate", ""}, []string{"readings.csv", "readings.tsv", "notes", "--tolerance", "--meter"}, []string{"readings.html", "march.json", "tub.jsonl", "--json"}},
	{[]string{"calibrate", "readings.csv", ""}, []string{"--tolerance"}, []string{"readings.csv", "notes"}},
	{[]string{"correct", ""}, []string{"readings.csv", "tub.jsonl", "tub.csv.gz", "notes", "--follow"}, []string{"readings.html", "march.json"}},
	{[]string{"correct", "log.csv", "--calibration", "ec="}, nil, []string{"ec=readings.csv", "readings.csv"}},
	{[]string{"sheet", ""}, []string{"--bottle", "--meter", "--out"}, []string{"readings.csv", "--json"}},
	{[]string{"report", ""}, []string{"--meter", "--all"}, []string{"readings.csv", "--json"}},
	{[]string{"label", ""}, nil, []string{"--all", "readings.csv"}}, // bottles alone
	{[]string{"event", "add", "P1", ""}, []string{"adjusted", "cleaned", "replaced", "battery", "note"}, nil},
	{[]string{"event", "add", "P1", "cleaned", ""}, nil, []string{"adjusted", "cleaned"}},
	{[]string{"logbook", "import", "tub"}, []string{"tub.jsonl"}, nil},
	{[]string{"correct", "log.csv", "--out", "read"}, []string{"readings.csv"}, nil},
	{[]string{"constants", "P1", "--calibration", "m"}, []string{"march.json"}, nil},
	{[]string{"constants", "P1", "--calibration", "read"}, nil, []string{"readings.csv"}},
	{[]string{"meter", "list", "read"}, nil, []string{"readings.csv"}},
	{[]string{"recipe", "--target", "read"}, nil, []string{"readings.csv"}}, // no file
	{[]string{"demo", "no"}, []string{"notes"}, []string{"readings.csv"}},
	{[]string{"completion", "z"}, []string{"zsh"}, []string{"bash"}},
}

// completing puts the script of a shell and some files in a folder, and finds the
// shell.
func completing(t *testing.T, shell string) (program, script string) {
	t.Helper()
	program, err := exec.LookPath(shell)
	if err != nil {
		require.Empty(t, os.Getenv("BRINEMARK_REQUIRE_ALL"), "%s is wanted here", shell)
		t.Skipf("%s is not installed, so its completion is not tried", shell)
	}
	folder := t.TempDir()
	t.Chdir(folder)
	for _, name := range []string{"readings.csv", "readings.html", "readings.tsv", "my readings.CSV", "march.json", "tub.jsonl", "tub.csv.gz"} {
		require.NoError(t, os.WriteFile(name, nil, 0o644))
	}
	require.NoError(t, os.Mkdir("notes", 0o755))
	r := invoke("completion", shell)
	require.Equal(t, statusDone, r.status, r.stderr)
	script = filepath.Join(folder, "completion."+shell)
	require.NoError(t, os.WriteFile(script, []byte(r.stdout), 0o644))
	return program, script
}

// judgeCompletion holds the lines a shell offered against what it must.
func judgeCompletion(t *testing.T, line []string, offered string, want, not []string) {
	t.Helper()
	var words []string
	for _, w := range strings.Split(strings.TrimSpace(offered), "\n") {
		word, _, _ := strings.Cut(w, "\t") // fish says what it means
		words = append(words, strings.TrimSuffix(strings.TrimSpace(word), "/"))
	}
	for _, w := range want {
		assert.Contains(t, words, w, "brinemark %q", line)
	}
	for _, w := range not {
		assert.NotContains(t, words, w, "brinemark %q", line)
	}
}

func TestBashCompletes(t *testing.T) {
	bash, script := completing(t, "bash")
	for _, c := range completed {
		// What bash does before it calls the function: words, and where the cursor is.
		command := `set -u; source "$0"; COMP_WORDS=(brinemark "$@"); COMP_CWORD=$#; _brinemark; printf '%s\n' "${COMPREPLY[@]-}"`
		out, err := exec.Command(bash, append([]string{"--norc", "-c", command, script}, c.line...)...).CombinedOutput()
		require.NoError(t, err, "%q: %s", c.line, out)
		judgeCompletion(t, c.line, string(out), c.want, c.not)
	}
	// A word with signs of the shell is offered as it must be typed.
	out, err := exec.Command(bash, "--norc", "-c", `source "$0"; COMP_WORDS=(brinemark reference --saturated Mg); COMP_CWORD=3; _brinemark; printf '%s\n' "${COMPREPLY[@]}"; complete -p brinemark`, script).CombinedOutput()
	require.NoError(t, err)
	assert.Equal(t, "MgCl2\nMg\\(NO3\\)2\ncomplete -F _brinemark brinemark\n", string(out))
	// --flag=value reaches the function in three words.
	out, err = exec.Command(bash, "--norc", "-c", `source "$0"; COMP_WORDS=(brinemark recipe --salt = N); COMP_CWORD=4; _brinemark; printf '%s\n' "${COMPREPLY[@]}"`, script).CombinedOutput()
	require.NoError(t, err)
	assert.Equal(t, "NaCl\n", string(out))
}

// The builtins of completion exist only while zsh completes; here they print what
// they are given that begins as the word does.
const zshHarness = `
compadd() { shift; local w; for w in "$@"; do [[ "$w" == "$PREFIX"* ]] && print -r -- "$w"; done; return 0 }
_describe() { local w; for w in "${(@P)2}"; do w="${w%%:*}"; [[ "$w" == "$PREFIX"* ]] && print -r -- "$w"; done; return 0 }
_files() {
  local f want="*"
  if [[ "$1" == -g ]]; then want="${2%%\(-.\)}"; fi
  for f in "$PREFIX"*(N); do [[ -d "$f" || "$1" != -/ && "$f" == ${~want} ]] && print -r -- "$f"; done
  return 0
}
compset() { PREFIX="${PREFIX#*=}" }
script="$1"; shift
source "$script"
words=(brinemark "$@"); CURRENT=$#words; PREFIX="${words[CURRENT]}"
_brinemark
true`

func TestZshCompletes(t *testing.T) {
	zsh, script := completing(t, "zsh")
	for _, c := range completed {
		out, err := exec.Command(zsh, append([]string{"-f", "-c", zshHarness, "zsh", script}, c.line...)...).CombinedOutput()
		require.NoError(t, err, "%q: %s", c.line, out)
		assert.NotContains(t, string(out), "zsh:", "%q", c.line)
		judgeCompletion(t, c.line, string(out), c.want, c.not)
	}
	out, err := exec.Command(zsh, "-f", "-c", zshHarness, "zsh", script, "recipe", "--salt=N").CombinedOutput()
	require.NoError(t, err)
	assert.Equal(t, "NaCl\n", string(out))
	// compinit takes it up as it is installed: by its first line, from a folder.
	require.NoError(t, os.Rename(script, filepath.Join(filepath.Dir(script), "_brinemark")))
	out, err = exec.Command(zsh, "-f", "-c", `fpath=("$1" $fpath); autoload -Uz compinit; compinit -u -D; print -r -- "${_comps[brinemark]}"`, "zsh", filepath.Dir(script)).CombinedOutput()
	require.NoError(t, err, string(out))
	assert.Equal(t, "_brinemark\n", string(out))
}

func TestFishCompletes(t *testing.T) {
	fish, script := completing(t, "fish")
	t.Setenv("HOME", t.TempDir())
	for _, c := range completed {
		line := []string{"brinemark"}
		line = append(line, c.line...)
		out, err := exec.Command(fish, "-N", "-c", `source $argv[1]; complete -C"$argv[2]"`, script, strings.Join(line, " ")).CombinedOutput()
		require.NoError(t, err, "%q: %s", c.line, out)
		not := c.not
		if last := c.line[len(c.line)-1]; strings.HasPrefix("help", last) || c.line[0] == "help" {
			continue // fish offers no "help", which is --help
		}
		judgeCompletion(t, c.line, string(out), c.want, not)
	}
	out, err := exec.Command(fish, "-N", "-c", `source $argv[1]; complete -C"brinemark reference --saturated Mg"`, script).Output()
	require.NoError(t, err)
	judgeCompletion(t, []string{"reference"}, string(out), []string{"MgCl2", "Mg(NO3)2"}, []string{"NaCl"})
}

// Every command and flag of the help is in every script: they are made from one
// table.
func TestCompletionsKnowEveryCommand(t *testing.T) {
	app := newApp(commands(), nil, nil, nil)
	for _, shell := range []string{"bash", "zsh", "fish"} {
		script := invoke("completion", shell).stdout
		assert.NotContains(t, script, "\t")
		var walk func(commands []*cli.Command)
		walk = func(commands []*cli.Command) {
			for _, c := range commands {
				if c.Hidden {
					continue
				}
				assert.Contains(t, script, c.Name, shell)
				for _, f := range c.Flags {
					assert.Contains(t, script, f.Names()[0], "%s: %s", shell, c.Name)
				}
				walk(c.Subcommands)
			}
		}
		walk(app.Commands)
	}
	var top []string
	for _, w := range shellCommands(app)[0].commands {
		top = append(top, w.word)
	}
	assert.True(t, slices.Contains(top, "label") && slices.Contains(top, "completion"))
	object := newSession(t).json("completion", "bash")
	assert.Equal(t, invoke("completion", "bash").stdout, object["text"])
}

func TestCompletionRefused(t *testing.T) {
	for want, args := range map[string][]string{
		"needs a command after it: bash, zsh, fish": {"completion"},
		"the nearest is fish":                       {"completion", "fis"},
		"unexpected argument":                       {"completion", "bash", "more"},
	} {
		r := invoke(args...)
		assert.Equal(t, statusBadInput, r.status)
		assert.Contains(t, r.stderr, want)
		assert.Empty(t, r.stdout)
	}
}

// readmePath is found before a test changes its folder.
var readmePath = filepath.Join(goldenFolder, "..", "..", "README.md")

// readmeInstall are the lines of the README that install the completion of a
// shell.
func readmeInstall(t *testing.T, shell string) (lines string) {
	t.Helper()
	text, err := os.ReadFile(readmePath)
	require.NoError(t, err)
	_, block, found := strings.Cut(string(text), "\n    # "+shell)
	require.True(t, found)
	_, block, _ = strings.Cut(block, "\n")
	for _, line := range strings.Split(block, "\n") {
		if !strings.HasPrefix(line, "    ") {
			break
		}
		lines += strings.TrimSpace(line) + "\n"
	}
	return lines
}

// helpInstall are those of the shell's help.
func helpInstall(t *testing.T, shell string) string {
	t.Helper()
	_, text, found := strings.Cut(invoke("completion", shell, "--help").stdout, "To install it:\n\n")
	require.True(t, found)
	text, _, _ = strings.Cut(text, "\n\n")
	return text + "\n"
}

// What the README and the help say of installing is typed in the shell itself, in a
// new home, and a new shell then completes.
func TestCompletionInstallsInANewHome(t *testing.T) {
	s := oddRecord(t)
	for shell, check := range map[string]string{
		"bash": `source ~/.local/share/bash-completion/completions/brinemark; COMP_LINE="brinemark label only" COMP_POINT=20; complete -p brinemark; _brinemark brinemark ten; printf '%s\n' "${COMPREPLY[@]}"`,
		"zsh":  `print -r -- "${_comps[brinemark]}"; autoload +X -Uz _brinemark && whence -w _brinemark`,
		"fish": `complete -C"brinemark label ten"`,
	} {
		program, _ := completing(t, shell)
		onPath(t, s)
		for what, install := range map[string]string{"README": readmeInstall(t, shell), "help": helpInstall(t, shell)} {
			require.Contains(t, install, "brinemark completion "+shell, what)
			home := t.TempDir()
			for _, name := range []string{"XDG_CONFIG_HOME", "XDG_DATA_HOME", "ZDOTDIR", "BASH_ENV", "ENV"} {
				t.Setenv(name, "")
				require.NoError(t, os.Unsetenv(name))
			}
			t.Setenv("HOME", home)
			quiet := map[string][]string{"bash": {"--norc", "-e"}, "zsh": {"-f", "-e"}, "fish": {"-N"}}[shell]
			out, err := exec.Command(program, append(quiet, "-c", install)...).CombinedOutput()
			require.NoError(t, err, "%s, %s: %s", shell, what, out)
			assert.Empty(t, string(out), "%s, %s", shell, what)
			fresh := map[string][]string{"bash": {"-c"}, "zsh": {"-i", "-c"}, "fish": {"-c"}}[shell]
			out, err = exec.Command(program, append(fresh, check)...).Output()
			require.NoError(t, err, "%s, %s: %s", shell, what, out)
			want := map[string]string{"bash": "complete -F _brinemark brinemark\n", "zsh": "_brinemark\n_brinemark: function\n", "fish": "tent pen"}[shell]
			assert.Contains(t, string(out), want, "%s, %s", shell, what)
		}
	}
}

// The line of the manual page makes its folder too.
func TestManualInstallsInANewHome(t *testing.T) {
	text, err := os.ReadFile(readmePath)
	require.NoError(t, err)
	const folder = "    mkdir -p ~/.local/share/man/man1\n    brinemark manual > ~/.local/share/man/man1/brinemark.1\n"
	require.Contains(t, string(text), folder)
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("bash is not installed, so the line is not tried")
	}
	onPath(t, newSession(t))
	t.Setenv("HOME", t.TempDir())
	out, err := exec.Command(bash, "--norc", "-e", "-c", folder).CombinedOutput()
	require.NoError(t, err, string(out))
	assert.FileExists(t, filepath.Join(os.Getenv("HOME"), ".local", "share", "man", "man1", "brinemark.1"))
}
