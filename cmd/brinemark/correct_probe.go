package main

import (
	"fmt"
	"math"
	"strconv"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/urfave/cli/v2"
)

// probe makes a probe of what was said of a column, and says what was taken as
// given.
func (p *columnPlan) probe(wanted tempcomp.Rule, temperature bool) (*series.Probe, []string, error) {
	var remarks []string
	say := func(format string, args ...any) {
		remarks = append(remarks, fmt.Sprintf("column %s: ", p.column)+fmt.Sprintf(format, args...))
	}
	growth := series.UsualGrowth(p.kind)
	if p.growth != nil {
		growth = *p.growth
	} else {
		say("how it drifts is not known: taken as %s in 30 days after the last calibration (common practice); --drift says otherwise", sizeOf(growth))
	}
	timeline, err := series.NewTimeline(p.calibrations, p.breaks, growth)
	if err != nil {
		return nil, nil, err
	}
	probe := &series.Probe{Column: p.column, Timeline: timeline, Low: p.low, High: p.high, URead: p.uRead, StaleAfter: p.staleAfter}
	if probe.StaleAfter == 0 {
		probe.StaleAfter = series.UsualStaleAfter(p.kind)
		say("a calibration is believed for %g days (three of the longest intervals that are common); --stale-after says otherwise", probe.StaleAfter.Hours()/24)
	}
	switch {
	case p.does == nil && temperature && p.kind == check.EC:
		say("nothing says that the meter leaves temperature uncorrected, so --temp changes nothing; see --compensation")
	case p.does != nil && p.does == wanted:
	case p.does != nil && temperature:
		probe.Conversion = series.Conversion{Does: p.does, Wanted: wanted}
		say("brought from compensation %s to %s", ruleText(p.does), ruleText(wanted))
	case p.does != nil:
		return nil, nil, fmt.Errorf("its compensation is to be changed from %s to %s, and --temp names no column of the temperature", ruleText(p.does), ruleText(wanted))
	}
	if p.kind == check.EC && !p.neverDry {
		floor := timeline.UsualFloor()
		if p.dry != nil {
			floor = *p.dry
		}
		limits := watch.UsualDryLimits(floor)
		probe.Dry = &limits
	}
	return probe, remarks, nil
}

// sizeOf words the size of a drift.
func sizeOf(g series.Growth) string {
	if g.Relative {
		return strconv.FormatFloat(100*g.Rate, 'g', 3, 64) + " %"
	}
	return strconv.FormatFloat(g.Rate, 'g', 3, 64)
}

func ruleText(r tempcomp.Rule) string {
	if s, ok := r.(fmt.Stringer); ok {
		return s.String()
	}
	return r.Name()
}

// wantedRule is --compensate-by, or the usual one.
func wantedRule(c *cli.Context) (tempcomp.Rule, error) {
	rule, given, err := last[tempcomp.Rule](c, "compensate-by")
	if err != nil || given {
		return rule, err
	}
	return tempcomp.NewLinear(series.UsualAlpha, tempcomp.NaturalWaterRefTempC)
}

// usualUTemp is the standard uncertainty of a logged temperature where nobody
// states one, in C (common practice, no source).
const usualUTemp = 0.5

func uncertaintyOfTemperature(c *cli.Context) (float64, error) {
	q, given, err := getQuantity(c, "u-temp")
	if err != nil || !given {
		return usualUTemp, err
	}
	if !(q.Value >= 0) || math.IsInf(q.Value, 0) {
		return 0, usageError("--u-temp: %s is below 0", quantity.Quoted(q.Text))
	}
	return q.Value, nil
}
