package check

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
)

// inBuffers makes rows of named buffers at 25 C.
func inBuffers(t *testing.T, readings map[string]float64, names ...string) []Row {
	t.Helper()
	var rows []Row
	for _, name := range names {
		row := Row{TempC: pointer(25), Reading: readings[name]}
		require.NoError(t, row.SetBuffer(name))
		rows = append(rows, row)
	}
	return rows
}

// A buffer's uncertainty comes with its name. Nobody stated anything of the readings: the scatter
// decides, and two buffers have no interval.
func TestLookedUpUncertaintyDoesNotWeigh(t *testing.T) {
	shown := map[string]float64{"4.00": 4.05, "7.00": 7.01, "10.01": 9.93}
	o := Options{Kind: PH, Tolerance: absolute(0.2), At: []float64{6}}
	r := must(t, inBuffers(t, shown, "4.00", "7.00", "10.01"), o)
	assert.Equal(t, line.MethodOrdinary, r.Fit.Method)
	assert.Equal(t, line.FromScatter, r.Fit.Basis)
	assert.Contains(t, r.VerdictBasis, "scatter of the points about their line")
	assert.GreaterOrEqual(t, r.Fit.PointSD, *r.Rows[0].URef, "never below what the buffers are known to")

	r = must(t, inBuffers(t, shown, "4.00", "7.00"), o)
	assert.Equal(t, line.MethodTwoPoint, r.Fit.Method)
	assert.True(t, math.IsNaN(r.At[0].U))
	assert.Contains(t, warned(r), "the uncertainty of the buffers is known, but nothing is known of the readings")

	// With the readings' uncertainty stated, both count; asked for by name, weighted is had.
	o.UReading = &Size{Value: 0.02}
	r = must(t, inBuffers(t, shown, "4.00", "7.00", "10.01"), o)
	assert.Equal(t, line.MethodErrorsInBoth, r.Fit.Method)
	r = must(t, inBuffers(t, shown, "4.00", "7.00", "10.01"), Options{Kind: PH, Method: line.MethodWeighted})
	assert.Equal(t, line.FromStated, r.Fit.Basis)
}

// References that are exact leave the readings as what scatters.
func TestExactReferences(t *testing.T) {
	rows := plain(706, 690, 1413, 1380, 2767, 2710)
	want := must(t, rows, Options{Tolerance: relative(0.05)})
	r := must(t, stated(rows, 0, -1), Options{Tolerance: relative(0.05)})
	assert.Equal(t, line.MethodOrdinary, r.Fit.Method)
	assert.Equal(t, want.Fit.USlope, r.Fit.USlope)
	assert.InDelta(t, want.PWithin, r.PWithin, 1e-12)
	// Two leave nothing to judge the readings by: neither 0 nor 1.
	r = must(t, stated(plain(706, 690, 1413, 1380), 0, -1), Options{Tolerance: relative(0.05)})
	assert.Equal(t, line.NoBasis, r.Fit.Basis)
	assert.True(t, math.IsNaN(r.PWithin))
}

// The zero point's uncertainty is its own: asked for where the others state theirs, never taken from
// them.
func TestZeroPointStatesItsOwn(t *testing.T) {
	rows := stated(plain(1413, 1380), 14, 3)
	_, err := Run(rows, Options{Zero: pointer(4)})
	var at *RowError
	require.ErrorAs(t, err, &at)
	require.Equal(t, 1, at.Row)
	require.Contains(t, at.Want, "--u-zero")
	r := must(t, rows, Options{Zero: pointer(4), UZero: pointer(2)})
	// Two points: the slope is (1413-0)/(1380-4), the intercept its value at 4.
	slope := 1413.0 / 1376
	v := 14*14 + slope*slope*9 // of 1413 - slope*1380
	zero := slope * slope * 4
	assert.InDelta(t, math.Sqrt(v+zero)/1376, r.Fit.USlope, 1e-9)
	_, err = Run(rows, Options{Zero: pointer(4), UZero: pointer(-2)})
	require.ErrorIs(t, err, ErrOutOfRange)
	// Stated in part: the figure stands for the part that is stated.
	r = must(t, stated(plain(706, 690, 1413, 1380), 5, -1), Options{Zero: pointer(4), UZero: pointer(2)})
	assert.Equal(t, line.MethodWeighted, r.Fit.Method)
	assert.Equal(t, 2.0, *r.Rows[2].URef)
}

// Nothing is offered where nothing mends.
func TestNoTrimWhereNoneMends(t *testing.T) {
	failing := plain(4.005, 4.9, 7.00, 7.0, 10.01, 9.2)
	for i := range failing {
		failing[i].TempC, failing[i].MV = pointer(25), pointer(-0.70*59.159*(failing[i].Ref-7))
	}
	for name, c := range map[string]struct {
		rows []Row
		o    Options
		why  string
	}{
		"falling":         {stated(plain(706, 2700, 1413, 1400, 2767, 700), 2, 2), Options{Tolerance: relative(0.02)}, "does not rise with the references"},
		"far from one":    {stated(plain(706, 235, 1413, 471, 2767, 922), 2, 2), Options{Tolerance: relative(0.02)}, "no matter of adjustment"},
		"not from flat":   {plain(100, 100, 200, 260, 300, 240), Options{Tolerance: relative(0.02)}, "not told from flat"},
		"electrode fails": {stated(failing, 0.01, 0.02), Options{Kind: PH, Tolerance: absolute(0.1), UMV: pointer(0.5)}, "the electrode fails"},
	} {
		r := must(t, c.rows, c.o)
		all := strings.Join(r.Advice, "\n")
		assert.Contains(t, all, c.why, name)
		assert.NotContains(t, all, "corrected =", name)
		assert.NotContains(t, all, "set it in", name)
	}
	r := must(t, plain(706, 2700, 1413, 1400, 2767, 700), Options{})
	assert.Contains(t, strings.Join(r.Advice, "\n"), "no trim or correction")
}

// References that are too vague for the tolerance fail the meter by the rule, and the words say what
// it means; nothing is to be adjusted.
func TestVagueReferences(t *testing.T) {
	r := must(t, stated(plain(1413, 1413), 42, 3), Options{Tolerance: relative(0.001)})
	assert.Equal(t, conformity.Fail, r.Verdict)
	all := strings.Join(r.Advice, "\n")
	assert.Contains(t, all, "the references are too uncertain for this tolerance: even a perfect meter could not pass")
	assert.NotContains(t, all, "after an adjustment")
}

// Readings are named as they were typed, buffers by the digits of their table.
func TestNamesNumbersAsTyped(t *testing.T) {
	rows := stated(plain(2, 2.5, 4, 5), 0.01, 0.01)
	rows[0].RefText, rows[0].ReadingText = "2.00", "2.50"
	rows[1].RefText, rows[1].ReadingText = "4.00", "5.00"
	r := must(t, rows, Options{Tolerance: relative(0.02)})
	assert.Contains(t, strings.Join(r.Advice, "\n"), "in the reference of 4.00 so that it shows 4.00 where it shows 5.00 now")
	row := Row{TempC: pointer(19.5)}
	require.NoError(t, row.SetBuffer("phthalate"))
	assert.Len(t, row.RefText, len("3.999"))
	require.NoError(t, row.SetBuffer("7.00"))
	assert.Len(t, row.RefText, len("7.02"))
}

// One reference of a sensor whose zero is not physical: the gain is an assumption, and it is said.
func TestOneReferenceOfAHumiditySensor(t *testing.T) {
	for _, k := range []Kind{Humidity, CO2} {
		r := must(t, stated(plain(75.3, 78), 0.2, 0.5), Options{Kind: k})
		assert.Contains(t, warned(r), "cannot tell a gain from an offset", string(k))
	}
}

// A tolerance in percent says nothing of a logarithm.
func TestRelativeToleranceOfPH(t *testing.T) {
	r := must(t, plain(4, 4.1, 7, 7), Options{Kind: PH, Tolerance: relative(0.02)})
	assert.Contains(t, warned(r), "such as 0.1")
}

// A display that is frozen says nothing, the potentials beside it do.
func TestFrozenDisplayBesidePotentials(t *testing.T) {
	rows := plain(4.005, 7.0, 7.00, 7.0, 10.01, 7.0)
	for i := range rows {
		rows[i].TempC, rows[i].MV = pointer(25), pointer(-0.98*59.159*(rows[i].Ref-7))
	}
	r := must(t, rows, Options{Kind: PH, Tolerance: absolute(0.1)})
	require.NotNil(t, r.Electrode)
	assert.InDelta(t, 98, r.Electrode.SlopePercent.Value, 0.1)
	assert.Equal(t, line.NoBasis, r.Fit.Basis)
	assert.Contains(t, warned(r), "in every buffer: it is frozen")
	assert.NotContains(t, strings.Join(r.Advice, "\n"), "corrected =")
}

// Steam is hotter than a bench; a humidity beyond saturation is no reading.
func TestRangesOfWhatIsShown(t *testing.T) {
	rows := plain(99.6, 99.9)
	rows[0].TempC = pointer(99.6)
	must(t, rows, Options{Kind: Temperature})
	_, err := Run(rows, Options{})
	require.ErrorIs(t, err, ErrOutOfRange)
	_, err = Run(plain(75.3, 130), Options{Kind: Humidity})
	require.ErrorIs(t, err, ErrOutOfRange)
}

// A simulation of many points costs seconds, not hours, and agrees.
func TestMonteCarloOfManyPoints(t *testing.T) {
	if testing.Short() {
		t.Skip("a hundred thousand fits")
	}
	var rows []Row
	for i := range 150 {
		ref := 500 + 20*float64(i)
		rows = append(rows, Row{Ref: ref, Reading: ref*0.99 + float64(i%7-3), URef: pointer(0.005 * ref), UReading: pointer(2),
			RefSource: "stock", URefShared: pointer(0.003 * ref)})
	}
	start := time.Now()
	r := must(t, rows, Options{MonteCarlo: true, Seed: 1, At: []float64{1000}})
	assert.Less(t, time.Since(start), 30*time.Second)
	assert.Empty(t, r.MonteCarlo.Differs)
	assert.InEpsilon(t, r.At[0].U, r.MonteCarlo.At[0].U, 0.03)
}

// What is said is said once.
func TestNoWarningTwice(t *testing.T) {
	var r Result
	r.warn("a")
	r.warn("b")
	r.warn("a")
	assert.Equal(t, []string{"a", "b"}, r.Warnings)
}
