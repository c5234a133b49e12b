package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/tempcomp"
)

// figure is a number in the meter's own unit, or a quantity with one.
type figure struct {
	bare     float64
	unit     string // what was typed after it: ppm, or nothing
	quantity *quantity.Quantity
}

// parseFigure reads a figure. A bare ppm is one of the meter's own display,
// whose factor is on record beside it.
func parseFigure(text string) (figure, error) {
	if x, err := quantity.ParseNumber(strings.TrimSpace(text)); err == nil {
		return figure{bare: x}, nil
	}
	q, err := quantity.Parse(text, shelf.FigureKinds()...)
	if number, ok := inDisplayPPM(text, err); ok {
		x, err := quantity.ParseNumber(number)
		return figure{bare: x, unit: tempcomp.PPMUnit}, err
	}
	return figure{quantity: &q}, err
}

// inDisplayPPM is the number before a bare ppm, where that was refused.
func inDisplayPPM(text string, refused error) (number string, ok bool) {
	if !errors.Is(refused, quantity.ErrBarePPM) {
		return "", false
	}
	number, ok = strings.CutSuffix(strings.TrimSpace(text), tempcomp.PPMUnit)
	return strings.TrimSpace(number), ok
}

// in gives the figure in the unit of a meter.
func (f figure) in(m logbook.Meter) (*float64, error) {
	if f.quantity != nil {
		x, err := shelf.Figure(m, *f.quantity)
		return &x, err
	}
	if unit, _, _ := strings.Cut(m.Unit, " "); f.unit != "" && f.unit != unit { // "ppm CO2" is ppm
		hint := ""
		if m.Quantity == "ec" {
			hint = ", or --ppm-factor for one that shows ppm"
		}
		return nil, fmt.Errorf("found %g%s for a meter of %s that shows %s; want a figure in %s%s", f.bare, f.unit, m.Quantity, shelf.UnitText(m), shelf.UnitText(m), hint)
	}
	return &f.bare, nil
}

// span is what a meter can show.
type span struct{ low, high figure }

// parseSpan reads LOW..HIGH; LOW without a unit has that of HIGH.
func parseSpan(text string) (span, error) {
	low, high, ok := strings.Cut(text, "..")
	if !ok {
		return span{}, fmt.Errorf("%q is no range; want LOW..HIGH, such as 0..20mS/cm", text)
	}
	var s span
	var err error
	if s.high, err = parseFigure(high); err != nil {
		return s, err
	}
	if s.low, err = parseFigure(low); err != nil {
		return s, err
	}
	if s.low.quantity == nil && s.low.unit == "" && s.high.quantity != nil {
		unit := strings.TrimLeft(strings.TrimSpace(high), "+-.0123456789")
		if s.low, err = parseFigure(strings.TrimSpace(low) + unit); err != nil {
			return s, err
		}
	}
	return s, nil
}

// meterTolerance is how large an error of a meter may be.
type meterTolerance struct {
	relative bool
	size     figure // a fraction where it is relative
}

func parseMeterTolerance(text string) (meterTolerance, error) {
	t, err := quantity.ParseTolerance(text, shelf.FigureKinds()...)
	if number, ok := inDisplayPPM(text, err); ok {
		t, err = quantity.ParseTolerance(number)
		return meterTolerance{size: figure{bare: t.Value, unit: tempcomp.PPMUnit}}, err
	}
	out := meterTolerance{relative: t.Relative, size: figure{bare: t.Value}}
	if t.Kind != 0 {
		q, err := quantity.Parse(text, shelf.FigureKinds()...)
		return meterTolerance{size: figure{quantity: &q}}, err
	}
	return out, err
}

// in gives the tolerance in the unit of a meter.
func (t meterTolerance) in(m logbook.Meter) (size *float64, relative bool, err error) {
	size, err = t.size.in(m)
	return size, t.relative, err
}
