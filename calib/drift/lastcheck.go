package drift

import (
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/conformity"
)

// visitLasts is how long after one another checks belong to one visit.
const visitLasts = 24 * time.Hour

// doubtLast takes back a pass that goes against the last visit: a check outside
// tolerance that does not fit those before it is more likely a wrong bottle than
// a broken meter, but until it is repeated nobody knows, and a meter is not
// passed on that. Another check of the same reference after it settles it, as
// does an event.
func (r *Result) doubtLast(t *timeline, o Options) {
	if r.Verdict != conformity.Pass || t.steps[len(t.steps)-1].kind != stepCheck {
		return
	}
	last := len(t.checks) - 1
	seen := map[int]bool{}
	for i := last; i >= 0 && t.checks[i].segment == t.checks[last].segment && r.Last.Sub(t.checks[i].time) <= visitLasts; i-- {
		c, group := &r.Checks[i], t.cluster(t.checks[i].ref)
		if !seen[group] && c.Wrong > 0.5 && math.Abs(c.Error) > o.limit(c.Ref) {
			r.Unsettled = true
		}
		seen[group] = true
	}
	if !r.Unsettled {
		return
	}
	today := midnight(r.Now)
	r.Verdict, r.NextCheck = conformity.Undecided, today
	if day := midnight(r.Last.In(r.Now.Location())); day.Before(today) {
		r.OverdueSince = day
	}
}
