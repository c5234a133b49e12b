package uncert

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a coverage interval around a value.
type Interval struct {
	Low, High float64 // bounds, in the unit of the value
	Half      float64 // expanded uncertainty U = K·u
	K         float64 // coverage factor
	DoF       float64 // effective degrees of freedom; +Inf for the normal factor
	Level     float64 // coverage probability asked for, such as 0.95
}

// DoF returns the effective degrees of freedom of the value's standard
// uncertainty by the Welch–Satterthwaite formula (JCGM 100:2008 G.4.1),
// u⁴ / Σ (c_i⁴/ν_i); +Inf if no source states its own. The formula assumes
// that the sources are independent, which is what sources are here.
func (v Value) DoF() float64 {
	sum := 0.0
	for _, p := range v.parts {
		if p.Stated && p.Source.DoF > 0 && !math.IsInf(p.Source.DoF, 1) {
			sum += math.Pow(p.Size, 4) / p.Source.DoF
		}
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return math.Pow(v.U(), 4) / sum
}

// Expanded returns the symmetric interval that covers with probability p
// (between 0 and 1, both excluded), with Student's t for the effective degrees
// of freedom and the normal factor where they are infinite. For a p outside
// its range the bounds and K are NaN.
func (v Value) Expanded(p float64) Interval {
	dof := v.DoF()
	k := CoverageFactor(p, dof)
	half := k * v.U()
	return Interval{Low: v.nominal - half, High: v.nominal + half, Half: half, K: k, DoF: dof, Level: p}
}

// CoverageFactor returns the two-sided coverage factor of Student's t for
// coverage probability p and dof degrees of freedom (+Inf gives the normal
// factor). A broken dof is used as it is: of the two ways JCGM 100:2008 G.4.1
// allows, interpolation, not truncation. It is NaN for a p outside (0, 1) or a
// dof that is not above 0.
func CoverageFactor(p, dof float64) float64 {
	if !(p > 0 && p < 1) || !(dof > 0) {
		return math.NaN()
	}
	q := (1 + p) / 2
	// Beyond ten million the two factors agree to all digits that matter.
	if dof > 1e7 {
		return distuv.UnitNormal.Quantile(q)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile(q)
}
