package watch

// Reach is the most of the rows taken so far that [Dry.Next] may still tell to
// have been dry: rows before that are settled.
func (d *Dry) Reach() int {
	switch {
	case d.state == inAir:
		return 0
	case d.rows > 0:
		return min(d.rows, MostBack)
	case d.state == returning || d.at-d.topAt > int64(topFor):
		return d.since
	}
	return min(d.since+d.belowTop, MostBack)
}
