package main

import (
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// logChart is the chart of a log while the log is corrected.
type logChart struct {
	charting
	drawn   bool // with characters, beside the summary
	file    *preparedFile
	outline *series.Outline // nil where nobody asks for a chart
}

// newLogChart finds out whether a chart is wanted, and that its file can be
// written before a long log is read.
func newLogChart(c *cli.Context, plan *series.Plan) (*logChart, error) {
	ask, err := getCharting(c, c.Path("out"), c.Path("events"), c.Path("daily"))
	if err != nil {
		return nil, err
	}
	if c.Bool("follow") && (ask.plot != "" || ask.when == "always") {
		return nil, usageError("--follow writes row by row, and a chart shows a log that is complete: want one of them")
	}
	chart := &logChart{charting: ask}
	chart.drawn = ask.drawsChart(isTerminal(c.App.ErrWriter)) && !c.Bool("json") && !c.Bool("follow")
	if chart.file, err = reserveFile("--plot", ask.plot); err != nil {
		return nil, err
	}
	if chart.drawn || ask.plot != "" {
		chart.outline = series.NewOutline(len(plan.Probes))
	}
	return chart, nil
}

// watch has the rows of the log told.
func (l *logChart) watch(plan *series.Plan) {
	switch {
	case l.outline == nil:
	case plan.Observer == nil:
		plan.Observer = l.outline
	default:
		plan.Observer = series.Observers{plan.Observer, l.outline}
	}
}

// finish draws the chart of the result.
func (l *logChart) finish(r *reports.Correction) error {
	if l.outline == nil {
		return nil
	}
	r.Outlined(l.outline)
	if err := l.draw(l.file, r.Chart); err != nil {
		return err
	}
	return l.file.keep()
}
