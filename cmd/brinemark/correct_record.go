package main

import (
	"fmt"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// metersOnRecord fills in the columns whose meter is on record.
func metersOnRecord(c *cli.Context, book *logbook.Book, columns []*columnPlan) error {
	for _, p := range columns {
		if !p.onRecord {
			continue
		}
		if err := p.fromRecord(book); err != nil {
			return fmt.Errorf("--meter %s: %w", p.column, err)
		}
	}
	return nil
}

// fromRecord takes what the record knows of a column's meter: its
// calibrations, what was done to it, its display and its limits. What was
// superseded is left out.
func (p *columnPlan) fromRecord(book *logbook.Book) error {
	m, err := book.Meter(p.meter)
	if err != nil {
		return err
	}
	p.meter, p.kind, p.unit = m.Name, check.Kind(m.Quantity), m.Unit
	if p.checks, err = book.Calibrations(m.Name, logbook.Current); err != nil {
		return err
	}
	if p.events, err = book.Events(m.Name, logbook.Current); err != nil {
		return err
	}
	if len(p.checks) == 0 {
		return fmt.Errorf("meter %s has no calibration on record; \"calibrate … --meter %s --save\" puts one there", m.Name, m.Name)
	}
	for i, c := range p.checks {
		if err := oneHolds(p.checks[:i], c); err != nil {
			return err
		}
		if c.Unit != "" && m.Unit != "" && !sameUnit(c.Unit, m.Unit) || c.Quantity != m.Quantity {
			return fmt.Errorf("calibration %s of meter %s is of %s in %s, and the meter is on record as one of %s in %s; correct one of them",
				c.ID, m.Name, c.Quantity, unitOrNone(c.Unit), m.Quantity, unitOrNone(m.Unit))
		}
		p.calibrations = append(p.calibrations, recordedCalibration(c))
		if c.UBasis == "scatter" && c.DoF > 0 && (p.dof == 0 || c.DoF < p.dof) {
			p.dof = c.DoF
		}
	}
	for _, e := range p.events {
		if restarts(drift.Event(e.Event)) {
			p.breaks = append(p.breaks, series.Break{Time: happened(e, p.checks), Name: e.Event})
		}
	}
	return p.display(m)
}

// oneHolds refuses two calibrations of one time and state, for only one of them
// can hold.
func oneHolds(before []logbook.Calibration, c logbook.Calibration) error {
	at := recordedCalibration(c).Time
	for _, other := range before {
		if other.State == c.State && recordedCalibration(other).Time.Equal(at) {
			return fmt.Errorf("meter %s has two calibrations %s at %s on record, %s and %s; save the right one in the place of both, with calibrate FILE.csv --meter %s --save --corrects %s --corrects %s",
				c.Meter, c.State, at.Format(time.RFC3339), other.ID, c.ID, reports.ShellWord(c.Meter), other.ID, c.ID)
		}
	}
	return nil
}

func unitOrNone(unit string) string {
	if unit == "" {
		return "no unit"
	}
	return unit
}

// recordedCalibration is a calibration on record as one of a timeline.
func recordedCalibration(c logbook.Calibration) series.Calibration {
	line := series.Line{Intercept: c.Intercept, Slope: c.Slope, Low: c.ReadingLow, High: c.ReadingHigh}
	if c.Method == "gain" {
		line.Low = min(line.Low, 0) // a line through zero covers all below its points
	}
	line.SetUncertainty(c.UIntercept, c.USlope, c.Cov)
	at := c.Time
	if first, _, left := leftFrom(c); left {
		at = first // it shows as left from then on
	}
	return series.Calibration{Time: at, State: series.State(c.State), Line: line, Name: c.ID}
}

// display takes the display and the limits of a meter.
func (p *columnPlan) display(m logbook.Meter) error {
	p.resolution = m.Resolution
	if m.RangeLow != nil {
		p.low = *m.RangeLow
	}
	if m.RangeHigh != nil {
		p.high = *m.RangeHigh
	}
	if t, ok := shelf.ToleranceOf(m); ok {
		p.tolerance = &t
	}
	if p.kind != check.EC {
		return nil
	}
	factor := 0.0
	if m.PPMFactor != nil {
		factor = *m.PPMFactor
	}
	if scale, err := tempcomp.ParseScale(m.Unit, factor); err == nil {
		p.scale = &scale
	}
	if m.Compensation == "" {
		return nil
	}
	d, err := shelf.Display(m)
	p.does = d.Rule
	return err
}
