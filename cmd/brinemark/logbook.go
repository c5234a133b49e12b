package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func logbookCommand() *cli.Command {
	return &cli.Command{
		Name:  "logbook",
		Usage: "check, export, import and back up the record",
		Description: `The record is one file: --logbook FILE, BRINEMARK_LOGBOOK in the environment, or
brinemark/logbook.db in the folder where the system keeps a user's data.

   brinemark logbook check
   brinemark logbook backup record-of-march.db`,
		Subcommands: []*cli.Command{
			{
				Name:  "check",
				Usage: "read the whole record and look for what must not be",
				Description: `Looks for a damaged file, rows that name what is not there, rows that are not what was
saved, and values that cannot be. The exit status is 1 where there is a problem.

   brinemark logbook check`,
				Action: runLogbookCheck,
			},
			{
				Name:  "export",
				Usage: "write everything on record to stdout, as JSON Lines",
				Description: `One record a line, each with its "kind" and "id"; a calibration's line carries its
readings. Importing the export into an empty record
and exporting that gives the same file, to the byte. With --json the records are one
list in one object; import takes the lines.

   brinemark logbook export > record.jsonl`,
				Action: runLogbookExport,
			},
			{
				Name:      "import",
				Usage:     "read what export wrote into the record, all of it or nothing",
				ArgsUsage: "FILE|-",
				Description: `What is on record already changes nothing, so the records of two phones can be merged,
and importing twice does no harm. A line that says something else of what is on record is
refused with its number, and then nothing is imported. The record is made where it is
not there.

   brinemark logbook import record.jsonl`,
				Action: runLogbookImport,
			},
			{
				Name:      "backup",
				Usage:     "write a copy of the record to a new file, also while others write to it",
				ArgsUsage: "FILE",
				Description: `The copy is a record like any other: --logbook FILE reads it. A file that is there
already is never overwritten.

   brinemark logbook backup record-of-march.db`,
				Action: runLogbookBackup,
			},
		},
	}
}

func runLogbookCheck(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	err := withRecord(c, func(book *logbook.Book) error {
		health, err := book.Check()
		if err != nil {
			return err
		}
		return renderHealth(c, book.Path(), health)
	})
	if !errors.Is(err, logbook.ErrDamaged) {
		return err
	}
	// Too damaged to be opened: a problem found, as any other.
	path, pathErr := recordPath(c)
	if pathErr != nil {
		return pathErr
	}
	return renderHealth(c, path, &logbook.Health{Problems: []string{err.Error()}})
}

// renderHealth shows what a check found, and fails where that is a problem.
func renderHealth(c *cli.Context, path string, health *logbook.Health) error {
	if err := render(c, reports.NewLogbookCheck(path, health)); err != nil {
		return err
	}
	if !health.OK() {
		return couldNotDo(fmt.Errorf("the record has problems: %d", len(health.Problems)))
	}
	return nil
}

func runLogbookExport(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	return withRecord(c, func(book *logbook.Book) error {
		if !c.Bool("json") {
			return couldNotDo(book.Export(c.App.Writer))
		}
		var lines bytes.Buffer
		if err := book.Export(&lines); err != nil {
			return err
		}
		return render(c, reports.NewLogbookExport(lines.Bytes()))
	})
}

func runLogbookImport(c *cli.Context) error {
	args, err := arguments(c, "FILE|-")
	if err != nil {
		return err
	}
	file, name, err := openInputOf(c, args[0], "a file that logbook export wrote")
	if err != nil {
		return err
	}
	defer file.Close()
	path, err := recordPath(c)
	if err != nil {
		return err
	}
	var done logbook.Imported
	err = logbook.Begin(path, logbook.Options{Now: now}, func(book *logbook.Book) error {
		var err error
		done, err = book.Import(file, name)
		return err
	})
	if err != nil {
		return recordError(err)
	}
	return render(c, reports.NewLogbookImported(path, done))
}

func runLogbookBackup(c *cli.Context) error {
	args, err := arguments(c, "FILE")
	if err != nil {
		return err
	}
	if _, err := findPlace("backup", args[0]); err != nil {
		return err
	}
	if err := keepRecord(c, "backup", args[0]); err != nil {
		return err
	}
	return withRecord(c, func(book *logbook.Book) error {
		err := book.Backup(args[0])
		var failed *logbook.BusyError
		if errors.As(err, &failed) {
			return couldNotDo(err)
		}
		if err != nil {
			return err
		}
		return render(c, reports.NewLogbookBackup(book.Path(), args[0]))
	})
}
