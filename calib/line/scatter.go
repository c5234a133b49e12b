package line

// exactScatter is the scatter, as a fraction of the largest reference, up to which points lie exactly
// on a line: what the arithmetic leaves.
const exactScatter = 1e-12

// judgeByScatter lets the uncertainties rest on the residuals; unit is the parameters' covariance for
// points that scatter by 1.
func (f *Fit) judgeByScatter(unit centred) {
	f.Basis, f.unit = FromScatter, unit
	f.scatterBy(f.ResidualSD)
}

func (f *Fit) scatterBy(sd float64) {
	f.PointSD = sd
	c := f.unit
	c.va, c.vb, c.cab = c.va*sd*sd, c.vb*sd*sd, c.cab*sd*sd
	f.setCovariance(c)
}

// Exact tells that the points lie on the line to the last digits. That is no proof of perfect points:
// a display hides what is finer than its step.
func (f *Fit) Exact() bool { return f.DoF > 0 && f.ResidualSD <= exactScatter*f.size }

// RaiseScatter makes the uncertainties of a fit FromScatter rest on a standard deviation of the
// points of at least sd, in the unit of the references: what is known to be there, such as the step
// of the display, though these few points may hide it. The degrees of freedom stay, which is on the
// safe side. Other fits are left as they are.
func (f *Fit) RaiseScatter(sd float64) {
	if f.Basis == FromScatter && sd > f.PointSD {
		f.scatterBy(sd)
	}
}

// DropInterval takes the uncertainties back: Basis becomes NoBasis.
func (f *Fit) DropInterval() { f.noCovariance() }
