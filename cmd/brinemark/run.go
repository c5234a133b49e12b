package main

import (
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/brinemark/brinemark/reports/typeset"
	"github.com/urfave/cli/v2"
)

// run is the whole program but for the process around it: it runs the command
// that args (with the program's name first) ask for, on the given streams, and
// returns the exit status. Nothing below it exits.
//
// Only a result reaches stdout. Whatever goes wrong is one line on stderr.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	return runCommands(commands(), args, stdin, stdout, stderr)
}

// runCommands is run with a list of commands, so that the frame can be tested
// on commands made for it.
func runCommands(list []*cli.Command, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	app := newApp(list, stdin, stdout, stderr)
	err := runArguments(app, args, stdout, stderr)
	if err == nil {
		return statusDone
	}
	if !isClosedPipe(err) {
		fmt.Fprintf(stderr, "brinemark: %s\n", oneLine(err.Error()))
	}
	return exitStatus(err)
}

// runArguments settles the arguments and runs the command.
func runArguments(app *cli.App, args []string, stdout, stderr io.Writer) error {
	if len(args) < 2 {
		fmt.Fprintf(stderr, "%s\n", helpText(app, nil, nil))
		return fmt.Errorf("no command is given")
	}
	ordered, err := orderArguments(app, args[1:])
	switch {
	case err != nil:
		return inCommand(err, ordered.path)
	case ordered.version:
		return write(stdout, []byte("brinemark "+version()+"\n"))
	case ordered.help:
		return write(stdout, helpText(app, ordered.command, ordered.path))
	}
	return inCommand(app.RunContext(context.Background(), ordered.forCLI(app.Name)), ordered.path)
}

// newApp builds the application anew for every run, so that no flag value
// lives longer than one.
func newApp(list []*cli.Command, stdin io.Reader, stdout, stderr io.Writer) *cli.App {
	app := &cli.App{
		Name:                      "brinemark",
		HelpName:                  "brinemark",
		Usage:                     "references of known uncertainty, and what a meter is worth against them",
		Description:               description,
		Commands:                  list,
		Flags:                     globalFlags(),
		Reader:                    stdin,
		Writer:                    stdout,
		ErrWriter:                 stderr,
		HideVersion:               true, // --version and --help are answered before cli runs
		HideHelp:                  true,
		DisableSliceFlagSeparator: true, // a comma belongs to the value
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              onUsageError,
	}
	for _, c := range app.Commands {
		settle(c)
	}
	return app
}

// settle gives a command, and those below it, the habits of all commands.
func settle(c *cli.Command) {
	c.HideHelp = true
	c.OnUsageError = onUsageError
	if act := c.Action; act != nil {
		c.Action = func(c *cli.Context) error {
			if err := checkPlaces(c); err != nil {
				return err
			}
			return act(c)
		}
	}
	for _, sub := range c.Subcommands {
		settle(sub)
	}
}

// onUsageError turns the flag package's wording into ours. What is left for
// it are values of the library's own flag types, such as --json=maybe.
func onUsageError(_ *cli.Context, err error, _ bool) error {
	return usageError("%s", strings.Replace(err.Error(), " for flag -", " for flag --", 1))
}

// oneLine keeps a message on one line, and free of what would move a screen's
// cursor, whatever a file's text or name brought into it.
func oneLine(text string) string { return typeset.Line(strings.TrimSpace(text)) }
