package main

import (
	"github.com/brinemark/brinemark/calib/check"
	"github.com/urfave/cli/v2"
)

// setAside leaves out the rows of a bench whose readings stand at an end of what
// the display can show, by --range or else by the record.
func (m *meterOnRecord) setAside(c *cli.Context, b *bench, step float64) error {
	g, err := m.displayRange(c)
	if err != nil {
		return err
	}
	kept, out, err := g.SetAside(b.rows, step)
	if err != nil || len(out) == 0 {
		return err
	}
	b.about.LeftOut = out
	for _, l := range out {
		m.warn("%s", l)
	}
	b.rows = pick(b.rows, kept)
	b.index, b.points, b.times = pick(b.index, kept), pick(b.points, kept), pick(b.times, kept)
	return nil
}

// pick takes places of a list; none of one that is empty.
func pick[T any](list []T, places []int) []T {
	if len(list) == 0 {
		return list
	}
	out := make([]T, len(places))
	for k, i := range places {
		out[k] = list[i]
	}
	return out
}

// displayRange is what the display can show, in the unit of the readings.
func (m *meterOnRecord) displayRange(c *cli.Context) (g check.Range, err error) {
	s, given, err := last[span](c, "range")
	switch {
	case err != nil:
		return g, err
	case !given && m.meter != nil:
		return check.Range{Low: m.meter.RangeLow, High: m.meter.RangeHigh}, nil
	case !given:
		return g, nil
	}
	for _, end := range []struct {
		of figure
		to **float64
	}{{s.low, &g.Low}, {s.high, &g.High}} {
		switch {
		case m.meter != nil:
			if *end.to, err = end.of.in(*m.meter); err != nil {
				return g, usageError("--range: %v", err)
			}
		case end.of.quantity != nil || end.of.unit != "":
			return g, usageError("--range: want LOW..HIGH in the unit of the readings, numbers alone such as 0..999; a unit needs a --meter on record")
		default:
			*end.to = &end.of.bare
		}
	}
	if *g.High <= *g.Low {
		return g, usageError("--range: found an end, %v, that is not above the start, %v; want LOW..HIGH, such as 0..999", *g.High, *g.Low)
	}
	return g, nil
}
