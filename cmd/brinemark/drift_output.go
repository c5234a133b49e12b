package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// finishDrift writes what was asked for beside the result, shows the result
// and judges it.
func finishDrift(c *cli.Context, ask driftAsk, d *reports.Drift) error {
	when, err := getWord(c, "chart")
	if err != nil {
		return err
	}
	d.Drawn = drawsChart(when, isTerminal(c.App.Writer))
	if ask.plot != "" {
		write, _ := d.Chart().Writer(filepath.Ext(ask.plot))
		if err := writeBeside(ask.plot, write); err != nil {
			return err
		}
	}
	if err := writeCalendar(ask, reports.DriftCalendar(now(), d)); err != nil {
		return err
	}
	if err := render(c, d); err != nil {
		return err
	}
	return checkVerdict(c, d.VerdictWord())
}

// drawsChart tells whether a chart of characters belongs to the table.
func drawsChart(when string, onScreen bool) bool {
	return when == "always" || when != "never" && onScreen
}

func finishDrifts(c *cli.Context, ask driftAsk, meters []*reports.Drift, unchecked []reports.DriftWithout) error {
	all := reports.NewDriftAll(ask.options.Now, meters, unchecked)
	if err := writeCalendar(ask, all.Calendar(now())); err != nil {
		return err
	}
	if err := render(c, all); err != nil {
		return err
	}
	return checkVerdict(c, all.Verdicts()...)
}

// writeCalendar writes the days where a file was named for them. Its stamp is
// the clock's, whatever was taken for now: calendars go by it.
func writeCalendar(ask driftAsk, days *reports.Calendar) error {
	if ask.calendar == "" {
		return nil
	}
	return writeBeside(ask.calendar, days.Write)
}

// writeBeside writes a file beside the result. It is made whole before the
// file is touched, so that one that cannot be made leaves what is there.
func writeBeside(path string, write func(io.Writer) error) error {
	var b bytes.Buffer
	err := write(&b)
	if err == nil {
		err = os.WriteFile(path, b.Bytes(), 0o666)
	}
	if err != nil {
		return couldNotDo(fmt.Errorf("write %s: %w", path, err))
	}
	return nil
}
