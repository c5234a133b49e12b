package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/drift"
	"github.com/brinemark/brinemark/calib/drift/paired"
	"github.com/brinemark/brinemark/calib/readings"
	"github.com/brinemark/brinemark/reports"
	"github.com/urfave/cli/v2"
)

// pair names two columns of a log.
type pair struct{ a, b string }

// parsePair reads "A,B".
func parsePair(text string) (pair, error) {
	a, b, ok := strings.Cut(text, ",")
	p := pair{strings.TrimSpace(a), strings.TrimSpace(b)}
	if !ok || p.a == "" || p.b == "" || strings.Contains(p.b, ",") {
		return p, fmt.Errorf("%q is no pair; want two columns of the log, such as left,right", text)
	}
	return p, nil
}

// driftOfPair tells the drift between two probes of a log.
func driftOfPair(c *cli.Context, path string, ask driftAsk) error {
	for _, name := range []string{"all", "meter", "u-ref", "u-reading", "resolution"} {
		if isGiven(c, name) {
			return usageError("--%s has no meaning for --pair, which compares two probes of a log", name)
		}
	}
	zone, err := timeZone(c)
	if err != nil {
		return err
	}
	file, name, err := openInput(c, path)
	if err != nil {
		return err
	}
	defer file.Close()
	o := ask.options
	if o.Kind == "" {
		o.Kind = check.EC
	}
	log, err := paired.Read(file, name, paired.Spec{A: ask.pair.a, B: ask.pair.b, TimeColumn: c.String("time-column"), Relative: o.Kind == check.EC, Zone: zone})
	var place *readings.Error
	if err != nil && !errors.As(err, &place) {
		return couldNotDo(err)
	}
	if err != nil {
		return err
	}
	o.Logged = true
	result, err := drift.Run(log.Entries(), o)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return finishDrift(c, ask, reports.NewPairDrift(result, log))
}
