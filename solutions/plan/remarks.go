package plan

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// gatherRemarks collects what the parts of the bench have to say, and what
// follows from the plan. cut tells that the search was stopped early.
func (rec *Recipe) gatherRemarks(req Request, targets []target, cut bool) {
	b := rec.Bench
	rec.Assumptions = slices.Concat(b.Jar.Assumptions, b.Scale.Assumptions, b.Scale.RoomAssumptions, b.Water.Assumptions)
	rec.Warnings = slices.Concat(b.Jar.Warnings, b.Scale.Warnings, b.Water.Warnings)
	warn := func(format string, values ...any) {
		rec.Warnings = append(rec.Warnings, fmt.Sprintf(format, values...))
	}
	if rec.MaxUAssumed {
		rec.Assumptions = append(rec.Assumptions, fmt.Sprintf("uncertainty asked for: %s %% (not given; half of a meter's usual tolerance, common practice)", figure(100*rec.MaxU)))
	}
	if cut {
		warn("there are too many bottles, or portions of them, to try every pair of stocks: a plan with fewer weighings may exist; plan the bottles in smaller groups, or on a larger scale")
	}
	if b.Jug != nil {
		rec.Assumptions = append(rec.Assumptions, b.Jug.Assumptions...)
		warn("the water is measured by volume: the scale would be better; the jug's marks are wrong by the same fraction in every bottle, which does not average out")
		if len(b.Water.TempC.Unstated()) > 0 {
			warn("the uncertainty of the water's temperature was not given: it is unknown, not zero, and counts where water is measured by volume (0.02 %% per C at 20 C)")
		}
	}
	for _, batch := range rec.Batches {
		if salt := batch.SaltG; salt != nil && salt.Total < LeastSteps*b.Scale.StepG {
			warn("%s (%s): %s g of salt is only %s steps of the scale, fewer than %d: a stock or a larger batch is better",
				batch.Name, batch.Target.Text, figure(salt.Total), figure2(salt.Total/b.Scale.StepG), LeastSteps)
		}
		if water := batch.WaterG; water != nil && water.Portions > 0 && water.Total < LeastSteps*b.Scale.StepG {
			warn("%s (%s): %s g of water is only %s steps of the scale, fewer than %d",
				batch.Name, batch.Target.Text, figure(water.Total), figure2(water.Total/b.Scale.StepG), LeastSteps)
		}
		if w := noReference(batch.Name, batch.Worth.EC25); w != "" {
			warn("%s", w)
		}
	}
	rec.warnOfSteps(warn)
	largest := slices.MaxFunc(targets, func(a, b target) int { return cmp.Compare(a.volumeML, b.volumeML) })
	if len(req.BottlesML) > 0 && largest.volumeML > (1-Headspace)*slices.Max(req.BottlesML)*(1+1e-9) {
		warn("a batch of %s leaves less than %s %% of the largest bottle at hand, %s mL, empty: it cannot be shaken; take a smaller batch or a larger bottle",
			req.Batch.Text, figure(100*Headspace), figure(slices.Max(req.BottlesML)))
	}
	if !rec.Met {
		rec.Warnings = append(rec.Warnings, rec.Limit)
	}
}

// warnOfSteps names the weighings that the scale is too coarse to hit.
func (rec *Recipe) warnOfSteps(warn func(string, ...any)) {
	var missed []string
	for _, st := range rec.Steps {
		if lead, _, found := strings.Cut(st.Text, ": weigh"); st.Enter && found {
			missed = append(missed, fmt.Sprintf("%s, %s g", strings.ToLower(lead[:1])+lead[1:], rec.Bench.Scale.Format(st.TargetG)))
		}
	}
	if len(missed) > 0 {
		warn("the scale's step of %s g is too coarse to hit these masses to a quarter of the bottle's u: %s; weigh as near as it shows, and enter what it showed (recipe made)",
			figure(rec.Bench.Scale.StepG), strings.Join(missed, "; "))
	}
}

// noReference says so where a value's 95 % interval reaches below zero.
func noReference(name string, v uncert.Value) string {
	if v.Expanded(0.95).Low >= 0 {
		return ""
	}
	return fmt.Sprintf("%s: the 95 %% interval of the conductivity reaches below zero: this bottle is no reference", name)
}

// doubts are what there is to say of what was weighed into a vessel: too few
// steps of the scale, or readings that it cannot show.
func (s Scale) doubts(vessel, what string, readingsG []float64) []string {
	total, err := sum(MassesRange, readingsG)
	if err != nil || len(readingsG) == 0 {
		return nil
	}
	var out []string
	if total < LeastSteps*s.StepG*(1-1e-9) {
		text := fmt.Sprintf("%s: %s g of %s is only %s steps of the scale, fewer than %d", vessel, figure(total), what, figure2(total/s.StepG), LeastSteps)
		if what == "salt" {
			text += ": a stock or a larger batch is better"
		}
		out = append(out, text)
	}
	for _, g := range readingsG {
		if steps := g / s.StepG; math.Abs(steps-math.Round(steps)) > 1e-6*max(1, steps) {
			out = append(out, fmt.Sprintf("%s: %s g of %s is nothing that a scale with a step of %s g shows: enter what it showed, or its step (--scale-step)", vessel, strconv.FormatFloat(g, 'f', -1, 64), what, figure(s.StepG)))
			break
		}
	}
	return out
}
