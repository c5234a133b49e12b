package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/urfave/cli/v2"
)

// columnPlan is what is known of one column before it becomes a probe.
type columnPlan struct {
	column       string
	kind         check.Kind
	calibrations []series.Calibration
	breaks       []series.Break
	does         tempcomp.Rule
	low, high    float64
	uRead        float64
	growth       *series.Growth
	staleAfter   time.Duration
	dry          *float64 // what it shows in air; nil for the usual
	neverDry     bool
}

// correctionPlan makes the plan of what was asked for. The remarks say what was
// taken as given.
func correctionPlan(c *cli.Context) (plan series.Plan, remarks []string, err error) {
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
	plan.TimeColumn, plan.TempColumn = c.String("time-column"), c.String("temp")
	wanted, err := wantedRule(c)
	if err != nil {
		return plan, nil, err
	}
	uTemp, err := uncertaintyOfTemperature(c)
	if err != nil {
		return plan, nil, err
	}
	staleAfter, staleGiven, err := last[time.Duration](c, "stale-after")
	if err != nil {
		return plan, nil, err
	}
	for _, p := range columns {
		if staleGiven {
			p.staleAfter = staleAfter
		}
		probe, said, err := p.probe(wanted, plan.TempColumn != "")
		if err != nil {
			return plan, nil, fmt.Errorf("column %s: %w", p.column, err)
		}
		probe.UTemp = uTemp
		plan.Probes = append(plan.Probes, probe)
		remarks = append(remarks, said...)
	}
	return plan, remarks, nil
}

// columnPlans gathers the calibrations of each column, in the order in which
// the columns were first named.
func columnPlans(c *cli.Context, zone *time.Location) ([]*columnPlan, error) {
	var columns []*columnPlan
	files, err := all[columnSetting](c, "calibration")
	if err != nil {
		return nil, err
	}
	for _, s := range files {
		filed, err := readCalibrationFile(s.value, zone)
		if err != nil {
			return nil, fmt.Errorf("--calibration %s: %w", s.column, err)
		}
		p := findColumn(columns, s.column)
		if p == nil {
			p = newColumnPlan(s.column)
			columns = append(columns, p)
		}
		if filed.Kind != "" && p.kind != "" && filed.Kind != p.kind {
			return nil, fmt.Errorf("--calibration %s: %s is of %s, and the one before of %s; want calibrations of one meter", s.column, s.value, filed.Kind, p.kind)
		}
		if filed.Kind != "" {
			p.kind = filed.Kind
		}
		p.calibrations = append(p.calibrations, filed.Calibration)
	}
	if len(columns) == 0 {
		return nil, usageError("correct needs --calibration COLUMN=FILE.json, or --meter COLUMN=ID, for the columns to put right")
	}
	return columns, nil
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

// mostCalibration bounds what is read of a calibration file.
const mostCalibration = 16 << 20

func readCalibrationFile(path string, zone *time.Location) (series.Filed, error) {
	info, err := os.Stat(path)
	switch {
	case os.IsNotExist(err):
		return series.Filed{}, fmt.Errorf("%s: there is no such file", path)
	case err != nil:
		return series.Filed{}, couldNotDo(err)
	case info.IsDir() || info.Size() > mostCalibration:
		return series.Filed{}, fmt.Errorf("%s: is no calibration; want a file that calibrate --json printed", path)
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return series.Filed{}, couldNotDo(err)
	}
	return series.ReadCalibration(data, filepath.Base(path), zone)
}

// columnSettings takes the flags that say something of one column.
func columnSettings(c *cli.Context, columns []*columnPlan) error {
	for name, take := range map[string]func(*columnPlan, string) error{
		"compensation": (*columnPlan).setCompensation, "range": (*columnPlan).setRange, "u-reading": (*columnPlan).setUReading,
		"drift": (*columnPlan).setDrift, "dry": (*columnPlan).setDry,
	} {
		settings, err := all[columnSetting](c, name)
		if err != nil {
			return err
		}
		for _, s := range settings {
			p := findColumn(columns, s.column)
			if p == nil {
				return usageError("--%s %s: no calibration is given for this column", name, s.column)
			}
			if err := take(p, s.value); err != nil {
				return usageError("--%s %s: %v", name, s.column, err)
			}
		}
	}
	return nil
}

func (p *columnPlan) setCompensation(text string) (err error) {
	p.does, err = parseRule(text)
	return err
}

func (p *columnPlan) setRange(text string) error {
	low, high, ok := strings.Cut(text, "..")
	var err error
	if !ok {
		return fmt.Errorf("%q is no range; want LOW..HIGH, such as 0..3999", text)
	}
	if p.low, err = quantity.ParseNumber(low); err != nil {
		return err
	}
	if p.high, err = quantity.ParseNumber(high); err != nil {
		return err
	}
	if !(p.low < p.high) {
		return fmt.Errorf("%q is no range; want the lower end first", text)
	}
	return nil
}

func (p *columnPlan) setUReading(text string) (err error) {
	if p.uRead, err = quantity.ParseNumber(text); err == nil && p.uRead < 0 {
		err = fmt.Errorf("%q is below 0", text)
	}
	return err
}

func (p *columnPlan) setDrift(text string) error {
	size, err := parseSize(text)
	if err != nil {
		return err
	}
	p.growth = &series.Growth{Rate: size.Value, Relative: size.Relative}
	return nil
}

func (p *columnPlan) setDry(text string) error {
	if strings.EqualFold(text, "off") {
		p.neverDry = true
		return nil
	}
	limit, err := quantity.ParseNumber(text)
	if err != nil {
		return err
	}
	if limit < 0 {
		return fmt.Errorf("%q is below 0", text)
	}
	p.dry = &limit
	return nil
}

// parseRule reads a compensation: none, natural-water, linear, linear:1.9% or
// linear:1.9%:20C.
func parseRule(text string) (tempcomp.Rule, error) {
	parts := strings.Split(text, ":")
	alpha, ref := series.UsualAlpha, float64(tempcomp.NaturalWaterRefTempC)
	var err error
	if len(parts) > 1 {
		if alpha, err = parseAlpha(parts[1]); err != nil {
			return nil, err
		}
	}
	if len(parts) > 2 {
		q, err := quantity.Parse(parts[2], quantity.Temperature)
		if err != nil {
			return nil, err
		}
		ref = q.Value
	}
	if len(parts) > 3 || len(parts) > 1 && !strings.EqualFold(parts[0], tempcomp.LinearName) {
		return nil, fmt.Errorf("%q is no compensation; want none, natural-water, linear or one such as linear:1.9%%:25C", text)
	}
	return tempcomp.ParseRule(parts[0], alpha, ref)
}

// parseDays reads "90d".
func parseDays(text string) (time.Duration, error) {
	number, ok := strings.CutSuffix(strings.TrimSpace(text), "d")
	days, err := quantity.ParseNumber(number)
	if !ok || err != nil || !(days > 0 && days < 1e5) {
		return 0, fmt.Errorf("%q is no time; want days, such as 90d", text)
	}
	return time.Duration(days * float64(24*time.Hour)), nil
}
