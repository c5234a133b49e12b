package main

import (
	"bytes"
	"fmt"
	"io"
	"os"

	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// render shows a result: with --json as one JSON object, and otherwise as a
// table, with its warnings on stderr. It writes all of it or, when it cannot
// be rendered, nothing.
func render(c *cli.Context, r reports.Result) error {
	keep(c, r)
	var out bytes.Buffer
	if c.Bool("json") {
		if err := reports.WriteJSON(&out, r); err != nil {
			return couldNotDo(err)
		}
	} else if err := r.Table(&out, style(c)); err != nil {
		return couldNotDo(err)
	} else {
		out = *bytes.NewBufferString(style(c).Clean(out.String()))
	}
	if err := write(c.App.Writer, out.Bytes()); err != nil {
		return err
	}
	if !c.Bool("json") {
		for _, warning := range r.WarningList() {
			warn(c, "%s", warning)
		}
	}
	return nil
}

// keeper is the name under which an application is told who else wants the
// results that it shows: a func(reports.Result).
const keeper = "keeper"

// keep hands a result to whoever wants it beside the person.
func keep(c *cli.Context, r reports.Result) {
	if f, ok := c.App.Metadata[keeper].(func(reports.Result)); ok {
		f(r)
	}
}

// warn writes a warning to stderr: something a person should know about a
// result that stands nevertheless.
func warn(c *cli.Context, format string, args ...any) {
	fmt.Fprintf(c.App.ErrWriter, "warning: %s\n", oneLine(fmt.Sprintf(format, args...)))
}

// note writes a note to stderr: how the input was read.
func note(c *cli.Context, format string, args ...any) {
	fmt.Fprintf(c.App.ErrWriter, "note: %s\n", oneLine(fmt.Sprintf(format, args...)))
}

// write writes everything, and reports a failure as one of the output.
func write(w io.Writer, text []byte) error {
	if _, err := w.Write(text); err != nil {
		return couldNotDo(fmt.Errorf("write the result: %w", err))
	}
	return nil
}

// style is plain unless stdout is a terminal and nobody asked for no colour:
// by --no-color, by NO_COLOR (set to anything but the empty text) or by a
// terminal that calls itself dumb.
func style(c *cli.Context) reports.Style {
	color := isTerminal(c.App.Writer) && !c.Bool("no-color") &&
		os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	return reports.Style{Color: color}
}

// isTerminal tells a screen from a pipe, a file and a buffer.
func isTerminal(w io.Writer) bool {
	file, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := file.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}
