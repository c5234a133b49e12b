package drift

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/conformity"
)

// why says in one sentence how the next check was chosen.
func (r *Result) why() string {
	practice := fmt.Sprintf("%s (common practice; on a first choice see %s)", r.Practice.Text, FirstChoice)
	with := ""
	if r.bottleInDoubt() {
		with = " with a fresh bottle"
	}
	check, mend := "check", "adjust, clean or replace the meter and check it again today, since it is outside its"
	if r.logged { // nobody knows which of the two it is
		check, mend = "read both probes in one bottle", "read both probes in one bottle today, since they are further apart than the"
	}
	late := ""
	if !r.OverdueSince.IsZero() {
		late = fmt.Sprintf(" (overdue since %s)", r.OverdueSince.Format("2 January 2006"))
	}
	state := fmt.Sprintf("the error is %s now and moves by %s per 30 days", r.errorText(r.Error.Value, r.Error.U), r.errorText(r.Rate.Value, r.Rate.U))
	bounds := ""
	if r.Tolerance != nil {
		bounds = strings.Replace(r.Tolerance.String(), "%", " %", 1)
	}
	risk := strconv.FormatFloat(100*r.Risk, 'g', 3, 64) + " %"
	switch {
	case r.Tolerance == nil:
		return fmt.Sprintf("%s on %s%s%s, since %s; a tolerance would tell when the drift itself asks for it", check, day(r.NextCheck), with, late, practice)
	case r.Verdict == conformity.Fail:
		return fmt.Sprintf("%s tolerance of %s: %s%s", mend, bounds, state, late)
	case r.Unsettled:
		return fmt.Sprintf("repeat the last check today with another bottle%s: it lies outside the tolerance of %s and does not fit those before it, so that either the meter or the check is wrong; without it %s",
			late, bounds, state)
	case r.seenLately():
		return fmt.Sprintf("adjust the meter in a bottle, or correct what it shows, and then check it%s: it is unlikely to be within the tolerance of %s (%s), and the check of %s fits those before it, so that another alone would tell little more",
			late, bounds, state, day(r.Last))
	case r.Due.Equal(midnight(r.Now)):
		return fmt.Sprintf("%s today%s%s, since %s, so that the risk of being outside the tolerance of %s is above %s already (interval from the meter's own drift, %s)", check, with, late, state, bounds, risk, Guidance)
	case r.NextCheck.Equal(midnight(r.Now)):
		return fmt.Sprintf("%s today%s%s, since the last check was on %s and %s; %s", check, with, late, day(r.Last), practice, state)
	case !r.Due.IsZero() && !r.Due.After(r.NextCheck):
		return fmt.Sprintf("%s on %s%s, since %s, so that the risk of being outside the tolerance of %s exceeds %s from that day on (interval from the meter's own drift, %s)",
			check, day(r.NextCheck), with, state, bounds, risk, Guidance)
	case r.Due.IsZero():
		return fmt.Sprintf("%s on %s%s, since %s, although the drift alone (%s) would leave the risk of being outside the tolerance of %s below %s for five years",
			check, day(r.NextCheck), with, practice, state, bounds, risk)
	}
	return fmt.Sprintf("%s on %s%s, since %s, although the drift alone (%s) would leave the risk of being outside the tolerance of %s below %s until %s",
		check, day(r.NextCheck), with, practice, state, bounds, risk, day(r.Due))
}

// hardlyWithin is the probability of being within tolerance below which a meter is
// to be mended, and lately how old a check may be that then need not be repeated
// first.
const hardlyWithin, lately = 0.3, 7 * 24 * time.Hour

// seenLately tells that a meter is likely outside its tolerance, and that its last
// check, some days ago, leaves little for another to find: it and the readings
// near it fit those before, and no bottle is in doubt.
func (r *Result) seenLately() bool {
	if r.logged || r.bottleInDoubt() || !(r.PWithin < hardlyWithin) || r.NextCheck.After(midnight(r.Now)) || r.Now.Sub(r.Last) > lately {
		return false
	}
	for _, c := range r.Checks {
		if r.Last.Sub(c.Time) <= visitLasts && c.Wrong > mayBeWrong {
			return false
		}
	}
	return true
}
