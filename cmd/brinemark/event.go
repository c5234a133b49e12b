package main

import (
	"fmt"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func eventCommand() *cli.Command {
	return &cli.Command{
		Name:  "event",
		Usage: "put on record what happened to a meter",
		Description: `What happens to a meter between two checks explains them: an adjustment, a cleaning, a
new electrode or battery.

   brinemark event add "tent pen" cleaned`,
		Subcommands: []*cli.Command{eventAddCommand()},
	}
}

func eventAddCommand() *cli.Command {
	return &cli.Command{
		Name:      "add",
		Usage:     "put an event on record",
		ArgsUsage: "METER EVENT",
		Description: `EVENT is adjusted, cleaned, replaced (the electrode or cell), battery (a new one) or
note (with --note TEXT). Drift is not followed across an adjustment or a replacement.

   brinemark event add "tent pen" cleaned
   brinemark event add P2 replaced --time "2026-03-01 18:00" \
       --note "new electrode"
   brinemark event add P2 adjusted --corrects 2026-03-01-4fz0k2m9x7ra`,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "time", Usage: "`TIME` when it happened (default: now)"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to keep with it"},
			&cli.StringFlag{Name: "corrects", Usage: "it takes the place of the event `ID`, which was wrong"},
		},
		Action: runEventAdd,
	}
}

func runEventAdd(c *cli.Context) error {
	args, err := arguments(c, "METER", "EVENT")
	if err != nil {
		return err
	}
	word, err := oneOf(args[1], logbook.EventWords())
	if err != nil {
		return usageError("event: %v", err)
	}
	note := strings.TrimSpace(c.String("note"))
	if word == "note" && note == "" {
		return usageError("event note needs the words of it: --note TEXT")
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
		warnings, err := clockWarning(book)
		if err != nil {
			return err
		}
		warnings = append(warnings, inFuture("the event", at)...)
		if !m.RetiredAt.IsZero() && at.After(m.RetiredAt) {
			warnings = append(warnings, fmt.Sprintf("meter %s is out of use since %s", m.Name, m.RetiredAt.Format(time.DateOnly)))
		}
		e := logbook.Event{Meter: m.Name, Time: at, Event: word, Note: note}
		if id := c.String("corrects"); id != "" {
			if _, err := book.Event(id); err != nil {
				return err
			}
			e.Supersedes = id
		}
		if err := book.Save(&e); err != nil {
			return err
		}
		return render(c, reports.NewEventAdded(e, warnings))
	})
}
