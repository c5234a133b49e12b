package main

import (
	"errors"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// allFlag shows what was superseded.
func allFlag() *cli.BoolFlag {
	return &cli.BoolFlag{Name: "all", Usage: "show what was superseded, too"}
}

func scopeOf(c *cli.Context) logbook.Scope { return logbook.Scope(c.Bool("all")) }

func isOnRecord(err error) bool { return errors.Is(err, logbook.ErrExists) }

func meterListCommand() *cli.Command {
	return &cli.Command{
		Name:  "list",
		Usage: "list the meters on record with their last check",
		Description: `With --all those that were corrected, too.

   brinemark meter list`,
		Flags:  []cli.Flag{allFlag()},
		Action: runMeterList,
	}
}

func runMeterList(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	return withRecord(c, func(book *logbook.Book) error {
		meters, err := book.Meters(scopeOf(c))
		if err != nil {
			return err
		}
		last, err := book.LastCalibrations()
		if err != nil {
			return err
		}
		return render(c, reports.NewMeterList(meters, last))
	})
}

func meterShowCommand() *cli.Command {
	return &cli.Command{
		Name:      "show",
		Usage:     "show a meter with its checks, comparisons and events",
		ArgsUsage: "ID",
		Description: `What it is, and what is on record of it by time.

   brinemark meter show "tent pen"
   brinemark meter show P2 --all --json`,
		Flags:  []cli.Flag{allFlag()},
		Action: runMeterShow,
	}
}

func runMeterShow(c *cli.Context) error {
	args, err := arguments(c, "ID")
	if err != nil {
		return err
	}
	return withRecord(c, func(book *logbook.Book) error {
		m, err := book.Meter(args[0])
		if err != nil {
			return err
		}
		history := reports.MeterHistory{Meter: m}
		if c.Bool("all") {
			if history.Versions, err = book.MeterVersions(m.Name); err != nil {
				return err
			}
		}
		if history.Calibrations, err = book.History(m.Name, scopeOf(c)); err != nil {
			return err
		}
		if history.Comparisons, err = book.ComparisonsOf(m.Name, scopeOf(c)); err != nil {
			return err
		}
		if history.Events, err = book.Events(m.Name, scopeOf(c)); err != nil {
			return err
		}
		return render(c, reports.NewMeterShown(history))
	})
}

func meterRetireCommand() *cli.Command {
	return &cli.Command{
		Name:      "retire",
		Usage:     "take a meter out of use; what is on record of it stays",
		ArgsUsage: "ID",
		Description: `It is no longer asked for by drift --all and sheet; meter list shows it as out of use.

   brinemark meter retire "old pen" --time 2026-02-28 --note "cracked"`,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "time", Usage: "`TIME` from which on it is out of use (default: now)"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to keep with it (default: the meter's)"},
		},
		Action: runMeterRetire,
	}
}

func runMeterRetire(c *cli.Context) error {
	args, err := arguments(c, "ID")
	if err != nil {
		return err
	}
	at, err := optionalTime(c, "time")
	if err != nil {
		return err
	}
	if at.IsZero() {
		at = now()
	}
	return changeRecord(c, false, func(book *logbook.Book) error {
		m, err := book.Meter(args[0])
		if err != nil {
			return err
		}
		if m.Retired() {
			return usageError("meter %s is out of use since %s", m.Name, m.RetiredAt.Format("2006-01-02"))
		}
		m.Head = logbook.Head{Supersedes: m.ID}
		m.RetiredAt = at
		warnings, err := clockWarning(book)
		if err != nil {
			return err
		}
		warnings = append(warnings, inFuture("the time from which on it is out of use", at)...)
		if c.IsSet("note") {
			m.Note = c.String("note")
		}
		if err := book.Save(&m); err != nil {
			return err
		}
		return render(c, reports.NewMeterAdded(m, warnings))
	})
}
