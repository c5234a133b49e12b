package series

import (
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

// added returns the columns that are written beside those of the log.
func (p Plan) added() []string {
	var names []string
	for _, probe := range p.Probes {
		names = append(names, probe.Column+CorrectedEnding, probe.Column+UncertaintyEnding, probe.Column+FlagEnding)
	}
	return names
}

// places are the positions of a plan's columns in a header.
type places struct {
	width, time, temp int // temp is -1 for none
	probes            []int
}

// wants tells whether a name in a header is one of the plan's.
func (p Plan) wants(name string) bool {
	name = strings.TrimSpace(name)
	return name == p.timeColumn() || name == p.TempColumn || slices.ContainsFunc(p.Probes, func(q *Probe) bool { return q.Column == name })
}

// place finds the plan's columns in a header. Errors are a *readings.Error.
func (p Plan) place(header []string) (places, error) {
	trimmed := make([]string, len(header))
	for i, name := range header {
		trimmed[i] = strings.TrimSpace(name)
	}
	at := places{width: len(header), temp: -1}
	var err error
	if at.time, err = column(trimmed, p.timeColumn()); err != nil {
		return at, err
	}
	needs := ""
	for _, probe := range p.Probes {
		i, err := column(trimmed, probe.Column)
		if err != nil {
			return at, err
		}
		if slices.Contains(at.probes, i) {
			return at, &readings.Error{Row: 1, Column: probe.Column, Found: "two corrections of it", Want: "one", Err: readings.ErrDuplicateColumn}
		}
		at.probes = append(at.probes, i)
		if probe.Conversion.NeedsTemperature() {
			needs = probe.Column
		}
	}
	if p.TempColumn != "" {
		if at.temp, err = column(trimmed, p.TempColumn); err != nil {
			return at, err
		}
	} else if needs != "" {
		return at, &readings.Error{Row: 1, Column: needs, Found: "a compensation to change, and no column of the temperature",
			Want: "the name of that column", Err: readings.ErrMissingColumn}
	}
	for _, name := range p.added() {
		if slices.Contains(trimmed, name) {
			return at, &readings.Error{Row: 1, Column: name, Found: "it in the log already", Want: "the log as it was written, or the column under another name", Err: readings.ErrDuplicateColumn}
		}
	}
	return at, nil
}

// column finds a name in a header, and says what is nearest where it is not
// there.
func column(header []string, name string) (int, error) {
	i := slices.Index(header, name)
	if i < 0 {
		want := "one of " + strings.Join(header, ", ")
		if near, ok := spelling.Nearest(name, header); ok {
			want = near + ", which is the nearest name"
		}
		return 0, &readings.Error{Row: 1, Column: name, Found: "no such column in the header", Want: want, Err: readings.ErrMissingColumn}
	}
	if slices.Contains(header[i+1:], name) {
		return 0, &readings.Error{Row: 1, Column: name, Found: "it twice in the header", Want: "each column once", Err: readings.ErrDuplicateColumn}
	}
	return i, nil
}
