package reports

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/shelf"
)

// What a sheet says of bottles that were left out as past their date.

// nothingToRead says why no bottle goes with a meter, and what would help.
func nothingToRead(of SheetOf) error {
	if old := of.old(""); len(old) > 0 {
		return fmt.Errorf("%w: past their date on %s are %s; make fresh ones, or name those to use all the same, as in --bottle %s (bottle weigh says what has evaporated from a solution)",
			ErrNothingToRead, of.Now.Format(time.DateOnly), goodUntil(old), ShellWord(old[0].Name))
	}
	return fmt.Errorf("%w: found %s and %s; want a solution for a meter of ec, or a buffer for one of ph (bottle add, meter add)",
		ErrNothingToRead, counted(len(of.Bottles), "bottle"), counted(len(of.Meters), "meter"))
}

// old are the bottles left out that one of the meters could have read: those of
// one kind, or of any for "".
func (of SheetOf) old(kind string) (out []logbook.Bottle) {
	for _, b := range of.LeftOut {
		k := shelf.Quantity(b)
		if (kind == "" || kind == k) && slices.ContainsFunc(of.Meters, func(m logbook.Meter) bool { return m.Quantity == k }) {
			out = append(out, b)
		}
	}
	return out
}

// mostNamed is how many bottles a message names.
const mostNamed = 8

// goodUntil names bottles with their last good day, those of one day together.
func goodUntil(bottles []logbook.Bottle) string {
	var days, text []string
	of := map[string][]string{}
	for i, b := range bottles {
		if i >= mostNamed {
			break
		}
		if of[b.BestBefore] == nil {
			days = append(days, b.BestBefore)
		}
		of[b.BestBefore] = append(of[b.BestBefore], b.Name)
	}
	for _, day := range days {
		text = append(text, fmt.Sprintf("%s (good until %s)", strings.Join(of[day], ", "), day))
	}
	if more := len(bottles) - mostNamed; more > 0 {
		text = append(text, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(text, ", ")
}
