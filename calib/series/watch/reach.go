package watch

// Reach is the most that back can be when [Dry.Next] takes the next row: rows
// before that are settled.
func (d *Dry) Reach() int {
	switch {
	case d.state == inAir:
		return 0
	case d.rows > 0:
		return min(d.rows, MostBack)
	}
	return d.since
}
