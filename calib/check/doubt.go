package check

import (
	"math"

	"github.com/brinemark/brinemark/calib/line"
)

// doubt is what is known of the errors of a set of points, in the unit of the references. Slices
// have one figure per point; nil is unknown.
type doubt struct {
	refOwn    []float64   // references' own errors that no other point shares
	refShared [][]float64 // one row for each source, and for each bottle read more than once
	readOwn   []float64   // readings' own errors
	// readShared holds, for each bottle read more than once, the display's rounding, which the same
	// bottle meets again and again.
	readShared [][]float64
}

// doubtOf gathers what the rows state. resolution is the display's step, 0 where it is not known.
func doubtOf(rows []Row, resolution float64) doubt {
	var d doubt
	n := len(rows)
	bottles := map[string]int{}
	for _, r := range rows {
		bottles[r.Bottle]++
	}
	again := func(i int) bool { return rows[i].Bottle != "" && bottles[rows[i].Bottle] > 1 }
	if rows[0].URef != nil {
		d.refOwn = make([]float64, n)
		common := map[string][]float64{}
		for i, r := range rows {
			if len(r.RefParts) > 0 {
				continue // source by source, below
			}
			if again(i) {
				into(common, r.Bottle, n)[i] = *r.URef
			} else {
				d.refOwn[i] = *r.URef
			}
		}
		d.refShared = append(d.refShared, inOrder(rows, common, func(r Row) string { return r.Bottle })...)
	}
	sources := map[string][]float64{}
	for i, r := range rows {
		if r.URefShared != nil && *r.URefShared > 0 && len(r.RefParts) == 0 {
			into(sources, r.RefSource, n)[i] = *r.URefShared
		}
	}
	d.refShared = append(d.refShared, inOrder(rows, sources, func(r Row) string { return r.RefSource })...)
	d.takeParts(rows)

	if rows[0].UReading == nil && resolution == 0 {
		return d
	}
	d.readOwn = make([]float64, n)
	step := resolution / math.Sqrt(12)
	rounding := map[string][]float64{}
	for i, r := range rows {
		if r.UReading != nil {
			d.readOwn[i] = *r.UReading
		}
		if step == 0 {
			continue
		}
		if again(i) {
			into(rounding, r.Bottle, n)[i] = step
		} else {
			d.readOwn[i] = math.Hypot(d.readOwn[i], step)
		}
	}
	d.readShared = inOrder(rows, rounding, func(r Row) string { return r.Bottle })
	return d
}

// takeParts adds the references' named sources: one that a single row names is its own.
func (d *doubt) takeParts(rows []Row) {
	bySource := map[string][]float64{}
	var order []string
	for i, r := range rows {
		for _, p := range r.RefParts {
			if !p.Stated {
				continue
			}
			if bySource[p.Source.ID] == nil {
				order = append(order, p.Source.ID)
			}
			into(bySource, p.Source.ID, len(rows))[i] = p.Size
		}
	}
	var shared [][]float64
	for _, id := range order {
		shared = append(shared, bySource[id])
	}
	d.refOwn, shared = absorb(d.refOwn, shared)
	d.refShared = append(d.refShared, shared...)
}

func into(m map[string][]float64, key string, n int) []float64 {
	if m[key] == nil {
		m[key] = make([]float64, n)
	}
	return m[key]
}

// inOrder lists the entries of m in the order in which the rows name them.
func inOrder(rows []Row, m map[string][]float64, key func(Row) string) [][]float64 {
	var list [][]float64
	seen := map[string]bool{}
	for _, r := range rows {
		if k := key(r); m[k] != nil && !seen[k] {
			seen[k] = true
			list = append(list, m[k])
		}
	}
	return list
}

// points turns rows and what is known of them into what package line fits. References count as
// known only where their own part is.
func points(rows []Row, d doubt) (line.Points, error) {
	var p line.Points
	for _, r := range rows {
		p.X = append(p.X, r.Reading)
		p.Y = append(p.Y, r.Ref)
	}
	if d.refOwn != nil {
		v, err := line.Covariance(d.refOwn, d.refShared...)
		if err != nil {
			return p, err
		}
		p.CovY = v
	}
	if d.readOwn != nil {
		v, err := line.Covariance(d.readOwn, d.readShared...)
		if err != nil {
			return p, err
		}
		p.CovX = v
	}
	return p, nil
}

// allZero tells that every stated figure of the kind is 0, and that there is one.
func allZero(own []float64, shared [][]float64) bool {
	if own == nil {
		return false
	}
	for _, s := range append([][]float64{own}, shared...) {
		for _, v := range s {
			if v != 0 {
				return false
			}
		}
	}
	return true
}
