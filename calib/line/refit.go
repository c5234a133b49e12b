package line

// Refit fits the same method to other points of the same covariances and returns the line alone:
// for simulations, which do it a hundred thousand times. The covariances of p are taken as checked,
// and errors in both starts from f's slope instead of searching.
func (f *Fit) Refit(p Points) (intercept, slope float64, err error) {
	switch f.Method {
	case MethodErrorsInBoth:
		m, err := iterate(p, f.Slope)
		if err != nil {
			return 0, 0, err
		}
		return m.value - m.slope*m.x0, m.slope, nil
	case MethodWeighted:
		w, err := whiten(p.CovY)
		if err != nil {
			return 0, 0, err
		}
		s := w.step(p.X, p.X, p.Y)
		return s.value - s.slope*s.x0, s.slope, nil
	}
	g, err := f.Method.Fit(Points{X: p.X, Y: p.Y})
	if err != nil {
		return 0, 0, err
	}
	return g.Intercept, g.Slope, nil
}
