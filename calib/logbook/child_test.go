package logbook

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Some tests need another process. It is this test binary once more, told by
// the environment what to be.
const roleVariable = "BRINEMARK_TEST_ROLE"

// roles are what the other process can be. It gets the record's path, writes
// what happened to stdout, line by line, and returns an error for status 1.
var roles = map[string]func(path string, arguments []string) error{
	"saver":    beSaver,
	"holder":   beHolder,
	"importer": beImporter,
	"reader":   beReader,
}

func TestMain(m *testing.M) {
	role := os.Getenv(roleVariable)
	if role == "" {
		os.Exit(m.Run())
	}
	if err := roles[role](os.Args[1], os.Args[2:]); err != nil {
		fmt.Println("error", err)
		os.Exit(1)
	}
	os.Exit(0)
}

// child is a process in a role.
type child struct {
	t       testing.TB
	command *exec.Cmd
	out     *bufio.Reader
	errors  bytes.Buffer
}

func start(t testing.TB, role, path string, arguments ...string) *child {
	t.Helper()
	return startCommand(t, exec.Command(os.Args[0], append([]string{path}, arguments...)...), role)
}

func startCommand(t testing.TB, command *exec.Cmd, role string) *child {
	t.Helper()
	c := &child{t: t, command: command}
	c.command.Env = append(os.Environ(), roleVariable+"="+role)
	out, err := c.command.StdoutPipe()
	require.NoError(t, err)
	c.out, c.command.Stderr = bufio.NewReader(out), &c.errors
	require.NoError(t, c.command.Start())
	return c
}

// line waits for one line of the child; ok is false where there is no more. A
// line that was cut off by the child's end is none.
func (c *child) line() (text string, ok bool) {
	text, err := c.out.ReadString('\n')
	if err != nil {
		require.ErrorIs(c.t, err, io.EOF)
		return "", false
	}
	return strings.TrimSuffix(text, "\n"), true
}

// rest reads all lines to the child's end.
func (c *child) rest() []string {
	var out []string
	for text, ok := c.line(); ok; text, ok = c.line() {
		out = append(out, text)
	}
	return out
}

// kill ends the child with SIGKILL, which it cannot notice, and returns the
// lines it got out.
func (c *child) kill() []string {
	require.NoError(c.t, c.command.Process.Kill())
	out := c.rest()
	_ = c.command.Wait()
	return out
}

// finish waits for a child to end by itself, without an error.
func (c *child) finish() []string {
	c.t.Helper()
	out := c.rest()
	require.NoError(c.t, c.command.Wait(), "%s %s", out, &c.errors)
	return out
}

// beSaver saves calibrations of P1 until it has saved as many as it is told, or
// for ever. It announces each save, and acknowledges it when it is done.
func beSaver(path string, arguments []string) error {
	b, err := Open(path, Options{Now: time.Now, Wait: time.Minute})
	if err != nil {
		return err
	}
	most := -1
	if len(arguments) > 1 {
		if most, err = strconv.Atoi(arguments[1]); err != nil {
			return err
		}
	}
	seed, err := strconv.ParseUint(arguments[0], 10, 64)
	if err != nil {
		return err
	}
	r := rand.New(rand.NewPCG(seed, 0))
	fmt.Println("ready")
	for i := 0; i != most; i++ {
		c := aCalibration("P1", noon.Add(time.Duration(i)*time.Second), r, 1+r.IntN(12))
		fmt.Println("begin")
		if err := b.Save(c); err != nil {
			return err
		}
		text, err := line(c)
		if err != nil {
			return err
		}
		fmt.Printf("saved %s\n", text)
	}
	return b.Close()
}

// acknowledged picks the rows of the lines "saved …", and counts the saves that
// were begun and not acknowledged.
func acknowledged(lines []string) (rows []string, open int) {
	for _, text := range lines {
		row, saved := strings.CutPrefix(text, "saved ")
		switch {
		case saved:
			rows = append(rows, row)
			open--
		case text == "begin":
			open++
		}
	}
	return rows, open
}

// beHolder begins to write and then sits on the record until it is killed.
func beHolder(path string, _ []string) error {
	b, err := Open(path, Options{Now: time.Now})
	if err != nil {
		return err
	}
	if _, err := b.db.Exec("BEGIN IMMEDIATE"); err != nil {
		return err
	}
	fmt.Println("ready")
	time.Sleep(time.Minute)
	return nil
}

// beImporter imports an export, again and again into new records.
func beImporter(path string, arguments []string) error {
	text, err := os.ReadFile(arguments[0])
	if err != nil {
		return err
	}
	b, err := Create(path, Options{Now: time.Now})
	if err != nil {
		return err
	}
	fmt.Println("ready")
	if _, err := b.Import(bytes.NewReader(text), "export.jsonl"); err != nil {
		return err
	}
	fmt.Println("imported")
	time.Sleep(time.Minute)
	return nil
}

// beReader opens the record to read, counts what is there, and tries to save.
func beReader(path string, arguments []string) error {
	b, err := Open(path, Options{Now: time.Now, ReadOnly: true})
	if err != nil {
		return err
	}
	h, err := b.Check()
	if err != nil {
		return err
	}
	fmt.Println("records", h.Records, h.Problems)
	if err := b.Close(); err != nil {
		return err
	}
	b, err = Open(path, Options{Now: time.Now})
	if err == nil {
		err = b.Save(&Event{Meter: "P1", Time: noon, Event: "cleaned"})
	}
	fmt.Println("save:", err)
	if len(arguments) > 0 {
		_, err = Create(arguments[0], Options{Now: time.Now})
		fmt.Println("create:", err)
	}
	return nil
}
