package watch

import "math"

// Reach is the most that back can be when [Dry.Next] takes the next row: rows
// before that are settled.
func (d *Dry) Reach() int {
	if d.dry || math.IsNaN(d.level) {
		return 0
	}
	return min(d.since, MostBack)
}
