package main

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func meterCommand() *cli.Command {
	return &cli.Command{
		Name:  "meter",
		Usage: "put meters on record, list them, show one with its history",
		Description: `A meter on record is known by its ID wherever readings name a meter. Nothing on record is
changed: corrections and retirements are new versions, and --all shows the old ones.

   brinemark meter add P2 --quantity ph --resolution 0.01 --tolerance 0.1
   brinemark meter show "tent pen"`,
		Subcommands: []*cli.Command{
			meterAddCommand(), meterListCommand(), meterShowCommand(), meterRetireCommand(),
		},
	}
}

func meterAddCommand() *cli.Command {
	return &cli.Command{
		Name:      "add",
		Usage:     "put a meter on record",
		ArgsUsage: "ID",
		Description: `ID is the name you call it by, in files too. What is typed in its figures may have a
unit (10uS/cm, 0..20mS/cm; 0..2000ppm with --ppm-factor) and is kept in the meter's
own.

   brinemark meter add "tent pen" --quantity ec --unit ppm --ppm-factor 0.5 \
       --resolution 10 --range 0..2000 --tolerance 2%
   brinemark meter add P2 --quantity ph --resolution 0.01 --tolerance 0.1

Nothing is ever changed on record: with --correct the meter gets a new version that
takes the place of the one before, and has only what is given now.`,
		Flags: []cli.Flag{
			required(wordFlag("quantity", "`QUANTITY` it measures: "+strings.Join(logbook.Quantities(), ", "), logbook.Quantities()...)),
			&cli.StringFlag{Name: "unit", Usage: "`UNIT` of its readings; ec: uS/cm (the default), mS/cm or ppm"},
			numberFlag("ppm-factor", "ppm it shows for each uS/cm: `FACTOR`, such as 0.5"),
			parsedFlag("resolution", "`STEP` of its display, such as 10uS/cm or 0.01", false, parseFigure),
			parsedFlag("range", "what it can show: `LOW..HIGH`, such as 0..20mS/cm", false, parseSpan),
			parsedFlag("tolerance", "let its error be as large as `SIZE`: 2% of the reference, or 0.1 in its unit", false, parseMeterTolerance),
			wordFlag("compensation", "its temperature compensation: `RULE` linear (the default), none or natural-water", compensationRules...),
			parsedFlag("alpha", "`COEFFICIENT` of linear compensation for each C (default 2.0%)", false, parseAlpha),
			quantityFlag("ref-temp", "reference `TEMPERATURE` of the compensation (default 25C)", quantity.Temperature),
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to keep with it"},
			&cli.BoolFlag{Name: "correct", Usage: "take the place of what is on record under this ID"},
		},
		Action: runMeterAdd,
	}
}

func runMeterAdd(c *cli.Context) error {
	args, err := arguments(c, "ID")
	if err != nil {
		return err
	}
	m, err := readMeter(c, args[0])
	if err != nil {
		return err
	}
	return changeRecord(c, true, func(book *logbook.Book) error {
		warnings, err := clockWarning(book)
		if err != nil {
			return err
		}
		if c.Bool("correct") {
			old, err := book.Meter(m.Name)
			if err != nil {
				return err
			}
			m.Name, m.Supersedes = old.Name, old.ID
		}
		if err := book.Save(&m); err != nil {
			return correctHint(err, "meter "+m.Name)
		}
		return render(c, reports.NewMeterAdded(m, append(warnings, meterAssumptions(c, m)...)))
	})
}

// readMeter makes a meter of the flags.
func readMeter(c *cli.Context, name string) (logbook.Meter, error) {
	m := logbook.Meter{Name: name, Note: c.String("note")}
	if err := checkNewName(c, name); err != nil {
		return m, err
	}
	var err error
	if m.Quantity, err = getWord(c, "quantity"); err != nil {
		return m, err
	}
	if m.Unit, err = meterUnit(c, m.Quantity); err != nil {
		return m, err
	}
	if factor, given, err := getNumber(c, "ppm-factor"); err != nil {
		return m, err
	} else if given {
		m.PPMFactor = &factor
	}
	if m.Quantity == "ec" {
		if err := readCompensation(c, &m); err != nil {
			return m, err
		}
	} else {
		for _, name := range []string{"ppm-factor", "compensation", "alpha", "ref-temp"} {
			if isGiven(c, name) {
				return m, usageError("--%s belongs to a meter of ec, not of %s", name, m.Quantity)
			}
		}
	}
	return m, readFigures(c, &m)
}

// meterUnit is the unit of the readings.
func meterUnit(c *cli.Context, of string) (string, error) {
	typed, only := c.String("unit"), check.Kind(of).Unit()
	switch {
	case of == "ec" && typed == "" && isGiven(c, "ppm-factor"):
		return tempcomp.PPMUnit, nil
	case of == "ec" && typed == "":
		return tempcomp.MicroSiemensUnit, nil
	case of == "ec":
		unit, err := parseDisplayUnit(typed)
		if err != nil {
			return "", usageError("--unit: %v", err)
		}
		return unit, nil
	case only == "":
		return typed, nil
	case typed != "" && !strings.EqualFold(typed, only):
		return "", usageError("--unit: a meter of %s shows %s; found %q", of, only, typed)
	}
	return only, nil
}

// readCompensation reads how a conductivity meter shows what it measures.
func readCompensation(c *cli.Context, m *logbook.Meter) error {
	switch {
	case m.Unit == tempcomp.PPMUnit && m.PPMFactor == nil:
		return usageError("--unit ppm needs --ppm-factor, such as 0.5, 0.64 or 0.7: see the meter's manual")
	case m.Unit != tempcomp.PPMUnit && m.PPMFactor != nil:
		return usageError("--ppm-factor belongs to --unit ppm, not to %s", m.Unit)
	case m.PPMFactor != nil:
		if _, err := tempcomp.PPM(*m.PPMFactor); err != nil {
			return usageError("--ppm-factor: %v", err)
		}
	}
	rule, err := readRule(c)
	if err != nil {
		return err
	}
	m.Compensation = rule.Name()
	if linear, ok := rule.(tempcomp.Linear); ok {
		m.Alpha, m.RefTempC = &linear.Alpha, &linear.RefTempC
	}
	return nil
}

// readFigures reads what is in the unit of the readings.
func readFigures(c *cli.Context, m *logbook.Meter) error {
	if f, given, err := last[figure](c, "resolution"); err != nil {
		return err
	} else if given {
		if m.Resolution, err = f.in(*m); err != nil {
			return usageError("--resolution: %v", err)
		}
	}
	if s, given, err := last[span](c, "range"); err != nil {
		return err
	} else if given {
		if m.RangeHigh, err = s.high.in(*m); err != nil {
			return usageError("--range: %v", err)
		}
		if m.RangeLow, err = s.low.in(*m); err != nil {
			return usageError("--range: %v", err)
		}
		if m.RangeLow != nil && m.RangeHigh != nil && !(*m.RangeLow < *m.RangeHigh) {
			return usageError("--range: found an end, %v, that is not above the start, %v; want LOW..HIGH, such as 0..20mS/cm", *m.RangeHigh, *m.RangeLow)
		}
	}
	t, given, err := last[meterTolerance](c, "tolerance")
	if err != nil || !given {
		return err
	}
	if m.Tolerance, m.ToleranceRelative, err = t.in(*m); err != nil {
		return usageError("--tolerance: %v", err)
	}
	return nil
}

// meterAssumptions says what was taken where nothing was said.
func meterAssumptions(c *cli.Context, m logbook.Meter) []string {
	if m.Quantity != "ec" || isGiven(c, "compensation") || isGiven(c, "alpha") {
		return nil
	}
	return []string{"its temperature compensation was not given: taken as linear, 2 % for each C, as most pens do (common practice); see the manual, and correct it with --correct"}
}

// correctHint says how to replace what is on record.
func correctHint(err error, what string) error {
	if isOnRecord(err) {
		return fmt.Errorf("%s is on record already; --correct takes its place", what)
	}
	return err
}
