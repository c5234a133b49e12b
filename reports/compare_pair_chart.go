package reports

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/reports/picture"
)

// pairView is what the panel of a pair is drawn from. Differences are fractions
// of the mean where the limits of agreement are.
type pairView struct {
	agree.Pair
	relative  bool
	y         picture.Axis
	low, high float64 // means from where to where lines are drawn
	tolerance Number
	asShare   bool // the tolerance is one of the mean
	far       bool // zero lies so far away that only without it the rest is told apart
}

func newPairView(p agree.Pair, r *Compare) pairView {
	v := pairView{Pair: p, relative: p.Form == agree.Proportional && p.RelativeLimits != nil, tolerance: r.Tolerance, asShare: r.ToleranceRelative}
	v.y = r.axis("difference", p)
	if v.relative {
		v.y = picture.Axis{Name: "difference", Unit: "% of mean", Scale: 100}
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
	if v.far = v.isFar(); !v.far {
		v.y.Holds = []float64{0}
	}
	return v
}

// farAway is how many times as far as the differences lie apart zero may lie from
// the nearest of them.
const farAway = 25

// isFar tells whether the points and lines would fall into one, were zero shown.
func (v pairView) isFar() bool {
	low, high := math.Inf(1), math.Inf(-1)
	for _, l := range v.levels() {
		low, high = min(low, l.At), max(high, l.At)
	}
	for i := range v.MeanA {
		y := v.difference(i)
		low, high = min(low, y), max(high, y)
	}
	return high > low && max(low, -high) > farAway*(high-low)
}

// farText says what is not shown.
func (v pairView) farText() string {
	what, where := "zero", "below"
	if v.tolerance.IsKnown() {
		what = "zero and the tolerance"
	}
	switch {
	case !v.far:
		return ""
	case v.bias() < 0:
		where = "above"
	}
	return fmt.Sprintf(" (%s: far %s)", what, where)
}

// leastMean is the least mean, as a part of the largest, at which a tolerance is
// drawn as a fraction of it.
const leastMean = 1e-3

func (v pairView) mean(i int) float64 { return v.MeanA[i]/2 + v.MeanB[i]/2 }

// difference is that of a sample.
func (v pairView) difference(i int) float64 {
	if v.relative {
		return (v.MeanB[i] - v.MeanA[i]) / v.mean(i)
	}
	return v.MeanB[i] - v.MeanA[i]
}

func (v pairView) bias() float64 {
	if v.relative {
		return v.RelativeLimits.Bias
	}
	return v.Bias.Mean
}

// levels are the mean difference and the limits of agreement, as far as they are
// known, with their intervals where those are.
func (v pairView) levels() []picture.End {
	mean, limits := picture.End{At: v.bias(), Role: picture.Fitted}, v.Limits
	if mean.Low, mean.High = v.Bias.Interval(); v.relative {
		low, high := v.LogRatio.Interval()
		mean.Low, mean.High, limits = ofMean(low), ofMean(high), v.RelativeLimits
	}
	list := []picture.End{mean}
	if limits != nil {
		list = append(list,
			picture.End{At: limits.High, Low: limits.HighInterval[0], High: limits.HighInterval[1], Role: picture.Spread},
			picture.End{At: limits.Low, Low: limits.LowInterval[0], High: limits.LowInterval[1], Role: picture.Spread})
	}
	return list
}

// layers are the panel of the pair. The intervals of the lines are bars behind
// their ends: laid over the panel they would cover it where samples are few.
func (v pairView) layers() []picture.Layer {
	points := picture.Points{Name: "sample"}
	for i := range v.MeanA {
		points.List = append(points.List, picture.Point{X: v.mean(i), Y: v.difference(i)})
	}
	spread := picture.Curve{Name: "limits of agreement", Role: picture.Spread}
	ends := picture.Ends{Name: "95 % interval of a line", X: v.high}
	for _, l := range v.levels() {
		if l.Role == picture.Spread {
			spread.Pieces = append(spread.Pieces, v.flat(l.At)...)
		}
		if finite(l.Low).IsKnown() && finite(l.High).IsKnown() {
			ends.List = append(ends.List, l)
		}
	}
	var list []picture.Layer
	if !v.far {
		list = v.allowed()
	}
	if len(ends.List) > 0 {
		list = append(list, ends)
	}
	if len(spread.Pieces) > 0 {
		list = append(list, spread)
	}
	return append(list, picture.Curve{Name: "mean difference", Role: picture.Fitted, Pieces: v.flat(v.bias())}, points)
}

// ofMean is the difference of two readings as a fraction of their mean, from the
// logarithm of their ratio.
func ofMean(logRatio float64) float64 { return 2 * math.Tanh(logRatio/2) }

func (v pairView) flat(y float64) [][]picture.XY {
	return [][]picture.XY{{{X: v.low, Y: y}, {X: v.high, Y: y}}}
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
