package reports

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports/picture"
	"github.com/brinemark/brinemark/reports/typeset"
)

// Chart draws the comparison: for the pairs that are furthest apart, the
// differences against the means of the two (Bland and Altman), and below them
// how probable each cause is.
func (r *Compare) Chart() *picture.Chart {
	pairs := r.furthest()
	c := &picture.Chart{Title: r.chartTitle(len(pairs)), About: r.chartAbout(), X: r.axis("mean of the two meters", pairs...), Tall: onePairTall}
	if len(pairs) > 1 {
		c.Tall = pairTall
	}
	for i, p := range pairs {
		v := newPairView(p, r)
		layers, heading := v.layers(), r.pairHeading(p)+v.farText()
		if i == 0 {
			c.Heading, c.Y, c.Layers = heading, v.y, layers
		} else {
			c.Below = append(c.Below, picture.Panel{Heading: heading, Y: v.y, Layers: layers, Tall: pairTall})
		}
	}
	if names, shares := r.chartCauses(); len(names) > 0 {
		c.Below = append(c.Below, picture.Panel{
			Heading: "Why they differ", X: &picture.Axis{Name: "probability", Unit: "%", Scale: 100},
			Y: picture.Axis{Names: names}, Layers: []picture.Layer{picture.Bars{Shares: shares}},
		})
	}
	return c
}

// Heights of the panel of a pair, alone and among others, as parts of the usual
// height of a chart.
const onePairTall, pairTall = 0.8, 0.6

// mostPairs is how many pairs are drawn, and mostCauses how many causes.
const mostPairs, mostCauses = 3, 7

// furthest are the pairs that are furthest apart.
func (r *Compare) furthest() []agree.Pair {
	list := slices.Clone(r.pairs)
	slices.SortStableFunc(list, func(a, b agree.Pair) int { return cmp.Compare(apart(b), apart(a)) })
	return list[:min(len(list), mostPairs)]
}

// apart is how far a pair is apart: in tolerances, or as a ratio, or as it is.
// The measure is the same for all pairs of a comparison, or nearly so.
func apart(p agree.Pair) float64 {
	for _, size := range []float64{p.InTolerance.Mean, p.LogRatio.Mean, p.Bias.Mean} {
		if !math.IsNaN(size) {
			return math.Abs(size)
		}
	}
	return 0
}

func (r *Compare) chartTitle(shown int) string {
	title := fmt.Sprintf("Comparison of %d meters", len(r.Meters))
	if len(r.pairs) == 1 {
		title = "Comparison of " + typeset.Name(r.pairs[0].A) + " and " + typeset.Name(r.pairs[0].B)
	}
	if shown < len(r.pairs) {
		title += fmt.Sprintf(": the %d pairs furthest apart", shown)
	}
	return title
}

// chartAbout says what the chart shows to those who cannot see it.
func (r *Compare) chartAbout() string {
	text := "Differences of meters against their means, with the mean difference and the limits of agreement; below, the probability of each cause."
	if len(r.Causes) > 0 {
		text += fmt.Sprintf(" The most probable one, at %s: %s", chance(r.Causes[0].Probability), r.Causes[0].Text)
	}
	return text
}

// ShownIn says in which unit each meter shows its readings, by its name; those
// that are not known are left out.
func (r *Compare) ShownIn(units map[string]string) { r.units = units }

// DisplayUnit is the unit of a conductivity meter that shows so many units for
// each uS/cm.
func DisplayUnit(factor float64) string {
	for _, s := range []tempcomp.Scale{tempcomp.MicroSiemens(), tempcomp.MilliSiemens()} {
		if s.Factor == factor {
			return s.Unit
		}
	}
	return ppmTimes(asTyped(factor))
}

// unitOf is the unit that a meter shows; "" where it is not known.
func (r *Compare) unitOf(meter string) string {
	if u := check.Kind(r.Quantity).Unit(); u != "" {
		return u
	}
	return r.units[meter]
}

// axis is one in the unit of all meters of some pairs. Where they differ, or are
// not known, it says so.
func (r *Compare) axis(what string, pairs ...agree.Pair) picture.Axis {
	var units []string
	for _, p := range pairs {
		units = append(units, r.unitOf(p.A), r.unitOf(p.B))
	}
	slices.Sort(units)
	switch units = slices.Compact(units); {
	case len(units) == 0 || units[0] == "": // sorted: one that is not known is the first
		return picture.Axis{Name: what + ", as displayed"}
	case len(units) > 1:
		return picture.Axis{Name: what + ", units differ"}
	}
	return picture.Axis{Name: what, Unit: units[0]}
}

// pairHeading names the two meters of a pair, with their units where the axes
// cannot say them.
func (r *Compare) pairHeading(p agree.Pair) string {
	named := func(meter string) string {
		if u := r.unitOf(meter); u != "" && r.unitOf(p.A) != r.unitOf(p.B) {
			return typeset.Name(meter) + " in " + u
		}
		return typeset.Name(meter)
	}
	return named(p.B) + " minus " + named(p.A)
}

// chartCauses are the causes by falling probability; the least probable ones
// stand together.
func (r *Compare) chartCauses() (names []string, shares []float64) {
	rest := 0.0
	for i, c := range r.Causes {
		if i > 0 && (i >= mostCauses || c.Probability < leastShown) {
			rest += c.Probability
			continue
		}
		name := strings.TrimPrefix(c.Cause, "temperature-") // the label has little room
		if whose := c.whose(marked); whose != "" {
			name += ": " + whose
		}
		names, shares = append(names, name), append(shares, c.Probability)
	}
	if rest > 0 {
		names, shares = append(names, "all other causes"), append(shares, rest)
	}
	return names, shares
}

// marked is a name within a sentence; "" for none.
func marked(name string) string {
	if name == "" {
		return ""
	}
	return typeset.Name(name)
}

// writeChart draws the chart with characters.
func (r *Compare) writeChart(w io.Writer, s Style) error {
	if !r.Drawn || len(r.pairs) == 0 {
		return nil
	}
	return writeChart(w, s, r.Chart())
}
