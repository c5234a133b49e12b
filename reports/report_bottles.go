package reports

import (
	"errors"
	"slices"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// ReportBottle is a version of a bottle that the meter was held against.
type ReportBottle struct {
	BottleEntry
	Readings int    `json:"readings"`
	First    string `json:"first_used"` // days
	Last     string `json:"last_used"`
	// Display is what this meter should show in it at 25 C.
	Display  Number            `json:"display_at_25_C"`
	UDisplay Number            `json:"u_display_at_25_C"`
	Unit     *string           `json:"display_unit"`
	Budget   List[BudgetShare] `json:"budget"`
	Source   *string           `json:"source"`  // the publication behind its value
	RefFrom  List[string]      `json:"sources"` // named in the readings: a stock, a maker
	Past     bool              `json:"past_date"`
}

// addBottles finds the versions of bottles that readings were held against, by
// name and version.
func (r *Report) addBottles(from ReportSource) {
	for _, versions := range from.Bottles {
		for _, b := range versions {
			used := ReportBottle{BottleEntry: newBottleEntry(b)}
			for _, c := range r.Calibrations {
				for _, reading := range c.Readings {
					if wordOrEmpty(reading.BottleID) == b.ID {
						used.count(reading)
					}
				}
			}
			if used.Readings == 0 {
				continue
			}
			used.Past = b.BestBefore != "" && used.Last > b.BestBefore
			r.tellWorth(&used, b, from.Meter)
			r.Bottles = append(r.Bottles, used)
		}
	}
	slices.SortStableFunc(r.Bottles, func(a, b ReportBottle) int { return compareText(a.Bottle, b.Bottle) })
}

func (b *ReportBottle) count(reading ReportReading) {
	on := day(reading.Time)
	if b.Readings == 0 || on < b.First {
		b.First = on
	}
	b.Last = max(b.Last, on)
	b.Readings++
	if s := wordOrEmpty(reading.RefSource); s != "" && !slices.Contains(b.RefFrom, s) {
		b.RefFrom = append(b.RefFrom, s)
	}
}

// tellWorth fills in where the bottle's value comes from, and what the meter
// should show in it.
func (r *Report) tellWorth(used *ReportBottle, b logbook.Bottle, m logbook.Meter) {
	standard := uncert.Exact(solutions.StrengthTempC)
	if v, err := shelf.True(b, standard); err != nil {
		r.Warnings = append(r.Warnings, err.Error())
	} else {
		used.Budget = relativeBudget(v)
	}
	if source, err := shelf.Source(b); err == nil {
		used.Source = wordOrNull(source)
	}
	v, err := shelf.On(b, m, standard)
	switch {
	case errors.Is(err, shelf.ErrQuantity):
		r.Warnings = append(r.Warnings, err.Error())
	case err == nil:
		used.Display, used.UDisplay, used.Unit = Known(v.Nominal()), Maybe(v.U(), shelf.Stated(b)), wordOrNull(m.Unit)
	}
}
