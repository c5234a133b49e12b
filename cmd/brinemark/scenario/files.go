package scenario

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"time"
)

// File is a file of the demonstration.
type File struct {
	Name, About string
	Content     []byte
}

// The names of the files that the story's commands read.
const (
	OldPenFile       = "old-pen.csv"
	NewPenFile       = "new-pen.csv"
	PHPenFile        = "ph-pen.csv"
	NewElectrodeFile = "ph-pen-new-electrode.csv"
	BothFile         = "both-pens.csv"
	ColdWarmFile     = "both-pens-cold-warm.csv"
	CleanedFile      = "old-pen-cleaned.csv"
	TubFile          = "tub-log.csv"
	TubTruthFile     = "tub-truth.csv"
	TubTimeColumn    = "time"
)

// CheckFile is the name of the file of a check of the probe.
func CheckFile(day int) string { return Probe.Name + "-" + Checks[day].Format(time.DateOnly) + ".csv" }

// Files returns what the person wrote down: a table for each bench day, and the
// log of the tub.
func Files() ([]File, error) {
	bottles, err := Bottles()
	if err != nil {
		return nil, err
	}
	old, err := FirstDay(OldPen, bottles)
	if err != nil {
		return nil, err
	}
	fresh, err := FirstDay(NewPen, bottles)
	if err != nil {
		return nil, err
	}
	coldWarm, err := ColdAndWarm(bottles)
	if err != nil {
		return nil, err
	}
	cleaned, err := AfterCleaning(bottles)
	if err != nil {
		return nil, err
	}
	aged, err := OldElectrode()
	if err != nil {
		return nil, err
	}
	replaced, err := NewElectrode()
	if err != nil {
		return nil, err
	}
	both := append(append([]Row{}, old...), fresh...)
	tables := []struct {
		name, about string
		columns     []column
		rows        []Row
	}{
		{OldPenFile, "what the old pen showed in bottles A, B and C", calibration, old},
		{NewPenFile, "what the new pen showed in the same bottles", calibration, fresh},
		{PHPenFile, "what the pH pen showed in two buffers, with its millivolts", electrodeColumns, aged},
		{NewElectrodeFile, "the same with a new electrode", electrodeColumns, replaced},
		{BothFile, "both pens together, for compare", calibration, both},
		{ColdWarmFile, "the same, and bottle C once cold and once warm", calibration, append(append([]Row{}, both...), coldWarm...)},
		{CleanedFile, "the old pen once it was cleaned and trimmed", calibration, cleaned},
	}
	for day, when := range Checks {
		rows, err := CheckOfProbe(bottles, day)
		if err != nil {
			return nil, err
		}
		about := "the tub's probe in the bottles on " + when.Format(time.DateOnly)
		columns := calibration
		if when.Equal(Adjusted) {
			about += ", as found and as left"
			columns = append([]column{state}, calibration...)
		}
		tables = append(tables, struct {
			name, about string
			columns     []column
			rows        []Row
		}{CheckFile(day), about, columns, rows})
	}
	var out []File
	for _, f := range tables {
		content, err := table(f.columns, f.rows)
		if err != nil {
			return nil, err
		}
		out = append(out, File{Name: f.name, About: f.about, Content: content})
	}
	log, err := TubLog()
	if err != nil {
		return nil, err
	}
	content, err := table(logColumns, log)
	if err != nil {
		return nil, err
	}
	truth, err := table(truthColumns, log)
	if err != nil {
		return nil, err
	}
	return append(out,
		File{Name: TubFile, About: "four weeks in the tub as the probe saw them, a row every ten minutes", Content: content},
		File{Name: TubTruthFile, About: "what was true in the tub: no command reads it", Content: truth},
	), nil
}

// columnOf is one column of a table: its name and the text of a row.
type columnOf[R any] struct {
	name string
	text func(R) string
}

type column = columnOf[Row]

func decimals[R any](n int, of func(R) float64) func(R) string {
	return func(r R) string { return strconv.FormatFloat(of(r), 'f', n, 64) }
}

var (
	state    = column{"state", func(r Row) string { return r.State }}
	meter    = column{"meter", func(r Row) string { return r.Meter }}
	bottle   = column{"bottle", func(r Row) string { return r.Bottle }}
	uReading = func(r Row) string { return strconv.FormatFloat(r.UReading, 'f', -1, 64) }
	temp     = column{"temp_C", decimals(1, func(r Row) float64 { return r.TempC })}
	moment   = column{"time", func(r Row) string { return r.Time.Format(time.RFC3339) }}

	calibration = []column{
		moment, meter, bottle, {"reading", decimals(0, func(r Row) float64 { return r.Reading })}, {"u_reading", uReading}, temp,
	}
	electrodeColumns = []column{
		moment, meter, bottle, {"reading", decimals(2, func(r Row) float64 { return r.Reading })}, {"u_reading", uReading},
		{"mv", decimals(1, func(r Row) float64 { return r.MV })}, temp,
	}

	logTime    = columnOf[LogRow]{TubTimeColumn, func(r LogRow) string { return r.Time.Format(time.RFC3339) }}
	logColumns = []columnOf[LogRow]{
		logTime, {"ec", decimals(0, func(r LogRow) float64 { return r.EC })}, {"water_C", decimals(1, func(r LogRow) float64 { return r.WaterC })},
	}
	truthColumns = []columnOf[LogRow]{
		logTime, {"true_ec_at_25_C", decimals(1, func(r LogRow) float64 { return r.TrueEC })},
		{"probe", func(r LogRow) string {
			if r.Dry {
				return "in air"
			}
			return "in the liquid"
		}},
	}
)

func table[R any](columns []columnOf[R], rows []R) ([]byte, error) {
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
