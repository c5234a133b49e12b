package reports

import (
	"encoding/csv"
	"io"

	"github.com/brinemark/brinemark/calib/readings"
)

// SheetColumns are the columns of the table to be typed into: those that
// calibrate and compare both read, where the bottle on record is the reference
// and the sample.
func SheetColumns() []string {
	return []string{"meter", "bottle", "reading", "u_reading", "temp_C", "u_temp_C", "time"}
}

// WriteCSV writes a part as a table with one row for each reading: meter by meter,
// and in each bottle the times it is to be read.
func (p SheetPart) WriteCSV(w io.Writer, repeats int) error {
	out := csv.NewWriter(w)
	if err := out.Write(SheetColumns()); err != nil {
		return err
	}
	for _, m := range p.Meters {
		for _, b := range p.Bottles {
			for range max(1, repeats) {
				row := make([]string, len(SheetColumns()))
				row[0], row[1] = readings.SafeCell(m.Meter), readings.SafeCell(b.Bottle)
				if err := out.Write(row); err != nil {
					return err
				}
			}
		}
	}
	out.Flush()
	return out.Error()
}
