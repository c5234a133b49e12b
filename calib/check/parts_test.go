package check

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/line"
	"github.com/brinemark/brinemark/calib/uncert"
)

func part(id string, size float64) uncert.Contribution {
	return uncert.Contribution{Source: uncert.Source{ID: id, Label: id}, Size: size, Stated: true}
}

// Sources by name that say what u_ref and u_ref_shared say give the same result.
func TestNamedSourcesSayWhatTheColumnsSay(t *testing.T) {
	columns := stated(plain(706, 690, 1413, 1380, 2767, 2710), 4, 3)
	named := stated(plain(706, 690, 1413, 1380, 2767, 2710), 4, 3)
	for i := range columns {
		shared := 0.005 * columns[i].Ref
		for _, rows := range [][]Row{columns, named} {
			rows[i].RefSource, rows[i].URefShared, rows[i].Bottle = "jar", pointer(shared), string(rune('A'+i))
		}
		named[i].RefParts = []uncert.Contribution{part("own:"+named[i].Bottle, 4), part("jar", shared)}
	}
	o := Options{Tolerance: relative(0.05), At: []float64{1000}}
	a, b := must(t, columns, o), must(t, named, o)
	require.Equal(t, line.MethodErrorsInBoth, b.Fit.Method)
	assert.InDelta(t, a.Fit.Slope, b.Fit.Slope, 1e-12)
	assert.InEpsilon(t, a.Fit.USlope, b.Fit.USlope, 1e-9)
	assert.InEpsilon(t, a.At[0].U, b.At[0].U, 1e-9)
	assert.InDelta(t, a.PWithin, b.PWithin, 1e-6)
	assert.Equal(t, a.Verdict, b.Verdict)
	assert.Equal(t, a.Warnings, b.Warnings)

	// Sizes that only the columns have do not count beside the sources.
	for i := range named {
		named[i].URef = pointer(40)
	}
	again := must(t, named, o)
	assert.InEpsilon(t, b.Fit.USlope, again.Fit.USlope, 1e-9)
}

// Two bottles of different jars share their scale, with opposite signs: what one column of a
// shared size cannot say.
func TestNamedSourcesKeepTheirSigns(t *testing.T) {
	rows := func(sign float64) []Row {
		list := stated(plain(700, 700, 1400, 1400), 1, 1)
		list[0].RefParts = []uncert.Contribution{part("a", 1), part("scale", 7)}
		list[1].RefParts = []uncert.Contribution{part("b", 1), part("scale", sign*14)}
		return list
	}
	o := Options{Method: line.MethodErrorsInBoth, At: []float64{1050}}
	same, opposite := must(t, rows(1), o), must(t, rows(-1), o)
	// On both sides of the line a common gain moves it up; opposite errors turn it about the middle.
	assert.Greater(t, same.At[0].U, 2.5*opposite.At[0].U)
	assert.Less(t, same.Fit.UIntercept, opposite.Fit.UIntercept)
}

func TestNamedSourcesNeedTheirSize(t *testing.T) {
	rows := stated(plain(700, 700, 1400, 1400), -1, 1)
	rows[1].RefParts = []uncert.Contribution{part("a", 1)}
	_, err := Run(rows, Options{})
	var at *RowError
	require.ErrorAs(t, err, &at)
	assert.Equal(t, ColumnURef, at.Column)
	assert.Equal(t, 1, at.Row)
	rows = stated(plain(700, 700, 1400, 1400), 1, 1)
	rows[0].RefParts = []uncert.Contribution{part("a", 1), part("a", 2)}
	_, err = Run(rows, Options{})
	require.ErrorAs(t, err, &at)
	assert.Contains(t, err.Error(), "twice")
}

// Bottles of one jar and one thermometer, with weighings of their own: the corrected value's 95 %
// interval covers the truth in 95 of 100 invented bench days. The band is that of the trials, three
// standard deviations wide.
func TestNamedSourcesCoverAsClaimed(t *testing.T) {
	trials := 3000
	if testing.Short() {
		trials = 600
	}
	r := rand.New(rand.NewPCG(2026, 3))
	covered := 0
	for range trials {
		jar, thermometer := r.NormFloat64(), r.NormFloat64()
		var rows []Row
		for i, truth := range []float64{600, 1200, 1900} {
			name := string(rune('A' + i))
			own := r.NormFloat64()
			row := Row{Bottle: name, UReading: pointer(2), URef: pointer(3), RefSource: "record", URefShared: pointer(math.Hypot(0.006*truth, 0.003*truth))}
			row.Ref = truth + 3*own + 0.006*truth*jar - 0.003*truth*thermometer
			row.Reading = (truth-12)/1.03 + 2*r.NormFloat64()
			row.RefParts = []uncert.Contribution{part("weighing:"+name, 3), part("jar", 0.006*truth), part("thermometer", -0.003*truth)}
			rows = append(rows, row)
		}
		at := (1000.0 - 12) / 1.03
		result, err := Run(rows, Options{At: []float64{at}})
		require.NoError(t, err)
		require.Equal(t, line.MethodErrorsInBoth, result.Fit.Method)
		if result.At[0].Low <= 1000 && 1000 <= result.At[0].High {
			covered++
		}
	}
	assert.InDelta(t, 0.95, float64(covered)/float64(trials), 3*math.Sqrt(0.95*0.05/float64(trials)))
}
