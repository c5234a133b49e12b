package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// saving is what is asked of the record with --save.
type saving struct {
	note     string
	corrects []string // the calibrations it takes the place of
	warnings []string
}

// savingFlags are what --save needs and takes.
func savingFlags() []cli.Flag {
	return []cli.Flag{
		&cli.BoolFlag{Name: "save", Usage: "put it on record, every reading, as a calibration of --meter"},
		&cli.StringSliceFlag{Name: "corrects", Usage: "with --save: it takes the place of the calibration `ID`, which was wrong; again for each"},
		&cli.StringFlag{Name: "note", Usage: "with --save: `TEXT` to keep with it"},
	}
}

// readSaving reads savingFlags; nil where nothing is to be saved.
func readSaving(c *cli.Context) (*saving, error) {
	s := &saving{note: strings.TrimSpace(c.String("note"))}
	for _, id := range c.StringSlice("corrects") {
		s.corrects = append(s.corrects, strings.TrimSpace(id))
	}
	if !c.Bool("save") {
		for _, name := range []string{"corrects", "note"} {
			if isGiven(c, name) {
				return nil, usageError("--%s belongs to --save", name)
			}
		}
		return nil, nil
	}
	if strings.TrimSpace(c.String("meter")) == "" {
		return nil, usageError("--save needs --meter ID, a meter on record (\"meter add ID --quantity …\" puts one there)")
	}
	if slices.Contains(s.corrects, "") {
		return nil, usageError("--corrects needs the ID of a calibration, as \"meter show --all\" gives it")
	}
	return s, nil
}

// begin settles the times and checks what can be checked before the work.
func (s *saving) begin(book *logbook.Book, m *meterOnRecord, benches []bench) error {
	clock, err := clockWarning(book)
	if err != nil {
		return err
	}
	s.warnings = clock
	if err := s.correct(book, m, &benches[0]); err != nil {
		return err
	}
	for i := range benches {
		about := &benches[i].about
		if about.Time.IsZero() {
			about.Time = now()
		}
		if outOfUse(m.meter, about.Time) {
			return usageError("meter %s is out of use since %s; correct that with \"meter add … --correct\", or give the --time of before", m.meter.Name, m.meter.RetiredAt.Format(time.DateOnly))
		}
		s.warnings = append(s.warnings, inFuture("the calibration", slices.MaxFunc(append([]time.Time{about.Time}, benches[i].times...), time.Time.Compare))...)
		if err := s.sameAgain(book, m.meter.Name, *about); err != nil {
			return err
		}
	}
	return nil
}

// correct takes from the calibrations that were wrong what nobody says anew: from
// the first of them. One that was saved several times is corrected in all of its
// rows, or the others would hold.
func (s *saving) correct(book *logbook.Book, m *meterOnRecord, b *bench) error {
	var ids []string
	for i, id := range s.corrects {
		old, err := book.Calibration(id)
		if err != nil {
			return fmt.Errorf("--corrects: %w", err)
		}
		if !strings.EqualFold(old.Meter, m.meter.Name) {
			return usageError("--corrects: %s is a calibration of meter %s, not of %s", old.ID, old.Meter, m.meter.Name)
		}
		twins, err := book.Twins(old)
		if err != nil {
			return err
		}
		for _, row := range append([]logbook.Calibration{old}, twins...) {
			if !slices.Contains(ids, row.ID) {
				ids = append(ids, row.ID)
			}
		}
		if i > 0 {
			continue
		}
		if b.about.Time.IsZero() {
			b.about.Time = old.Time
		}
		if !b.stateTold {
			b.about.State = old.State
		}
	}
	s.corrects = ids
	return nil
}

// sameAgain warns of another calibration of the same time that is on record.
func (s *saving) sameAgain(book *logbook.Book, meter string, about reports.CalibrateContext) error {
	list, err := book.Calibrations(meter, logbook.Current)
	if err != nil {
		return err
	}
	for _, old := range list {
		if old.Time.Equal(about.Time.Truncate(time.Microsecond)) && old.State == about.State && !slices.Contains(s.corrects, old.ID) {
			s.warnings = append(s.warnings, fmt.Sprintf("%s of the same time, %s, is on record as well; if this one is to take its place, it needs --corrects", old.ID, old.State))
		}
	}
	return nil
}

// onRecord warns of a calibration that was saved already.
func (s *saving) onRecord(book *logbook.Book, rows []logbook.Calibration) error {
	for _, row := range rows {
		list, err := book.Calibrations(row.Meter, logbook.Current)
		if err != nil {
			return err
		}
		for _, old := range list {
			if old.Twin(row) && !slices.Contains(s.corrects, old.ID) {
				s.warnings = append(s.warnings, fmt.Sprintf("the same calibration, reading for reading, was on record already as %s: the two count as one", old.ID))
			}
		}
	}
	return nil
}

// keep puts the calibrations on record, all or none, and tells the reports so.
func (s *saving) keep(book *logbook.Book, rows []logbook.Calibration, list []*reports.Calibrate) error {
	if err := s.onRecord(book, rows); err != nil {
		return err
	}
	var all []logbook.Record
	for i := range rows {
		list[i].Warnings = append(append(reports.Warnings{}, s.warnings...), list[i].Warnings...)
		var printed bytes.Buffer
		if err := reports.WriteJSON(&printed, list[i]); err != nil {
			return couldNotDo(err)
		}
		rows[i].Note, rows[i].Result = s.note, json.RawMessage(printed.Bytes())
		all = append(all, &rows[i])
	}
	// A row takes the place of one: of each further one, a twin of it does.
	for i, id := range s.corrects {
		row := &rows[0]
		if i > 0 {
			twin := rows[0]
			row = &twin
			all = append(all, row)
		}
		row.Supersedes = id
	}
	if err := book.Save(all...); err != nil {
		return err
	}
	for i, row := range rows {
		list[i].Saved(row)
	}
	return nil
}

// record is a bench as a row of the record.
func (b *bench) record(m *meterOnRecord, r *check.Result) logbook.Calibration {
	low, high := r.Fit.ReadingRange()
	out := logbook.Calibration{
		Meter: b.about.Meter, Time: b.about.Time, State: b.about.State, Quantity: string(r.Kind), Unit: b.about.Unit,
		Method: string(r.Fit.Method), N: r.Fit.N, DoF: r.Fit.DoF, Intercept: r.Fit.Intercept, Slope: r.Fit.Slope,
		UIntercept: known(r.Fit.UIntercept), USlope: known(r.Fit.USlope), Cov: known(r.Fit.Covariance),
		UBasis: r.Fit.Basis.String(), ReadingLow: low, ReadingHigh: high, Verdict: string(r.Verdict),
	}
	for i, row := range r.Rows {
		reading := logbook.Reading{
			Ref: row.Ref, Reading: row.Reading, URef: row.URef, RefSource: row.RefSource, URefShared: row.URefShared,
			UReading: row.UReading, TempC: row.TempC, Bottle: row.Bottle, MV: row.MV,
		}
		if i < len(b.times) { // the zero point stands behind the others
			reading.Time = b.times[i]
		}
		if i < len(b.index) {
			if bottle, ok := b.bottles[b.index[i]]; ok {
				reading.BottleID, reading.RefParts = bottle.Bottle.ID, bottle.RefParts
			}
		}
		out.Readings = append(out.Readings, reading)
	}
	return out
}

// known is a figure, nil where it is not known.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// saidLate adds to an error about writing the result that what it is about is
// on record all the same.
func saidLate(err error, r *reports.Calibrate) error {
	var failed *failure
	if r.ID == nil || !errors.As(err, &failed) {
		return err
	}
	return couldNotDo(fmt.Errorf("%w; the calibration is on record as %s", failed.err, *r.ID))
}
