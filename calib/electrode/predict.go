package electrode

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/uncert"
)

// Prediction is the pH of a sample by the calibrated electrode.
type Prediction struct {
	PH Estimate
	// Outside says that PH lies outside the bracket of the buffers.
	Outside  bool
	Warnings []string
}

// FromMV returns the pH of a sample whose potential is mv (in mV) at tempC:
//
//	pH = 7 + (E − E7) / (−f S(t))
//
// with the uncertainties of the calibration, of mv and of tempC. An
// uncertainty of mv that nobody stated leaves the interval open (nil).
// Errors: a calibration by display ([ErrWrongBasis]), one without a usable
// slope ([ErrNotDetermined]), numbers outside [MVRange] or
// [TemperatureRange].
func (r Result) FromMV(mv, tempC uncert.Value) (Prediction, error) {
	if r.Basis != ByMV {
		return Prediction{}, fmt.Errorf("pH from mV: %w", ErrWrongBasis)
	}
	t := tempC.Nominal()
	if err := TemperatureRange().Check("sample", t); err != nil {
		return Prediction{}, err
	}
	if err := MVRange().Check("sample", mv.Nominal()); err != nil {
		return Prediction{}, err
	}
	s := nernst(t)
	return r.predict(mv, s, uncert.Term{Value: tempC, Slope: 1 / (t + ZeroCelsiusK)})
}

// FromDisplay returns the pH of a sample for which the meter shows reading,
// with the uncertainties of the calibration and of reading. Errors as for
// FromMV.
func (r Result) FromDisplay(reading uncert.Value) (Prediction, error) {
	if r.Basis != ByDisplay {
		return Prediction{}, fmt.Errorf("pH from a display: %w", ErrWrongBasis)
	}
	if err := DisplayRange().Check("sample", reading.Nominal()); err != nil {
		return Prediction{}, err
	}
	return r.predict(reading.Shift(-IsopotentialPH), 1, uncert.Term{})
}

// predict solves y = a + b·perPH·(pH − 7). relative is the term by which perPH
// itself is uncertain, relative to it.
func (r Result) predict(y uncert.Value, perPH float64, relative uncert.Term) (Prediction, error) {
	a, b := r.fit.a, r.fit.b
	if math.Abs(b.Nominal()) <= deadBelow {
		return Prediction{}, ErrNotDetermined
	}
	per := b.Nominal() * perPH
	d := (y.Nominal() - a.Nominal()) / per
	relative.Slope *= -d
	ph, err := uncert.Combine(IsopotentialPH+d,
		uncert.Term{Value: y, Slope: 1 / per},
		uncert.Term{Value: a, Slope: -1 / per},
		uncert.Term{Value: b, Slope: -d / b.Nominal()},
		relative)
	if err != nil {
		return Prediction{}, err
	}
	p := Prediction{PH: r.fit.estimate(ph)}
	if x := p.PH.Value; x < r.LowPH || x > r.HighPH {
		p.Outside = true
		p.Warnings = append(p.Warnings, outsideText(x, r.LowPH, r.HighPH))
	}
	if u := b.U(); u > 0 {
		k := uncert.CoverageFactor(level, r.fit.dof)
		if g := k * u / b.Nominal(); g*g > 0.1 {
			p.Warnings = append(p.Warnings, "the slope itself is so uncertain that the interval, computed to first order, is too narrow away from the buffers")
		}
	}
	return p, nil
}

func outsideText(ph, low, high float64) string {
	if low == high {
		return fmt.Sprintf("pH %.2f is not that of the one buffer, %.2f; the slope to get there was assumed", ph, low)
	}
	return fmt.Sprintf("pH %.2f lies outside the buffers' bracket, %.2f to %.2f: the interval is wider there, and the electrode has not been tried", ph, low, high)
}
