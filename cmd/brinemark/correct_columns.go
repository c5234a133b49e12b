package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// columnPlan is what is known of one column before it becomes a probe.
type columnPlan struct {
	column   string
	meter    string // "" where nobody says
	onRecord bool
	kind     check.Kind // "" where nobody says
	unit     string     // of the readings; "" where nobody says

	calibrations []series.Calibration
	breaks       []series.Break
	checks       []logbook.Calibration // the readings behind the calibrations
	events       []logbook.Event
	dof          int // fewest degrees of freedom of a line that rests on scatter; 0 for none

	scale      *tempcomp.Scale // of the display; nil where it is not known
	wanted     *tempcomp.Scale
	does       tempcomp.Rule // nil where nobody says
	low, high  float64
	uRead      *float64
	resolution *float64
	tolerance  *quantity.Tolerance
	growth     *series.Growth // as somebody says
	drift      drifting
	dry        *float64 // what it shows in air; nil for the usual
	neverDry   bool
}

func newColumnPlan(column string) *columnPlan {
	return &columnPlan{column: column, low: math.NaN(), high: math.NaN()}
}

func findColumn(columns []*columnPlan, name string) *columnPlan {
	if i := slices.IndexFunc(columns, func(p *columnPlan) bool { return p.column == name }); i >= 0 {
		return columns[i]
	}
	return nil
}

// correctionPlan makes the plan of what was asked for, and says of each column
// what is done to it.
func correctionPlan(c *cli.Context) (plan series.Plan, about []reports.CorrectionPlan, err error) {
	if plan.Zone, err = timeZone(c); err != nil {
		return plan, nil, err
	}
	columns, err := columnPlans(c, plan.Zone)
	if err != nil {
		return plan, nil, err
	}
	if err := columnSettings(c, columns); err != nil {
		return plan, nil, err
	}
	if plan.TimeColumn = strings.TrimSpace(c.String("time-column")); plan.TimeColumn == "" && isGiven(c, "time-column") {
		return plan, nil, usageError("--time-column needs the name of a column")
	}
	if plan.TempColumn = strings.TrimSpace(c.String("temp")); plan.TempColumn == "" && isGiven(c, "temp") {
		return plan, nil, usageError("--temp needs the name of a column")
	}
	make, err := newProbeMaker(c, plan)
	if err != nil {
		return plan, nil, err
	}
	settleDrifts(columns)
	for _, p := range columns {
		probe, done, err := make.probe(p)
		if err != nil {
			return plan, nil, fmt.Errorf("column %s: %w", p.column, err)
		}
		plan.Probes = append(plan.Probes, probe)
		about = append(about, done)
	}
	sayOfAll(plan, columns, about)
	return plan, about, usesAll(c, plan, columns)
}

// sayOfAll adds to the notes what one column alone does not show.
func sayOfAll(plan series.Plan, columns []*columnPlan, about []reports.CorrectionPlan) {
	needed := plan.TempColumn == ""
	for i, p := range columns {
		needed = needed || p.kind == check.EC // and its notes say what of it
		for _, other := range columns[:i] {
			if p.meter != "" && strings.EqualFold(p.meter, other.meter) {
				about[i].Notes = append(about[i].Notes, fmt.Sprintf("it is taken to be of the meter of column %s, %s: two probes have two calibrations", other.column, other.meter))
			}
		}
	}
	if !needed {
		about[0].Notes = append(about[0].Notes, "--temp changes nothing, since no column is of conductivity")
	}
}

// usesAll refuses what was said and would change nothing.
func usesAll(c *cli.Context, plan series.Plan, columns []*columnPlan) error {
	if plan.TempColumn == "" && isGiven(c, "u-temp") {
		return usageError("--u-temp is about the column that --temp names, and there is none")
	}
	conducts := func(p *columnPlan) bool { return p.kind == check.EC }
	if isGiven(c, "compensate-by") && !slices.ContainsFunc(columns, conducts) {
		return usageError("--compensate-by is for conductivity, and no column is of that")
	}
	return nil
}

// columnPlans gathers what is known of each column, in the order in which the
// columns were first named, files first.
func columnPlans(c *cli.Context, zone *time.Location) ([]*columnPlan, error) {
	var columns []*columnPlan
	files, err := all[columnSetting](c, "calibration")
	if err != nil {
		return nil, err
	}
	for _, s := range files {
		list, err := readCalibrationFile(s.value, zone)
		if err != nil {
			return nil, fmt.Errorf("--calibration %s: %w", s.column, err)
		}
		p := findColumn(columns, s.column)
		if p == nil {
			p = newColumnPlan(s.column)
			columns = append(columns, p)
		}
		for _, filed := range list {
			if err := p.take(filed); err != nil {
				return nil, fmt.Errorf("--calibration %s: %w", s.column, err)
			}
		}
	}
	meters, err := all[columnSetting](c, "meter")
	if err != nil {
		return nil, err
	}
	for _, s := range meters {
		switch p := findColumn(columns, s.column); {
		case p != nil && p.onRecord:
			return nil, usageError("--meter %s=%s: this column has the meter %s already", s.column, s.value, p.meter)
		case p != nil:
			return nil, usageError("--meter %s=%s: this column has calibrations by --calibration; want one or the other", s.column, s.value)
		}
		p := newColumnPlan(s.column)
		p.meter, p.onRecord = s.value, true
		columns = append(columns, p)
	}
	if len(meters) > 0 {
		if err := withRecord(c, func(book *logbook.Book) error { return metersOnRecord(c, book, columns) }); err != nil {
			return nil, err
		}
	}
	if len(columns) == 0 {
		return nil, usageError("correct needs --calibration COLUMN=FILE.json, or --meter COLUMN=ID, for the columns to put right")
	}
	return columns, nil
}

// mostCalibration bounds what is read of a calibration file.
const mostCalibration = 16 << 20

func readCalibrationFile(path string, zone *time.Location) ([]series.Filed, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, fmt.Errorf("%s: there is no such file", path)
	case err != nil:
		return nil, couldNotDo(err)
	case info.IsDir() || info.Size() > mostCalibration:
		return nil, fmt.Errorf("%s: is no calibration; want a file that calibrate --json printed", path)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, couldNotDo(err)
	}
	return series.ReadCalibration(data, filepath.Base(path), zone)
}

// take adds a calibration from a file. All of a column are of one meter.
func (p *columnPlan) take(f series.Filed) error {
	mixed := func(what, found, before string) error {
		return fmt.Errorf("%s: is of %s %s, and the one before of %s; want calibrations of one meter", f.Name, what, found, before)
	}
	switch {
	case f.Kind != "" && p.kind != "" && f.Kind != p.kind:
		return mixed("quantity", string(f.Kind), string(p.kind))
	case f.Unit != "" && p.unit != "" && !sameUnit(f.Unit, p.unit):
		return mixed("readings in", f.Unit, p.unit)
	case f.Meter != "" && p.meter != "" && !strings.EqualFold(f.Meter, p.meter):
		return mixed("meter", f.Meter, p.meter)
	}
	if p.kind == "" {
		p.kind = f.Kind
	}
	if p.unit == "" {
		p.unit = f.Unit
	}
	if p.meter == "" {
		p.meter = f.Meter
	}
	if f.DoF > 0 && (p.dof == 0 || f.DoF < p.dof) {
		p.dof = f.DoF
	}
	p.calibrations = append(p.calibrations, f.Calibration)
	check := logbook.Calibration{Meter: p.meter, Time: f.Time, State: string(f.State)}
	check.ID = f.Name
	for _, point := range f.Points {
		if point.Ref == nil || point.Reading == nil {
			continue
		}
		r := logbook.Reading{Ref: *point.Ref, Reading: *point.Reading, URef: point.URef, URefShared: point.URefShared, UReading: point.UReading}
		if point.RefSource != nil {
			r.RefSource = *point.RefSource
		}
		if point.Bottle != nil {
			r.Bottle = *point.Bottle
		}
		check.Readings = append(check.Readings, r)
	}
	p.checks = append(p.checks, check)
	return nil
}
