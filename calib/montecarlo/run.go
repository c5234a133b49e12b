package montecarlo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Draw makes one draw of the inputs from rng and writes the outputs computed from it. false means
// that this draw has none (an iteration that did not settle, say).
type Draw func(rng *rand.Rand, out []float64) bool

// Kind says how an output is summed up.
type Kind int

const (
	// Quantity: mean, standard deviation and a symmetric interval.
	Quantity Kind = iota
	// HeavyTailed: median and interval only. For few degrees of freedom a mean or a standard
	// deviation does not exist, and drawing more would never settle it.
	HeavyTailed
	// Event: an output of 0 or 1, whose mean is a probability.
	Event
)

// Plan says how a simulation is run. The zero value of Digits, Level and Most stands for the
// figure beside it.
type Plan struct {
	Outputs []Kind
	Seed    uint64
	Level   float64 // of the intervals; 0 is 0.95
	// Digits is how many significant digits of each output's standard uncertainty are to be
	// meaningful; 0 is 1. The tolerance is half a unit of the last (JCGM 101:2008, 7.9.2).
	Digits int
	// Finer divides that tolerance; 0 is 1. For checking another method it is 5 (8.2).
	Finer float64
	Most  int // draws at most; 0 is a million
	// Progress, where given, is told after each block.
	Progress func(done, most int)
}

// Summary is one output.
type Summary struct {
	Mean float64 // the median of a HeavyTailed output, the probability of an Event
	U    float64 // standard deviation; NaN for HeavyTailed and Event
	// Low and High bound Level with equal probability on both sides; NaN for Event.
	Low, High float64
	// Tolerance is what the figures were to settle to.
	Tolerance float64
}

// Result is a simulation.
type Result struct {
	Draws   int  // with outputs
	Failed  int  // without
	Settled bool // every figure reached its tolerance
	Outputs []Summary
}

// block is the number of draws after which the figures are looked at (JCGM 101:2008, 7.9.4).
const block = 10000

// eventTolerance is what a probability is to settle to.
const eventTolerance = 0.005

// Run draws until the figures have settled. An error means a plan that cannot be carried out, or
// draws of which more than one in ten have no outputs.
func Run(plan Plan, draw Draw) (Result, error) {
	plan, err := plan.complete()
	if err != nil {
		return Result{}, err
	}
	rng := rand.New(rand.NewPCG(plan.Seed, 0x9e3779b97f4a7c15))
	k := len(plan.Outputs)
	all := make([][]float64, k)
	var blocks [][]Summary
	var r Result
	out := make([]float64, k)
	for done := 0; done < plan.Most; {
		from := r.Draws
		for range block {
			done++
			if !draw(rng, out) {
				r.Failed++
				continue
			}
			for i, v := range out {
				all[i] = append(all[i], v)
			}
			r.Draws++
		}
		if r.Failed > done/10 {
			return r, fmt.Errorf("%d of %d draws gave no result: the uncertainties are too large for this model", r.Failed, done)
		}
		one := make([]Summary, k)
		for i := range k {
			one[i] = plan.sum(plan.Outputs[i], all[i][from:])
		}
		blocks = append(blocks, one)
		if plan.Progress != nil {
			plan.Progress(done, plan.Most)
		}
		if r.Settled = plan.settled(blocks); r.Settled {
			break
		}
	}
	for i := range k {
		s := plan.sum(plan.Outputs[i], all[i])
		s.Tolerance = plan.tolerance(plan.Outputs[i], s)
		r.Outputs = append(r.Outputs, s)
	}
	return r, nil
}

func (p Plan) complete() (Plan, error) {
	if p.Level == 0 {
		p.Level = 0.95
	}
	if p.Digits == 0 {
		p.Digits = 1
	}
	if p.Finer == 0 {
		p.Finer = 1
	}
	if p.Most == 0 {
		p.Most = 1000000
	}
	switch {
	case len(p.Outputs) == 0:
		return p, fmt.Errorf("a simulation without outputs")
	case !(p.Level > 0 && p.Level < 1):
		return p, fmt.Errorf("coverage level %g: must lie between 0 and 1", p.Level)
	case p.Digits < 1 || p.Digits > 4 || !(p.Finer >= 1) || p.Most < 2*block:
		return p, fmt.Errorf("digits %d (1 to 4), finer %g (1 or more), most %d (%d or more): out of range", p.Digits, p.Finer, p.Most, 2*block)
	}
	return p, nil
}

// sum condenses draws of one output. The interval takes the order statistics of JCGM 101:2008, 7.7:
// with M draws and q = pM, from the (M-q)/2-th on.
func (p Plan) sum(kind Kind, draws []float64) Summary {
	nan := math.NaN()
	s := Summary{Mean: nan, U: nan, Low: nan, High: nan}
	m := len(draws)
	if m < 2 {
		return s
	}
	var mean, square float64
	for _, v := range draws {
		mean += v / float64(m)
	}
	if kind == Event {
		s.Mean = mean
		return s
	}
	for _, v := range draws {
		square += (v - mean) * (v - mean)
	}
	sorted := slices.Sorted(slices.Values(draws))
	q := int(p.Level*float64(m) + 0.5)
	r := (m - q + 1) / 2
	s.Low, s.High = sorted[max(r-1, 0)], sorted[min(r-1+q, m-1)]
	if kind == HeavyTailed {
		s.Mean = sorted[m/2]
		return s
	}
	s.Mean, s.U = mean, math.Sqrt(square/float64(m-1))
	return s
}

// tolerance is half a unit of the last of Digits significant digits of the standard uncertainty,
// divided by Finer. A heavy-tailed output's quarter interval width stands in for its uncertainty.
func (p Plan) tolerance(kind Kind, s Summary) float64 {
	if kind == Event {
		return eventTolerance
	}
	u := s.U
	if kind == HeavyTailed {
		u = (s.High - s.Low) / 4
	}
	return Tolerance(u, p.Digits) / p.Finer
}

// Tolerance is half a unit of the last of so many significant digits of a standard uncertainty
// (JCGM 101:2008, 7.9.2): 0.05 for u = 0.35 and one digit. It is 0 for u = 0.
func Tolerance(u float64, digits int) float64 {
	if !(u > 0) || math.IsInf(u, 0) {
		return 0
	}
	scale := math.Floor(math.Log10(u)) - float64(digits-1)
	// Rounding up to the next power of ten, as in 0.97 to one digit.
	if math.Round(u/math.Pow(10, scale)) >= math.Pow(10, float64(digits)) {
		scale++
	}
	return 0.5 * math.Pow(10, scale)
}

// settled compares the blocks: a figure has settled when twice the standard deviation of its mean
// over the blocks is below the tolerance (JCGM 101:2008, 7.9.4).
func (p Plan) settled(blocks [][]Summary) bool {
	h := len(blocks)
	if h < 2 {
		return false
	}
	for i, kind := range p.Outputs {
		figures := []func(Summary) float64{
			func(s Summary) float64 { return s.Mean }, func(s Summary) float64 { return s.U },
			func(s Summary) float64 { return s.Low }, func(s Summary) float64 { return s.High },
		}
		var mean Summary
		for _, b := range blocks {
			mean.U += b[i].U / float64(h)
			mean.Low += b[i].Low / float64(h)
			mean.High += b[i].High / float64(h)
		}
		tolerance := p.tolerance(kind, mean)
		for _, figure := range figures {
			if v := figure(blocks[0][i]); math.IsNaN(v) {
				continue
			}
			if 2*spreadOfMean(blocks, i, figure) > tolerance {
				return false
			}
		}
	}
	return true
}

func spreadOfMean(blocks [][]Summary, i int, figure func(Summary) float64) float64 {
	h := float64(len(blocks))
	var mean, square float64
	for _, b := range blocks {
		mean += figure(b[i]) / h
	}
	for _, b := range blocks {
		d := figure(b[i]) - mean
		square += d * d
	}
	return math.Sqrt(square / (h * (h - 1)))
}
