package main

import (
	"bufio"
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// watchFlags are the files that correct writes beside the log.
func watchFlags() []cli.Flag {
	return []cli.Flag{
		&cli.PathFlag{Name: "events", Usage: "write refills, dry stretches, stuck sensors and jumps into `FILE` (CSV)"},
		&cli.PathFlag{Name: "daily", Usage: "write each day's least, median and highest value into `FILE` (CSV)"},
	}
}

// logWatch writes the events and the days of a log while it is corrected.
type logWatch struct {
	watcher *series.Watcher
	events  *reports.EventsFile
	daily   *reports.DailyFile
	files   []*sideFile
}

// watchLog has the plan of a log watched where --events or --daily ask for it.
func watchLog(c *cli.Context, plan *series.Plan, about []reports.CorrectionPlan) (*logWatch, error) {
	w := &logWatch{}
	zone := plan.Zone
	if zone == nil {
		zone = time.UTC
	}
	var event func(watch.Event)
	var day func(watch.Day)
	taken := map[string]string{}
	if out := c.Path("out"); out != "" && out != "-" {
		taken[filepath.Clean(out)] = "that of --out"
	}
	for _, flag := range []string{"events", "daily"} {
		path := c.Path(flag)
		if path == "" && !isGiven(c, flag) {
			continue
		}
		if other, twice := taken[filepath.Clean(path)]; twice {
			w.abandon()
			return nil, usageError("--%s %s: is %s; want a file of its own", flag, path, other)
		}
		taken[filepath.Clean(path)] = "that of --" + flag
		file, err := newSideFile(flag, path)
		if err != nil {
			w.abandon()
			return nil, err
		}
		w.files = append(w.files, file)
		if flag == "events" {
			w.events = reports.NewEventsFile(file, about, zone)
			event = w.events.Add
		} else {
			w.daily = reports.NewDailyFile(file, about)
			day = w.daily.Add
		}
	}
	if len(w.files) == 0 {
		return w, nil
	}
	kinds := make([]check.Kind, len(about))
	for i, column := range about {
		kinds[i] = column.Kind
	}
	var err error
	if w.watcher, err = series.NewWatcher(*plan, kinds, event, day); err != nil {
		w.abandon()
		return nil, err
	}
	plan.Observer = w.watcher
	return w, nil
}

// finish gives the files their names.
func (w *logWatch) finish() error {
	if w.watcher == nil {
		return nil
	}
	w.watcher.Finish()
	if w.events != nil {
		if err := w.events.Close(); err != nil {
			return couldNotDo(fmt.Errorf("--events: %w", err))
		}
	}
	if w.daily != nil {
		if err := w.daily.Close(); err != nil {
			return couldNotDo(fmt.Errorf("--daily: %w", err))
		}
	}
	for _, file := range w.files {
		if err := file.keep(); err != nil {
			return couldNotDo(fmt.Errorf("--%s: write %s: %w", file.flag, file.place.path, withoutName(err)))
		}
	}
	return nil
}

// warned adds the warnings of the files to the summary's.
func (w *logWatch) warned(r *reports.Correction) *reports.Correction {
	if w.daily != nil {
		r.Warnings = append(r.Warnings, w.daily.WarningList()...)
	}
	return r
}

// abandon removes what was written of files that did not get their names.
func (w *logWatch) abandon() {
	for _, file := range w.files {
		file.drop()
	}
}

// sideFile is a file that gets its name when it is complete.
type sideFile struct {
	io.Writer
	flag   string
	file   *temporary
	place  place
	buffer *bufio.Writer
	packed *gzip.Writer // nil where the name does not end in .gz
}

func newSideFile(flag, path string) (*sideFile, error) {
	if path == "" || path == "-" {
		return nil, usageError("--%s needs the name of a file: the log itself may go to stdout", flag)
	}
	f := &sideFile{flag: flag}
	var err error
	if f.place, err = findPlace("--"+flag, path); err != nil {
		return nil, err
	}
	if f.place.special {
		return nil, usageError("--%s %s: is no file; want the name of one", flag, path)
	}
	if f.file, err = newTemporary(f.place, path); err != nil {
		return nil, couldNotDo(fmt.Errorf("--%s: write %s: %w", flag, path, err))
	}
	f.buffer = bufio.NewWriter(f.file)
	f.Writer = f.buffer
	if strings.HasSuffix(path, ".gz") {
		f.packed = gzip.NewWriter(f.buffer)
		f.Writer = f.packed
	}
	return f, nil
}

// keep completes the file.
func (f *sideFile) keep() error {
	if f.packed != nil {
		if err := f.packed.Close(); err != nil {
			return err
		}
	}
	if err := f.buffer.Flush(); err != nil {
		return err
	}
	return finishFile(f.file, f.place)
}

// drop removes the file; of no effect once it has its name.
func (f *sideFile) drop() {
	f.file.Close()
	os.Remove(f.file.Name())
}
