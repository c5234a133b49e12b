package check

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/line"
)

// What cannot be calibrated from is refused, with the row and column to blame.
func TestRefusesAndPoints(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	three := func() []Row { return plain(706, 690, 1413, 1380, 2767, 2710) }
	set := func(rows []Row, i int, change func(*Row)) []Row { change(&rows[i]); return rows }
	for _, c := range []struct {
		name   string
		rows   []Row
		o      Options
		row    int // -1: no row is to blame
		column Column
		cause  error
	}{
		{"nothing", nil, Options{}, -1, "", line.ErrTooFew},
		{"not a number", set(three(), 1, func(r *Row) { r.Reading = nan }), Options{}, 1, ColumnReading, ErrOutOfRange},
		{"infinite", set(three(), 2, func(r *Row) { r.Ref = inf }), Options{}, 2, ColumnRef, ErrOutOfRange},
		{"constant readings", plain(706, 500, 1413, 500, 2767, 500), Options{}, 2, ColumnReading, line.ErrConstantX},
		{"equal references", plain(1413, 1380, 1413, 1384, 1413, 1381), Options{Method: line.MethodOrdinary}, 2, ColumnRef, line.ErrConstantY},
		{"negative u_ref", set(three(), 0, func(r *Row) { r.URef = pointer(-1) }), Options{}, 0, ColumnURef, ErrOutOfRange},
		{"negative u_reading", set(three(), 2, func(r *Row) { r.UReading = pointer(-1) }), Options{}, 2, ColumnUReading, ErrOutOfRange},
		{"NaN u", set(three(), 2, func(r *Row) { r.UReading = pointer(nan) }), Options{}, 2, ColumnUReading, ErrOutOfRange},
		{"u_ref in some rows", set(three(), 1, func(r *Row) { r.URef = pointer(1) }), Options{}, 0, ColumnURef, ErrMixed},
		{"u_reading in some rows", set(stated(three(), 1, 1), 2, func(r *Row) { r.UReading = nil }), Options{}, 2, ColumnUReading, ErrMixed},
		{"zero uncertainty on everything", stated(three(), 0, 0), Options{}, 0, ColumnURef, line.ErrAllExact},
		{"zero uncertainty, errors in both", stated(three(), 0, 0), Options{Method: line.MethodErrorsInBoth}, 0, ColumnURef, line.ErrAllExact},
		{"zero uncertainty of all that weighs", stated(three(), 0, -1), Options{Method: line.MethodWeighted}, 0, ColumnURef, line.ErrAllExact},
		{"repeats of a bottle read exactly", bottled(stated(plain(706, 690, 706, 691, 1413, 1380), 2, 0), "A", "A", "B"), Options{}, 1, ColumnUReading, line.ErrNotPositive},
		{"a reference of 0 for a gain", plain(0, 3), Options{Kind: Other, Method: line.MethodGain}, 0, ColumnRef, ErrOutOfRange},
		{"two bottles for a robust line", bottled(plain(706, 690, 706, 691, 1413, 1380), "A", "A", "B"), Options{Method: line.MethodTheilSen}, -1, "", line.ErrTooFew},
		{"one exact reference among weighted", set(stated(three(), 2, -1), 1, func(r *Row) { r.URef = pointer(0) }), Options{}, 1, ColumnURef, line.ErrNotPositive},
		{"covariance not positive definite", sharing(stated(three(), 0, -1), 5), Options{}, 1, ColumnURef, line.ErrNotPositive},
		{"more parameters than points", plain(1413, 1380), Options{Method: line.MethodOrdinary}, -1, "", line.ErrTooFew},
		{"one point for two", plain(1413, 1380), Options{Method: line.MethodTwoPoint}, -1, "", line.ErrTooFew},
		{"three for two", three(), Options{Method: line.MethodTwoPoint}, -1, "", line.ErrTooMany},
		{"two for a robust line", plain(706, 690, 1413, 1380), Options{Method: line.MethodTheilSen}, -1, "", line.ErrTooFew},
		{"weighted without u_ref", three(), Options{Method: line.MethodWeighted}, 0, ColumnURef, line.ErrNotStated},
		{"errors in both without u_reading", stated(three(), 1, -1), Options{Method: line.MethodErrorsInBoth}, 0, ColumnUReading, line.ErrNotStated},
		{"errors in both without u_ref", stated(three(), -1, 1), Options{Method: line.MethodErrorsInBoth}, 0, ColumnURef, line.ErrNotStated},
		{"reading of 0 for a gain", plain(1413, 0), Options{}, 0, ColumnReading, line.ErrZeroReading},
		{"mS/cm beside uS/cm", plain(706, 0.690, 1413, 1.380), Options{}, 0, ColumnReading, ErrWrongUnit},
		{"one row a thousand off", plain(706, 690, 1413, 1.380, 2767, 2710), Options{}, 1, ColumnReading, ErrWrongUnit},
		{"a thousand too large", plain(1.413, 1380, 2.767, 2710), Options{}, 0, ColumnReading, ErrWrongUnit},
		{"negative conductivity", plain(-1413, 1380), Options{}, 0, ColumnRef, ErrOutOfRange},
		{"humidity over 100", plain(75.3, 74, 110, 90), Options{Kind: Humidity}, 1, ColumnRef, ErrOutOfRange},
		{"no pH", plain(4, 4.1, 70, 7), Options{Kind: PH}, 1, ColumnRef, ErrOutOfRange},
		{"potential for a pH", plain(4, 170, 7, 2), Options{Kind: PH}, 0, ColumnReading, ErrWrongUnit},
		{"Fahrenheit beside a reading", set(three(), 1, func(r *Row) { r.TempC = pointer(68) }), Options{}, 1, ColumnTempC, ErrOutOfRange},
		{"a thermometer in Fahrenheit", plain(0, 32.2, 100, 211), Options{Kind: Temperature}, 1, ColumnReading, ErrWrongUnit},
		{"share without a source", set(three(), 1, func(r *Row) { r.URefShared = pointer(3) }), Options{}, 1, ColumnRefSource, ErrNoSource},
		{"share in some rows of a source", set(sharing(three(), 5), 1, func(r *Row) { r.URefShared = nil }), Options{}, 1, ColumnURefShared, ErrMixed},
		{"mv in some rows", set(plain(4, 4.1, 7, 7), 1, func(r *Row) { r.MV = pointer(2) }), Options{Kind: PH}, 0, ColumnMV, ErrMixed},
		{"a percentage of nothing", plain(0, 3), Options{Tolerance: relative(0.02), Method: line.MethodGain}, 0, ColumnRef, ErrOutOfRange},
		{"--at is no number", three(), Options{At: []float64{nan}}, -1, "", ErrOptions},
		{"negative resolution", three(), Options{Resolution: -1}, -1, "", ErrOutOfRange},
		{"negative u_at", three(), Options{UAt: -1}, -1, "", ErrOutOfRange},
		{"negative u for all", three(), Options{URef: &Size{Value: -1}}, -1, "", ErrOutOfRange},
		{"zero point of a thermometer", three(), Options{Kind: Temperature, Zero: pointer(0)}, -1, "", ErrOptions},
		{"negative u of potentials", three(), Options{UMV: pointer(-1)}, -1, "", ErrOutOfRange},
	} {
		r, err := Run(c.rows, c.o)
		require.Error(t, err, c.name)
		require.Nil(t, r, c.name)
		require.ErrorIs(t, err, c.cause, c.name)
		require.NotContains(t, err.Error(), "\n", c.name)
		if c.row < 0 {
			continue
		}
		var at *RowError
		require.ErrorAs(t, err, &at, c.name)
		require.Equal(t, c.row, at.Row, c.name)
		require.Equal(t, c.column, at.Column, c.name)
		require.NotEmpty(t, at.Want, c.name)
		require.NotEmpty(t, at.Name, c.name)
	}
}

// bottled names the bottles of the rows.
func bottled(rows []Row, names ...string) []Row {
	for i := range rows {
		rows[i].Bottle = names[i%len(names)]
	}
	return rows
}

// sharing makes all rows come from one stock.
func sharing(rows []Row, u float64) []Row {
	for i := range rows {
		rows[i].RefSource, rows[i].URefShared = "stock", pointer(u)
	}
	return rows
}

// A raw signal may be of any size: there a thousandfold ratio is only worth a word.
func TestThousandIsAWarningForOther(t *testing.T) {
	r := must(t, plain(1, 1010, 2, 2010, 3, 3020), Options{Kind: Other})
	require.Contains(t, r.Warnings[0], "a thousand times larger")
}

// No rows and options of any size make it panic or return a result without a finite line.
func FuzzRun(f *testing.F) {
	f.Add(706.0, 690.0, 1413.0, 1380.0, 2767.0, 2710.0, 1.0, 1.0, 0.02, uint8(0))
	f.Add(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, uint8(3))
	f.Add(1e308, 1e-308, -1e308, 5.0, 5.0, 5.0, 1e300, 1e-300, 1e3, uint8(5))
	f.Add(1e308, 1e-308, -1e308, 5.0, 5.0, 5.0, 1e300, 1e-300, 1e3, uint8(6<<5+2))
	f.Add(1.0, 1e-300, 2.0, 2e-300, 3.0, 3e-300, 1.0, 1.0, 1.0, uint8(6<<5+2))
	f.Add(1.0, 1e200, 2.0, 2e200, 3.0, 3e200, 1.0, 1.0, 1.0, uint8(6<<5+8+4))
	f.Fuzz(func(t *testing.T, r1, x1, r2, x2, r3, x3, u, v, tolerance float64, method uint8) {
		rows := plain(r1, x1, r2, x2, r3, x3)
		if method&8 != 0 {
			rows = stated(rows, u, v)
		}
		if method&16 != 0 {
			rows = sharing(rows, math.Abs(u))
		}
		o := Options{Kind: Kinds()[int(method>>5)%len(Kinds())], At: []float64{x1}}
		if k := int(method & 7); k < len(line.Methods()) {
			o.Method = line.Methods()[k]
		}
		if tolerance > 0 && !math.IsInf(tolerance, 0) {
			o.Tolerance = relative(tolerance)
		}
		r, err := Run(rows, o)
		if err != nil {
			return
		}
		require.False(t, math.IsNaN(r.Fit.Slope) || math.IsInf(r.Fit.Slope, 0), "slope %g", r.Fit.Slope)
		require.False(t, math.IsNaN(r.Fit.Intercept) || math.IsInf(r.Fit.Intercept, 0), "intercept %g", r.Fit.Intercept)
		if !math.IsNaN(r.PWithin) {
			require.True(t, r.PWithin >= 0 && r.PWithin <= 1, "%g", r.PWithin)
		}
	})
}
