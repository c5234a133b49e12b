package reports

import "time"

// DriftCalendar makes a calendar of the next checks and the due days. stamp is
// when it is made. A meter that nobody named is "the meter". One that is overdue
// is to be checked today, and its due day stays where it was missed.
func DriftCalendar(stamp time.Time, meters ...*Drift) *Calendar {
	c := &Calendar{Stamp: stamp}
	for _, d := range meters {
		name := d.name()
		words := name
		if d.OverdueSince != nil {
			words += " (overdue since " + dayInWords(*d.OverdueSince) + ")"
		}
		c.addCheck(words, name, d.result.NextCheck, d.Why)
		if d.result.Due.IsZero() {
			continue
		}
		due := CalendarDay{
			UID: NewUID("due", name), Day: d.result.Due, Summary: "Due: " + name,
			Description: "From this day on the risk of being outside tolerance exceeds " + d.riskText() +
				", as far as its checks until " + d.Last[:len(dayFormat)] + " tell.",
		}
		if missed := d.result.OverdueSince; !missed.IsZero() && !due.Day.After(d.result.NextCheck) {
			due.Day, due.Description = missed, "On this day a check was due, by the risk of being outside tolerance or by common practice."
		}
		c.Days = append(c.Days, due)
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
