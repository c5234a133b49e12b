package main

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/urfave/cli/v2"
)

// parsePoint reads REF=READING.
func parsePoint(text string) (point, error) {
	ref, reading, ok := strings.Cut(text, "=")
	if !ok {
		return point{}, fmt.Errorf("%q is no point; want REF=READING, such as 1413=1380", text)
	}
	p := point{text: text}
	var err error
	if p.reading, err = quantity.ParseNumber(strings.TrimSpace(reading)); err != nil {
		return p, fmt.Errorf("reading %q in the point %q: %w (the number alone, without a unit)", strings.TrimSpace(reading), text, err)
	}
	if p.ref, err = quantity.ParseNumber(strings.TrimSpace(ref)); err != nil {
		p.buffer, p.notNumber = strings.TrimSpace(ref), err
	}
	return p, nil
}

// parseSize reads "1%" or "5".
func parseSize(text string) (check.Size, error) {
	if v, err := quantity.ParseNumber(strings.TrimSpace(text)); err == nil {
		if v < 0 {
			return check.Size{}, fmt.Errorf("%q is negative; a standard uncertainty is 0 (exact) or more", text)
		}
		return check.Size{Value: v}, nil
	}
	q, err := quantity.Parse(text, quantity.Fraction)
	if err != nil {
		return check.Size{}, fmt.Errorf("%q is no standard uncertainty; want one such as 1%% or 5", text)
	}
	return check.Size{Value: q.Value, Relative: true}, nil
}

// point is one --point. A REF that is no number may be the name of a buffer.
type point struct {
	text         string
	ref, reading float64
	buffer       string
	notNumber    error
}

// takePoints makes rows of the points.
func (b *bench) takePoints(c *cli.Context, kind check.Kind) error {
	temp, hasTemp, err := getQuantity(c, "temp")
	if err != nil {
		return err
	}
	for i, p := range b.points {
		row := check.Row{Ref: p.ref, Reading: p.reading, Name: fmt.Sprintf("point %d", i+1)}
		if ref, reading, ok := strings.Cut(p.text, "="); ok {
			row.RefText, row.ReadingText = strings.TrimSpace(ref), strings.TrimSpace(reading)
		}
		if hasTemp {
			row.TempC = &temp.Value
		}
		if p.notNumber != nil {
			if kind != check.PH {
				return usageError("--point %s: reference %q: %v (the number alone, without a unit)", p.text, p.buffer, p.notNumber)
			}
			if err := row.SetBuffer(p.buffer); err != nil {
				return fmt.Errorf("--point %s: %w", p.text, err)
			}
		}
		b.rows = append(b.rows, row)
	}
	return nil
}
