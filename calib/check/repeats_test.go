package check

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
)

func warned(r *Result) string { return strings.Join(r.Warnings, "\n") }

// Two bottles read three times each, nothing stated, are two points: no interval and no verdict.
func TestTwoBottlesReadAgainHaveNoInterval(t *testing.T) {
	rows := func() []Row {
		return bottled(plain(706, 700, 706, 701, 706, 700, 1413, 1400, 1413, 1401, 1413, 1402), "A", "A", "A", "B", "B", "B")
	}
	for _, m := range []line.Method{"", line.MethodOrdinary} {
		r := must(t, rows(), Options{Method: m, Tolerance: relative(0.05), At: []float64{1000}})
		assert.Equal(t, line.NoBasis, r.Fit.Basis)
		assert.Equal(t, 2, r.Fit.N)
		assert.True(t, math.IsNaN(r.At[0].Low) && math.IsNaN(r.PWithin))
		assert.Equal(t, conformity.Undecided, r.Verdict)
		assert.Contains(t, warned(r), "no interval")
	}
	// A gain has one degree of freedom left: two bottles, not six.
	r := must(t, rows(), Options{Method: line.MethodGain})
	assert.Equal(t, 1, r.Fit.DoF)
	// Three bottles: one degree of freedom, by the bottles' means.
	three := append(rows(), bottled(plain(2767, 2740, 2767, 2744), "C")...)
	r = must(t, three, Options{})
	assert.Equal(t, line.MethodOrdinary, r.Fit.Method)
	assert.Equal(t, 1, r.Fit.DoF)
	want, err := line.Ordinary(line.Points{X: []float64{2101.0 / 3, 1401, 2742}, Y: []float64{706, 1413, 2767}})
	require.NoError(t, err)
	assert.InDelta(t, want.USlope, r.Fit.USlope, 1e-12)
}

// Without bottles' names rows stay rows in the fit (n - 2 degrees of freedom), with a warning; the
// verdict takes repeats of one reference for one.
func TestRepeatsWithoutNames(t *testing.T) {
	r := must(t, plain(706, 700, 706, 701, 1413, 1400, 1413, 1402), Options{Method: line.MethodOrdinary, Tolerance: relative(0.05)})
	assert.Equal(t, 2, r.Fit.DoF)
	assert.Equal(t, line.FromScatter, r.Fit.Basis)
	assert.Contains(t, warned(r), "name it in the column bottle")
	assert.True(t, math.IsNaN(r.PWithin))

	// One reference repeated, its uncertainty unknown: how well it is known decides, and nobody said.
	r = must(t, plain(1413, 1412, 1413, 1414, 1413, 1413), Options{Tolerance: relative(0.02)})
	assert.True(t, math.IsNaN(r.PWithin))
	assert.Equal(t, conformity.Undecided, r.Verdict)
	assert.Contains(t, warned(r), "how well the one reference is known was not stated")
	assert.Equal(t, line.MethodGain, r.Fit.Method)
	assert.Equal(t, 2, r.Fit.DoF)
}

// Points exactly on a line are no proof of a perfect meter: the display's step hides the scatter.
func TestZeroScatterIsNotExact(t *testing.T) {
	rows := plain(100, 101, 200, 202, 300, 303)
	for _, m := range []line.Method{"", line.MethodGain} {
		r := must(t, rows, Options{Method: m, Tolerance: relative(0.05), At: []float64{150}})
		assert.True(t, math.IsNaN(r.At[0].U), "%s", m)
		assert.True(t, math.IsNaN(r.PWithin))
		assert.Equal(t, conformity.Undecided, r.Verdict)
		assert.Contains(t, warned(r), "the readings lie exactly on a line: their step hides the scatter")
		for _, p := range r.Points {
			assert.False(t, p.Flagged)
		}
	}
	// GUM F.2.2.1: a step of 10 has u = 10/sqrt(12); in the middle of three points it is by sqrt(3) less.
	r := must(t, rows, Options{Tolerance: relative(0.5), At: []float64{202}, Resolution: 10})
	assert.InDelta(t, r.Fit.Slope*10/math.Sqrt(36), r.At[0].U, 1e-9)
	assert.False(t, math.IsNaN(r.PWithin))
	// A scatter larger than the step stays what it is.
	rows = plain(100, 130, 200, 180, 300, 320)
	a, b := must(t, rows, Options{}), must(t, rows, Options{Resolution: 1})
	assert.Equal(t, a.Fit.USlope, b.Fit.USlope)
}

// A reference of 0 alone shows an offset, and a verdict where the tolerance is absolute.
func TestOneReferenceOfZero(t *testing.T) {
	o := Options{Kind: Temperature, Tolerance: absolute(0.3)}
	r := must(t, stated(plain(0, 0), 0.02, 0.05), o)
	assert.Equal(t, line.MethodOffset, r.Fit.Method)
	assert.Equal(t, conformity.Pass, r.Verdict)
	r = must(t, stated(plain(0, 0.4), 0.02, 0.05), o)
	assert.InDelta(t, -0.4, r.Fit.Intercept, 1e-12)
	assert.Equal(t, 1.0, r.Fit.Slope)
	u := math.Hypot(0.02, 0.05)
	want, err := conformity.Probability(0.4, u, math.Inf(1), conformity.Around(0.3))
	require.NoError(t, err)
	assert.InDelta(t, want, r.PWithin, 1e-9)
	assert.NotContains(t, warned(r), "readings fall")
	assert.Contains(t, warned(r), "offset")
	assert.Contains(t, strings.Join(r.Advice, "\n"), "corrected = reading - 0.4")
	r = must(t, plain(0, 5), Options{Tolerance: absolute(10)})
	assert.Equal(t, line.MethodOffset, r.Fit.Method)
	assert.InDelta(t, 5, r.WorstError, 1e-12)
	assert.Equal(t, conformity.Undecided, r.Verdict)
}

// The more references, the surer: an error of +1.5 % where 2 % is allowed, each bottle known to 0.4 %
// and each reading to 0.45 %, is within tolerance more surely the more bottles say so.
func TestMoreReferencesMakeSurer(t *testing.T) {
	last := 0.0
	for _, n := range []int{3, 5, 10, 20} {
		var rows []Row
		for i := range n {
			ref := 500 + 2000*float64(i)/float64(n-1)
			rows = append(rows, Row{Ref: ref, Reading: 1.015 * ref, URef: pointer(0.004 * ref), UReading: pointer(0.0045 * ref)})
		}
		r := must(t, rows, Options{Tolerance: relative(0.02)})
		assert.Greater(t, r.PWithin, last, "%d", n)
		last = r.PWithin
	}
	assert.Greater(t, last, 0.85)
	// All of one reference, as different bottles: the mean of independent values.
	r := must(t, stated(plain(1000, 1015, 1000, 1015, 1000, 1015, 1000, 1015), 4, 4.5), Options{Tolerance: relative(0.02)})
	want, err := conformity.Probability(15, math.Hypot(4, 4.5)/2, math.Inf(1), conformity.Around(20))
	require.NoError(t, err)
	assert.InDelta(t, want, r.PWithin, 1e-6)
}

// Errors that no straight line explains are judged each by itself, and it is said.
func TestBentErrorsAreJudgedByThemselves(t *testing.T) {
	rows := stated(plain(500, 500, 1000, 1019, 1500, 1500, 2000, 2000), 1, 1)
	r := must(t, rows, Options{Tolerance: absolute(20)})
	assert.Contains(t, warned(r), "the verdict takes the error at each reference by itself")
	want, err := conformity.Probability(19, math.Sqrt2, math.Inf(1), conformity.Around(20))
	require.NoError(t, err)
	assert.InDelta(t, want, r.PWithin, 1e-9)
}

// A tolerance in percent has its zero at 0: with references on both sides of it more than the ends
// decide. Against drawing the line's parameters.
func TestToleranceAroundZero(t *testing.T) {
	rows := stated(plain(-20, -20.3, -10, -10.2, 1, 1.1, 30, 30.5), 0.1, 0.1)
	r := must(t, rows, Options{Kind: Temperature, Tolerance: relative(0.2)})
	var x, e []float64
	for _, row := range rows {
		x, e = append(x, row.Ref), append(e, row.Reading-row.Ref)
	}
	var mean, sxx, sxe, height float64
	for i := range x {
		mean += x[i] / 4
		height += e[i] / 4
	}
	for i := range x {
		sxx += (x[i] - mean) * (x[i] - mean)
		sxe += (x[i] - mean) * e[i]
	}
	u, in := 0.1*math.Sqrt2, 0
	rng := rand.New(rand.NewPCG(5, 9))
	const draws = 100000
	for range draws {
		a, b := height+u/2*rng.NormFloat64(), sxe/sxx+u/math.Sqrt(sxx)*rng.NormFloat64()
		ok := true
		for i := range x {
			ok = ok && math.Abs(a+b*(x[i]-mean)) <= 0.2*math.Abs(x[i])
		}
		if ok {
			in++
		}
	}
	assert.InDelta(t, float64(in)/draws, r.PWithin, 0.006)
}

// One bottle read again at other temperatures has references that differ by a little: that is no
// second reference, and no lever for a line.
func TestOneBottleAtOtherTemperaturesIsOneReference(t *testing.T) {
	for _, stated := range []bool{true, false} {
		for n := 2; n <= 3; n++ {
			var rows []Row
			for i := range n {
				row := Row{Bottle: "A", Ref: 309.3 + 0.04*float64(i), Reading: 300 + float64(i%2)}
				if stated {
					row.URef, row.UReading = pointer(1.5), pointer(1)
				}
				rows = append(rows, row)
			}
			r, err := Run(rows, Options{Kind: EC})
			require.NoError(t, err, "%d readings, stated: %v", n, stated)
			assert.Equal(t, line.MethodGain, r.Fit.Method)
			assert.InDelta(t, 309.3/300.5, r.Fit.Slope, 0.002)
			if stated { // the bottle's error does not average away: 1.5 of 309.3, and 1 of 300
				assert.InEpsilon(t, math.Hypot(1.5/309.3, 1/300.0/math.Sqrt(float64(n))), r.Fit.USlope/r.Fit.Slope, 0.02)
			}
		}
	}
	far := []Row{{Bottle: "A", Ref: 868, Reading: 860}, {Bottle: "A", Ref: 1223, Reading: 1210}}
	r, err := Run(far, Options{Kind: EC})
	require.NoError(t, err)
	assert.Equal(t, line.MethodTwoPoint, r.Fit.Method, "a meter that does not compensate sees another reference")
}
