package reports

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/calib/series/watch"
)

// EventsFile writes the events of a log as CSV while they are found, in the
// order in which that is known.
type EventsFile struct {
	csv   *csv.Writer
	about []CorrectionPlan
	zone  *time.Location
	err   error
}

// NewEventsFile writes the header. about are the columns of the plan.
func NewEventsFile(w io.Writer, about []CorrectionPlan, zone *time.Location) *EventsFile {
	f := &EventsFile{csv: csv.NewWriter(w), about: about, zone: zone}
	f.write("start", "end", "kind", "columns", "what", "before", "after", "rows")
	return f
}

// Add writes an event.
func (f *EventsFile) Add(e watch.Event) {
	names := []string{f.about[e.Column].Column}
	for _, i := range e.With {
		names = append(names, f.about[i].Column)
	}
	f.write(f.stamp(e.From), f.stamp(e.To), string(e.Kind), readings.SafeCell(strings.Join(names, "; ")), f.what(e),
		plainFigure(e.Before), plainFigure(e.After), strconv.FormatInt(e.Rows, 10))
}

// Close writes what is left, and returns the first error.
func (f *EventsFile) Close() error {
	f.csv.Flush()
	if f.err != nil {
		return f.err
	}
	return f.csv.Error()
}

func (f *EventsFile) write(fields ...string) {
	if err := f.csv.Write(fields); err != nil && f.err == nil {
		f.err = err
	}
}

func (f *EventsFile) stamp(t time.Time) string { return t.In(f.zone).Format(time.RFC3339) }

// what words an event.
func (f *EventsFile) what(e watch.Event) string {
	long := durationText(e.To.Sub(e.From))
	switch e.Kind {
	case watch.OutOfLiquid:
		return "out of the liquid for " + long
	case watch.Stuck:
		if math.IsNaN(e.Before) {
			return "no change for " + long
		}
		return fmt.Sprintf("no change for %s: %s", long, shortFigure(e.Before))
	case watch.Jump:
		return f.change(e) + " from one row to the next: an adjustment that is not on record?"
	case watch.TopUp:
		if e.After < e.Before {
			return f.change(e) + ": water added"
		}
		return f.change(e) + ": concentrate added"
	}
	if e.AfterAir {
		if math.IsNaN(e.Before) {
			return "in the liquid, at " + shortFigure(e.After)
		}
		return "back in the liquid: " + f.change(e)
	}
	return f.change(e) + ": liquid renewed"
}

// change words the two levels, with the share for a conductivity and the
// difference for everything else.
func (f *EventsFile) change(e watch.Event) string {
	size := ""
	switch {
	case f.about[e.Column].Kind != check.EC:
		size = fmt.Sprintf(" (%+.3g)", e.After-e.Before)
	case e.Before > 0:
		size = fmt.Sprintf(" (%+.3g %%)", 100*(e.After/e.Before-1))
	}
	return fmt.Sprintf("from %s to %s%s", shortFigure(e.Before), shortFigure(e.After), size)
}

// durationText words a time by its two largest units: 3 h 20 min.
func durationText(d time.Duration) string {
	units := []struct {
		size time.Duration
		name string
	}{{24 * time.Hour, "d"}, {time.Hour, "h"}, {time.Minute, "min"}, {time.Second, "s"}}
	for i, u := range units {
		if d < u.size && i < len(units)-1 {
			continue
		}
		text := fmt.Sprintf("%d %s", d/u.size, u.name)
		if i+1 < len(units) {
			if rest := d % u.size / units[i+1].size; rest > 0 {
				text += fmt.Sprintf(" %d %s", rest, units[i+1].name)
			}
		}
		return text
	}
	return ""
}

// shortFigure is a figure for people, plainFigure one for programs; empty where
// there is none.
func shortFigure(x float64) string { return figureOf(x, 4) }
func plainFigure(x float64) string { return figureOf(x, 7) }

func figureOf(x float64, digits int) string {
	if math.IsNaN(x) {
		return ""
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', digits-1, 64), 64) // cannot fail
	return strconv.FormatFloat(rounded, 'f', -1, 64)
}
