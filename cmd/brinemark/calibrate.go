package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func calibrateCommand() *cli.Command {
	return &cli.Command{
		Name:      "calibrate",
		Usage:     "find the line that turns readings into true values, and judge the meter",
		ArgsUsage: "FILE.csv | --point REF=READING",
		Description: `Reads a table with one row for each reading of a reference:

  ref        what a perfect meter with this display would show   (needed)
  reading    what the meter showed                               (needed)
  u_ref, u_reading          standard uncertainties (k = 1): empty is unknown,
                            0 is exact
  ref_source, u_ref_shared  what references share (one stock), and how much
  bottle     rows of one bottle are repeats of one reference
  temp_C     of liquid and probe, beside the reading
  mv         potential of a pH electrode
  buffer     name of a pH buffer, in place of ref (with temp_C)
  meter, time, state        choose rows, or are printed

or takes the readings as --point REF=READING, one for each. Nothing is converted:
ref and reading are in one unit.

The fit is corrected = intercept + slope x reading. Without --fit: one reference,
gain (offset where it is 0); two points, two-point; u_ref and u_reading known,
errors-in-both; u_ref known, weighted; otherwise line. Repeats of one bottle count
as one where the scatter decides.

The verdict is about the meter as found: pass where the probability that its true
error lies within tolerance at every reference is 95 % or more, fail where it is
5 % or less, undecided between.`,
		Flags: []cli.Flag{
			parsedFlag("point", "a reading, as `REF=READING`; repeat it for each reference", true, parsePoint),
			wordFlag("quantity", "`QUANTITY` the meter measures: ec (default), ph, temperature, humidity, oxygen, co2, other", words(check.Kinds())...),
			wordFlag("fit", "`METHOD`: auto (default), gain, two-point, line, weighted, errors-in-both, theil-sen, offset", append([]string{"auto"}, words(line.Methods())...)...),
			toleranceFlag("tolerance", "let an error be as large as `SIZE`: 2% of the reference, or 0.1 in the unit of the readings"),
			numbersFlag("at", "correct this `READING`; may be repeated"),
			numberFlag("u-at", "standard uncertainty `U` of the readings given by --at; without it they are exact"),
			numbersFlag("reading-for", "say what the meter should show where `VALUE` is true; may be repeated"),
			parsedFlag("u-ref", "standard uncertainty `U` of references that state none: 1% or 5", false, parseSize),
			parsedFlag("u-ref-shared", "the part `U` that references share, where they state none: 1% or 5", false, parseSize),
			parsedFlag("u-reading", "standard uncertainty `U` of readings that state none: 1% or 5", false, parseSize),
			numberFlag("resolution", "`STEP` of the display, in the unit of the readings"),
			numberFlag("zero", "`READING` in air or pure water, added as a reference of 0"),
			parsedFlag("u-zero", "standard uncertainty `U` of the zero point, reading and all", false, parseSize),
			numberFlag("u-mv", "standard uncertainty `U` of the potentials in the column mv, in mV"),
			quantityFlag("temp", "temperature `T` of references given by --point, such as 18C", quantity.Temperature),
			&cli.StringFlag{Name: "time", Usage: "`TIME` of the calibration"},
			wordFlag("state", "`STATE` of the meter: as-found (default) or as-left, after an adjustment", "as-found", "as-left"),
			&cli.StringFlag{Name: "meter", Usage: "name `ID` of the meter; chooses its rows where the file has several"},
			&cli.StringFlag{Name: "unit", Usage: "`UNIT` to print beside readings, such as uS/cm; converts nothing"},
			&cli.BoolFlag{Name: "monte-carlo", Usage: "check the uncertainties by simulation (JCGM 101)"},
			numberFlag("seed", "`SEED` of the simulation; the same seed gives the same figures (default 1)"),
		},
		Action: runCalibrate,
	}
}

// words lists names of any type of text.
func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, w := range list {
		out[i] = string(w)
	}
	return out
}

func runCalibrate(c *cli.Context) error {
	options, err := calibrateOptions(c)
	if err != nil {
		return err
	}
	bench, err := calibrateBench(c, options.Kind)
	if err != nil {
		return err
	}
	show, wipe := progressBar(c, "simulating")
	options.Progress = show
	result, err := check.Run(bench.rows, options)
	wipe()
	if err != nil {
		return bench.place(err)
	}
	report := reports.NewCalibrate(result, bench.about)
	if err := render(c, report); err != nil {
		return err
	}
	return checkVerdict(c, report.VerdictWord())
}

// calibrateOptions reads what is asked beside the readings.
func calibrateOptions(c *cli.Context) (o check.Options, err error) {
	kind, err := getWord(c, "quantity")
	if err != nil {
		return o, err
	}
	if o.Kind = check.Kind(kind); kind == "" {
		o.Kind = check.EC
	}
	method, err := getWord(c, "fit")
	if err != nil {
		return o, err
	}
	if method != "" && method != "auto" {
		if o.Method, err = line.ParseMethod(method); err != nil {
			return o, err
		}
	}
	if t, given, err := getTolerance(c, "tolerance"); err != nil {
		return o, err
	} else if given {
		o.Tolerance = &t
	}
	if o.At, err = getNumbers(c, "at"); err != nil {
		return o, err
	}
	if o.InverseOf, err = getNumbers(c, "reading-for"); err != nil {
		return o, err
	}
	for name, to := range map[string]*float64{"u-at": &o.UAt, "resolution": &o.Resolution} {
		if *to, _, err = getNumber(c, name); err != nil {
			return o, err
		}
		if *to < 0 {
			return o, usageError("--%s: %v is negative; want 0 or more, in the unit of the readings", name, *to)
		}
	}
	for name, to := range map[string]**float64{"zero": &o.Zero, "u-mv": &o.UMV} {
		if v, given, err := getNumber(c, name); err != nil {
			return o, err
		} else if given {
			*to = &v
		}
	}
	for name, to := range map[string]**check.Size{"u-ref": &o.URef, "u-ref-shared": &o.URefShared, "u-reading": &o.UReading} {
		if v, given, err := last[check.Size](c, name); err != nil {
			return o, err
		} else if given {
			*to = &v
		}
	}
	if u, given, err := last[check.Size](c, "u-zero"); err != nil {
		return o, err
	} else if given {
		switch {
		case u.Relative:
			return o, usageError("--u-zero: a percentage of 0 is nothing; want a figure in the unit of the readings")
		case o.Zero == nil:
			return o, usageError("--u-zero is about the zero point; want --zero READING beside it")
		}
		o.UZero = &u.Value
	}
	return o, calibrateSimulation(c, &o)
}

func calibrateSimulation(c *cli.Context, o *check.Options) error {
	o.MonteCarlo, o.Seed = c.Bool("monte-carlo"), 1
	seed, given, err := getNumber(c, "seed")
	if err != nil || !given {
		return err
	}
	if seed < 0 || seed != float64(uint32(seed)) {
		return usageError("--seed: %v is no seed; want a whole number from 0 to 4294967295", seed)
	}
	o.Seed = uint64(seed)
	return nil
}

// parsePoint reads REF=READING.
func parsePoint(text string) (point, error) {
	ref, reading, ok := strings.Cut(text, "=")
	if !ok {
		return point{}, fmt.Errorf("%q is no point; want REF=READING, such as 1413=1380", text)
	}
	p := point{text: text}
	var err error
	if p.reading, err = quantity.ParseNumber(strings.TrimSpace(reading)); err != nil {
		return p, fmt.Errorf("reading %q in the point %q: %w (the number alone, without a unit)", strings.TrimSpace(reading), text, err)
	}
	if p.ref, err = quantity.ParseNumber(strings.TrimSpace(ref)); err != nil {
		p.buffer, p.notNumber = strings.TrimSpace(ref), err
	}
	return p, nil
}

// parseSize reads "1%" or "5".
func parseSize(text string) (check.Size, error) {
	if v, err := quantity.ParseNumber(strings.TrimSpace(text)); err == nil {
		if v < 0 {
			return check.Size{}, fmt.Errorf("%q is negative; a standard uncertainty is 0 (exact) or more", text)
		}
		return check.Size{Value: v}, nil
	}
	q, err := quantity.Parse(text, quantity.Fraction)
	if err != nil {
		return check.Size{}, fmt.Errorf("%q is no standard uncertainty; want one such as 1%% or 5", text)
	}
	return check.Size{Value: q.Value, Relative: true}, nil
}

// point is one --point. A REF that is no number may be the name of a buffer.
type point struct {
	text         string
	ref, reading float64
	buffer       string
	notNumber    error
}

// bench is what was read, with the places of the rows in file or command line.
type bench struct {
	rows  []check.Row
	about reports.CalibrateContext
	table *readings.Table // nil for points
	index []int           // row of the table for each of rows
	texts []string        // of the points
}

// place names the file, or the flag, in an error about a row.
func (b bench) place(err error) error {
	var at *check.RowError
	if !errors.As(err, &at) {
		if b.table != nil {
			return fmt.Errorf("%s: %w", b.table.Name, err)
		}
		return err
	}
	switch {
	case at.Row >= len(b.rows):
		return fmt.Errorf("--zero: found %s; want %s", at.Found, at.Want)
	case b.table == nil:
		return fmt.Errorf("--point %s, %s: found %s; want %s", b.texts[at.Row], at.Column, at.Found, at.Want)
	}
	e := b.table.Fault(b.index[at.Row], string(at.Column), at.Want, at.Cause)
	e.Found = at.Found
	return e
}

// calibrateBench reads the readings, from the file or from the points.
func calibrateBench(c *cli.Context, kind check.Kind) (b bench, err error) {
	files, err := arguments(c, "[FILE.csv]")
	if err != nil {
		return b, err
	}
	points, err := all[point](c, "point")
	if err != nil {
		return b, err
	}
	switch {
	case files[0] != "" && len(points) > 0:
		return b, usageError("calibrate takes readings from FILE.csv or from --point, not from both")
	case files[0] == "" && len(points) == 0:
		return b, usageError("calibrate needs FILE.csv, or --point REF=READING")
	}
	state, err := getWord(c, "state")
	if err != nil {
		return b, err
	}
	b.about = reports.CalibrateContext{Meter: c.String("meter"), Unit: c.String("unit"), State: state}
	if c.IsSet("time") {
		if b.about.Time, err = calibrateTime(c); err != nil {
			return b, err
		}
	}
	if len(points) > 0 {
		err = b.takePoints(c, points, kind)
	} else {
		err = b.takeFile(c, files[0], kind)
	}
	if b.about.State == "" {
		b.about.State = "as-found"
	}
	return b, err
}

func calibrateTime(c *cli.Context) (time.Time, error) {
	zone, err := timeZone(c)
	if err != nil {
		return time.Time{}, err
	}
	t, err := readings.ParseTime(c.String("time"), zone)
	if err != nil {
		return t, usageError("--time: %v", err)
	}
	return t, nil
}

// takePoints makes rows of the points.
func (b *bench) takePoints(c *cli.Context, points []point, kind check.Kind) error {
	temp, hasTemp, err := getQuantity(c, "temp")
	if err != nil {
		return err
	}
	for i, p := range points {
		row := check.Row{Ref: p.ref, Reading: p.reading, Name: fmt.Sprintf("point %d", i+1)}
		if ref, reading, ok := strings.Cut(p.text, "="); ok {
			row.RefText, row.ReadingText = strings.TrimSpace(ref), strings.TrimSpace(reading)
		}
		if hasTemp {
			row.TempC = &temp.Value
		}
		if p.notNumber != nil {
			if kind != check.PH {
				return usageError("--point %s: reference %q: %v (the number alone, without a unit)", p.text, p.buffer, p.notNumber)
			}
			if err := row.SetBuffer(p.buffer); err != nil {
				return fmt.Errorf("--point %s: %w", p.text, err)
			}
		}
		b.rows, b.texts = append(b.rows, row), append(b.texts, p.text)
	}
	return nil
}
