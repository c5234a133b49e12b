package line

import "math"

// Offset fits corrected = reading + intercept, a meter that is off by the same amount everywhere:
//
//	intercept = mean(Y - X)
//
// It is all that a reference of 0 can show. Where CovY is given (and CovX, if known) the stated
// covariance is carried through the mean; otherwise the scatter decides, with n - 1 degrees of
// freedom, and one point alone has no basis.
func Offset(p Points) (*Fit, error) {
	if err := p.check(1); err != nil {
		return nil, err
	}
	f := newFit(MethodOffset, p, 1)
	n := float64(f.N)
	d := make([]float64, f.N)
	for i := range d {
		d[i] = p.Y[i] - p.X[i]
		f.Leverage[i] = 1 / n
	}
	f.setLine(p, 0, mean(d), 1)
	if f.N == 1 {
		f.Residuals[0] = 0
	}
	switch {
	case p.CovY != nil:
		f.Basis = FromStated
		v := combined(p, 1)
		var all float64
		for i := range d {
			for j := range d {
				all += v.At(i, j)
			}
		}
		f.setCovariance(centred{value: f.Intercept, va: math.Max(0, all) / (n * n)})
		if w, err := whiten(v); err == nil {
			f.Chi2 = w.square(f.Residuals)
		}
		for i := range d {
			var row float64
			for j := range d {
				row += v.At(i, j)
			}
			f.judge(i, v.At(i, i), 2*row/n-all/(n*n))
		}
	case f.DoF > 0:
		f.judgeByScatter(centred{value: f.Intercept, va: 1 / n})
		f.standardiseByScatter()
	default:
		f.noCovariance()
	}
	return f.whole()
}
