package main

import (
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// finishDrift writes what was asked for beside the result, shows the result
// and judges it.
func finishDrift(c *cli.Context, ask driftAsk, d *reports.Drift) error {
	d.Drawn = ask.drawsChart(isTerminal(c.App.Writer))
	plot, err := ask.prepare(d.Chart)
	if err != nil {
		return err
	}
	defer plot.drop()
	if err := writeCalendar(ask, reports.DriftCalendar(now(), d)); err != nil {
		return err
	}
	if err := plot.keep(); err != nil {
		return err
	}
	if err := render(c, d); err != nil {
		return err
	}
	return checkVerdict(c, d.VerdictWord())
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
	return writeBeside("--calendar", ask.calendar, days.Write)
}
