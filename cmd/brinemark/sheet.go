package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func sheetCommand() *cli.Command {
	return &cli.Command{
		Name:  "sheet",
		Usage: "print a blank sheet for a planned check, and the table to type it into",
		UsageText: `brinemark sheet --out FILE.html [--csv FILE.csv] [--flag value ...]
brinemark sheet --csv FILE.csv [--flag value ...]`,
		Description: `The sheet has the bottles down and the meters across, for the pen: room for what each
meter shows, the temperature and the time. With --temp it says what a meter without error
shows there. The table (--csv) has a row for each reading, with the columns that calibrate
and compare read; a file that is there is never written over, for it may hold readings.

   brinemark sheet --out bench.html --csv bench.csv --temp 19C
   brinemark sheet --bottle A --bottle B --meter "tent pen" --out bench.html

Without --bottle it takes all bottles on record that are not past their date, and without
--meter all meters in use. Meters of ec and of ph have tables of their own: bench.csv then
is bench-ec.csv and bench-ph.csv.`,
		Flags: []cli.Flag{
			&cli.PathFlag{Name: "out", Usage: "write the sheet to `FILE`, .html"},
			&cli.PathFlag{Name: "csv", Usage: "write the table to the new `FILE`, .csv"},
			&cli.StringSliceFlag{Name: "bottle", Usage: "the bottle `ID` on record"},
			&cli.StringSliceFlag{Name: "meter", Usage: "the meter `ID` on record"},
			quantityFlag("temp", "planned `TEMPERATURE` of the bottles, such as 19C", quantity.Temperature),
			uncertaintyFlag("u-temp", "standard `UNCERTAINTY` of the temperature", quantity.Temperature),
			parsedFlag("repeats", "read each bottle `N` times with each meter: as many rows", false, parseCount),
			paperFlag(),
			nowFlag(),
		},
		Action: runSheet,
	}
}

func runSheet(c *cli.Context) error {
	if _, err := arguments(c); err != nil {
		return err
	}
	if c.Path("out") == "" && c.Path("csv") == "" {
		return usageError("sheet needs --out FILE.html, --csv FILE.csv, or both")
	}
	for name, ending := range map[string]string{"out": ".html", "csv": ".csv"} {
		if path := c.Path(name); path != "" && !strings.EqualFold(filepath.Ext(path), ending) {
			return usageError("--%s %s: want a file whose name ends in %s", name, quantity.Quoted(path), ending)
		}
	}
	repeats, _, err := last[int](c, "repeats")
	if err != nil {
		return err
	}
	of := reports.SheetOf{}
	if of.Now, err = givenNow(c); err != nil {
		return err
	}
	paper, err := paperOf(c)
	if err != nil {
		return err
	}
	of.Paper = strings.ToLower(paper.Name)
	if isGiven(c, "temp") || isGiven(c, "u-temp") {
		temp, err := bottleTemp(c)
		if err != nil {
			return err
		}
		of.Temp = &temp
	}
	return withRecord(c, func(book *logbook.Book) error {
		if of.Bottles, of.LeftOut, err = sheetBottles(c, book, of.Now); err != nil {
			return err
		}
		if of.Meters, err = sheetMeters(c, book, of.Now); err != nil {
			return err
		}
		sheet, err := reports.NewBenchSheet(of)
		if err != nil {
			return err
		}
		for _, b := range of.LeftOut {
			note(c, "%s; left out: --bottle takes it all the same", shelf.PastDate(b, of.Now))
		}
		if err := writeSheet(c, sheet, repeats); err != nil {
			return err
		}
		return render(c, sheet)
	})
}

// sheetBottles are the bottles named, or all that are not past their date; then
// old are those that are.
func sheetBottles(c *cli.Context, book *logbook.Book, at time.Time) (out, old []logbook.Bottle, err error) {
	names := c.StringSlice("bottle")
	if len(names) == 0 {
		list, err := book.Bottles(logbook.Current)
		for _, b := range list {
			if shelf.PastDate(b, at) != "" {
				old = append(old, b)
			} else {
				out = append(out, b)
			}
		}
		return out, old, err
	}
	for _, name := range names {
		versions, err := book.BottleVersions(name)
		if err != nil {
			return nil, nil, err
		}
		b := versions[len(versions)-1]
		if !slices.ContainsFunc(out, func(other logbook.Bottle) bool { return other.ID == b.ID }) {
			out = append(out, b)
		}
	}
	return out, nil, nil
}

// sheetMeters are the meters named, or all in use.
func sheetMeters(c *cli.Context, book *logbook.Book, at time.Time) ([]logbook.Meter, error) {
	names := c.StringSlice("meter")
	if len(names) == 0 {
		list, err := book.Meters(logbook.Current)
		return slices.DeleteFunc(list, func(m logbook.Meter) bool { return outOfUse(&m, at) }), err
	}
	var out []logbook.Meter
	for _, name := range names {
		m, err := book.Meter(name)
		if err != nil {
			return nil, err
		}
		if !slices.ContainsFunc(out, func(other logbook.Meter) bool { return other.ID == m.ID }) {
			out = append(out, m)
		}
	}
	return out, nil
}

// writeSheet writes the tables and the page, all or none, once it is sure that
// no table is there already.
func writeSheet(c *cli.Context, sheet *reports.BenchSheet, repeats int) error {
	if path := c.Path("csv"); path != "" {
		sheet.CSV = csvNames(path, sheet)
		for _, name := range sheet.CSV {
			if err := keepRecord(c, "--csv", name); err != nil { // one of several has a name of its own
				return err
			}
			if _, err := os.Lstat(name); err == nil {
				return usageError("--csv: %s is there already, and may hold readings; want the name of a new file", name)
			} else if !errors.Is(err, fs.ErrNotExist) {
				return couldNotDo(fmt.Errorf("--csv: %w", err))
			}
			if _, err := findPlace("--csv", name); err != nil {
				return err
			}
		}
	}
	page := &preparedFile{}
	if path := c.Path("out"); path != "" {
		sheet.File = &path
		var err error
		if page, err = prepareFile("--out", path, sheet.WriteHTML); err != nil {
			return err
		}
	}
	defer page.drop()
	var made []string
	undo := func(err error) error {
		for _, name := range made {
			err = errors.Join(err, os.Remove(name))
		}
		return err
	}
	for i, name := range sheet.CSV {
		if err := writeNewTable(name, func(w io.Writer) error { return sheet.Parts[i].WriteCSV(w, repeats) }); err != nil {
			return couldNotDo(fmt.Errorf("--csv: %w", undo(err)))
		}
		made = append(made, name)
	}
	if err := page.keep(); err != nil {
		return undo(err)
	}
	return nil
}

// writeNewTable writes a file that is not there yet, or leaves none.
func writeNewTable(name string, fill func(io.Writer) error) error {
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, outputMode)
	if err != nil {
		return err
	}
	if err := errors.Join(fill(file), file.Close()); err != nil {
		return errors.Join(err, os.Remove(name))
	}
	return nil
}

// csvNames names a table for each part of the sheet.
func csvNames(path string, sheet *reports.BenchSheet) []string {
	if len(sheet.Parts) == 1 {
		return []string{path}
	}
	var out []string
	for _, part := range sheet.Parts {
		ending := filepath.Ext(path)
		out = append(out, strings.TrimSuffix(path, ending)+"-"+part.Quantity+ending)
	}
	return out
}
