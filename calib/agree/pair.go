package agree

import (
	"math"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Verdict is what two meters' readings say about their agreement. The empty
// verdict means that no tolerance was given.
type Verdict string

// The verdicts on a pair.
const (
	Agree     Verdict = "agree"
	Disagree  Verdict = "disagree"
	Undecided Verdict = "undecided"
)

// Form says which description of the differences fits the readings better.
type Form string

// The forms of the limits of agreement.
const (
	// Absolute: the differences scatter alike at all strengths.
	Absolute Form = "absolute"
	// Proportional: they grow with the value, so that relative limits hold at
	// all strengths where absolute ones do not.
	Proportional Form = "proportional"
)

// Pair is the comparison of meter B with meter A over the samples both read.
// Differences are B − A, in the unit of the readings. A figure that is not
// known is NaN.
type Pair struct {
	A, B         string
	Samples      []string
	MeanA, MeanB []float64 // mean reading of each meter by sample

	Bias Estimate // mean difference
	// LogRatio is the mean natural logarithm of B/A, so that exp(LogRatio.Mean)
	// is the ratio, the same seen from either meter. Its mean is NaN where a
	// reading is not above 0.
	LogRatio Estimate
	// Limits are absolute, in the unit of the readings; RelativeLimits are
	// fractions of the mean of the two meters. nil with fewer than two samples,
	// or, for relative ones, readings not above 0.
	Limits, RelativeLimits *Limits
	Form                   Form // which of them to read

	Deming        *Deming        // B on A, equal error variances; nil with fewer than 3 samples or no spread
	PassingBablok *PassingBablok // nil with fewer than 5 samples or no spread

	// InTolerance is the mean over the samples of difference / tolerance; the
	// meters agree where its true value lies within ±1.
	InTolerance Estimate
	PAgree      float64 // probability of that; NaN without a tolerance or a basis
	// Widest is the sample with the largest difference in units of the
	// tolerance, and Reach how far the limits of agreement reach in these units;
	// "" and NaN where not known.
	Widest     string
	WidestSize float64
	Reach      float64
	// Step is the larger of the last digits of the two displays; 0 where one of
	// them was computed.
	Step    float64
	Verdict Verdict
	// Expected is the ratio B/A that two displays known to differ show of one
	// liquid, Factors what they are; NaN and 0 for displays that are alike, or not
	// known. Their readings are compared as they are: there is no probability
	// and no verdict, and the bottles judge each meter by itself.
	Expected float64
	Factors  [2]float64
	// MoreSamples is how many further shared samples would decide, at the
	// scatter seen so far; 0 where nothing is undecided or nothing can be said.
	MoreSamples int
}

// Ratio returns B over A with its standard uncertainty and 95 % interval; NaN
// where it is not known.
func (p Pair) Ratio() (ratio, u, low, high float64) {
	ratio = math.Exp(p.LogRatio.Mean)
	l, h := p.LogRatio.Interval()
	return ratio, ratio * p.LogRatio.U, math.Exp(l), math.Exp(h)
}

// leastForBablok is the number of samples below which a distribution-free line
// bounds nothing.
const leastForBablok = 5

// pair compares two meters. It returns nil if they share no sample.
func (s *Set) pair(a, b string, kind check.Kind, tolerance quantity.Tolerance) *Pair {
	d := s.differences(a, b, tolerance)
	if len(d.samples) == 0 {
		return nil
	}
	p := &Pair{
		A: a, B: b, Samples: d.samples, MeanA: d.a, MeanB: d.b,
		Bias: d.bias(), LogRatio: d.logRatio(), Form: Absolute, InTolerance: unknownEstimate(0), PAgree: math.NaN(), Reach: math.NaN(), WidestSize: math.NaN(),
		Expected: math.NaN(),
	}
	if kind == check.EC && s.displaysDiffer(a, b) {
		p.Expected, p.Factors = s.Factors[b]/s.Factors[a], [2]float64{s.Factors[a], s.Factors[b]}
	}
	if stepA, stepB := s.step(a), s.step(b); stepA > 0 && stepB > 0 {
		p.Step = max(stepA, stepB)
	}
	p.setLimits(s, traitOf(kind).ratio && d.positive())
	if traitOf(kind).ratio && p.RelativeLimits != nil {
		p.Form = d.form()
	}
	if fit, err := FitDeming(d.a, d.b, 1); err == nil {
		p.Deming = &fit
	}
	if len(d.samples) >= leastForBablok {
		if fit, err := FitPassingBablok(d.a, d.b); err == nil {
			p.PassingBablok = &fit
		}
	}
	if tolerance.Value > 0 {
		p.InTolerance, _ = d.inTolerance()
		p.setReach(s, d.allowed)
		if math.IsNaN(p.Expected) {
			p.decide()
		}
	}
	return p
}

// decide fills in probability, verdict and what would decide.
func (p *Pair) decide() {
	p.PAgree = p.InTolerance.within()
	switch conformity.Default.Decide(p.PAgree) {
	case conformity.Pass:
		p.Verdict = Agree
	case conformity.Fail:
		p.Verdict = Disagree
	default:
		p.Verdict = Undecided
		p.MoreSamples, _ = p.InTolerance.more()
	}
}

// setLimits computes absolute and, on a ratio scale, relative limits. What the
// last digits hide is the least that single readings scatter.
func (p *Pair) setLimits(s *Set, ratio bool) {
	var means, ones []float64
	for i := range p.Samples {
		means, ones = append(means, (p.MeanA[i]+p.MeanB[i])/2), append(ones, 1)
	}
	p.Limits = p.limitsIn(s, ones)
	if ratio {
		p.RelativeLimits = p.limitsIn(s, means)
	}
}

// limitsIn are limits of agreement in units that differ by sample; nil where
// there are none. Samples with a unit of 0 are left out.
func (p *Pair) limitsIn(s *Set, unit []float64) *Limits {
	digit := math.Hypot(s.step(p.A), s.step(p.B)) / math.Sqrt(12)
	var a, b [][]float64
	var digits []float64
	for i, sample := range p.Samples {
		if unit[i] == 0 {
			continue
		}
		a = append(a, divided(s.cell(p.A, sample).values(), unit[i]))
		b = append(b, divided(s.cell(p.B, sample).values(), unit[i]))
		digits = append(digits, digit/unit[i])
	}
	l, err := LimitsOfReplicates(a, b)
	if err != nil {
		return nil
	}
	if least := rootMeanSquare(digits); l.SD < least {
		l = l.withSD(least)
	}
	return &l
}

// setReach says how far single samples and readings lie apart in units of the
// tolerance, where it allows anything.
func (p *Pair) setReach(s *Set, allowed []float64) {
	for i, sample := range p.Samples {
		if d := math.Abs(p.MeanB[i]-p.MeanA[i]) / allowed[i]; allowed[i] > 0 && !(d <= p.WidestSize) {
			p.Widest, p.WidestSize = sample, d
		}
	}
	if l := p.limitsIn(s, allowed); l != nil {
		p.Reach = max(math.Abs(l.Low), math.Abs(l.High))
	}
}

func divided(x []float64, by float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] / by
	}
	return out
}
