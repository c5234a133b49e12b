package drift

import (
	"fmt"
	"strconv"

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
	risk := strconv.FormatFloat(100*r.Risk, 'g', 3, 64) + " %"
	switch {
	case r.Tolerance == nil:
		return fmt.Sprintf("%s on %s%s%s, since %s; a tolerance would tell when the drift itself asks for it", check, day(r.NextCheck), with, late, practice)
	case r.Verdict == conformity.Fail:
		return fmt.Sprintf("%s tolerance of %s: %s%s", mend, r.Tolerance, state, late)
	case r.Unsettled:
		return fmt.Sprintf("repeat the last check today with another bottle%s: it lies outside the tolerance of %s and does not fit those before it, so that either the meter or the check is wrong; without it %s",
			late, r.Tolerance, state)
	case r.Due.Equal(midnight(r.Now)):
		return fmt.Sprintf("%s today%s%s, since %s, so that the risk of being outside the tolerance of %s is above %s already (interval from the meter's own drift, %s)", check, with, late, state, r.Tolerance, risk, Guidance)
	case r.NextCheck.Equal(midnight(r.Now)):
		return fmt.Sprintf("%s today%s%s, since the last check was on %s and %s; %s", check, with, late, day(r.Last), practice, state)
	case !r.Due.IsZero() && !r.Due.After(r.NextCheck):
		return fmt.Sprintf("%s on %s%s, since %s, so that the risk of being outside the tolerance of %s exceeds %s from that day on (interval from the meter's own drift, %s)",
			check, day(r.NextCheck), with, state, r.Tolerance, risk, Guidance)
	case r.Due.IsZero():
		return fmt.Sprintf("%s on %s%s, since %s, although the drift alone (%s) would leave the risk of being outside the tolerance of %s below %s for five years",
			check, day(r.NextCheck), with, practice, state, r.Tolerance, risk)
	}
	return fmt.Sprintf("%s on %s%s, since %s, although the drift alone (%s) would leave the risk of being outside the tolerance of %s below %s until %s",
		check, day(r.NextCheck), with, practice, state, r.Tolerance, risk, day(r.Due))
}
