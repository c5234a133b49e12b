package main

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// meterConstants gathers what there is to write down of a meter: on record, or
// with its calibrations in files.
func meterConstants(c *cli.Context, name string) (*reports.MeterConstants, error) {
	column := c.String("column")
	if column == "" {
		column = "reading"
	}
	p := newColumnPlan(column)
	var warnings []string
	files, err := all[string](c, "calibration")
	if err != nil {
		return nil, err
	}
	switch {
	case len(files) > 0:
		err = p.fromFiles(c, files)
		if name != "" {
			p.meter = name
		}
	case name == "":
		return nil, usageError("constants needs a METER on record, or --calibration FILE.json")
	default:
		p.meter, p.onRecord = name, true
		err = withRecord(c, func(book *logbook.Book) error {
			warnings, err = p.meterOnRecord(book)
			return err
		})
	}
	if err != nil {
		return nil, err
	}
	if err := p.settings(c); err != nil {
		return nil, err
	}
	probe, done, err := p.constantsProbe(c)
	if name = p.meter; name == "" {
		name = "meter" // nobody says
	}
	if err != nil {
		return nil, fmt.Errorf("%.60s: %w", name, err)
	}
	return &reports.MeterConstants{
		Meter: name, Quantity: string(p.kind), Unit: done.Unit, WrittenUnit: done.WrittenUnit,
		Probe: probe, Calibrations: p.calibrations, Notes: done.Notes, Warnings: warnings,
	}, nil
}

func (p *columnPlan) fromFiles(c *cli.Context, files []string) error {
	zone, err := timeZone(c)
	if err != nil {
		return err
	}
	for _, path := range files {
		list, err := readCalibrationFile(path, zone)
		if err != nil {
			return fmt.Errorf("--calibration: %w", err)
		}
		for _, filed := range list {
			if err := p.take(filed); err != nil {
				return fmt.Errorf("--calibration: %w", err)
			}
		}
	}
	return nil
}

// meterOnRecord takes a meter from the record, and warns of one out of use.
func (p *columnPlan) meterOnRecord(book *logbook.Book) (warnings []string, err error) {
	if err := p.fromRecord(book); err != nil {
		return nil, err
	}
	m, err := book.Meter(p.meter)
	if err != nil {
		return nil, err
	}
	if m.Retired() {
		warnings = append(warnings, fmt.Sprintf("meter %s is out of use since %s", m.Name, m.RetiredAt.Format("2006-01-02")))
	}
	return warnings, nil
}

// settings takes what is said of the meter by flags.
func (p *columnPlan) settings(c *cli.Context) error {
	for _, flag := range []struct {
		name string
		take func(*columnPlan, string) error
	}{
		{"display", (*columnPlan).setDisplay}, {"unit", (*columnPlan).setUnit}, {"range", (*columnPlan).setRange},
		{"u-reading", (*columnPlan).setUReading}, {"drift", (*columnPlan).setDrift},
	} {
		if !isGiven(c, flag.name) {
			continue
		}
		if err := flag.take(p, c.String(flag.name)); err != nil {
			return usageError("--%s: %v", flag.name, err)
		}
	}
	rule, given, err := last[tempcomp.Rule](c, "compensation")
	if given {
		p.does = rule
	}
	if err == nil && p.does == nil && isGiven(c, "compensate-by") {
		err = usageError("--compensate-by needs to know what the meter does itself: --compensation RULE")
	}
	return err
}

// constantsProbe makes the probe. The temperature of the liquid is at hand
// wherever the constants are used, under whatever name.
func (p *columnPlan) constantsProbe(c *cli.Context) (*series.Probe, reports.CorrectionPlan, error) {
	zone, err := timeZone(c)
	if err != nil {
		return nil, reports.CorrectionPlan{}, err
	}
	plan := series.Plan{Zone: zone}
	if p.does != nil {
		if plan.TempColumn = c.String("temp"); plan.TempColumn == "" {
			plan.TempColumn = "the liquid's temperature"
		}
	}
	make, err := newProbeMaker(c, plan)
	if err != nil {
		return nil, reports.CorrectionPlan{}, err
	}
	return make.probe(p)
}
