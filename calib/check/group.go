package check

import "math"

// group is one reference of the bench: the rows that read it.
type group struct{ rows []int }

// sameBottle is how far, as a fraction of the references (or of their range, where that is larger), the
// references of one bottle may differ and still be one reference: it was read at slightly different
// temperatures. A bottle read at clearly different values is as many references.
const sameBottle = 0.02

// groups gathers rows of one bottle. Rows without a bottle stand alone where their uncertainty is
// stated (they count as different bottles), and otherwise go with the rows of the same value.
func groups(rows []Row) []group {
	return gather(rows, func(a, b Row) bool {
		return oneBottle(rows, a, b) || (a.Bottle == "" && b.Bottle == "" && a.URef == nil && a.Ref == b.Ref)
	})
}

// bottles gathers rows of one bottle; those without a bottle's name stand alone.
func bottles(rows []Row) []group {
	return gather(rows, func(a, b Row) bool { return oneBottle(rows, a, b) })
}

func gather(rows []Row, same func(a, b Row) bool) []group {
	var list []group
next:
	for i, r := range rows {
		for g := range list {
			if same(rows[list[g].rows[0]], r) {
				list[g].rows = append(list[g].rows, i)
				continue next
			}
		}
		list = append(list, group{rows: []int{i}})
	}
	return list
}

func oneBottle(rows []Row, a, b Row) bool {
	if a.Bottle == "" || a.Bottle != b.Bottle {
		return false
	}
	if a.Ref == b.Ref {
		return true
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range rows {
		low, high = math.Min(low, r.Ref), math.Max(high, r.Ref)
	}
	return math.Abs(a.Ref-b.Ref) <= sameBottle*math.Max(math.Abs(a.Ref), high-low)
}

// alone makes each row a group.
func alone(n int) []group {
	gs := make([]group, n)
	for i := range gs {
		gs[i].rows = []int{i}
	}
	return gs
}

// distinctRefs counts the values of the references of groups.
func distinctRefs(rows []Row, gs []group) int {
	var refs []float64
	for _, g := range gs {
		refs = append(refs, rows[g.rows[0]].Ref)
	}
	return distinct(refs)
}

// pooled makes one row of each group: the means, with the doubt of the means.
func pooled(rows []Row, gs []group, d doubt) ([]Row, doubt) {
	out := make([]Row, len(gs))
	var p doubt
	p.refOwn, p.readOwn = nilOr(d.refOwn, len(gs)), nilOr(d.readOwn, len(gs))
	p.refShared, p.readShared = blank(d.refShared, len(gs)), blank(d.readShared, len(gs))
	for j, g := range gs {
		out[j] = rows[g.rows[0]]
		k := float64(len(g.rows))
		var mean, ref float64
		for _, i := range g.rows {
			mean += rows[i].Reading / k
			ref += (rows[i].Ref - out[j].Ref) / k
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
		out[j].Reading, out[j].Ref = mean, out[j].Ref+ref
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
