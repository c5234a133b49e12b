package agree

import (
	"math"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Meter is one meter against the references of the samples it read. A figure
// that is not known is NaN.
type Meter struct {
	Meter  string
	Errors []SampleError // samples with a reference
	// WorstError is the signed error that is largest against its tolerance,
	// as a fraction of the reference where Relative, and WorstSample its sample.
	WorstError  float64
	WorstSample string
	Relative    bool
	// PWithin is the probability that the meter's true error lies within
	// tolerance at every reference, for an error made of a zero and a gain
	// part; NaN without a tolerance, references or a basis.
	PWithin float64
	Verdict conformity.Verdict // "" without a tolerance or references
	Basis   Basis
	// Off is the sign of the meter's error where it is significant against its
	// own uncertainty (95 %), and 0 where it is not.
	Off int
	// TooUncertain says that the verdict is not the meter's doing: its errors
	// are no larger than what is stated explains, and with this uncertainty no
	// meter would pass, not even one without any error. UOfTolerance is that uncertainty in units of the
	// tolerance, the larger of the two ends.
	TooUncertain bool
	UOfTolerance float64
	// Assumed are the samples whose reference has no u_ref while others have,
	// taken as no better than the worst of those; LeftOut are such samples that
	// have no part in the verdict, as too few were read for their scatter to
	// tell anything.
	Assumed, LeftOut []string
	// Low and High are the fitted error at the lowest and the highest
	// reference.
	Low, High FittedError
	// MoreSamples is how many further references would decide; 0 where nothing
	// is undecided or nothing can be said. SharedLimits says that further
	// references of the same source would not.
	MoreSamples  int
	SharedLimits bool
}

// SampleError is a meter's error in one sample.
type SampleError struct {
	Sample       string
	Reading, Ref float64 // mean over repetitions
	Error        float64 // mean of reading − reference
	U            float64 // standard uncertainty of Error; NaN unless u_ref and u_reading are stated
	Zeta, En     float64 // ISO 13528 scores; NaN where U is unknown or 0
}

// FittedError is the error at one reference by the fitted line, in the unit of
// the reading.
type FittedError struct{ Ref, Error, U float64 }

// meter judges one meter.
func (s *Set) meter(name string, tolerance quantity.Tolerance) Meter {
	nan := math.NaN()
	none := FittedError{Ref: nan, Error: nan, U: nan}
	m := Meter{Meter: name, WorstError: nan, PWithin: nan, UOfTolerance: nan, Basis: NoBasis, Low: none, High: none, Relative: tolerance.Relative}
	var cells []*cell
	worst := -1.0
	for _, c := range s.cellsOf(name) {
		ref, ok := c.ref()
		if !ok {
			continue
		}
		e := sampleError(c, ref)
		m.Errors = append(m.Errors, e)
		if tolerance.Value > 0 && tolerance.At(ref) == 0 {
			continue // it allows nothing there: no part in the verdict
		}
		cells = append(cells, c)
		size, shown := math.Abs(e.Error), e.Error
		if tolerance.Value > 0 {
			size = math.Abs(e.Error) / tolerance.At(ref)
		}
		if tolerance.Relative {
			shown = e.Error / math.Abs(ref)
		}
		if size > worst {
			worst, m.WorstError, m.WorstSample = size, shown, e.Sample
		}
	}
	if len(cells) == 0 || tolerance.Value == 0 {
		return m
	}
	samples, stated := unstatedBeside(cells)
	e := s.errorLine(name, cells, tolerance)
	m.Assumed = samples
	if e.spare() <= 0 && !e.known && len(samples) > 0 {
		// Too few for the scatter to say anything: what is stated stands alone.
		m.Assumed, m.LeftOut = nil, samples
		cells, e = stated, s.errorLine(name, stated, tolerance)
	}
	m.judge(e, cells, tolerance)
	return m
}

func sampleError(c *cell, ref float64) SampleError {
	e := SampleError{Sample: c.sample, Reading: c.mean(), Ref: ref, Error: c.meanError(), U: math.NaN(), Zeta: math.NaN(), En: math.NaN()}
	u, okU := c.u()
	own, okOwn := c.uRef()
	shared, okShared := c.uShared()
	if !okU || !okOwn {
		return e
	}
	if okShared {
		own = math.Hypot(own, shared)
	}
	e.U = math.Hypot(u, own)
	if zeta, err := ZetaScore(e.Error, u, 0, own); err == nil {
		e.Zeta = zeta
	}
	if en, err := EnScore(e.Error, u, 0, own); err == nil {
		e.En = en
	}
	return e
}

// errorLine collects a meter's errors in units of the tolerance.
func (s *Set) errorLine(name string, cells []*cell, tolerance quantity.Tolerance) *errorLine {
	n := len(cells)
	e := &errorLine{y: make([]float64, n), own: make([]float64, n), least: make([]float64, n)}
	refs, allowed := make([]float64, n), make([]float64, n)
	for i, c := range cells {
		refs[i], _ = c.ref()
		allowed[i] = tolerance.At(refs[i])
		e.y[i] = c.meanError() / allowed[i]
		least := c.leastU(s.step(name)) / allowed[i]
		e.least[i] = least * least
	}
	e.takeOwn(cells, allowed)
	e.takeShared(cells, allowed)
	e.design(refs, tolerance)
	return e
}

// judge fills in probability, verdict and what would decide.
func (m *Meter) judge(e *errorLine, cells []*cell, tolerance quantity.Tolerance) {
	m.Verdict = conformity.Undecided
	if e.spare() <= 0 && !e.known {
		return
	}
	s, err := e.solve()
	if err != nil {
		return
	}
	m.Basis = FromStated
	if s.tau2 > 0 || e.scatterOnly {
		m.Basis = FromScatter
	}
	m.PWithin = bothWithin(s.mean, s.u, s.corr, s.dof)
	m.Verdict = conformity.Default.Decide(m.PWithin)
	m.Off, m.UOfTolerance = s.off(), max(s.u[0], s.u[1])
	best := conformity.Default.Decide(bothWithin([2]float64{}, s.u, s.corr, s.dof))
	m.TooUncertain = m.Basis == FromStated && m.Off == 0 && m.Verdict != conformity.Pass && best != conformity.Pass
	low, high := math.Inf(1), math.Inf(-1)
	for _, c := range cells {
		ref, _ := c.ref()
		low, high = min(low, ref), max(high, ref)
	}
	m.Low = FittedError{Ref: low, Error: s.mean[0] * tolerance.At(low), U: s.u[0] * tolerance.At(low)}
	m.High = FittedError{Ref: high, Error: s.mean[1] * tolerance.At(high), U: s.u[1] * tolerance.At(high)}
	if m.Verdict == conformity.Undecided {
		m.MoreSamples, m.SharedLimits = e.more(s.tau2)
	}
}

// mostReferences is as far as a prediction of further references is carried.
const mostReferences = 32

// more predicts how many further references would decide, with the scatter as
// seen; 0 where more than mostReferences would be needed. sharedLimits says
// that they would suffice but for the error the references share.
func (e *errorLine) more(tau2 float64) (samples int, sharedLimits bool) {
	decided := func(e *errorLine) bool {
		s, err := e.fit(tau2)
		return err == nil && conformity.Default.Decide(bothWithin(s.mean, s.u, s.corr, s.dof)) != conformity.Undecided
	}
	n := len(e.y)
	// Twice as many until it is enough, then halve in between.
	enough := 0
	tooFew := 0
	for k := 1; k <= mostReferences; k *= 2 {
		if decided(e.repeated(n + k)) {
			enough = k
			break
		}
		tooFew = k
	}
	for enough > tooFew+1 {
		mid := (tooFew + enough) / 2
		if decided(e.repeated(n + mid)) {
			enough = mid
		} else {
			tooFew = mid
		}
	}
	if enough > 0 {
		return enough, false
	}
	alone := e.repeated(n + mostReferences)
	alone.shared = nil
	return 0, len(e.shared) > 0 && decided(alone)
}
