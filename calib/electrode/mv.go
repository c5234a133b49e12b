package electrode

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// FromMV calibrates an electrode from buffers read in millivolts, on
//
//	E = E7 − f · S(t) · (pH − 7)
//
// with S the ideal slope at each point's own temperature, f the slope fraction
// and E7 the potential at pH 7, where temperature plays no part. Points at
// different temperatures are thus brought onto one line. Two points give the
// line through both; three and more are fitted (generalised distance
// regression where every uncertainty is stated, else ordinary least squares of
// E on S (pH − 7), judged by its scatter). One point gives the offset only.
//
// Errors: no points; a number that is not finite or outside [PHRange],
// [MVRange] or [TemperatureRange]; points that are one buffer
// ([ErrSameBuffer]); a potential that rises with pH ([ErrWrongSign]);
// potentials in volts ([ErrWrongUnit]).
func FromMV(points []Point) (Result, error) {
	r := Result{Basis: ByMV, N: len(points)}
	rows := make([]row, 0, len(points))
	for i, p := range points {
		row, err := newRow(i, p.PH, p.MV, p.TempC)
		if err != nil {
			return Result{}, err
		}
		if err := MVRange().Check(fmt.Sprintf("point %d", i+1), p.MV.Nominal()); err != nil {
			return Result{}, err
		}
		row.perPH = nernst(row.tempC)
		if row.x, err = idealMV(p.PH, row.temp); err != nil {
			return Result{}, err
		}
		row.y = p.MV
		rows = append(rows, row)
	}
	err := r.calibrate(rows)
	return r, err
}

// idealMV is S(t) (pH − 7).
func idealMV(ph, temp uncert.Value) (uncert.Value, error) {
	s, d := nernst(temp.Nominal()), ph.Nominal()-IsopotentialPH
	return uncert.Combine(s*d,
		uncert.Term{Value: ph, Slope: s},
		uncert.Term{Value: temp, Slope: d * s / (temp.Nominal() + ZeroCelsiusK)})
}

// looksLikeVolts is the slope of a sound electrode whose potentials were given
// in volts, as a fraction of the ideal one.
const looksLikeVoltsLow, looksLikeVoltsHigh = 0.0005, 0.00115

// deadBelow is the size of the slope fraction, of either sign, below which the
// potential counts as not moving.
const deadBelow = 0.10

func (r *Result) checkSlope(fraction float64) error {
	switch {
	case r.Basis == ByMV && fraction >= looksLikeVoltsLow && fraction <= looksLikeVoltsHigh:
		return fmt.Errorf("slope %.3g %% of the ideal one; give the potentials in mV (if they are in mV, the electrode is dead: its potential does not move): %w", 100*fraction, ErrWrongUnit)
	case fraction <= -deadBelow && r.Basis == ByMV:
		return fmt.Errorf("slope %.3g %%: the potential rises with pH; it must fall. Look for buffers that changed places or a sign lost on the way: %w", 100*fraction, ErrWrongSign)
	case fraction <= -deadBelow:
		return fmt.Errorf("slope %.3g %%: the display falls while pH rises. Look for buffers that changed places: %w", 100*fraction, ErrWrongSign)
	case math.IsNaN(fraction):
		return fmt.Errorf("slope: %w", ErrNotFinite)
	}
	return nil
}
