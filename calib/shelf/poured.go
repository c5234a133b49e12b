package shelf

import (
	"fmt"
	"math"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// closedLoss is the most that a closed bottle loses, as a fraction of its
// content: of a week, and in all between two weighings. Plastic and a screw cap
// let through a few tenths of a per cent in a month; what goes beyond these was
// poured out, spilled, or stood open. Common practice, no source.
var closedLoss = struct{ PerWeek, InAll float64 }{PerWeek: 0.01, InAll: 0.05}

// mostLost is the largest loss of a closed bottle since it was weighed last, or
// made, and how long that is; days is negative where nobody knows. The day on
// which it was made counts in full, since its hour is not on record.
func mostLost(b logbook.Bottle, at time.Time) (fraction, days float64) {
	since, whole := b.Since, 0.0
	if since.IsZero() {
		made, err := time.ParseInLocation(time.DateOnly, b.MadeOn, at.Location())
		if err != nil {
			return closedLoss.InAll, -1
		}
		since, whole = made, 1
	}
	days = math.Max(0, at.Sub(since).Hours()/24)
	return math.Min(closedLoss.InAll, closedLoss.PerWeek*(days+whole)/7), math.Floor(days)
}

// poured tells that a loss is more than a closed bottle has, beyond what the
// weighings can explain; "" where it is not.
func poured(b logbook.Bottle, w Weighing, l Loss) string {
	most, days := mostLost(b, w.At)
	fraction := l.Fraction.Nominal()
	if fraction <= most+noise*l.Fraction.U() {
		return ""
	}
	text := fmt.Sprintf("bottle %s is lighter by %.3g g, %.2g %% of its content,", b.Name, l.MassG.Nominal(), 100*fraction)
	if days >= 0 {
		unit := "days"
		if days == 1 {
			unit = "day"
		}
		text += fmt.Sprintf(" after %.0f %s;", days, unit)
	}
	return text + fmt.Sprintf(" a closed bottle loses no more than %g %% a week and %g %% in all (common practice). All of it is booked as evaporated water. "+
		"If a portion was poured out, that is wrong: put it right with --correct and the masses before pouring and after, --mass and --left-mass; "+
		"where it was weighed only after, --mass %gg --left-mass %gg --correct takes nothing for evaporated. If nothing was poured out or spilled, say so with --nothing-poured",
		100*closedLoss.PerWeek, 100*closedLoss.InAll, *b.FullG, w.MassG)
}
