package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/urfave/cli/v2"
)

// chartFlags are those of a command whose result has a chart.
func chartFlags() []cli.Flag {
	return []cli.Flag{
		parsedFlag("plot", "draw the chart into `FILE`, whose name ends in "+strings.Join(picture.Formats(), " or "), false, parsePlot),
		wordFlag("chart", "draw the chart with characters: `WHEN` is auto (where the output is a screen; default), always or never", chartWords...),
	}
}

// chartWords say when a chart is drawn with characters.
var chartWords = []string{"auto", "always", "never"}

func parsePlot(path string) (string, error) {
	if _, ok := (&picture.Chart{}).Writer(filepath.Ext(path)); !ok {
		return "", fmt.Errorf("a chart is not drawn into %s; want a file name that ends in %s", quantity.Quoted(path), strings.Join(picture.Formats(), " or "))
	}
	return path, nil
}

// charting is what is asked by chartFlags.
type charting struct {
	plot string // "" for none
	when string // one of chartWords, or ""
}

// getCharting reads chartFlags. others are the files that are written as well,
// which a chart must not take the place of; for those that are read see checkPlaces.
func getCharting(c *cli.Context, others ...string) (ask charting, err error) {
	if ask.plot, _, err = last[string](c, "plot"); err != nil {
		return ask, err
	}
	if ask.when, err = getWord(c, "chart"); err != nil {
		return ask, err
	}
	for _, other := range others {
		if ask.plot != "" && other != "" && other != "-" && sameFile(ask.plot, other) {
			return ask, usageError("--plot %s: names a file that is written as well; want one of its own", ask.plot)
		}
	}
	return ask, nil
}

func sameFile(a, b string) bool {
	if filepath.Clean(a) == filepath.Clean(b) {
		return true
	}
	one, err := os.Stat(a)
	if err != nil {
		return false
	}
	other, err := os.Stat(b)
	return err == nil && os.SameFile(one, other)
}

// drawsChart tells whether a chart of characters belongs to the table on a
// stream.
func (ask charting) drawsChart(onScreen bool) bool {
	return ask.when == "always" || ask.when != "never" && onScreen
}

// prepare draws the chart where --plot asks for it.
func (ask charting) prepare(chart func() *picture.Chart) (*preparedFile, error) {
	f, err := reserveFile("--plot", ask.plot)
	if err != nil {
		return nil, err
	}
	if err := ask.draw(f, chart); err != nil {
		f.drop()
		return nil, err
	}
	return f, nil
}

// draw draws the chart into a file that was reserved for --plot.
func (ask charting) draw(f *preparedFile, chart func() *picture.Chart) error {
	if ask.plot == "" {
		return nil
	}
	write, _ := chart().Writer(filepath.Ext(ask.plot))
	return f.fill(write)
}
