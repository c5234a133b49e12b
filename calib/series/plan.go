package series

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/spelling"
)

// Plan says what of a log is corrected, and where its times and temperatures
// stand.
type Plan struct {
	TimeColumn string // "" for "time"
	// Zone is where times without one were written; nil for UTC.
	Zone *time.Location
	// TempColumn is the column of the liquid's temperature in C; "" for none.
	TempColumn string
	Probes     []*Probe
	// Observer is told each row as it was judged; nil for nobody.
	Observer Observer
}

// Endings of the columns that are written beside a corrected one.
const (
	CorrectedEnding   = "_corrected"
	UncertaintyEnding = "_u"
	FlagEnding        = "_flag"
)

func (p Plan) timeColumn() string {
	if p.TimeColumn == "" {
		return "time"
	}
	return p.TimeColumn
}

// columns returns the columns that the plan needs: of the times, of the
// temperatures where there is one, of the probes.
func (p Plan) columns() []string {
	names := []string{p.timeColumn()}
	if p.TempColumn != "" {
		names = append(names, p.TempColumn)
	}
	for _, probe := range p.Probes {
		names = append(names, probe.Column)
	}
	return names
}

// added returns the columns that are written beside those of the log.
func (p Plan) added() []string {
	var names []string
	for _, probe := range p.Probes {
		names = append(names, probe.Column+CorrectedEnding, probe.Column+UncertaintyEnding, probe.Column+FlagEnding)
	}
	return names
}

// check refuses a plan that no log can meet.
func (p Plan) check() error {
	for i, probe := range p.Probes {
		if slices.ContainsFunc(p.Probes[:i], func(q *Probe) bool { return q.Column == probe.Column }) {
			return &readings.Error{Column: probe.Column, Found: "two corrections of it", Want: "one", Err: readings.ErrDuplicateColumn}
		}
		if probe.Conversion.NeedsTemperature() && p.TempColumn == "" {
			return &readings.Error{Column: probe.Column, Found: "a compensation to change, and no column of the temperature",
				Want: "the name of that column", Err: readings.ErrMissingColumn}
		}
	}
	return nil
}

// places are the positions of a plan's columns in a header.
type places struct {
	width, time, temp int // temp is -1 for none
	probes            []int
}

// wants tells whether a name in a header is one of the plan's.
func (p Plan) wants(name string) bool { return slices.Contains(p.columns(), strings.TrimSpace(name)) }

// place finds the plan's columns in a header that stands in a row of the log.
// Errors are a *readings.Error.
func (p Plan) place(header []string, row int) (places, error) {
	names := make([]string, len(header))
	for i, name := range header {
		names[i] = strings.TrimSpace(name)
	}
	at := places{width: len(names), temp: -1}
	var err error
	if at.time, err = column(names, p.timeColumn(), row); err != nil {
		return at, err
	}
	if p.TempColumn != "" {
		if at.temp, err = column(names, p.TempColumn, row); err != nil {
			return at, err
		}
	}
	for _, probe := range p.Probes {
		i, err := column(names, probe.Column, row)
		if err != nil {
			return at, err
		}
		at.probes = append(at.probes, i)
	}
	for _, name := range p.added() {
		if slices.Contains(names, name) {
			return at, already(name, row)
		}
	}
	return at, nil
}

// column finds a name in a header, and says what is nearest where it is not
// there.
func column(header []string, name string, row int) (int, error) {
	i := slices.Index(header, name)
	if i < 0 {
		return 0, missing(header, name, row)
	}
	if slices.Contains(header[i+1:], name) {
		return 0, &readings.Error{Row: row, Column: name, Found: "it twice in the header", Want: "each column once", Err: readings.ErrDuplicateColumn}
	}
	return i, nil
}

func missing(names []string, name string, row int) error {
	want := fmt.Sprintf("one of %.300s", strings.Join(names, ", "))
	if len(want) > 300 {
		want += "..."
	}
	if near, ok := spelling.Nearest(name, names); ok {
		want = near + ", which is the nearest name, or " + want
	}
	return &readings.Error{Row: row, Column: name, Found: "no such column", Want: want, Err: readings.ErrMissingColumn}
}

func already(name string, row int) error {
	return &readings.Error{Row: row, Column: name, Found: "it in the log already",
		Want: "the log as it was written, or the column under another name", Err: readings.ErrDuplicateColumn}
}
