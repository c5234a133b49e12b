package main

import (
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/brinemark/brinemark/reports/page"
	"github.com/urfave/cli/v2"
)

// reportOnRecord gathers what is on record of one meter, up to now.
func reportOnRecord(book *logbook.Book, m logbook.Meter, ask reportAsk) (*reports.Report, error) {
	from := reports.ReportSource{Now: ask.now, By: ask.by, Place: ask.place, For: ask.whom}
	from.Meter = asThen(m, ask.now)
	var err error
	if from.Calibrations, err = book.Calibrations(m.Name, logbook.Current); err != nil {
		return nil, err
	}
	if from.Comparisons, err = book.ComparisonsOf(m.Name, logbook.Current); err != nil {
		return nil, err
	}
	if from.Events, err = book.Events(m.Name, logbook.Current); err != nil {
		return nil, err
	}
	leaveOutLater(&from)
	if from.Bottles, err = bottlesRead(book, from.Calibrations); err != nil {
		return nil, err
	}
	ask.drift.laterTold = true // by the report
	job, err := driftOnRecord(book, m, ask.drift)
	if err != nil {
		return nil, err
	}
	job.run()
	var wrong *drift.EntryError
	switch err := job.err; {
	case err == nil:
		from.Drift = job.report()
	case errors.Is(err, drift.ErrNothing):
	case errors.As(err, &wrong):
		from.NoDrift = wrong.Error()
	default:
		return nil, err
	}
	return reports.NewReport(from)
}

const aDay = 24 * time.Hour

// bottlesRead are the versions of each bottle that a reading was held against.
func bottlesRead(book *logbook.Book, calibrations []logbook.Calibration) ([][]logbook.Bottle, error) {
	var names []string
	var out [][]logbook.Bottle
	for _, c := range calibrations {
		for _, r := range c.Readings {
			name, _, _ := strings.Cut(r.BottleID, "/") // a version is named NAME/2
			if name == "" || slices.Contains(names, name) {
				continue
			}
			versions, err := book.BottleVersions(name)
			if err != nil {
				return nil, err
			}
			names, out = append(names, name), append(out, versions)
		}
	}
	return out, nil
}

// reportOfRecord tells of all meters; with --out it writes an index, and the
// report of each meter beside it.
func reportOfRecord(c *cli.Context, book *logbook.Book, ask reportAsk) error {
	meters, err := book.Meters(logbook.Current)
	if err != nil {
		return err
	}
	var list []*reports.Report
	for _, m := range meters {
		r, err := reportOnRecord(book, m, ask)
		if err != nil {
			return err
		}
		list = append(list, r)
	}
	bottles, later, err := bottlesThen(book, ask.now)
	if err != nil {
		return err
	}
	shelved := reports.NewBottleList(bottles, ask.now)
	if !ask.toFile() {
		all := reports.NewReportAll(list, nil, shelved, later, ask.now)
		if err := printReport(c, all, ask); err != nil {
			return err
		}
		return checkVerdict(c, all.Verdicts()...)
	}
	folder := filepath.Dir(ask.out)
	files, err := reportFiles(list, ask)
	if err != nil {
		return err
	}
	for _, name := range files { // all places, before the first page is written
		if _, err := findPlace("the page of a meter", filepath.Join(folder, name)); err != nil {
			return err
		}
	}
	for i, r := range list {
		if err := writeReport(c, filepath.Join(folder, files[i]), r, ask); err != nil {
			return err
		}
	}
	all := reports.NewReportAll(list, files, shelved, later, ask.now)
	if err := writeReport(c, ask.out, all, ask); err != nil { // last: it names the others
		return err
	}
	written := &reports.ReportWritten{State: all.Page().Lead, Files: []string{ask.out}, More: all.Warnings}
	for _, f := range files {
		written.Files = append(written.Files, filepath.Join(folder, f))
	}
	if err := told(c, all, written); err != nil {
		return err
	}
	return checkVerdict(c, all.Verdicts()...)
}

// reportFiles names the files beside the index.
func reportFiles(list []*reports.Report, ask reportAsk) ([]string, error) {
	ending := ask.format.endings[0]
	if strings.HasSuffix(ask.out, ".gz") {
		ending += ".gz"
	}
	var files []string
	for _, r := range list {
		name := page.FileName("meter-", r.Meter, ending)
		if strings.EqualFold(name, filepath.Base(ask.out)) {
			return nil, usageError("--out %s: that is the name of the page of meter %s; want another for the index, such as index%s", ask.out, r.Meter, ending)
		}
		files = append(files, name)
	}
	return files, nil
}
