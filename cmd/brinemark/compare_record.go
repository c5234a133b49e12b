package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// consult asks the record for what the table and the flags leave open: what is
// known of the meters, and what the bottles are worth. Where nothing needs it,
// a record that is not there is not missed, and one that cannot be read is a
// warning.
func (in *comparing) consult(c *cli.Context) error {
	there := false
	err := withRecordIfThere(c, func(book *logbook.Book) error {
		there = book != nil
		return in.lookUp(c, book)
	})
	needed := c.Bool("save") || slices.ContainsFunc(in.rows, func(r comparedRow) bool { return r.bottle != "" && r.Ref == nil })
	switch {
	case err != nil && needed:
		return err
	case err != nil:
		in.known = map[string]logbook.Meter{}
		in.warn("the record was not used: %v", err)
	case !there && c.Bool("save"):
		return withRecord(c, func(*logbook.Book) error { return nil }) // says what begins one
	}
	return in.settle(c)
}

// lookUp finds the meters on record, and the worth of the bottles. book is nil
// where there is no record.
func (in *comparing) lookUp(c *cli.Context, book *logbook.Book) error {
	if book == nil {
		return in.findBottles(c, nil)
	}
	for _, name := range in.meters() {
		m, err := book.Meter(name)
		switch {
		case err == nil:
			in.known[name] = m
		case !errors.Is(err, logbook.ErrNotFound):
			return err
		}
	}
	if err := in.findBottles(c, book); err != nil {
		return err
	}
	var used []string
	for _, r := range in.rows {
		if name, _, _ := strings.Cut(r.bottleID, "/"); name != "" && !slices.Contains(used, name) {
			used = append(used, name)
		}
	}
	if len(used) == 0 {
		return nil
	}
	var err error
	in.earlier, err = shelf.Sightings(book, used)
	return err
}

// findBottles fills in the references of rows that name a bottle on record; book
// is nil where there is no record.
func (in *comparing) findBottles(c *cli.Context, book *logbook.Book) error {
	var asked []bottleRow
	for _, r := range in.rows {
		if r.bottle == "" {
			continue
		}
		row := bottleRow{row: r.index, meterName: r.Meter, tempC: r.TempC}
		if r.Time != nil {
			row.at = *r.Time
		}
		if m, ok := in.known[r.Meter]; ok {
			if factor, typed := in.factors[r.Meter]; typed && m.Quantity == "ec" {
				m = withTyped(m, factor)
			}
			row.meter = &m
		}
		asked = append(asked, row)
	}
	if len(asked) == 0 {
		return nil
	}
	found, warnings, err := bottleReferences(c, book, in.table, asked)
	if err != nil {
		return err
	}
	in.warnings = append(in.warnings, warnings...)
	return in.takeReferences(found)
}

// withTyped is a meter with the display factor that was typed for it.
func withTyped(m logbook.Meter, factor float64) logbook.Meter {
	if known, ok := shelf.Factor(m); ok && known == factor {
		return m
	}
	return shelf.WithFactor(m, factor)
}

// takeReferences puts what the record says into the rows. Two samples of one
// bottle share all of its error, so that what is shared is told by sample.
func (in *comparing) takeReferences(found map[int]bottleReference) error {
	var at []int
	var samples []string
	var values []uncert.Value
	for i := range in.rows {
		r := &in.rows[i]
		ref, ok := found[r.index]
		if !ok {
			continue
		}
		r.Ref, r.RefParts, r.bottleID = &ref.Ref, ref.RefParts, ref.Bottle.ID
		if ref.URef == nil {
			continue
		}
		v, err := uncert.FromParts(ref.Ref, ref.RefParts)
		if err != nil {
			return err
		}
		at, samples, values = append(at, i), append(samples, r.Sample), append(values, v)
	}
	for k, part := range shelf.Split(samples, values) {
		r := &in.rows[at[k]]
		r.URef = &part.Own
		if part.Shared > 0 {
			r.URefShared, r.RefSource = &part.Shared, part.Source
		}
	}
	return nil
}

// settle lets the record say what nobody typed, and warns where what was typed
// says something else.
func (in *comparing) settle(c *cli.Context) error {
	if err := in.settleKind(); err != nil {
		return err
	}
	var on []logbook.Meter
	var said []string
	for _, name := range in.meters() {
		m, ok := in.known[name]
		if !ok {
			continue
		}
		if factor, typed := in.factors[name]; !typed {
			if factor, ok := shelf.Factor(m); ok {
				in.factors[name] = factor
			}
		} else if m.Quantity == "ec" {
			if known, _ := shelf.Factor(m); known != factor {
				in.warn("--ppm-factor %s=%g is taken; on record %s shows %s", name, factor, m.Name, shelf.UnitText(m))
			}
			m = withTyped(m, factor)
		}
		if in.readOutOfUse(m, name) {
			in.warn("meter %s is out of use since %s", m.Name, m.RetiredAt.Format(time.DateOnly))
		}
		in.known[name] = m
		on = append(on, m)
		said = append(said, fmt.Sprintf("%s (%s, %s)", name, m.Quantity, shelf.UnitText(m)))
	}
	in.settleDisplays()
	in.lookOff()
	text := in.settleTolerance(on)
	if len(said) > 0 {
		note(c, "on record: %s%s", strings.Join(said, ", "), text)
	}
	return nil
}

// readOutOfUse tells that a meter, by its name in the table, was read after it was
// retired.
func (in *comparing) readOutOfUse(m logbook.Meter, name string) bool {
	return slices.ContainsFunc(in.rows, func(r comparedRow) bool {
		at := now()
		if r.Time != nil {
			at = *r.Time
		}
		return r.Meter == name && outOfUse(&m, at)
	})
}

// settleKind finds what the meters measure: what was typed, else what they are
// on record for, else ec.
func (in *comparing) settleKind() error {
	var first *logbook.Meter
	for _, name := range in.meters() {
		m, ok := in.known[name]
		switch {
		case !ok:
		case in.kind != "" && string(in.kind) != m.Quantity:
			return usageError("--quantity is %s, and meter %s measures %s, by the record; want the right one, or another name in the file for a meter that is not on record", in.kind, m.Name, m.Quantity)
		case first != nil && first.Quantity != m.Quantity:
			return fmt.Errorf("%s: by the record, meter %s measures %s and meter %s measures %s; want meters of one quantity", in.table.Name, first.Name, first.Quantity, m.Name, m.Quantity)
		case first == nil:
			first = &m
		}
	}
	switch {
	case in.kind != "":
	case first != nil:
		in.kind = check.Kind(first.Quantity)
	default:
		in.kind = check.EC
	}
	return nil
}

// settleTolerance takes the meters' tolerance where none was typed and they have
// the same, and says so.
func (in *comparing) settleTolerance(on []logbook.Meter) (note string) {
	known, ok, differ := shelf.CommonTolerance(on)
	typed := in.tolerance
	switch {
	case typed.Value > 0 && differ != "":
		in.warn("--tolerance %s is taken; on record are %s", typed, differ)
	case typed.Value > 0 && ok && (typed.Value != known.Value || typed.Relative != known.Relative):
		in.warn("--tolerance %s is taken; on record is %s", typed, known)
	case typed.Value > 0:
	case differ != "":
		in.warn("the tolerances on record differ (%s), and none is taken; want --tolerance", differ)
	case ok:
		in.tolerance = known
		return fmt.Sprintf("; tolerance %s", known)
	}
	return ""
}

// settleDisplays takes the steps of the displays, and warns of readings that do
// not fit what is on record.
func (in *comparing) settleDisplays() {
	odd, outside := map[string]bool{}, map[string]bool{} // meters warned of
	for i := range in.rows {
		r := &in.rows[i]
		m, ok := in.known[r.Meter]
		if !ok {
			continue
		}
		step, fits := shelf.Step(m, r.Value, r.Step)
		r.Step = step
		if !fits && !odd[r.Meter] {
			odd[r.Meter] = true
			in.warn("row %d: a display with a step of %g, as on record for %s, does not show %g; taken as it is written", r.Row, *m.Resolution, m.Name, r.Value)
		}
		if text := shelf.OutOfRange(m, r.Value); text != "" && !outside[r.Meter] {
			outside[r.Meter] = true
			in.warn("row %d: %s shows %g, and %s", r.Row, m.Name, r.Value, text)
		}
	}
}

// tops are the ends of the ranges on record.
func (in *comparing) tops() map[string]float64 {
	out := map[string]float64{}
	for name, m := range in.known {
		if m.RangeHigh != nil {
			out[name] = *m.RangeHigh
		}
	}
	return out
}

// units are those that the meters show, as far as they are on record or follow
// from a display factor.
func (in *comparing) units() map[string]string {
	out := map[string]string{}
	for name, m := range in.known {
		if m.PPMFactor == nil && m.Unit != "" {
			out[name] = m.Unit
		}
	}
	for name, factor := range in.factors {
		out[name] = reports.DisplayUnit(factor)
	}
	return out
}

// lookOff warns of bottles on record that several meters find off, now or in
// their calibrations on record.
func (in *comparing) lookOff() {
	list := in.earlier
	var used []string
	for _, r := range in.rows {
		if r.bottleID == "" {
			continue
		}
		m, ok := in.known[r.Meter]
		if !ok { // a pH meter needs no place on record to read a buffer
			m = logbook.Meter{Name: r.Meter, Quantity: string(in.kind)}
		}
		if t := in.tolerance; t.Value > 0 {
			m.Tolerance, m.ToleranceRelative = &t.Value, t.Relative
		}
		s, ok := shelf.Sight(logbook.Calibration{Meter: m.Name, Quantity: string(in.kind)}, m, reading(r))
		if ok {
			list, used = append(list, s), append(used, s.Bottle)
		}
	}
	if len(used) > 0 {
		in.warnings = append(in.warnings, shelf.LookOff(string(in.kind), list, used...)...)
	}
}

// reading is a row as a reading of one meter.
func reading(r comparedRow) logbook.Reading {
	out := logbook.Reading{
		Ref: *r.Ref, Reading: r.Value, URef: r.URef, RefSource: r.RefSource, URefShared: r.URefShared, UReading: r.UValue,
		TempC: r.TempC, Bottle: r.bottle, BottleID: r.bottleID, RefParts: r.RefParts,
	}
	if r.Time != nil {
		out.Time = *r.Time
	}
	return out
}
