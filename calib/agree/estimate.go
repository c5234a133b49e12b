package agree

import (
	"math"
	"strconv"

	"gonum.org/v1/gonum/stat"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/uncert"
)

// Basis says what a standard uncertainty rests on.
type Basis string

const (
	// NoBasis: a single sample and nothing stated; the uncertainty is NaN.
	NoBasis Basis = "none"
	// FromScatter: how the samples differ from one another; Student's t with
	// n − 1 degrees of freedom.
	FromScatter Basis = "scatter"
	// FromStated: the readings' stated uncertainties explain at least the
	// scatter that is seen; normal, or Student's t with n − 1 degrees of freedom
	// where only a part is stated.
	FromStated Basis = "stated"
	// FromResolution: the samples differ by less than the last digit can show;
	// the digit is then the least that is unknown. Student's t with n − 1
	// degrees of freedom.
	FromResolution Basis = "resolution"
)

// Estimate is a mean over samples with its standard uncertainty.
type Estimate struct {
	N     int
	Mean  float64
	U     float64 // standard uncertainty of Mean; NaN with NoBasis
	DoF   float64 // degrees of freedom of U; +Inf where all is stated
	SD    float64 // standard deviation between samples; NaN for one
	Basis Basis
}

// Interval returns the 95 % interval of the mean; NaN with NoBasis.
func (e Estimate) Interval() (low, high float64) {
	k := uncert.CoverageFactor(level, e.DoF) * e.U
	return e.Mean - k, e.Mean + k
}

// within is the probability that the true mean lies between −1 and 1; NaN with
// NoBasis.
func (e Estimate) within() float64 {
	p, err := conformity.Probability(e.Mean, e.U, e.DoF, conformity.Around(1))
	if err != nil {
		return math.NaN()
	}
	return p
}

// unknownEstimate is a mean over n samples that is not known.
func unknownEstimate(n int) Estimate {
	nan := math.NaN()
	return Estimate{N: n, Mean: nan, U: nan, DoF: nan, SD: nan, Basis: NoBasis}
}

// estimate takes one figure per sample: its value, its stated standard
// uncertainty (NaN where not all of it is stated) and the least uncertainty that
// what is stated and the display leave. The scatter includes everything that
// differs between samples; what is stated, or the last digit, counts where the
// scatter happens to be smaller. partly says that least holds something stated.
func estimate(x, stated, least []float64, partly bool) Estimate {
	n := len(x)
	e := Estimate{N: n, Mean: stat.Mean(x, nil), U: math.NaN(), DoF: math.NaN(), SD: math.NaN(), Basis: NoBasis}
	said := rootMeanSquare(stated) / math.Sqrt(float64(n)) // NaN if any is
	if n == 1 {
		if !math.IsNaN(said) {
			e.U, e.DoF, e.Basis = said, math.Inf(1), FromStated
		}
		return e
	}
	e.SD = stat.StdDev(x, nil)
	e.U, e.DoF, e.Basis = e.SD/math.Sqrt(float64(n)), float64(n-1), FromScatter
	if floor := rootMeanSquare(least) / math.Sqrt(float64(n)); floor > e.U && math.IsNaN(said) {
		e.U, e.Basis = floor, FromResolution
		if partly {
			e.Basis = FromStated
		}
	}
	if said >= e.U && said > 0 {
		e.U, e.DoF, e.Basis = said, math.Inf(1), FromStated
	}
	return e
}

func rootMeanSquare(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(len(x)))
}

// mostSamples is as far as a prediction of further samples is carried.
const mostSamples = 1000

// more predicts how many further samples would settle whether the mean lies
// within ±1, if they scatter as those so far and their mean stays. ok is false
// where no prediction is possible or more than mostSamples would be needed; it
// is 0, true where it is settled already.
func (e Estimate) more() (samples int, ok bool) {
	if e.Basis == NoBasis {
		return 0, false
	}
	for n := e.N; n <= e.N+mostSamples; n++ {
		f := e
		f.N, f.U = n, e.U*math.Sqrt(float64(e.N)/float64(n))
		if !math.IsInf(e.DoF, 1) {
			f.DoF = float64(n - 1)
		}
		if conformity.Default.Decide(f.within()) != conformity.Undecided {
			return n - e.N, true
		}
	}
	return 0, false
}

// shortest writes x with as many digits as it needs.
func shortest(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
