package check

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/montecarlo"
)

// MonteCarlo is the calibration done over by drawing (JCGM 101), beside the linear propagation.
type MonteCarlo struct {
	Draws     int
	Seed      uint64
	Settled   bool
	Slope     Simulated
	Intercept Simulated   // not for a gain: its U is NaN
	At        []Simulated // in the order of Result.At
	PWithin   float64     // NaN without a verdict
	// Differs says in words where the two ways disagree by more than the last digit that the
	// uncertainty supports (JCGM 101:2008, clause 8).
	Differs []string
}

// Simulated is one figure by simulation.
type Simulated struct {
	Value     float64 // mean; median where few degrees of freedom leave no mean
	U         float64 // NaN where there is none
	Low, High float64 // bound 95 %
	Differs   bool    // from the linear propagation
}

// heavyDoF is the number of degrees of freedom up to which Student's t has no standard deviation,
// or one that drawing settles too slowly.
const heavyDoF = 4

// simulate repeats the calibration by drawing from what is known of the rows.
func (r *Result) simulate(o Options) error {
	if r.Fit.Basis == line.NoBasis {
		r.warn("there is nothing to simulate: the fit has no basis for an uncertainty")
		return nil
	}
	if r.Fit.Method == line.MethodOffset {
		r.warn("there is nothing to simulate: an offset is a mean, whose propagation is exact")
		return nil
	}
	draws, err := r.drawFit()
	if err != nil {
		return err
	}
	kind := montecarlo.Quantity
	if r.Fit.Basis == line.FromScatter && r.Fit.DoF <= heavyDoF {
		kind = montecarlo.HeavyTailed
	}
	// Outputs: slope, intercept (of a line), one for each --at, and whether all errors are within.
	outputs := []montecarlo.Kind{kind}
	if r.Fit.Parameters == 2 {
		outputs = append(outputs, kind)
	}
	first := len(outputs)
	for range r.At {
		outputs = append(outputs, kind)
	}
	if r.known {
		outputs = append(outputs, montecarlo.Event)
	}
	event := r.drawErrors()
	sim, err := montecarlo.Run(montecarlo.Plan{Outputs: outputs, Seed: o.Seed, Finer: 5, Progress: o.Progress},
		func(rng *rand.Rand, out []float64) bool {
			intercept, slope, ok := draws(rng)
			if !ok {
				return false
			}
			out[0] = slope
			if r.Fit.Parameters == 2 {
				out[1] = intercept
			}
			for i, e := range r.At {
				x := e.Reading
				if o.UAt > 0 {
					x += o.UAt * rng.NormFloat64()
				}
				out[first+i] = intercept + slope*x
			}
			if r.known {
				out[len(out)-1] = event(rng)
			}
			return true
		})
	if err != nil {
		return fmt.Errorf("simulation: %w", err)
	}
	r.compare(sim, o.Seed, first)
	return nil
}

// compare sets the simulated figures beside the linear ones and says where they differ.
func (r *Result) compare(sim montecarlo.Result, seed uint64, first int) {
	m := &MonteCarlo{Draws: sim.Draws, Seed: seed, Settled: sim.Settled, PWithin: math.NaN(), Intercept: Simulated{U: math.NaN()}}
	slopeLow, slopeHigh, interceptLow, interceptHigh := r.Fit.ParameterLimits(line.Level)
	m.Slope = m.beside("the slope", sim.Outputs[0], slopeLow, slopeHigh)
	if r.Fit.Parameters == 2 {
		m.Intercept = m.beside("the intercept", sim.Outputs[1], interceptLow, interceptHigh)
	}
	for i, e := range r.At {
		m.At = append(m.At, m.beside("the corrected value at "+number(e.Reading), sim.Outputs[first+i], e.Low, e.High))
	}
	if r.known {
		m.PWithin = sim.Outputs[len(sim.Outputs)-1].Mean
		if math.Abs(m.PWithin-r.PWithin) > 0.01 {
			m.Differs = append(m.Differs, fmt.Sprintf("the probability of being within tolerance: %s by simulation, %s by integration", percent(m.PWithin), percent(r.PWithin)))
		}
	}
	if !sim.Settled {
		r.warn(fmt.Sprintf("the simulation had not settled after %d draws: take its figures as rough", sim.Draws))
	}
	for _, d := range m.Differs {
		r.warn("simulation and linear propagation differ: " + d)
	}
	r.MonteCarlo = m
}

// beside compares an interval with the linear one: they differ where an end is off by more than
// half a unit of the uncertainty's one significant digit (JCGM 101:2008, 8.1).
func (m *MonteCarlo) beside(what string, s montecarlo.Summary, low, high float64) Simulated {
	out := Simulated{Value: s.Mean, U: s.U, Low: s.Low, High: s.High}
	allowed := montecarlo.Tolerance((high-low)/4, 1)
	out.Differs = math.Max(math.Abs(s.Low-low), math.Abs(s.High-high)) > allowed
	if out.Differs {
		m.Differs = append(m.Differs, fmt.Sprintf("%s lies from %s to %s by simulation, from %s to %s by propagation",
			what, number(s.Low), number(s.High), number(low), number(high)))
	}
	return out
}

// drawFit makes a function that draws the calibration's data and fits them again.
func (r *Result) drawFit() (func(*rand.Rand) (intercept, slope float64, ok bool), error) {
	p, d, f := r.fitted.points, r.fitted.doubt, r.Fit
	n := len(p.X)
	x, y := make([]float64, n), make([]float64, n)
	again, whole, err := f.Refitter(p)
	if err != nil {
		return nil, err
	}
	if !whole {
		r.warn(fmt.Sprintf("simulated with %d points: each draw keeps the weights and the adjusted readings of the fit", n))
	}
	fit := func() (float64, float64, bool) {
		intercept, slope, err := again(x, y)
		return intercept, slope, err == nil
	}
	if f.Basis == line.FromScatter {
		return func(rng *rand.Rand) (float64, float64, bool) {
			var chi float64
			for range f.DoF {
				z := rng.NormFloat64()
				chi += z * z
			}
			sd := f.PointSD * math.Sqrt(float64(f.DoF)/chi)
			for i := range n {
				x[i], y[i] = p.X[i], f.Corrected(p.X[i])+sd*rng.NormFloat64()
			}
			return fit()
		}, nil
	}
	if f.Method == line.MethodWeighted { // takes the readings as exact
		d.readOwn, d.readShared = nil, nil
	}
	return func(rng *rand.Rand) (float64, float64, bool) {
		draw(x, p.X, d.readOwn, d.readShared, rng)
		draw(y, p.Y, d.refOwn, d.refShared, rng)
		return fit()
	}, nil
}

// draw writes v with a draw of its errors: its own and the shared ones. Nothing known draws nothing.
func draw(out, v, own []float64, shared [][]float64, rng *rand.Rand) {
	copy(out, v)
	if own == nil {
		return
	}
	for i, u := range own {
		out[i] += u * rng.NormFloat64()
	}
	for _, s := range shared {
		z := rng.NormFloat64()
		for i := range s {
			out[i] += s[i] * z
		}
	}
}

// drawErrors makes a function that draws the true errors and returns 1 where all are within.
func (r *Result) drawErrors() func(*rand.Rand) float64 {
	j := r.joint
	f, g := make([]float64, len(j.Shared)), make([]float64, len(j.SharedScatter))
	return func(rng *rand.Rand) float64 {
		w := 0.0
		if j.DoF > 0 {
			var chi float64
			for range int(j.DoF) {
				z := rng.NormFloat64()
				chi += z * z
			}
			w = math.Sqrt(j.DoF / chi)
		}
		for k := range f {
			f[k] = rng.NormFloat64()
		}
		for k := range g {
			g[k] = w * rng.NormFloat64()
		}
		for i, v := range j.Value {
			if j.Own != nil {
				v += j.Own[i] * rng.NormFloat64()
			}
			if j.Scatter != nil {
				v += w * j.Scatter[i] * rng.NormFloat64()
			}
			for k, s := range j.Shared {
				v += s[i] * f[k]
			}
			for k, s := range j.SharedScatter {
				v += s[i] * g[k]
			}
			if v < j.Limits[i].Low || v > j.Limits[i].High {
				return 0
			}
		}
		return 1
	}
}
