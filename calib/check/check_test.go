package check

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/quantity"
)

func relative(v float64) *quantity.Tolerance { return &quantity.Tolerance{Value: v, Relative: true} }
func absolute(v float64) *quantity.Tolerance { return &quantity.Tolerance{Value: v} }

// plain makes rows of pairs ref, reading.
func plain(pairs ...float64) []Row {
	var rows []Row
	for i := 0; i < len(pairs); i += 2 {
		rows = append(rows, Row{Ref: pairs[i], Reading: pairs[i+1]})
	}
	return rows
}

// stated adds the same uncertainties to all rows; a negative one stays unknown.
func stated(rows []Row, uRef, uReading float64) []Row {
	for i := range rows {
		if uRef >= 0 {
			rows[i].URef = pointer(uRef)
		}
		if uReading >= 0 {
			rows[i].UReading = pointer(uReading)
		}
	}
	return rows
}

func must(t *testing.T, rows []Row, o Options) *Result {
	t.Helper()
	r, err := Run(rows, o)
	require.NoError(t, err)
	require.Len(t, r.Points, len(r.Rows))
	return r
}

func TestChoosesByWhatIsKnown(t *testing.T) {
	three := func() []Row { return plain(706, 690, 1413, 1380, 2767, 2710) }
	for _, c := range []struct {
		rows []Row
		want line.Method
	}{
		{plain(1413, 1380), line.MethodGain},
		{plain(1413, 1380, 1413, 1384, 1413, 1381), line.MethodGain},
		{plain(706, 690, 1413, 1380), line.MethodTwoPoint},
		{stated(plain(706, 690, 1413, 1380), 2, 2), line.MethodTwoPoint},
		{three(), line.MethodOrdinary},
		{stated(three(), 4, -1), line.MethodWeighted},
		{stated(three(), -1, 4), line.MethodOrdinary},
		{stated(three(), 4, 3), line.MethodErrorsInBoth},
	} {
		r := must(t, c.rows, Options{})
		require.Equal(t, c.want, r.Fit.Method)
		require.True(t, r.Chosen)
		require.NotEmpty(t, r.Why)
	}
	r := must(t, three(), Options{Method: line.MethodGain})
	require.False(t, r.Chosen)
}

// JCGM 106:2012: with one reference the probability is the plain normal one. The figures are those
// of testdata/published/conformity_jcgm106_results.csv, own_ec (0.945169) and the Zener diode of
// clause 7 (0.92), laid out as an error against its limits.
func TestVerdictOfOneReference(t *testing.T) {
	rows := stated(plain(1.413, 1.425), 0.006, 0.008) // u = 0.01
	r := must(t, rows, Options{Tolerance: absolute(0.028)})
	require.InDelta(t, 0.945169037058609, r.PWithin, 1e-6)
	require.Equal(t, conformity.Undecided, r.Verdict)
	require.InDelta(t, 0.012, r.WorstError, 1e-12)

	r = must(t, rows, Options{Tolerance: absolute(0.030)})
	require.Equal(t, conformity.Pass, r.Verdict)
	r = must(t, rows, Options{Tolerance: absolute(0.0001)})
	require.Equal(t, conformity.Fail, r.Verdict)
}

// Two references, both errors on the edge of tolerance. Independent errors: (1/2)^2. One stock and
// nothing else: they fail together, 1/2. Half and half: 1/3 (Sheppard 1899).
func TestVerdictCountsSharedErrors(t *testing.T) {
	with := func(own, shared float64) []Row {
		rows := stated(plain(1000, 1020, 2000, 2020), own, 0)
		for i := range rows {
			rows[i].RefSource, rows[i].URefShared = "stock", pointer(shared)
		}
		return rows
	}
	u := 0.5 // far below the tolerance, so that only one limit matters
	for _, c := range []struct{ own, shared, want float64 }{{u, 0, 0.25}, {0, u, 0.5}, {u * math.Sqrt(0.5), u * math.Sqrt(0.5), 1.0 / 3}} {
		rows := with(c.own, c.shared)
		if c.own == 0 {
			// An ordinary line fits what cannot be weighed; the verdict does not depend on it.
			r := must(t, rows, Options{Method: line.MethodTwoPoint, Tolerance: absolute(20)})
			require.InDelta(t, c.want, r.PWithin, 1e-6)
			continue
		}
		r := must(t, rows, Options{Tolerance: absolute(20)})
		require.InDelta(t, c.want, r.PWithin, 1e-6, "%+v", c)
	}
}

// A bottle read three times is one bottle: its own error does not shrink, and counts once.
func TestRepeatsOfOneBottle(t *testing.T) {
	rows := stated(plain(1000, 1010, 1000, 1010, 1000, 1010), 3, 3)
	for i := range rows {
		rows[i].Bottle = "A"
	}
	r := must(t, rows, Options{Tolerance: absolute(15)})
	u := math.Sqrt(9 + 9.0/3)
	want, err := conformity.Probability(10, u, math.Inf(1), conformity.Around(15))
	require.NoError(t, err)
	require.InDelta(t, want, r.PWithin, 1e-9)
	require.Equal(t, line.MethodGain, r.Fit.Method)
	require.InDelta(t, math.Hypot(3/1010.0, 1000/1010.0*3/1010/math.Sqrt(3)), r.Fit.USlope, 1e-9)

	// Unnamed, they count as three bottles, and the result says so.
	for i := range rows {
		rows[i].Bottle = ""
	}
	r = must(t, rows, Options{Tolerance: absolute(15)})
	require.Contains(t, strings.Join(r.Warnings, "\n"), "count as two bottles")
}

// Without uncertainties the scatter about the line is the witness, with Student's t: s by the
// textbook formula, n - 2 degrees of freedom, in the unit of the readings.
func TestVerdictFromScatter(t *testing.T) {
	rows := plain(100, 101, 200, 199, 300, 301, 400, 399)
	r := must(t, rows, Options{Tolerance: absolute(10)})
	require.Contains(t, r.VerdictBasis, "scatter")
	require.Equal(t, conformity.Pass, r.Verdict)
	// By hand: ref on reading has Sxx = 49604, Sxy = 49800, Syy = 50000 about means of 250. The line
	// is off by e = (ref - a)/b - ref at the ends, 100 and 400, with the covariance of a + b x.
	b := 49800.0 / 49604
	s := math.Sqrt((50000 - 49800*b) / 2)
	const draws = 200000
	rng, in := rand.New(rand.NewPCG(2, 6)), 0
	for range draws {
		w := s / math.Sqrt((math.Pow(rng.NormFloat64(), 2)+math.Pow(rng.NormFloat64(), 2))/2)
		height, tilt := w/2*rng.NormFloat64(), w/math.Sqrt(49604)*rng.NormFloat64()
		ok := true
		for _, ref := range []float64{100, 200, 300, 400} {
			x := 250 + (ref-250)/b
			ok = ok && math.Abs(x-ref+(height+tilt*(x-250))/b) <= 10
		}
		if ok {
			in++
		}
	}
	require.InDelta(t, float64(in)/draws, r.PWithin, 0.002)

	// Two points: nothing to judge by.
	r = must(t, rows[:2], Options{Tolerance: absolute(10)})
	require.True(t, math.IsNaN(r.PWithin))
	require.Equal(t, conformity.Undecided, r.Verdict)
	require.Equal(t, line.NoBasis, r.Fit.Basis)
	require.Contains(t, strings.Join(r.Warnings, "\n"), "no interval")
	require.Contains(t, strings.Join(r.Warnings, "\n"), "no basis for a probability")

	// Without a tolerance there is no verdict at all.
	r = must(t, rows, Options{})
	require.Empty(t, r.Verdict)
	require.True(t, math.IsNaN(r.PWithin) && math.IsNaN(r.WorstError))
}

func TestWorstErrorIsAgainstItsTolerance(t *testing.T) {
	rows := stated(plain(100, 103, 1000, 980, 2000, 2030), 1, 1)
	r := must(t, rows, Options{Tolerance: relative(0.02)})
	require.InDelta(t, 0.03, r.WorstError, 1e-12) // 3 % beats -2 % and 1.5 %
	r = must(t, rows, Options{Tolerance: absolute(25)})
	require.InDelta(t, 30, r.WorstError, 1e-12)
}

// A stock's doubt is warned of where the fit cannot see it, and is not where the fit counts it.
func TestWarnsOfOneDoubtfulStock(t *testing.T) {
	rows := func(uRef bool, shared *float64) []Row {
		rows := plain(706, 690, 1413, 1380, 2767, 2710)
		for i := range rows {
			rows[i].RefSource, rows[i].URefShared = "stock 7", shared
			if uRef {
				rows[i].URef, rows[i].UReading = pointer(3), pointer(3)
			}
		}
		return rows
	}
	for _, c := range []struct {
		name string
		rows []Row
		o    Options
		want string
	}{
		{"unstated share", rows(false, nil), Options{}, "cannot be seen in the scatter"},
		{"stated share, line", rows(false, pointer(10)), Options{}, "up to 1.4 %"},
		{"asked for line", rows(true, pointer(10)), Options{Method: line.MethodOrdinary}, "cannot be seen in the scatter"},
		{"gain without figures", rows(false, nil), Options{Method: line.MethodGain}, "cannot be seen in the scatter"},
		{"share unstated beside u_ref", rows(true, nil), Options{}, "u_ref_shared was not stated"},
	} {
		r := must(t, c.rows, c.o)
		require.Contains(t, strings.Join(r.Warnings, "\n"), c.want, c.name)
		require.Contains(t, strings.Join(r.Warnings, "\n"), "stock 7", c.name)
	}
	r := must(t, rows(true, pointer(10)), Options{})
	require.NotContains(t, strings.Join(r.Warnings, "\n"), "stock 7")
}

// The resolution of a display is a source: a step of 10 adds 10/sqrt(12) (GUM, F.2.2.1), does not
// average out over repeats, and at 300 is 3 %.
func TestResolutionIsASource(t *testing.T) {
	rows := stated(plain(300, 300, 300, 300, 300, 300), 0.5, 0)
	for i := range rows {
		rows[i].Bottle = "A"
	}
	r := must(t, rows, Options{Tolerance: relative(0.02), Resolution: 10})
	want, err := conformity.Probability(0, math.Hypot(0.5, 10/math.Sqrt(12)), math.Inf(1), conformity.Around(6))
	require.NoError(t, err)
	require.InDelta(t, want, r.PWithin, 1e-9)
	require.Contains(t, strings.Join(r.Warnings, "\n"), "steps of 10: at 300 that is 3.3 %")

	// Three bottles, no repeats: each reading gets it.
	r = must(t, stated(plain(300, 300, 600, 600, 900, 900), 0.5, -1), Options{Resolution: 10})
	require.Equal(t, line.MethodErrorsInBoth, r.Fit.Method)
}

// Repeats tell how well a meter repeats where nobody stated it.
func TestRepeatsStandInForUReading(t *testing.T) {
	rows := stated(plain(100, 100, 100, 102, 200, 201, 200, 199, 300, 300, 300, 302), 0.1, -1)
	for i := range rows {
		rows[i].Bottle = string(rune('A' + i/2))
	}
	r := must(t, rows, Options{Tolerance: absolute(8)})
	require.Contains(t, r.VerdictBasis, "repeated readings (3 degrees of freedom)")
	require.Equal(t, line.MethodWeighted, r.Fit.Method)
	require.Equal(t, 3, r.Fit.N, "repeats of one bottle are averaged before weighing")
	require.Contains(t, strings.Join(r.Warnings, "\n"), "--u-reading")
	require.NotNil(t, r.LackOfFit)
	require.Equal(t, "ref", r.LackOfFit.RepeatsOf)
	// By hand: every pair differs by 2, so s = sqrt(3*2/3) = sqrt 2.
	sd, dof := repeatability(r.Rows)
	require.Equal(t, 3, dof)
	require.InDelta(t, math.Sqrt2, sd, 1e-12)
}

func TestZeroPoint(t *testing.T) {
	r := must(t, plain(1413, 1380), Options{Zero: pointer(4), Tolerance: relative(0.03)})
	require.Equal(t, line.MethodTwoPoint, r.Fit.Method)
	require.InDelta(t, 0, r.Fit.Corrected(4), 1e-9)
	require.InDelta(t, 1413, r.Fit.Corrected(1380), 1e-9)
	require.Len(t, r.Rows, 2)
	require.InDelta(t, -33.0/1413, r.WorstError, 1e-12, "zero has no part in a relative verdict")
}

func TestInverseAndAt(t *testing.T) {
	r := must(t, plain(100, 90, 200, 190, 300, 291), Options{At: []float64{150, 400}, InverseOf: []float64{250}})
	require.Len(t, r.At, 2)
	require.True(t, r.At[1].Outside)
	require.Contains(t, strings.Join(r.Warnings, "\n"), "lies outside the readings")
	require.InDelta(t, 250, r.Fit.Corrected(r.Inverse[0].Reading), 1e-9)
	flat := must(t, plain(100, 150, 200, 90, 300, 140, 400, 160), Options{Kind: Other, InverseOf: []float64{250}})
	require.NotEqual(t, line.Bounded, flat.Inverse[0].Shape)
	require.Contains(t, strings.Join(flat.Warnings, "\n"), "unbounded")
}

// Peelle's puzzle: two labels 1.5 and 1.0 of one thing, each 10 % its own and 20 % shared, average to
// 0.88, below both, when the shared part is taken of each label (R.W. Peelle 1987; as told by many
// since). Here as bottles far apart in error: the line is pulled below its points, and it is said.
func TestWarnsOfPull(t *testing.T) {
	rows := plain(1000, 1000, 1550, 1500, 1960, 2000, 2560, 2500)
	for i := range rows {
		rows[i].URef, rows[i].URefShared, rows[i].RefSource = pointer(0.02*rows[i].Ref), pointer(0.2*rows[i].Ref), "stock"
	}
	r := must(t, rows, Options{})
	require.Contains(t, strings.Join(r.Warnings, "\n"), "the shared error pulls the line")
	// Of the strengths planned the shared part pulls nothing.
	for i := range rows {
		rows[i].URefShared = pointer(0.2 * rows[i].Reading)
	}
	r = must(t, rows, Options{})
	require.NotContains(t, strings.Join(r.Warnings, "\n"), "pulls the line")
}
