package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/spelling"
	"github.com/urfave/cli/v2"
)

// withMeterRecord runs f with the record where calibrate uses one: to save, for
// the bottles of the file, or for what it knows of the meter named by --meter.
// Everything else needs none, and f gets nil.
func withMeterRecord(c *cli.Context, save *saving, benches []bench, f func(*logbook.Book) error) error {
	needs := func(b bench) bool { return b.needsRecord() }
	switch {
	case save != nil:
		return changeRecord(c, false, f)
	case slices.ContainsFunc(benches, needs):
		return withRecordIfThere(c, f)
	case c.String("meter") == "":
		return f(nil)
	}
	ran := false
	err := withRecordIfThere(c, func(book *logbook.Book) error {
		ran = true
		return f(book)
	})
	if err != nil && !ran { // --meter is a name as well, which needs no record
		warn(c, "the record cannot be read, and nothing is known of the meter %s: %v", c.String("meter"), err)
		return f(nil)
	}
	return err
}

// meterOnRecord is what the record knows of the meter.
type meterOnRecord struct {
	book     *logbook.Book  // nil where no record is used
	meter    *logbook.Meter // nil where it is not on record
	name     string         // as it was typed; "" for none
	warnings []string
}

func (m *meterOnRecord) warn(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(m.warnings, text) {
		m.warnings = append(m.warnings, text)
	}
}

// findMeter looks the meter up and takes from its record what no flag says.
func findMeter(c *cli.Context, book *logbook.Book, save *saving, o *check.Options, benches []bench) (*meterOnRecord, error) {
	m := &meterOnRecord{book: book, name: benches[0].about.Meter}
	if book == nil || m.name == "" {
		return m, nil
	}
	found, err := book.Meter(m.name)
	if errors.Is(err, logbook.ErrNotFound) {
		if save != nil {
			return nil, fmt.Errorf("--save: %w; \"meter add\" puts it there", err)
		}
		if near, ok := nearestOnRecord(book, m.name); ok { // a name alone needs no record
			m.warn("meter %s is not on record, and nothing is known of it; the nearest is %s", m.name, near)
		}
		return m, nil
	}
	if err != nil {
		return nil, err
	}
	m.meter = &found
	if typed, given, err := last[string](c, "quantity"); err != nil {
		return nil, err
	} else if given && typed != found.Quantity {
		if save != nil || benches[0].needsRecord() {
			return nil, usageError("--quantity %s: meter %s is on record as one of %s; leave the flag out, or correct the meter with \"meter add … --correct\"", typed, found.Name, found.Quantity)
		}
		m.warn("--quantity %s is used; the record has %s as a meter of %s, and is not asked", typed, found.Name, found.Quantity)
		m.meter = nil
		return m, nil
	}
	o.Kind = check.Kind(found.Quantity)
	o.Compensates = found.Compensation != "" && found.Compensation != "none"
	taken, err := m.settle(c, o, save != nil || benches[0].needsRecord())
	if err != nil {
		return nil, err
	}
	for i := range benches {
		about := &benches[i].about
		if about.Meter = found.Name; about.Unit == "" {
			about.Unit = found.Unit
		}
	}
	if len(taken) > 0 {
		note(c, "%s is on record: %s", found.Name, strings.Join(taken, ", "))
	}
	return m, nil
}

// nearestOnRecord is the meter on record whose name is nearly the one typed.
func nearestOnRecord(book *logbook.Book, name string) (string, bool) {
	names, err := book.Names(logbook.KindMeter)
	if err != nil {
		return "", false
	}
	return spelling.Nearest(name, names)
}

// settle takes tolerance, resolution and unit from the record; a flag that says
// otherwise wins, with a warning. Readings in another unit than the record's
// cannot be kept beside its others, nor be held against its bottles: strict
// refuses them.
func (m *meterOnRecord) settle(c *cli.Context, o *check.Options, strict bool) (taken []string, err error) {
	known := m.meter
	switch typed := c.String("unit"); {
	case typed == "" && known.Unit != "":
		taken = append(taken, "unit "+known.Unit)
	case typed == "" || known.Unit == "" || sameUnit(typed, known.Unit):
	case strict:
		return nil, usageError("--unit %s: meter %s is on record with readings in %s; give them in that unit, or correct the meter with \"meter add … --correct\"", typed, known.Name, known.Unit)
	default:
		m.warn("--unit %s is printed; on record %s shows %s", typed, known.Name, known.Unit)
	}
	if known.Tolerance != nil {
		t := quantity.Tolerance{Value: *known.Tolerance, Relative: known.ToleranceRelative}
		t.Text = figureText(t.Value)
		if t.Relative {
			t.Text = figureText(100*t.Value) + "%"
		}
		switch {
		case o.Tolerance == nil:
			o.Tolerance = &t
			taken = append(taken, "tolerance "+t.Text)
		case o.Tolerance.Value != t.Value || o.Tolerance.Relative != t.Relative:
			m.warn("--tolerance %s is used; on record that of %s is %s", o.Tolerance.Text, known.Name, t.Text)
		}
	}
	if known.Resolution != nil {
		switch {
		case !isGiven(c, "resolution"):
			o.Resolution = *known.Resolution
			taken = append(taken, "resolution "+figureText(o.Resolution))
		case o.Resolution != *known.Resolution:
			m.warn("--resolution %s is used; on record that of %s is %s", figureText(o.Resolution), known.Name, figureText(*known.Resolution))
		}
	}
	return taken, nil
}

func figureText(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// sameUnit compares units whatever way the micro and degree signs are written.
func sameUnit(a, b string) bool {
	plain := strings.NewReplacer("\u00b5", "u", "\u03bc", "u", "\u00b0", "", " ", "")
	return strings.EqualFold(plain.Replace(a), plain.Replace(b))
}

// bottles finds the references of a file's rows that have none but a bottle on
// record.
func (m *meterOnRecord) bottles(c *cli.Context, b *bench, temp *float64) (map[int]bottleReference, error) {
	var rows []bottleRow
	for k, i := range b.index {
		if b.table.Typed(i, "buffer") != "" {
			continue
		}
		at := b.times[k]
		if at.IsZero() {
			at = b.about.Time
		}
		rows = append(rows, bottleRow{row: i, meter: m.meter, meterName: m.name, tempC: temp, at: at})
	}
	found, warnings, err := bottleReferences(c, m.book, b.table, rows)
	if err != nil {
		return nil, err
	}
	for _, w := range warnings {
		m.warn("%s", w)
	}
	return found, nil
}

// doubts are the warnings about a bench that the record gives reason for. row
// is the calibration as it would be on record.
func (m *meterOnRecord) doubts(b *bench, row logbook.Calibration, save *saving) ([]string, error) {
	at := b.about.Time
	if at.IsZero() {
		at = now()
	}
	if m.meter != nil && outOfUse(m.meter, at) {
		m.warn("meter %s is out of use since %s", m.meter.Name, m.meter.RetiredAt.Format(time.DateOnly))
	}
	out := m.warnings
	m.warnings = nil
	if m.book == nil || m.meter == nil || len(b.bottles) == 0 {
		return out, nil
	}
	var names, without []string
	for _, i := range b.index {
		if r, ok := b.bottles[i]; ok && !slices.Contains(names, r.Bottle.Name) {
			names = append(names, r.Bottle.Name)
		}
	}
	if save != nil {
		without = append(without, save.corrects...)
	}
	seen, err := shelf.Sightings(m.book, names, without...)
	if err != nil {
		return nil, err
	}
	for _, r := range row.Readings {
		if s, ok := shelf.Sight(row, *m.meter, r); ok {
			seen = append(seen, s)
		}
	}
	return append(out, shelf.LookOff(m.meter.Quantity, seen, names...)...), nil
}

// outOfUse tells that a meter was retired at a time.
func outOfUse(m *logbook.Meter, at time.Time) bool {
	return m.Retired() && !at.Before(m.RetiredAt)
}
