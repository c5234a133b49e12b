package main

import (
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func calibrateCommand() *cli.Command {
	return &cli.Command{
		Name:      "calibrate",
		Usage:     "find the line that turns readings into true values, and judge the meter",
		ArgsUsage: "FILE.csv | --point REF=READING",
		Description: `Reads a table with one row for each reading of a reference:

  ref        what a perfect meter with this display would show   (needed,
             unless the bottle is on record)
  reading    what the meter showed                               (needed)
  u_ref, u_reading          standard uncertainties (k = 1): empty is unknown,
                            0 is exact
  ref_source, u_ref_shared  what references share (one stock), and how much
  bottle     rows of one bottle are repeats of one reference; one on record
             brings its value and uncertainty, at temp_C, on the meter's display
  temp_C     of liquid and probe, beside the reading; u_temp_C its uncertainty
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
5 % or less, undecided between.

Tolerance, resolution, range, unit and quantity of a --meter on record come from
there where no flag says otherwise. A reading at the end of the range is left out. With --save the calibration is put on record, with
every reading; a file with the meter as found and as left gives two.

   brinemark calibrate --point 1413=1290 --point 447=410 --tolerance 5%
   brinemark calibrate readings.csv --tolerance 2% --json > may.json
   brinemark calibrate bench.csv --meter "tent pen" --save`,
		Flags: append([]cli.Flag{
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
			parsedFlag("range", "what the display can show: `LOW..HIGH`, in the unit of the readings; one at the end says only \"at least\" and is left out", false, parseSpan),
			numberFlag("zero", "`READING` in air or pure water, added as a reference of 0"),
			parsedFlag("u-zero", "standard uncertainty `U` of the zero point, reading and all", false, parseSize),
			numberFlag("u-mv", "standard uncertainty `U` of the potentials in the column mv, in mV"),
			quantityFlag("temp", "temperature `T` of references that have none beside them, such as 18C", quantity.Temperature),
			uTempFlag(),
			&cli.StringFlag{Name: "time", Usage: "`TIME` of the calibration (default: of the last reading)"},
			wordFlag("state", "`STATE` of the meter: as-found (default) or as-left, after an adjustment", "as-found", "as-left"),
			&cli.StringFlag{Name: "meter", Usage: "name `ID` of the meter; chooses its rows where the file has several, and what is on record of it"},
			&cli.StringFlag{Name: "unit", Usage: "`UNIT` to print beside readings, such as uS/cm; converts nothing"},
			&cli.BoolFlag{Name: "monte-carlo", Usage: "check the uncertainties by simulation (JCGM 101)"},
			numberFlag("seed", "`SEED` of the simulation; the same seed gives the same figures (default 1)"),
		}, append(chartFlags(), savingFlags()...)...),
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
	save, err := readSaving(c)
	if err != nil {
		return err
	}
	benches, err := calibrateBenches(c)
	if err != nil {
		return err
	}
	ask, err := getCharting(c)
	if err != nil {
		return err
	}
	if len(benches) > 1 && (options.Zero != nil || save != nil && len(save.corrects) > 0) {
		return usageError("the file has the meter as found and as left; --zero and --corrects are about one of them: choose it with --state")
	}
	var report *reports.Calibrate
	err = withMeterRecord(c, save, benches, func(book *logbook.Book) error {
		report, err = calibrate(c, book, save, ask, options, benches)
		return err
	})
	if err != nil {
		return err
	}
	report.Drawn = ask.drawsChart(isTerminal(c.App.Writer))
	if err := render(c, report); err != nil {
		return saidLate(err, report)
	}
	verdicts := []string{report.VerdictWord()}
	if report.AsLeft != nil {
		verdicts = append(verdicts, report.AsLeft.VerdictWord())
	}
	return checkVerdict(c, verdicts...)
}

// calibrate judges the benches, and draws and saves what it found where that is
// asked for. A chart that cannot be written leaves the record as it was.
func calibrate(c *cli.Context, book *logbook.Book, save *saving, ask charting, o check.Options, benches []bench) (*reports.Calibrate, error) {
	m, err := findMeter(c, book, save, &o, benches)
	if err != nil {
		return nil, err
	}
	if save != nil {
		if err := save.begin(book, m, benches); err != nil {
			return nil, err
		}
	}
	show, wipe := progressBar(c, "simulating")
	o.Progress = show
	var list []*reports.Calibrate
	var rows []logbook.Calibration
	for i := range benches {
		b := &benches[i]
		if err := b.takeRows(c, m, o.Kind); err != nil {
			return nil, err
		}
		if err := m.setAside(c, b, o.Resolution); err != nil {
			return nil, b.place(err)
		}
		if o.Unit = b.about.Unit; o.Unit == "" {
			o.Unit = o.Kind.Unit()
		}
		result, err := check.Run(b.rows, o)
		wipe()
		if err != nil {
			return nil, b.place(err)
		}
		row := b.record(m, result)
		if b.about.Warnings, err = m.doubts(b, row, save); err != nil {
			return nil, err
		}
		list, rows = append(list, reports.NewCalibrate(result, b.about)), append(rows, row)
	}
	whole := *list[0]
	if len(list) > 1 {
		whole.AsLeft = list[1]
	}
	plot, err := ask.prepare(whole.Chart)
	if err != nil {
		return nil, err
	}
	defer plot.drop()
	if save != nil {
		if err := save.keep(book, rows, list); err != nil {
			return nil, err
		}
	}
	list[0].AsLeft = whole.AsLeft
	if err := plot.keep(); err != nil {
		return nil, saidLate(err, list[0])
	}
	return list[0], nil
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
