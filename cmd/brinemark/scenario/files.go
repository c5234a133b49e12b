package scenario

import (
	"bytes"
	"encoding/csv"
	"strconv"
)

// File is a file of the demonstration.
type File struct {
	Name, About string
	Content     []byte
}

// Files returns the readings of the bench day as tables for calibrate and
// compare.
func Files() ([]File, error) {
	bottles, err := Bottles()
	if err != nil {
		return nil, err
	}
	old, fresh, err := Readings(bottles)
	if err != nil {
		return nil, err
	}
	buffers, err := BufferReadings()
	if err != nil {
		return nil, err
	}
	var out []File
	for _, f := range []struct {
		name, about string
		columns     []column
		rows        []Row
	}{
		{OldPen.Name + ".csv", "what the old pen showed in bottles A, B and C", calibration, old},
		{NewPen.Name + ".csv", "what the new pen showed in the same bottles", calibration, fresh},
		{"both-pens.csv", "both pens together, for compare", comparison, append(append([]Row{}, old...), fresh...)},
		{"ph-pen.csv", "what the pH pen showed in two buffers, with its millivolts", electrodeColumns, buffers},
	} {
		content, err := table(f.columns, f.rows)
		if err != nil {
			return nil, err
		}
		out = append(out, File{Name: f.name, About: f.about, Content: content})
	}
	return out, nil
}

// column is one column of a table: its name and the text of a row.
type column struct {
	name string
	text func(Row) string
}

func decimals(n int, of func(Row) float64) func(Row) string {
	return func(r Row) string { return strconv.FormatFloat(of(r), 'f', n, 64) }
}

var (
	meter    = column{"meter", func(r Row) string { return r.Meter }}
	ref      = column{"ref", decimals(2, func(r Row) float64 { return r.Ref })}
	uRef     = column{"u_ref", decimals(2, func(r Row) float64 { return r.URef })}
	source   = column{"ref_source", func(r Row) string { return r.Source }}
	uShared  = column{"u_ref_shared", decimals(2, func(r Row) float64 { return r.UShared })}
	reading  = column{"reading", decimals(0, func(r Row) float64 { return r.Reading })}
	uReading = column{"u_reading", decimals(1, func(r Row) float64 { return r.UReading })}
	temp     = column{"temp_C", decimals(1, func(r Row) float64 { return r.TempC })}

	calibration = []column{
		meter, {"bottle", func(r Row) string { return r.Bottle }}, ref, uRef, source, uShared, reading, uReading, temp,
	}
	comparison = []column{
		meter, {"sample", func(r Row) string { return r.Bottle }}, ref, uRef, source, uShared, reading, uReading, temp,
	}
	electrodeColumns = []column{
		meter, {"buffer", func(r Row) string { return r.Buffer }},
		{"reading", decimals(2, func(r Row) float64 { return r.Reading })},
		{"u_reading", decimals(2, func(r Row) float64 { return r.UReading })},
		{"mv", decimals(1, func(r Row) float64 { return r.MV })}, temp,
	}
)

func table(columns []column, rows []Row) ([]byte, error) {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	header := make([]string, len(columns))
	for i, c := range columns {
		header[i] = c.name
	}
	if err := w.Write(header); err != nil {
		return nil, err
	}
	for _, r := range rows {
		cells := make([]string, len(columns))
		for i, c := range columns {
			cells[i] = c.text(r)
		}
		if err := w.Write(cells); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return out.Bytes(), w.Error()
}
