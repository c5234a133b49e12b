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

// group is one reference of the bench: the rows that read it.
type group struct{ rows []int }

// groups gathers rows of one bottle and one reference value. Rows without a bottle stand alone
// where their uncertainty is stated (they count as different bottles), and otherwise go with the
// rows of the same value.
func groups(rows []Row) []group {
	type key struct {
		bottle string
		ref    float64
		alone  int
	}
	var list []group
	at := map[key]int{}
	for i, r := range rows {
		k := key{bottle: r.Bottle, ref: r.Ref}
		if r.Bottle == "" && r.URef != nil {
			k.alone = i + 1
		}
		g, ok := at[k]
		if !ok {
			g = len(list)
			at[k] = g
			list = append(list, group{})
		}
		list[g].rows = append(list[g].rows, i)
	}
	return list
}

// pooled makes one row of each group: the mean reading, with the doubt of the mean.
func pooled(rows []Row, gs []group, d doubt) ([]Row, doubt) {
	out := make([]Row, len(gs))
	var p doubt
	p.refOwn, p.readOwn = nilOr(d.refOwn, len(gs)), nilOr(d.readOwn, len(gs))
	p.refShared, p.readShared = blank(d.refShared, len(gs)), blank(d.readShared, len(gs))
	for j, g := range gs {
		out[j] = rows[g.rows[0]]
		k := float64(len(g.rows))
		var mean float64
		for _, i := range g.rows {
			mean += rows[i].Reading / k
			if d.refOwn != nil {
				p.refOwn[j] = math.Hypot(p.refOwn[j], d.refOwn[i]/k)
			}
			if d.readOwn != nil {
				p.readOwn[j] = math.Hypot(p.readOwn[j], d.readOwn[i]/k)
			}
			for s := range d.refShared {
				p.refShared[s][j] += d.refShared[s][i] / k
			}
			for s := range d.readShared {
				p.readShared[s][j] += d.readShared[s][i] / k
			}
		}
		out[j].Reading = mean
	}
	// A shared part that reaches one reference only is that reference's own.
	p.refOwn, p.refShared = absorb(p.refOwn, p.refShared)
	p.readOwn, p.readShared = absorb(p.readOwn, p.readShared)
	return out, p
}

func nilOr(v []float64, n int) []float64 {
	if v == nil {
		return nil
	}
	return make([]float64, n)
}

func blank(like [][]float64, n int) [][]float64 {
	out := make([][]float64, len(like))
	for i := range out {
		out[i] = make([]float64, n)
	}
	return out
}

func absorb(own []float64, shared [][]float64) ([]float64, [][]float64) {
	if own == nil {
		return own, shared
	}
	var rest [][]float64
	for _, s := range shared {
		reach, last := 0, 0
		for i, v := range s {
			if v != 0 {
				reach, last = reach+1, i
			}
		}
		if reach > 1 {
			rest = append(rest, s)
		} else if reach == 1 {
			own[last] = math.Hypot(own[last], s[last])
		}
	}
	return own, rest
}
