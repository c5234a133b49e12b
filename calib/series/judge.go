package series

// judge looks at the rows of a log in their order: it flags what only their
// neighbours show and sums up.
type judge struct {
	plan    Plan
	summary Summary
	latest  int64
}

func newJudge(plan Plan) *judge {
	j := &judge{plan: plan, latest: noTime}
	j.summary.Columns = make([]ColumnSummary, len(plan.Probes))
	return j
}

// block judges a block whose rows are corrected. before is the one before it,
// not yet written, or nil.
func (j *judge) block(b, before *block) {
	for i, t := range b.times {
		if t == noTime {
			continue
		}
		j.summary.Rows++
		if t < j.latest {
			j.summary.Backwards++
		} else {
			j.latest = t
		}
		for k := range b.columns {
			j.summary.Columns[k].Flagged[b.columns[k].flags[i]]++
		}
	}
}
