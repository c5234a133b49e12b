package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// typist is a shell on a terminal, with a person who waits for it.
type typist struct {
	keys *os.File
	lock sync.Mutex
	seen bytes.Buffer
}

// sit starts a shell on a terminal.
func sit(t *testing.T, folder, program string, args ...string) *typist {
	t.Helper()
	ours, theirs := terminal(t)
	shell := exec.Command(program, args...)
	shell.Dir, shell.Stdin, shell.Stdout, shell.Stderr = folder, theirs, theirs, theirs
	shell.Env = append(os.Environ(), "TERM=dumb", "HOME="+folder)
	shell.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	require.NoError(t, shell.Start())
	require.NoError(t, theirs.Close())
	p := &typist{keys: ours}
	done := make(chan struct{})
	go func() {
		defer close(done)
		piece := make([]byte, 4096)
		for {
			n, err := ours.Read(piece)
			p.lock.Lock()
			p.seen.Write(piece[:n])
			p.lock.Unlock()
			if err != nil {
				return
			}
		}
	}()
	t.Cleanup(func() {
		_ = shell.Process.Kill()
		_ = shell.Wait()
		<-done
	})
	return p
}

// typed presses keys, and waits until a text is seen, or the screen has stood still
// for a while where none is waited for.
func (p *typist) typed(t *testing.T, keys, until string) string {
	t.Helper()
	p.lock.Lock()
	p.seen.Reset()
	p.lock.Unlock()
	_, err := p.keys.WriteString(keys)
	require.NoError(t, err)
	before, still := -1, 0
	for range 400 {
		time.Sleep(25 * time.Millisecond)
		p.lock.Lock()
		length, seen := p.seen.Len(), strings.Contains(p.seen.String(), until)
		p.lock.Unlock()
		if still++; length != before {
			before, still = length, 0
		}
		if until == "" && still >= 12 || until != "" && seen {
			break
		}
	}
	p.lock.Lock()
	defer p.lock.Unlock()
	return p.seen.String()
}

// A person types the beginning of a name and the tab key, in whatever quotes, and
// Enter: the program is given the whole name, and nothing else is run.
func TestShellsTypeIDs(t *testing.T) {
	if testing.Short() {
		t.Skip("a person types slowly")
	}
	s := oddRecord(t)
	onPath(t, s)
	lines := map[string]string{
		"label te": "label|tent pen", `label "te`: "label|tent pen", `label 'te`: "label|tent pen", "label a:": "label|a:b", `label '$(t`: "label|$(touch harm)",
		"label \\`": "label|`touch harm`", "drift --meter=onl": "drift|--meter=only a meter", "correct x.csv --meter ec=onl": "correct|x.csv|--meter|ec=only a meter",
		"calibrate my": "calibrate|my readings.CSV",
	}
	for shell, setup := range map[string]struct {
		args []string
		keys string
	}{
		"bash": {[]string{"--norc", "--noprofile", "-i"}, "PS1='> '; shown() { printf 'GIVEN'; printf '|%s' \"${@:2}\"; echo '|END'; }; source completion.bash\n"},
		"zsh":  {[]string{"-f", "-i"}, "PS1='> '; unsetopt beep; bindkey -e; shown() { printf 'GIVEN'; printf '|%s' \"${@[2,-1]}\"; echo '|END'; }; autoload -Uz compinit; compinit -u -D; source ./completion.zsh\n"},
		"fish": {[]string{"-N", "-i"}, "function shown; printf GIVEN; printf '|%s' $argv[2..-1]; echo '|END'; end; function fish_prompt; echo '> '; end; source completion.fish\n"},
	} {
		t.Run(shell, func(t *testing.T) {
			program, script := completing(t, shell)
			folder := filepath.Dir(script)
			p := sit(t, folder, program, setup.args...)
			p.typed(t, "", "")
			p.typed(t, setup.keys, "")
			for line, want := range lines {
				p.typed(t, "brinemark "+line+"\t", "")
				given := p.typed(t, "\x01shown \n", "|END") // before the line, and Enter
				found := regexp.MustCompile(`GIVEN\|([^\n]*?)\|END`).FindAllStringSubmatch(given, -1)
				if assert.NotEmpty(t, found, "%s: %q", line, given) {
					assert.Equal(t, want, strings.TrimRight(found[len(found)-1][1], "\r"), line)
				}
				assert.NoFileExists(t, "harm", line)
			}
		})
	}
}
