package main

import (
	"errors"
	"fmt"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/cause"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/readings"
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
  sample     which liquid; the same name wherever it was read   (needed)
  reading    what the meter showed       (needed)
  ref        what a perfect meter with this display would show
  u_ref, u_reading          standard uncertainties (k = 1)
  ref_source, u_ref_shared  what references share, and how much of it
  temp_C, time, replicate   of the reading

Several rows with one meter and sample are repetitions. A reading written again
beside the reference of another ref_source adds that reference: what each weighs
is up to its u_ref, so that a rough one may be added. A tolerance in percent
is a fraction of the reference, or of the mean of the two meters where there is
no reference; without percent it is in the unit of the readings.

Two meters can show how far they are apart. Which one is right only a reference
can tell. Why they differ is said with probabilities; temp_C helps to tell a wrong
temperature compensation. A meter whose display factor is known (--ppm-factor) is
not suspected of another one without reason.`,
		Flags: []cli.Flag{
			toleranceFlag("tolerance", "let a difference or an error be as large as `SIZE`, such as 5% or 0.1"),
			ppmFactorFlag(),
			wordFlag("quantity", "`QUANTITY` the meters measure: ec (default), ph, temperature, humidity, oxygen, co2, other", words(check.Kinds())...),
		},
		Action: runCompare,
	}
}

// compareSpec is what a table of readings of several meters may hold.
func compareSpec() readings.Spec {
	return readings.Spec{Columns: []readings.Column{
		{Name: "meter", Required: true, Filled: true},
		{Name: "sample", Required: true, Filled: true},
		{Name: "reading", Type: readings.Number, Required: true, Filled: true},
		{Name: "ref", Type: readings.Number},
		{Name: "u_ref", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "ref_source"},
		{Name: "u_ref_shared", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "u_reading", Type: readings.Number, Bounds: readings.NotNegative},
		{Name: "temp_C", Type: readings.Number},
		{Name: "time", Type: readings.Time},
		{Name: "replicate"},
	}}
}

func runCompare(c *cli.Context) error {
	files, err := arguments(c, "FILE.csv")
	if err != nil {
		return err
	}
	tolerance, _, err := getTolerance(c, "tolerance")
	if err != nil {
		return err
	}
	kind, err := getWord(c, "quantity")
	if err != nil {
		return err
	}
	if kind == "" {
		kind = string(check.EC)
	}
	table, err := readTable(c, files[0], compareSpec())
	if err != nil {
		return err
	}
	rows, err := compareRows(table)
	if err != nil {
		return err
	}
	set, err := agree.NewSet(rows)
	if err != nil {
		return inFile(table, err)
	}
	comparison, err := agree.Compare(set, check.Kind(kind), tolerance)
	if err != nil {
		return inFile(table, err)
	}
	factors, err := getPPMFactors(c, set)
	if err != nil {
		return err
	}
	why := cause.Explain(set, comparison, cause.Options{PPMFactor: factors})
	result := reports.NewCompare(comparison, why)
	if err := render(c, result); err != nil {
		return err
	}
	return checkVerdict(c, result.Verdicts()...)
}

// compareRows takes the rows of a table as readings.
func compareRows(t *readings.Table) ([]agree.Reading, error) {
	var out []agree.Reading
	for i := range t.Len() {
		r := agree.Reading{Row: t.Line(i)}
		cell := cellReader{table: t, row: i}
		r.Meter, r.Sample = cell.text("meter"), cell.text("sample")
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
