package main

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/solutions"
	"github.com/urfave/cli/v2"
)

// uncertaintyLimits is how large an uncertainty of a kind may be; kinds that are
// not here are bounded where they are used.
var uncertaintyLimits = map[quantity.Kind]solutions.Range{
	quantity.Temperature: solutions.UTempRange,
	quantity.Pressure:    solutions.UPressureRange,
	quantity.Fraction:    solutions.URelativeRange,
}

// uncertaintyFlag is a quantityFlag for a standard uncertainty: 0 or more, and
// a bare 0 means exact whatever the unit (it then has the first kind). Read it
// with getQuantity.
func uncertaintyFlag(name, usage string, kinds ...quantity.Kind) *cli.GenericFlag {
	return parsedFlag(name, usage, false, func(text string) (quantity.Quantity, error) {
		q, err := quantity.ParseUncertainty(text, kinds...)
		if err != nil {
			return q, err
		}
		if limits, bounded := uncertaintyLimits[q.Kind]; bounded {
			return q, inRange(q, limits)
		}
		return q, nil
	})
}

// rangedFlag is a quantityFlag of one kind with a range.
func rangedFlag(name, usage string, kind quantity.Kind, limits solutions.Range) *cli.GenericFlag {
	return parsedFlag(name, usage, false, func(text string) (quantity.Quantity, error) {
		q, err := quantity.Parse(text, kind)
		if err != nil {
			return q, err
		}
		return q, inRange(q, limits)
	})
}

// inRange checks what was typed against a range in the base unit of its kind,
// or in percent.
func inRange(q quantity.Quantity, limits solutions.Range) error {
	value := q.Value
	if q.Kind == quantity.Fraction {
		value *= 100
	}
	if limits.Contains(value) {
		return nil
	}
	return fmt.Errorf("%s is out of range; want a %s from %s", quantity.Quoted(q.Text), limits.Quantity, limits)
}
