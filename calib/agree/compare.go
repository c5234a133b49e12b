package agree

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/quantity"
)

// Comparison is everything a set of readings says about its meters.
type Comparison struct {
	Kind      check.Kind
	Tolerance quantity.Tolerance // Value 0 where none was given
	Pairs     []Pair             // every two meters that share a sample
	Meters    []Meter            // every meter, in the order of the set
	HasRefs   bool
	Next      string // the next useful step, one or two sentences
	// NoReference says, where there is no reference at all, that meters alone
	// cannot tell which is right, and what the cheapest reference is; else "".
	NoReference string
	Warnings    []string
}

// Compare judges every pair of meters of a set, and every meter against its
// references. A tolerance with Value 0 means that none was given: then there
// are figures but no verdicts. It is an [InputError] if a figure cannot be in the
// unit of the kind, readings of one meter are in two units, repetitions lie so
// far apart that one is a slip, or references of both signs meet a relative tolerance. A
// sample in which a relative tolerance allows nothing has no part in verdicts.
func Compare(s *Set, kind check.Kind, tolerance quantity.Tolerance) (*Comparison, error) {
	if tolerance.Value < 0 || !finite(tolerance.Value) {
		return nil, inputError(0, "", "the tolerance %v is no size; want one above 0", tolerance.Value)
	}
	if err := s.checkSense(kind); err != nil {
		return nil, err
	}
	if traitOf(kind).ratio {
		if err := s.checkUnits(); err != nil {
			return nil, err
		}
	}
	if err := s.checkRepetitions(kind); err != nil {
		return nil, err
	}
	c := &Comparison{Kind: kind, Tolerance: tolerance, HasRefs: s.hasRefs(), Warnings: s.suspicions(kind, tolerance)}
	if err := c.checkRelative(s); err != nil {
		return nil, err
	}
	for i, a := range s.Meters {
		for _, b := range s.Meters[i+1:] {
			p := s.pair(a, b, kind, tolerance)
			if p == nil {
				c.warn("meters %s and %s share no sample and are not compared", a, b)
				continue
			}
			c.Pairs = append(c.Pairs, *p)
			c.warnOfPair(s, *p)
		}
		c.Meters = append(c.Meters, s.meter(a, tolerance))
	}
	if !c.HasRefs {
		c.warn("there is no reference among the readings: they show how far the meters are apart, but not which of them is right")
		c.NoReference = c.noReference(s)
	}
	for _, m := range c.Meters {
		c.warnOfMeter(m)
	}
	c.Next = c.next(s)
	return c, nil
}

func (c *Comparison) warn(format string, args ...any) {
	c.Warnings = append(c.Warnings, fmt.Sprintf(format, args...))
}

// checkRelative refuses references of both signs with a relative tolerance, and
// warns of samples in which a fraction of nothing allows nothing.
func (c *Comparison) checkRelative(s *Set) error {
	if !c.Tolerance.Relative {
		return nil
	}
	above, below := false, false
	for _, sample := range s.Samples {
		zero := false
		for _, meter := range s.Meters {
			cell := s.cell(meter, sample)
			if cell == nil {
				continue
			}
			ref, ok := cell.ref()
			above, below, zero = above || ok && ref > 0, below || ok && ref < 0, zero || ok && ref == 0
			if above && below {
				return inputError(cell.rows[0].Row, "ref", "found %s beside references of the other sign, with a relative tolerance; want an absolute tolerance", shortest(ref))
			}
		}
		if zero {
			c.warn("sample %s has no part in the verdicts: of a reference of 0 a relative tolerance allows nothing", sample)
		}
	}
	return nil
}

func (c *Comparison) warnOfPair(s *Set, p Pair) {
	name := fmt.Sprintf("%s and %s", p.A, p.B)
	if finite(p.Expected) {
		c.warn("%s show %s and %s, and their readings are compared as they are: the difference of the displays (a ratio of %.4g) is in every figure of theirs, and no fault, so that there is no verdict on the pair; judge each by its references",
			name, displayUnit(p.Factors[0]), displayUnit(p.Factors[1]), p.Expected)
	}
	switch {
	case p.Bias.Basis == NoBasis:
		c.warn("%s share a single sample and u_reading is not given: nothing tells how sure their difference is; repetitions of one sample do not", name)
	case p.Bias.N == 1:
		c.warn("%s share a single sample: the verdict rests on u_reading alone and says nothing about other strengths", name)
	case p.Bias.Basis == FromResolution:
		c.warn("%s differ alike in all samples, to the last digit: that digit is taken as the uncertainty", name)
	}
	if c.Tolerance.Value > 0 && p.InTolerance.N == 0 {
		c.warn("%s: of readings of 0 a tolerance in percent allows nothing, so that there is no verdict on them; give a tolerance in the unit of the readings", name)
	}
	// Farther than half as far again as allowed is no matter of rounding.
	const far = 1.5
	if p.Verdict == Agree && (p.WidestSize > 1 || p.Reach > far) {
		text := fmt.Sprintf("95 %% of the differences of single readings reach to %.2g times it", p.Reach)
		if p.WidestSize > 1 {
			text += fmt.Sprintf(", and in sample %s they differ by %.2g times it", p.Widest, p.WidestSize)
		}
		c.warn("%s agree on the average alone: the mean difference is within the tolerance, but %s", name, text)
	}
	if ratio, _, _, _ := p.Ratio(); c.Kind == check.EC && finite(ratio) {
		if f, text, ok := displayFactor(ratio); ok && !s.displaysKnown(p.A, p.B) {
			c.warn("%s shows %.3g times %s, near %.3g: are these two displays (%s)?", p.B, ratio, p.A, f, text)
		}
	}
	if p.Deming != nil && p.PassingBablok != nil {
		if i := p.PassingBablok.SlopeInterval; p.Deming.Slope < i[0] || p.Deming.Slope > i[1] {
			c.warn("%s: the slope by Deming (%.4g) lies outside the distribution-free interval (%.4g to %.4g): a single sample may carry it", name, p.Deming.Slope, i[0], i[1])
		}
	}
}

func (c *Comparison) warnOfMeter(m Meter) {
	if len(m.Errors) == 0 {
		if c.HasRefs {
			c.warn("meter %s read no sample with a reference and is not judged", m.Meter)
		}
		return
	}
	if m.Verdict == conformity.Undecided && m.Basis == NoBasis {
		noun := "references"
		if len(m.Errors) == 1 {
			noun = "reference"
		}
		c.warn("meter %s has %d %s and not all of u_ref and u_reading: nothing tells how sure its error is; want 3 references of different strength, or both uncertainties", m.Meter, len(m.Errors), noun)
	}
	if len(m.Assumed) > 0 {
		c.warn("meter %s: u_ref is given for some references and not for %s, taken as no better than the worst that is given; give u_ref for each",
			m.Meter, inSamples(m.Assumed))
	}
	if len(m.LeftOut) > 0 {
		c.warn("meter %s is judged without the reference of %s: its u_ref is not given, and there are too few references for the scatter to say it; give u_ref for each",
			m.Meter, inSamples(m.LeftOut))
	}
	if m.TooUncertain {
		c.warn("meter %s: %s; its error is not significant", m.Meter, c.tooUncertain(m))
	}
	if m.SharedLimits {
		c.warn("meter %s: what the references share (u_ref_shared) decides; more bottles of the same source will not", m.Meter)
	}
	if m.Verdict == conformity.Pass && c.outside(m.WorstError) {
		c.warn("meter %s is within tolerance by its line, but sample %s alone lies outside: check that bottle", m.Meter, m.WorstSample)
	}
	if c.Kind == check.EC {
		c.warnOfDisplay(m)
	}
}

// inSamples names samples in a sentence.
func inSamples(names []string) string {
	if len(names) == 1 {
		return "sample " + names[0]
	}
	return "samples " + strings.Join(firstFew(names), ", ")
}

func (c *Comparison) outside(err float64) bool {
	return math.Abs(err) > c.Tolerance.Value
}

// warnOfDisplay hints at a display scale where a meter is off by its factor.
func (c *Comparison) warnOfDisplay(m Meter) {
	var logs []float64
	for _, e := range m.Errors {
		if !(e.Reading > 0 && e.Ref > 0) {
			return
		}
		logs = append(logs, math.Log(e.Reading/e.Ref))
	}
	ratio := math.Exp(median(logs))
	if f, text, ok := displayFactor(ratio); ok && slices.Max(logs)-slices.Min(logs) < 0.2 {
		c.warn("%s shows %.3g times the reference, near %.3g: is the reference for another display (%s)?", m.Meter, ratio, f, text)
	}
}
