// Package scatter gives intervals to values that rest partly on the scatter of
// a fit and partly on stated uncertainties.
//
// The parameters of a fit whose points have no stated uncertainty rest on one
// estimate of the scatter, with few degrees of freedom, and share it. The
// formula of Welch and Satterthwaite would count it once for each parameter and,
// beside a well-known share, would take the interval's degrees of freedom from
// the very estimate that may be too small by chance: with one degree of freedom
// a nominal 95 % interval then covers 88 %. Here the two shares are expanded
// apart and added in squares,
//
//	half width = √((t_ν u_s)² + (k u_k)²)
//
// which is exact where either share is zero and wide between (95 to
// 99 % covered for 95 %, the most for one degree of freedom).
package scatter

import (
	"math"
	"strings"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Fit names the scatter of one fit. Its sources have the identifiers that
// [uncert.FromCovariance] makes from ID.
type Fit struct {
	ID  string
	DoF float64 // degrees of freedom of the scatter; +Inf for a fit that rests on stated uncertainties
}

// Estimate is a figure with what is known about it.
type Estimate struct {
	Value float64
	// U is the standard uncertainty (k = 1); nil where there is no basis for
	// one, which is not zero.
	U *float64
	// Low and High bound the level asked for; nil where U is.
	Low, High *float64
	// DoF is the number of degrees of freedom of the scatter where U rests on
	// it (a known share of U narrows the interval beyond that), else those of
	// the stated sources; +Inf for a normal interval, NaN where U is nil.
	DoF float64
}

// Estimate returns v with its interval of coverage probability level. A v with
// a source whose size nobody stated has no interval.
func (f Fit) Estimate(v uncert.Value, level float64) Estimate {
	e := Estimate{Value: v.Nominal(), DoF: math.NaN()}
	if len(v.Unstated()) > 0 {
		return e
	}
	own := func(c uncert.Contribution) bool { return strings.HasPrefix(c.Source.ID, f.ID+"/") }
	scatter := keep(v, own)
	known := keep(v, func(c uncert.Contribution) bool { return !own(c) })
	e.DoF = known.DoF()
	if scatter.U() > 0 {
		e.DoF = f.DoF
	}
	u := v.U()
	half := math.Hypot(uncert.CoverageFactor(level, f.DoF)*scatter.U(), known.Expanded(level).Half)
	low, high := e.Value-half, e.Value+half
	e.U, e.Low, e.High = &u, &low, &high
	return e
}

// SharedOnly keeps of each value the stated sources that another one has too:
// what is a point's own shows in the scatter already.
func SharedOnly(values []uncert.Value) []uncert.Value {
	count := map[string]int{}
	for _, v := range values {
		for _, c := range v.Parts() {
			count[c.Source.ID]++
		}
	}
	out := make([]uncert.Value, len(values))
	for i, v := range values {
		out[i] = keep(v, func(c uncert.Contribution) bool { return c.Stated && count[c.Source.ID] > 1 })
	}
	return out
}

// StatedOnly returns v without the sources whose size nobody stated.
func StatedOnly(v uncert.Value) uncert.Value {
	return keep(v, func(c uncert.Contribution) bool { return c.Stated })
}

// keep returns v with only the contributions that ok lets through.
func keep(v uncert.Value, ok func(uncert.Contribution) bool) uncert.Value {
	var terms []uncert.Contribution
	for _, c := range v.Parts() {
		if ok(c) {
			terms = append(terms, c)
		}
	}
	out, err := uncert.FromParts(v.Nominal(), terms)
	if err != nil {
		// Parts of a finite value make a value; a value that is not finite
		// has no uncertainty to keep.
		return uncert.Exact(v.Nominal())
	}
	return out
}
