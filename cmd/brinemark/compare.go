package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/cause"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

func compareCommand() *cli.Command {
	return &cli.Command{
		Name:      "compare",
		Usage:     "say by how much meters disagree, whether it is real, and which one is wrong",
		ArgsUsage: "FILE.csv",
		Description: `Reads a table with one row for each reading:

  meter      which meter                 (needed)
  sample     which liquid; the same name wherever it was read   (needed, unless
             the bottle says it)
  reading    what the meter showed       (needed)
  ref        what a perfect meter with this display would show
  u_ref, u_reading          standard uncertainties (k = 1)
  ref_source, u_ref_shared  what references share, and how much of it
  bottle     a bottle on record, in place of ref (with temp_C)
  temp_C, time, replicate   of the reading

Several rows with one meter and sample are repetitions. A reading written again
beside the reference of another ref_source adds that reference: what each weighs
is up to its u_ref, so that a rough one may be added. A tolerance in percent
is a fraction of the reference, or of the mean of the two meters where there is
no reference; without percent it is in the unit of the readings.

Two meters can show how far they are apart. Which one is right only a reference
can tell. Why they differ is said with probabilities; temp_C helps to tell a wrong
temperature compensation. A meter whose display factor is known (--ppm-factor) is
not suspected of another one without reason.

Meters that are on record by their name bring what is known of them: quantity,
display factor, the step and the range of the display, and the tolerance where
all have the same. What is given here or in the file goes before it, with a
warning. A bottle without ref is worth what the record says, on that meter's
display, at that reading's temperature and time. Where nothing on record is
needed, none has to be there, and one that cannot be read is only warned of.
--save puts the comparison on record; its meters have to be there.

Rows of a bench sheet's table that were not filled in are left out, with a note.
--meter, once for each, chooses the meters of a file that has others as well.

   brinemark compare both-pens.csv --tolerance 5%
   brinemark compare both-pens.csv --ppm-factor old-pen=0.5 --save`,
		Flags: append([]cli.Flag{
			toleranceFlag("tolerance", "let a difference or an error be as large as `SIZE`, such as 5% or 0.1"),
			&cli.StringSliceFlag{Name: "meter", Usage: "compare the meters `ID` of the file alone; once for each"},
			ppmFactorFlag(),
			wordFlag("quantity", "`QUANTITY` the meters measure: ec (default where the record does not say), ph, temperature, humidity, oxygen, co2, other", words(check.Kinds())...),
			quantityFlag("temp", "temperature `T` of readings without a temp_C, such as 18C", quantity.Temperature),
			uTempFlag(),
			&cli.BoolFlag{Name: "save", Usage: "put the comparison on record"},
			&cli.StringFlag{Name: "corrects", Usage: "with --save: it takes the place of the comparison `ID`, which was wrong"},
			&cli.StringFlag{Name: "note", Usage: "`TEXT` to keep with it on record"},
		}, chartFlags()...),
		Action: runCompare,
	}
}

// compareSpec is what a table of readings of several meters may hold. A bottle
// may stand in for a sample.
func compareSpec() readings.Spec {
	return readings.Spec{Columns: append([]readings.Column{
		{Name: "meter", Required: true, Filled: true},
		{Name: "sample"},
		{Name: "reading", Type: readings.Number, Required: true, Filled: true},
		{Name: "ref", Type: readings.Number},
		{Name: "u_ref", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "ref_source"},
		{Name: "u_ref_shared", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "u_reading", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "time", Type: readings.Time},
		{Name: "replicate"},
	}, bottleColumns()...), Unread: unreadRows()}
}

// comparing is a comparison on its way from the table to the result.
type comparing struct {
	table     *readings.Table
	rows      []comparedRow
	kind      check.Kind // "" where nobody said
	tolerance quantity.Tolerance
	factors   map[string]float64 // by meter
	known     map[string]logbook.Meter
	earlier   []shelf.Sighting // of the bottles used, on record
	warnings  []string
	charting
}

// comparedRow is a row of the table.
type comparedRow struct {
	agree.Reading
	index    int    // of the table's row, from 0
	bottle   string // as it is named
	bottleID string // of the version on record that the reference came from
}

func (in *comparing) warn(format string, args ...any) {
	in.warnings = append(in.warnings, fmt.Sprintf(format, args...))
}

func runCompare(c *cli.Context) error {
	in, err := readCompare(c)
	if err != nil {
		return err
	}
	if err := in.consult(c); err != nil {
		return err
	}
	rows := make([]agree.Reading, len(in.rows))
	for i, r := range in.rows {
		rows[i] = r.Reading
	}
	set, err := agree.NewSet(rows)
	if err != nil {
		return inFile(in.table, err)
	}
	set.Factors = in.factors
	comparison, err := agree.Compare(set, in.kind, in.tolerance)
	if err != nil {
		return inFile(in.table, err)
	}
	comparison.Warnings = append(in.warnings, comparison.Warnings...)
	why := cause.Explain(set, comparison, cause.Options{PPMFactor: in.factors, Top: in.tops()})
	result := reports.NewCompare(comparison, why)
	result.ShownIn(in.units())
	result.Drawn = in.drawsChart(isTerminal(c.App.Writer))
	plot, err := in.prepare(result.Chart)
	if err != nil {
		return err
	}
	defer plot.drop()
	if c.Bool("save") {
		if err := in.save(c, result); err != nil {
			return err
		}
	}
	if err := plot.keep(); err != nil {
		return savedAllTheSame(err, result.ID)
	}
	if err := render(c, result); err != nil {
		return savedAllTheSame(err, result.ID)
	}
	return checkVerdict(c, result.Verdicts()...)
}

// readCompare reads the table and the flags.
func readCompare(c *cli.Context) (*comparing, error) {
	files, err := arguments(c, "FILE.csv")
	if err != nil {
		return nil, err
	}
	in := &comparing{known: map[string]logbook.Meter{}}
	if in.tolerance, _, err = getTolerance(c, "tolerance"); err != nil {
		return nil, err
	}
	kind, err := getWord(c, "quantity")
	if err != nil {
		return nil, err
	}
	in.kind = check.Kind(kind)
	if isGiven(c, "corrects") && !c.Bool("save") {
		return nil, usageError("--corrects belongs to --save")
	}
	if c.IsSet("note") && !c.Bool("save") {
		return nil, usageError("--note is kept with a comparison on record; want --save beside it")
	}
	if in.charting, err = getCharting(c); err != nil {
		return nil, err
	}
	if in.table, err = readTable(c, files[0], compareSpec()); err != nil {
		return nil, err
	}
	if in.rows, err = compareRows(in.table); err != nil {
		return nil, err
	}
	if err := in.choose(c.StringSlice("meter")); err != nil {
		return nil, err
	}
	if temp, given, err := getQuantity(c, "temp"); err != nil {
		return nil, err
	} else if given {
		for i := range in.rows {
			if r := &in.rows[i]; r.TempC == nil {
				r.TempC = &temp.Value
			}
		}
	}
	in.factors, err = getPPMFactors(c, in.meters())
	return in, err
}

// choose leaves the rows of the meters named; all where none is.
func (in *comparing) choose(names []string) error {
	if len(names) == 0 {
		return nil
	}
	for _, name := range names {
		if !slices.ContainsFunc(in.rows, func(r comparedRow) bool { return strings.EqualFold(r.Meter, name) }) {
			return fmt.Errorf("%s: found no reading of meter %s; want meters of the file: %s", in.table.Name, quantity.Quoted(name), strings.Join(in.meters(), ", "))
		}
	}
	in.rows = slices.DeleteFunc(in.rows, func(r comparedRow) bool {
		return !slices.ContainsFunc(names, func(name string) bool { return strings.EqualFold(r.Meter, name) })
	})
	return nil
}

// meters are the meters of the table, in its order.
func (in *comparing) meters() []string {
	var out []string
	for _, r := range in.rows {
		if !slices.Contains(out, r.Meter) {
			out = append(out, r.Meter)
		}
	}
	return out
}

// compareRows takes the rows of a table as readings.
func compareRows(t *readings.Table) ([]comparedRow, error) {
	var out []comparedRow
	for i := range t.Len() {
		r := comparedRow{Reading: agree.Reading{Row: t.Line(i)}, index: i}
		cell := cellReader{table: t, row: i}
		r.Meter, r.Sample, r.bottle = cell.text("meter"), cell.text("sample"), cell.text("bottle")
		if r.Sample == "" {
			r.Sample = r.bottle
		}
		if r.Sample == "" && cell.err == nil {
			return nil, t.Fault(i, "sample", "the liquid that was read, by the same name wherever it was read (or a bottle on record, in the column bottle)", readings.ErrBlank)
		}
		r.RefSource, r.Replicate = cell.text("ref_source"), cell.text("replicate")
		if v := cell.number("reading"); v != nil {
			r.Value = *v
			r.Step, _ = t.LastDigit(i, "reading")
		}
		r.UValue, r.TempC = cell.number("u_reading"), cell.number("temp_C")
		r.Ref, r.URef, r.URefShared = cell.number("ref"), cell.number("u_ref"), cell.number("u_ref_shared")
		if moment, ok, err := t.Time(i, "time"); err != nil {
			cell.err = err
		} else if ok {
			r.Time = &moment
		}
		if cell.err != nil {
			return nil, cell.err
		}
		out = append(out, r)
	}
	return out, nil
}

// cellReader reads the cells of one row and keeps the first error.
type cellReader struct {
	table *readings.Table
	row   int
	err   error
}

func (r *cellReader) number(column string) *float64 {
	v, ok, err := r.table.Float(r.row, column)
	if err != nil && r.err == nil {
		r.err = err
	}
	if !ok {
		return nil
	}
	return &v
}

func (r *cellReader) text(column string) string {
	v, _, err := r.table.Text(r.row, column)
	if err != nil && r.err == nil {
		r.err = err
	}
	return v
}

// inFile names the file in an error about a reading.
func inFile(t *readings.Table, err error) error {
	var input *agree.InputError
	if errors.As(err, &input) && input.Row > 0 {
		return fmt.Errorf("%s, %w", t.Name, err)
	}
	return fmt.Errorf("%s: %w", t.Name, err)
}
