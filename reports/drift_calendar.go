package reports

import "time"

// DriftCalendar makes a calendar of the next checks and the due days. stamp is
// when it is made. A meter that nobody named is "the meter". One that is overdue
// stands there once, today, with the day that was missed in its words.
func DriftCalendar(stamp time.Time, meters ...*Drift) *Calendar {
	c := &Calendar{Stamp: stamp}
	for _, d := range meters {
		name := d.name()
		if d.OverdueSince != nil {
			c.addCheck(name+", overdue since "+dayInWords(*d.OverdueSince), name, d.result.NextCheck, d.Why)
			continue
		}
		c.addCheck(name, name, d.result.NextCheck, d.Why)
		if due := d.result.Due; !due.IsZero() {
			c.Days = append(c.Days, CalendarDay{
				UID: NewUID("due", name), Day: due, Summary: "Due: " + name,
				Description: "From this day on the risk of being outside tolerance exceeds " + d.riskText() +
					", as far as its checks until " + d.Last[:len(dayFormat)] + " tell.",
			})
		}
	}
	return c
}

// Calendar makes a calendar of all meters; those of which nothing is known are
// to be checked today.
func (r *DriftAll) Calendar(stamp time.Time) *Calendar {
	c := DriftCalendar(stamp, r.Meters...)
	for _, u := range r.Unchecked {
		c.addCheck(u.Meter, u.Meter, r.now, u.Why)
	}
	return c
}

// addCheck adds the next check of a meter, in words that may say more than its name.
func (c *Calendar) addCheck(words, name string, day time.Time, why string) {
	c.Days = append(c.Days, CalendarDay{UID: NewUID("next check", name), Day: day, Summary: "Check " + words, Description: sentence(why)})
}
