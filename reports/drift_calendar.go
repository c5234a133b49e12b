package reports

import "time"

// DriftCalendar makes a calendar of the next checks and the due days. stamp is
// when it is made. A meter that nobody named is "the meter".
func DriftCalendar(stamp time.Time, meters ...*Drift) *Calendar {
	c := &Calendar{Stamp: stamp}
	for _, d := range meters {
		name := d.name()
		c.Days = append(c.Days, CalendarDay{
			UID: NewUID("next check", name), Day: d.result.NextCheck,
			Summary: "Check " + name, Description: sentence(d.Why),
		})
		if due := d.result.Due; !due.IsZero() {
			c.Days = append(c.Days, CalendarDay{
				UID: NewUID("due", name), Day: due, Summary: "Due: " + name,
				Description: "From this day on the risk of being outside tolerance exceeds " + trimZeros(Significant(100*d.Risk, 3)) +
					" %, as far as its checks until " + d.Last[:len(dayFormat)] + " tell.",
			})
		}
	}
	return c
}
