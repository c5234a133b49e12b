package tempcomp

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"github.com/brinemark/brinemark/calib/scatter"
	"github.com/brinemark/brinemark/calib/uncert"
)

// RuleFit is one compensation rule held against the readings, the meter's gain
// left free.
type RuleFit struct {
	Name string
	// Alpha is the coefficient (1/C) of the linear rule at the reference
	// temperature asked for; nil for the others.
	Alpha *float64
	Gain  float64
	// RMS is the root mean square of the residuals (reading over fit, minus
	// 1) over DoF, the number of readings less that of parameters; Worst the
	// largest of them by size.
	RMS, Worst float64
	DoF        int
	// Probability is that of this rule among those that are defined at these
	// temperatures; nil for a rule that is not, with the reason in WhyNot.
	Probability *float64
	WhyNot      string
}

// The prior of the comparison of rules. No rule is preferred. The coefficient of
// a linear rule has the prior of unit information (R.E. Kass, L. Wasserman,
// J. Am. Stat. Assoc. 90 (1995) 928), as wide as one reading would leave it, so
// that the rule is not charged for coefficients that nobody builds; less than
// leastAlpha is no compensation. The scatter of readings whose uncertainty is
// not stated lies between two limits (relative), all orders of size being
// alike: no display shows more than four digits, and no pen that wanders by a
// tenth is worth a look (common practice, no source).
const (
	leastAlpha   = 0.005 // 1/C
	leastScatter = 1e-4
	mostScatter  = 0.1
	// exactScatter stands in for readings and temperatures stated as exact.
	exactScatter = leastScatter / 100
)

// compareRules weighs the rules by how probable they make the readings, all
// values of gain, coefficient and scatter considered (Bayes' theorem).
func compareRules(b bench, s *solution) ([]RuleFit, error) {
	var out []RuleFit
	var logs []float64
	for _, rule := range []Rule{Linear{}, None{}, NaturalWater{}} {
		fit := RuleFit{Name: rule.Name()}
		c, err := newCandidate(b, s, rule)
		if err != nil {
			fit.WhyNot = err.Error()
			out = append(out, fit)
			continue
		}
		log, err := c.logEvidence(b)
		if err != nil {
			return nil, err
		}
		c.describe(&fit, b.stated)
		fit.Probability = new(float64)
		out, logs = append(out, fit), append(logs, log)
	}
	total := floats.LogSumExp(logs)
	for i, k := 0, 0; i < len(out); i++ {
		if out[i].Probability != nil {
			*out[i].Probability = math.Exp(logs[k] - total)
			k++
		}
	}
	return out, nil
}

// candidate is one rule with the readings as it sees them:
// y = ln r − ln κ + ln F, which is ln G and an error.
type candidate struct {
	free  bool      // the coefficient is free
	alpha float64   // where y is computed, if free
	dt    []float64 // t − t_ref
	y     []float64
	w     *mat.SymDense // covariance of y from stated sources; of what is shared, where own parts are not stated
}

func newCandidate(b bench, s *solution, rule Rule) (candidate, error) {
	_, free := rule.(Linear)
	c := candidate{free: free, alpha: s.alpha}
	var z []uncert.Value
	for _, p := range b.points {
		f, slope := 1+s.alpha*p.dt, s.alpha
		if !free {
			var err error
			if f, err = rule.Factor(p.temp.Nominal()); err != nil {
				return c, err
			}
			if slope, err = rule.Slope(p.temp.Nominal()); err != nil {
				return c, err
			}
		}
		v, err := p.against(0, math.Log(f), slope/f)
		if err != nil {
			return c, err
		}
		z, c.y, c.dt = append(z, v), append(c.y, v.Nominal()), append(c.dt, p.dt)
	}
	if !b.stated {
		z = scatter.SharedOnly(z)
	}
	c.w = mat.NewSymDense(len(z), nil)
	for i := range z {
		for k := range i + 1 {
			c.w.SetSym(i, k, uncert.Cov(z[i], z[k]))
		}
	}
	return c, nil
}

// logEvidence is the logarithm of the probability density of the readings under
// the rule, up to a term that all rules have.
func (c candidate) logEvidence(b bench) (float64, error) {
	if b.stated {
		return c.given(exactScatter)
	}
	const steps = 48
	low := math.Max(leastScatter, b.floor)
	high := math.Max(mostScatter, 10*low)
	logs := make([]float64, steps)
	for i := range logs {
		var err error
		if logs[i], err = c.given(low * math.Pow(high/low, float64(i)/(steps-1))); err != nil {
			return 0, err
		}
	}
	return floats.LogSumExp(logs) - math.Log(steps), nil
}

// given is logEvidence for a scatter (relative standard deviation) on top of
// the covariance.
func (c candidate) given(sd float64) (float64, error) {
	q, err := c.withScatter(sd)
	if err != nil {
		return 0, err
	}
	base := -0.5 * (q.chol.LogDet() + math.Log(q.total))
	if !c.free {
		return base - 0.5*mat.Dot(q.project(c.y), mat.NewVecDense(len(c.y), c.y)), nil
	}
	return base + c.overAlpha(q.project), nil
}

// weighing is W⁻¹ with the gain integrated out, of which nothing is known
// beforehand: P = W⁻¹ − W⁻¹1 (1'W⁻¹1)⁻¹ 1'W⁻¹.
type weighing struct {
	chol  mat.Cholesky
	one   *mat.VecDense
	u     mat.VecDense // W⁻¹1
	total float64      // 1'W⁻¹1
}

func (c candidate) withScatter(sd float64) (*weighing, error) {
	n := len(c.y)
	w := mat.NewSymDense(n, nil)
	w.CopySym(c.w)
	for i := range n {
		w.SetSym(i, i, w.At(i, i)+sd*sd)
	}
	q := &weighing{one: mat.NewVecDense(n, nil)}
	if !q.chol.Factorize(w) {
		return nil, fmt.Errorf("covariance of the readings: %w", ErrNoConverge)
	}
	for i := range n {
		q.one.SetVec(i, 1)
	}
	q.u = *q.solve(q.one)
	q.total = mat.Dot(&q.u, q.one)
	return q, nil
}

// solve returns W⁻¹x. The covariance is factorized already: all that could be
// reported here is that it is far from a multiple of the unit matrix.
func (q *weighing) solve(x *mat.VecDense) *mat.VecDense {
	var out mat.VecDense
	_ = q.chol.SolveVecTo(&out, x)
	return &out
}

func (q *weighing) project(v []float64) *mat.VecDense {
	p := q.solve(mat.NewVecDense(len(v), v))
	p.AddScaledVec(p, -mat.Dot(p, q.one)/q.total, &q.u)
	return p
}

// overAlpha integrates exp(−y' P y / 2) over the coefficient, with its prior.
func (c candidate) overAlpha(project func([]float64) *mat.VecDense) float64 {
	n := len(c.y)
	g := make([]float64, n) // dy/dα
	for i, dt := range c.dt {
		g[i] = dt / (1 + c.alpha*dt)
	}
	pg := project(g)
	curve := mat.Dot(pg, mat.NewVecDense(n, g))
	sd := 1 / math.Sqrt(curve)
	peak := c.alpha - mat.Dot(pg, mat.NewVecDense(n, c.y))/curve
	const steps, wide = 32, 8
	inside := func(x float64) float64 { return math.Min(math.Max(x, leastAlpha), AlphaRange().High) }
	prior := distuv.Normal{Mu: peak, Sigma: sd * math.Sqrt(float64(n))}
	low, high := inside(peak-wide*sd), inside(peak+wide*sd)
	if least := 0.01 * sd; high-low < least { // all of the range lies in one tail
		low, high = inside(low-sd), inside(high+sd)
	}
	logs := make([]float64, 0, steps+1)
	for i := range steps + 1 {
		alpha := low + (high-low)*float64(i)/steps
		y := make([]float64, n)
		usable := true
		for k, dt := range c.dt {
			f := 1 + alpha*dt
			usable = usable && DivisorRange().Contains(f)
			y[k] = c.y[k] - math.Log1p(c.alpha*dt) + math.Log(f)
		}
		if !usable {
			continue
		}
		weight := 2.0 // Simpson's rule
		switch {
		case i == 0 || i == steps:
			weight = 1
		case i%2 == 1:
			weight = 4
		}
		logs = append(logs, math.Log(weight)+prior.LogProb(alpha)-0.5*mat.Dot(project(y), mat.NewVecDense(n, y)))
	}
	if len(logs) == 0 {
		return math.Inf(-1)
	}
	return floats.LogSumExp(logs) + math.Log((high-low)/steps/3)
}

// describe fills in the best fit of the rule.
func (c candidate) describe(fit *RuleFit, stated bool) {
	params := 1
	if c.free {
		params = 2
		fit.Alpha = &c.alpha
	}
	lnG := floats.Sum(c.y) / float64(len(c.y))
	if stated {
		if q, err := c.withScatter(exactScatter); err == nil {
			lnG = mat.Dot(&q.u, mat.NewVecDense(len(c.y), c.y)) / q.total
		}
	}
	fit.Gain, fit.DoF = math.Exp(lnG), len(c.y)-params
	var sum float64
	for _, y := range c.y {
		r := math.Expm1(y - lnG)
		sum += r * r
		if math.Abs(r) > math.Abs(fit.Worst) {
			fit.Worst = r
		}
	}
	fit.RMS = math.Sqrt(sum / float64(max(fit.DoF, 1)))
}
