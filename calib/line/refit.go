package line

// refitWhole is the number of points up to which a simulation repeats errors in both in full for
// each draw. Beyond it, where the cost would grow with the cube of the points, a draw keeps
// the weights and the adjusted readings of the fit, which a few errors among so many hardly move.
const refitWhole = 12

// Refitter fits the same method to other readings and references of the same covariances and returns
// the line alone: for simulations, which do it a hundred thousand times. p are the points of f, whose
// covariances are taken as checked; errors in both starts from f's slope instead of searching. whole
// is false where each fit keeps the weights of f.
func (f *Fit) Refitter(p Points) (fit func(x, y []float64) (intercept, slope float64, err error), whole bool, err error) {
	plain := func(x, y []float64) (float64, float64, error) {
		g, err := f.Method.Fit(Points{X: x, Y: y})
		if err != nil {
			return 0, 0, err
		}
		return g.Intercept, g.Slope, nil
	}
	switch {
	case f.Method == MethodErrorsInBoth && len(p.X) <= refitWhole:
		return func(x, y []float64) (float64, float64, error) {
			m, err := iterate(Points{X: x, Y: y, CovX: p.CovX, CovY: p.CovY}, f.Slope)
			if err != nil {
				return 0, 0, err
			}
			return m.value - m.slope*m.x0, m.slope, nil
		}, true, nil
	case f.Method == MethodErrorsInBoth:
		m, err := profile(p, f.Slope)
		if err != nil {
			return nil, false, err
		}
		return m.w.fixed(m.xi), false, nil
	case f.Method == MethodWeighted:
		w, err := whiten(p.CovY)
		if err != nil {
			return nil, false, err
		}
		return w.fixed(p.X), true, nil // the readings are taken as exact, and so the weights stay
	}
	return plain, true, nil
}

// fixed is [whitener.step] with the design at xi kept for all fits: each then costs no more than a
// pass over the points.
func (w whitener) fixed(xi []float64) func(x, y []float64) (intercept, slope float64, err error) {
	weight := w.solve(filled(w.n, 1))
	total := dot(weight, filled(w.n, 1))
	centre := dot(weight, xi) / total
	d := make([]float64, w.n)
	for i := range d {
		weight[i] /= total
		d[i] = xi[i] - centre
	}
	g := w.solve(d)
	return func(x, y []float64) (float64, float64, error) {
		xBar, yBar := dot(weight, x), dot(weight, y)
		var gx, gy float64
		for i := range g {
			gx += g[i] * (x[i] - xBar)
			gy += g[i] * (y[i] - yBar)
		}
		slope := gy / gx
		return yBar - slope*xBar, slope, nil
	}
}
