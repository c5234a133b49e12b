package main

import (
	"runtime/debug"

	"github.com/urfave/cli/v2"
)

// commands lists what the program can do, in the order of the help. Each stands
// in a file of its own. Those that end in a verdict are marked: --check is
// refused by all others.
func commands() []*cli.Command {
	return []*cli.Command{
		judging(recipeCommand()),
		referenceCommand(),
		judging(calibrateCommand()),
		judging(compareCommand()),
		judging(driftCommand()),
		correctCommand(),
		judging(reportCommand()),
		constantsCommand(),
		judging(compensationCommand()),
		meterCommand(),
		bottleCommand(),
		labelCommand(),
		sheetCommand(),
		eventCommand(),
		logbookCommand(),
		demoCommand(),
		completionCommand(),
		manualCommand(),
	}
}

// verdictCategory marks the commands that give a verdict.
const verdictCategory = "verdict"

// judging marks a command that calls checkVerdict.
func judging(c *cli.Command) *cli.Command {
	c.Category = verdictCategory
	return c
}

// judges tells whether a command gives a verdict.
func judges(c *cli.Command) bool { return c.Category == verdictCategory }

// globalFlags are the flags of every command. They may stand before or after
// the command's name.
func globalFlags() []cli.Flag {
	return []cli.Flag{
		&cli.BoolFlag{Name: "json", Usage: "print one JSON object instead of a table"},
		&cli.BoolFlag{Name: "check", Usage: "exit with status 3 unless the verdict is pass (or agree); for commands that give one"},
		&cli.BoolFlag{Name: "no-color", Usage: "print without colours (so does NO_COLOR in the environment)"},
		timeZoneFlag(),
		&cli.PathFlag{Name: "logbook", EnvVars: []string{"BRINEMARK_LOGBOOK"}, Usage: "keep the record in `FILE` (so does BRINEMARK_LOGBOOK in the environment)"},
		&cli.BoolFlag{Name: "version", Usage: "print the version"},
		&cli.BoolFlag{Name: "help", Usage: "print this help, or that of the command named"},
	}
}

const description = `Brinemark turns a bag of salt, a small scale and a jug of water into references
that can be trusted, and judges meters against them. It is an aid for growers
and makers, not a certified laboratory, drinking-water, food-safety or medical
instrument.`

// version is what the build knows about itself.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok || info.Main.Version == "" {
		return "(devel)"
	}
	return info.Main.Version
}
