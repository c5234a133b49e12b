package main

import (
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/urfave/cli/v2"
)

// uncertaintyFlag is a quantityFlag for a standard uncertainty: 0 or more, and
// a bare 0 means exact whatever the unit (it then has the first kind). Read it
// with getQuantity.
func uncertaintyFlag(name, usage string, kinds ...quantity.Kind) *cli.GenericFlag {
	return parsedFlag(name, usage, false, func(text string) (quantity.Quantity, error) {
		if strings.TrimSpace(text) == "0" {
			return quantity.Quantity{Kind: kinds[0], Text: "0"}, nil
		}
		q, err := quantity.Parse(text, kinds...)
		if err != nil {
			return q, err
		}
		if q.Value < 0 {
			return q, fmt.Errorf("%q is negative; a standard uncertainty is 0 (exact) or more", text)
		}
		return q, nil
	})
}
