package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"
)

// run is the whole program but for the process around it: it runs the command
// that args (with the program's name first) ask for, on the given streams, and
// returns the exit status. Nothing below it exits.
//
// Only a result reaches stdout. Whatever goes wrong is one line on stderr.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	app := newApp(stdin, stdout, stderr)
	err := runArguments(app, args, stdout, stderr)
	if err == nil {
		return statusDone
	}
	if !isClosedPipe(err) {
		fmt.Fprintf(stderr, "brinemark: %s\n", oneLine(err.Error()))
	}
	return exitStatus(err)
}

// runArguments settles the arguments and runs the command. The help of cli
// knows only one stream, so it is given its own buffer.
func runArguments(app *cli.App, args []string, stdout, stderr io.Writer) error {
	if len(args) < 2 {
		var help bytes.Buffer
		app.Writer = &help
		if err := app.RunContext(context.Background(), []string{app.Name, "--help"}); err != nil {
			return err
		}
		fmt.Fprint(stderr, help.String())
		return usageError("no command is given")
	}
	ordered, err := orderArguments(app, args[1:])
	if err != nil {
		return err
	}
	if ordered.version {
		return write(stdout, []byte("brinemark "+version()+"\n"))
	}
	if ordered.help {
		var help bytes.Buffer
		app.Writer = &help
		if err := app.RunContext(context.Background(), ordered.forHelp(app.Name)); err != nil {
			return err
		}
		return write(stdout, help.Bytes())
	}
	return app.RunContext(context.Background(), ordered.forCLI(app.Name))
}

// newApp builds the application anew for every run, so that no flag value
// lives longer than one.
func newApp(stdin io.Reader, stdout, stderr io.Writer) *cli.App {
	app := &cli.App{
		Name:                      "brinemark",
		HelpName:                  "brinemark",
		Usage:                     "references of known uncertainty, and what a meter is worth against them",
		Description:               description,
		Commands:                  commands(),
		Flags:                     globalFlags(),
		Reader:                    stdin,
		Writer:                    stdout,
		ErrWriter:                 stderr,
		HideVersion:               true,
		HideHelpCommand:           true,
		DisableSliceFlagSeparator: true, // a comma belongs to the value
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              onUsageError,
		Action:                    func(*cli.Context) error { return usageError("no command is given") },
		CustomAppHelpTemplate:     appHelp,
	}
	app.Flags = append(app.Flags, &cli.BoolFlag{Name: "version", Usage: "print the version"})
	for _, c := range app.Commands {
		settle(c)
	}
	return app
}

// settle gives a command, and those below it, the habits of all commands.
func settle(c *cli.Command) {
	c.HideHelpCommand = true
	c.OnUsageError = onUsageError
	c.CustomHelpTemplate = commandHelp
	if len(c.Subcommands) > 0 {
		c.CustomHelpTemplate = ""
		if c.Action == nil {
			name := c.Name
			c.Action = func(*cli.Context) error { return usageError("%s needs a word after it", name) }
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

// oneLine keeps an error on one line whatever a file's text brought into it.
func oneLine(text string) string {
	return strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' }), "; ")
}
