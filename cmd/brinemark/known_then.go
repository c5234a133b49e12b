package main

import (
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/reports"
)

// What the record knew at a time: --now shows how things stood then.

// latestOf is the latest time that counts as known by now, which may be a day;
// and zones differ.
func latestOf(now time.Time) time.Time { return now.Add(aDay) }

// outOfUseOn tells that a meter was retired by the day of a time: now may be a day
// alone, which stands for all of it.
func outOfUseOn(m logbook.Meter, now time.Time) bool {
	return m.Retired() && m.RetiredAt.In(now.Location()).Format(time.DateOnly) <= now.Format(time.DateOnly)
}

// asThen is a meter as it was on a day: one that was retired later was in use.
func asThen(m logbook.Meter, now time.Time) logbook.Meter {
	if !outOfUseOn(m, now) {
		m.RetiredAt = time.Time{}
	}
	return m
}

// leaveOutLater takes from a report what came later than its day, and keeps the
// identities of it.
func leaveOutLater(from *reports.ReportSource) {
	latest := latestOf(from.Now)
	later := func(h logbook.Head, at time.Time) bool {
		if at.After(latest) {
			from.Later = append(from.Later, h.ID)
		}
		return at.After(latest)
	}
	from.Calibrations = without(from.Calibrations, func(c logbook.Calibration) bool { return later(c.Head, c.Time) })
	from.Comparisons = without(from.Comparisons, func(c logbook.Comparison) bool { return later(c.Head, c.Time) })
	from.Events = without(from.Events, func(e logbook.Event) bool { return later(e.Head, e.Time) })
}

func without[T any](list []T, drop func(T) bool) (out []T) {
	for _, x := range list {
		if !drop(x) {
			out = append(out, x)
		}
	}
	return out
}

// bottlesThen are the bottles there were at a time, each in the version that held;
// later are the identities of those made after it.
func bottlesThen(book *logbook.Book, now time.Time) (out []logbook.Bottle, later []string, err error) {
	list, err := book.Bottles(logbook.Current)
	if err != nil {
		return nil, nil, err
	}
	latest := latestOf(now)
	for _, b := range list {
		if b.Since.After(latest) {
			versions, err := book.BottleVersions(b.Name)
			if err != nil {
				return nil, nil, err
			}
			b = logbook.Holding(versions, latest)
		}
		if b.MadeOn > latest.Format(time.DateOnly) {
			later = append(later, b.ID)
			continue
		}
		out = append(out, b)
	}
	return out, later, nil
}
