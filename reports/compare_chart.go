package reports

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/reports/picture"
)

// Chart draws the comparison: for the pairs that are furthest apart, the
// differences against the means of the two (Bland and Altman), and below them
// how probable each cause is.
func (r *Compare) Chart() *picture.Chart {
	pairs := r.furthest()
	c := &picture.Chart{Title: r.chartTitle(len(pairs)), About: r.chartAbout(), X: picture.Axis{Name: r.axisName("mean of the two meters")}, Tall: onePairTall}
	if len(pairs) > 1 {
		c.Tall = pairTall
	}
	for i, p := range pairs {
		v := newPairView(p, r)
		heading := p.B + " - " + p.A
		if i == 0 {
			c.Heading, c.Y, c.Layers = heading, v.y, v.layers()
		} else {
			c.Below = append(c.Below, picture.Panel{Heading: heading, Y: v.y, Layers: v.layers(), Tall: pairTall})
		}
	}
	if names, shares := r.chartCauses(); len(names) > 0 {
		c.Below = append(c.Below, picture.Panel{
			Heading: "Why they differ", X: &picture.Axis{Name: "probability, %", Scale: 100},
			Y: picture.Axis{Names: names}, Layers: []picture.Layer{picture.Bars{Shares: shares}},
		})
	}
	return c
}

// Heights of the panel of a pair, alone and among others, as parts of the usual
// height of a chart.
const onePairTall, pairTall = 0.8, 0.55

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
		title = "Comparison of " + r.pairs[0].A + " and " + r.pairs[0].B
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

// axisName is the name of an axis in the unit of the readings, where the
// quantity tells it.
func (r *Compare) axisName(what string) string {
	if u := check.Kind(r.Quantity).Unit(); u != "" {
		return what + ", " + u
	}
	return what + ", as displayed"
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
		name := c.Cause
		if whose := c.whose(func(name string) string { return name }); whose != "" {
			name += ": " + whose
		}
		names, shares = append(names, name), append(shares, c.Probability)
	}
	if rest > 0 {
		names, shares = append(names, "all other causes"), append(shares, rest)
	}
	return names, shares
}

// writeChart draws the chart with characters.
func (r *Compare) writeChart(w io.Writer, s Style) error {
	if !r.Drawn || len(r.pairs) == 0 {
		return nil
	}
	return writeChart(w, s, r.Chart())
}

// pairView is what the panel of a pair is drawn from. Differences are fractions
// of the mean where the limits of agreement are.
type pairView struct {
	agree.Pair
	relative  bool
	y         picture.Axis
	low, high float64 // means from where to where lines are drawn
	tolerance Number
	asShare   bool // the tolerance is one of the mean
}

func newPairView(p agree.Pair, r *Compare) pairView {
	v := pairView{Pair: p, relative: p.Form == agree.Proportional && p.RelativeLimits != nil, tolerance: r.Tolerance, asShare: r.ToleranceRelative}
	v.y = picture.Axis{Name: r.axisName("difference")}
	if v.relative {
		v.y = picture.Axis{Name: "difference, % of mean", Scale: 100}
	}
	v.low, v.high = math.Inf(1), math.Inf(-1)
	for i := range p.MeanA {
		m := v.mean(i)
		v.low, v.high = min(v.low, m), max(v.high, m)
	}
	if rim := beyondPoints * (v.high - v.low); rim > 0 {
		v.low, v.high = v.low-rim, v.high+rim
	} else {
		rim = max(aroundOne*math.Abs(v.low), aroundOne)
		v.low, v.high = v.low-rim, v.high+rim
	}
	if v.relative { // of readings above 0
		v.low = max(v.low, v.high*leastMean)
	}
	return v
}

// leastMean is the least mean, as a part of the largest, at which a tolerance is
// drawn as a fraction of it.
const leastMean = 1e-3

func (v pairView) mean(i int) float64 { return v.MeanA[i]/2 + v.MeanB[i]/2 }

// layers are the panel of the pair.
func (v pairView) layers() []picture.Layer {
	points := picture.Points{Name: "sample"}
	for i := range v.MeanA {
		y := v.MeanB[i] - v.MeanA[i]
		if v.relative {
			y /= v.mean(i)
		}
		points.List = append(points.List, picture.Point{X: v.mean(i), Y: y})
	}
	bias, low, high := v.Bias.Mean, math.NaN(), math.NaN()
	if low, high = v.Bias.Interval(); v.relative {
		bias = v.RelativeLimits.Bias
		low, high = v.LogRatio.Interval()
		low, high = ofMean(low), ofMean(high)
	}
	band := picture.Band{Name: "95 % interval of each line"}
	spread := picture.Curve{Name: "limits of agreement", Role: picture.Spread}
	limits := v.Limits
	if v.relative {
		limits = v.RelativeLimits
	}
	band.Pieces = append(band.Pieces, v.strip(low, high)...)
	if limits != nil {
		for _, at := range []float64{limits.Low, limits.High} {
			spread.Pieces = append(spread.Pieces, v.flat(at)...)
		}
		for _, of := range [][2]float64{limits.LowInterval, limits.HighInterval} {
			band.Pieces = append(band.Pieces, v.strip(of[0], of[1])...)
		}
	}
	var list []picture.Layer
	if len(band.Pieces) > 0 {
		list = append(list, band)
	}
	list = append(list, v.allowed()...)
	if len(spread.Pieces) > 0 {
		list = append(list, spread)
	}
	return append(list, picture.Curve{Name: "mean difference", Role: picture.Fitted, Pieces: v.flat(bias)}, points)
}

// ofMean is the difference of two readings as a fraction of their mean, from the
// logarithm of their ratio.
func ofMean(logRatio float64) float64 { return 2 * math.Tanh(logRatio/2) }

func (v pairView) flat(y float64) [][]picture.XY {
	return [][]picture.XY{{{X: v.low, Y: y}, {X: v.high, Y: y}}}
}

// strip is an interval along the panel; none where it is not known.
func (v pairView) strip(low, high float64) [][]picture.Stripe {
	if !finite(low).IsKnown() || !finite(high).IsKnown() {
		return nil
	}
	return [][]picture.Stripe{{{X: v.low, Low: low, High: high}, {X: v.high, Low: low, High: high}}}
}

// allowed is the tolerance, of the mean of the two where it is a fraction.
func (v pairView) allowed() []picture.Layer {
	t, ok := v.tolerance.Get()
	if !ok {
		return nil
	}
	curve := picture.Curve{Name: "tolerance", Role: picture.Limit}
	for _, side := range []float64{t, -t} {
		var piece []picture.XY
		for i := range bandSteps + 1 {
			x := v.low + (v.high-v.low)*float64(i)/bandSteps
			y := side
			switch {
			case v.asShare && !v.relative:
				y = side * math.Abs(x)
			case !v.asShare && v.relative:
				y = side / x
			}
			piece = append(piece, picture.XY{X: x, Y: y})
		}
		curve.Pieces = append(curve.Pieces, piece)
	}
	return []picture.Layer{curve}
}
