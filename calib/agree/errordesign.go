package agree

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"github.com/brinemark/brinemark/calib/quantity"
)

// takeOwn fills in the variance of each point alone. Where no reference has a
// stated uncertainty the scatter has to say it all. Where some have, those stay
// as they are: a reference of unknown uncertainty is taken as no better than
// the worst of the stated ones, and the scatter may say that it is worse.
func (e *errorLine) takeOwn(cells []*cell, allowed []float64) {
	scaled := make([][]float64, len(cells))
	for i, c := range cells {
		scaled[i] = divided(c.values(), allowed[i])
	}
	worst, stated := worstStated(cells, allowed)
	if stated == 0 {
		e.scatterOnly = true
		copy(e.own, e.least)
		return
	}
	e.known, e.scatterOnly = stated == len(cells), true
	repeat, repeatDoF := pooledVariance(scaled)
	for i, c := range cells {
		ref, ok := c.uRef()
		ref /= allowed[i]
		if !ok {
			ref = worst
		}
		if len(c.parts()) > 0 {
			ref = 0 // source by source, in takeShared
		}
		e.own[i] = ref * ref
		reading, stated := c.u()
		switch {
		case stated:
			e.own[i] += reading * reading / (allowed[i] * allowed[i])
		case repeatDoF > 0:
			v := repeat / float64(len(c.rows))
			e.own[i] += max(v, e.least[i])
			e.repeats, e.repeatsDoF = e.repeats+v/float64(len(cells)), repeatDoF
		default:
			e.own[i] += e.least[i]
			e.known = false
		}
		if stated || repeatDoF > 0 || ref > 0 || len(c.parts()) > 0 {
			e.scatterOnly = false
		}
	}
}

// worstStated is the largest standard uncertainty, own and shared together, of
// a reference whose own one is stated, in units of the tolerance; stated counts
// them.
func worstStated(cells []*cell, allowed []float64) (worst float64, stated int) {
	for i, c := range cells {
		own, ok := c.uRef()
		if !ok {
			continue
		}
		stated++
		if shared, ok := c.uShared(); ok {
			own = math.Hypot(own, shared)
		}
		worst = max(worst, own/allowed[i])
	}
	return worst, stated
}

// unstatedBeside returns the samples whose reference has no stated uncertainty
// although others of the cells have, and the cells that have.
func unstatedBeside(cells []*cell) (samples []string, stated []*cell) {
	for _, c := range cells {
		if _, ok := c.uRef(); ok {
			stated = append(stated, c)
		} else {
			samples = append(samples, c.sample)
		}
	}
	if len(stated) == 0 {
		return nil, nil
	}
	return samples, stated
}

// takeShared fills in one row for each source that references share: the one
// they name with u_ref_shared, or each of those named one by one. Of the latter
// one that a single point has is its own.
func (e *errorLine) takeShared(cells []*cell, allowed []float64) {
	row := map[string][]float64{}
	var order []string
	take := func(i int, source string, u float64) {
		if row[source] == nil {
			row[source] = make([]float64, len(cells))
			order = append(order, source)
		}
		row[source][i] = u / allowed[i]
	}
	points := map[string]int{}
	for i, c := range cells {
		parts := c.parts()
		for _, p := range parts {
			if source := "named " + p.Source.ID; p.Stated {
				take(i, source, p.Size)
				points[source]++
			}
		}
		if u, ok := c.uShared(); ok && u != 0 && len(parts) == 0 {
			take(i, "column "+c.source(), u)
		}
	}
	for _, source := range order {
		switch {
		case points[source] != 1:
			e.shared = append(e.shared, row[source])
		case !e.scatterOnly: // else the scatter has it
			for i, u := range row[source] {
				e.own[i] += u * u
			}
		}
	}
}

// design fills in the matrix of the line: a zero and a gain part where the
// references differ, one error in units of the tolerance where they do not. The
// zero part is scaled to the size of the references, so that the equations are
// well conditioned.
func (e *errorLine) design(refs []float64, tolerance quantity.Tolerance) {
	low, high := slices.Min(refs), slices.Max(refs)
	scale := max(math.Abs(low), math.Abs(high))
	row := func(ref float64) []float64 {
		if low == high {
			return []float64{1}
		}
		return []float64{scale / tolerance.At(ref), ref / tolerance.At(ref)}
	}
	p := len(row(low))
	e.x, e.ends = mat.NewDense(len(refs), p, nil), mat.NewDense(2, p, nil)
	for i, ref := range refs {
		e.x.SetRow(i, row(ref))
	}
	e.ends.SetRow(0, row(low))
	e.ends.SetRow(1, row(high))
}

// repeated is the same bench day with n points: the points in turn, again and
// again, each with an own error of its own and the shared errors as they are.
func (e *errorLine) repeated(n int) *errorLine {
	r := *e
	r.x = mat.NewDense(n, e.params(), nil)
	r.y, r.own = make([]float64, n), make([]float64, n)
	r.shared = make([][]float64, len(e.shared))
	for k := range r.shared {
		r.shared[k] = make([]float64, n)
	}
	for i := range n {
		j := i % len(e.y)
		r.x.SetRow(i, e.x.RawRowView(j))
		r.y[i], r.own[i] = e.y[j], e.own[j]
		for k := range r.shared {
			r.shared[k][i] = e.shared[k][j]
		}
	}
	return &r
}
