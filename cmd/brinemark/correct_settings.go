package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/spelling"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/urfave/cli/v2"
)

// What can be said of one column of a log, as COLUMN=VALUE.

// columnsFlag takes COLUMN=VALUE, and may be given several times.
func columnsFlag(name, usage string) *cli.GenericFlag {
	return parsedFlag(name, usage, true, parseColumnSetting)
}

// columnSetting is what is said of one column.
type columnSetting struct{ column, value string }

func parseColumnSetting(text string) (columnSetting, error) {
	column, value, ok := strings.Cut(text, "=")
	s := columnSetting{strings.TrimSpace(column), strings.TrimSpace(value)}
	if !ok || s.column == "" || s.value == "" {
		return s, fmt.Errorf("%s is not COLUMN=VALUE, with the name of a column of the log before the sign", quantity.Quoted(text))
	}
	return s, nil
}

// columnSettings takes the flags that say something of one column.
func columnSettings(c *cli.Context, columns []*columnPlan) error {
	for _, flag := range []struct {
		name string
		take func(*columnPlan, string) error
	}{
		{"compensation", (*columnPlan).setCompensation}, {"display", (*columnPlan).setDisplay}, {"unit", (*columnPlan).setUnit},
		{"range", (*columnPlan).setRange}, {"u-reading", (*columnPlan).setUReading},
		{"drift", (*columnPlan).setDrift}, {"dry", (*columnPlan).setDry},
	} {
		settings, err := all[columnSetting](c, flag.name)
		if err != nil {
			return err
		}
		seen := map[string]bool{}
		for _, s := range settings {
			p, err := settingFor(columns, s.column)
			if err == nil && seen[s.column] {
				err = errors.New("it is given twice for this column")
			}
			if err == nil {
				err = flag.take(p, s.value)
			}
			if err != nil {
				return usageError("--%s %s=%s: %v", flag.name, s.column, s.value, err)
			}
			seen[s.column] = true
		}
	}
	return nil
}

// settingFor finds the column a setting is about.
func settingFor(columns []*columnPlan, name string) (*columnPlan, error) {
	if p := findColumn(columns, name); p != nil {
		return p, nil
	}
	var names []string
	for _, p := range columns {
		names = append(names, p.column)
	}
	if near, ok := spelling.Nearest(name, names); ok {
		return nil, fmt.Errorf("this column is not corrected; %s is", near)
	}
	return nil, fmt.Errorf("this column is not corrected; want one with a --calibration or --meter: %s", strings.Join(names, ", "))
}

func (p *columnPlan) setCompensation(text string) (err error) {
	p.does, err = parseRule(text)
	return err
}

func (p *columnPlan) setDisplay(text string) error {
	scale, err := parseScale(text)
	p.scale, p.unit = &scale, scale.Unit
	return err
}

func (p *columnPlan) setUnit(text string) error {
	scale, err := parseScale(text)
	p.wanted = &scale
	return err
}

func (p *columnPlan) setRange(text string) error {
	low, high, ok := strings.Cut(text, "..")
	var err error
	if !ok {
		return errors.New("it is no range; want LOW..HIGH, such as 0..3999")
	}
	if p.low, err = quantity.ParseNumber(low); err != nil {
		return err
	}
	if p.high, err = quantity.ParseNumber(high); err != nil {
		return err
	}
	if !(p.low < p.high) {
		return errors.New("it is no range; want the lower end first")
	}
	return nil
}

func (p *columnPlan) setUReading(text string) error {
	u, err := notNegative(text)
	p.uRead = &u
	return err
}

func (p *columnPlan) setDrift(text string) error {
	size, err := parseSize(text)
	if err != nil {
		return fmt.Errorf("%s is no size of a drift; want one such as 1%% or 0.05", quantity.Quoted(text))
	}
	p.growth = &series.Growth{Rate: size.Value, Relative: size.Relative}
	return nil
}

func (p *columnPlan) setDry(text string) error {
	if p.neverDry = strings.EqualFold(text, "off"); p.neverDry {
		return nil
	}
	limit, err := notNegative(text)
	p.dry = &limit
	return err
}

func notNegative(text string) (float64, error) {
	x, err := quantity.ParseNumber(text)
	if err == nil && x < 0 {
		err = errors.New("it is below 0; want 0 or more")
	}
	return x, err
}

// parseScale reads a unit of conductivity: uS/cm, mS/cm, or ppm with its factor.
func parseScale(text string) (tempcomp.Scale, error) {
	unit, factorText, given := strings.Cut(strings.TrimSpace(text), "@")
	unit = strings.TrimSpace(unit)
	if (unit == tempcomp.PPMUnit) != given {
		if given {
			return tempcomp.Scale{}, fmt.Errorf("a factor goes with ppm alone; want uS/cm, mS/cm or one such as ppm@0.5")
		}
		return tempcomp.Scale{}, fmt.Errorf("ppm has no single meaning; write it with its factor, such as ppm@0.5")
	}
	factor := 0.0
	if given {
		var err error
		if factor, err = quantity.ParseNumber(factorText); err != nil {
			return tempcomp.Scale{}, err
		}
	}
	return tempcomp.ParseScale(unit, factor)
}

// parseRule reads a compensation: none, natural-water, linear, linear:1.9% or
// linear:1.9%:20C.
func parseRule(text string) (tempcomp.Rule, error) {
	parts := strings.Split(text, ":")
	alpha, ref := series.UsualAlpha, float64(tempcomp.NaturalWaterRefTempC)
	var err error
	if len(parts) > 3 || len(parts) > 1 && !strings.EqualFold(strings.TrimSpace(parts[0]), tempcomp.LinearName) {
		return nil, fmt.Errorf("%s is no compensation; want none, natural-water, linear or one such as linear:1.9%%:25C", quantity.Quoted(text))
	}
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
	return tempcomp.ParseRule(parts[0], alpha, ref)
}

// parseDays reads "90d".
func parseDays(text string) (time.Duration, error) {
	number, ok := strings.CutSuffix(strings.TrimSpace(text), "d")
	days, err := quantity.ParseNumber(number)
	if !ok || err != nil || !(days > 0 && days < 1e5) {
		return 0, fmt.Errorf("%s is no number of days; want one such as 90d", quantity.Quoted(text))
	}
	return time.Duration(days * float64(24*time.Hour)), nil
}
