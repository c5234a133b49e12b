package drift

import "time"

// overdue finds since when the meter has waited for a check: the first day after
// the last one on which it was due, by the risk or by common practice, where that
// is before today. The risk is that of the forecast from the last entry on, so the
// day stays the same however late it is asked for; where the last check itself
// found the meter outside tolerance, it is that check's day. What was done to the
// meter after its last check begins the forecast anew. A meter that need not be
// checked before some later day is not overdue.
func (r *Result) overdue(f *forecast) {
	today := midnight(r.Now)
	if r.NextCheck.After(today) {
		return
	}
	zone := r.Now.Location()
	since := midnight(r.Last.In(zone)).AddDate(0, 0, r.Practice.Days)
	if r.Tolerance != nil {
		from := f.line.last.In(zone)
		if days, ok := f.due(from); ok {
			since = earlier(since, midnight(from).AddDate(0, 0, days))
		}
	}
	if since.Before(today) {
		r.OverdueSince = since
	}
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
