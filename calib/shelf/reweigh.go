package shelf

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
)

// CorrectWeighing books a weighing in the place of the last one, which was
// wrong: the loss counts from the version before it. versions are all of the
// bottle's, the first one first. A zero w.At is the time of the weighing that
// was wrong; it may be earlier, but not later, for between the two the wrong one
// would hold. before is the version from which the loss counts.
func CorrectWeighing(versions []logbook.Bottle, w Weighing) (before, next logbook.Bottle, loss *Loss, warnings []string, err error) {
	fail := func(format string, args ...any) (logbook.Bottle, logbook.Bottle, *Loss, []string, error) {
		return logbook.Bottle{}, logbook.Bottle{}, nil, nil, fmt.Errorf("%w: %s", ErrWeighing, fmt.Sprintf(format, args...))
	}
	if len(versions) == 0 {
		return fail("there is no bottle")
	}
	wrong := versions[len(versions)-1]
	if !isWeighing(wrong) {
		return fail("bottle %s was not weighed again, so there is no weighing to correct", wrong.Name)
	}
	if w.At.IsZero() {
		w.At = wrong.Since
	}
	if w.At.After(wrong.Since) {
		return fail("the weighing of bottle %s that was wrong is of %s; want that time, or an earlier one", wrong.Name, wrong.Since.Format(time.RFC3339))
	}
	found := false
	for _, v := range slices.Backward(versions[:len(versions)-1]) {
		if found = v.Since.Before(wrong.Since); found {
			before = v
			break
		}
	}
	if !found {
		return fail("what bottle %s was before its last weighing is not on record", wrong.Name)
	}
	if next, loss, warnings, err = Weigh(before, w); err != nil {
		return before, next, nil, nil, err
	}
	next.Supersedes = wrong.ID
	return before, next, loss, warnings, nil
}

// isWeighing tells whether a version came from [Weigh], by the identity of its
// weighing.
func isWeighing(b logbook.Bottle) bool {
	for _, what := range []string{"full", "left"} {
		if at, ok := strings.CutPrefix(b.Weighing, weighingID(b.Name, what)); ok && !b.Since.IsZero() {
			_, err := time.Parse(time.RFC3339Nano, at)
			return err == nil
		}
	}
	return false
}

// weighingID begins the identity of the error of a weighing by [Weigh], which
// its time ends.
func weighingID(name, what string) string { return fmt.Sprintf("weighing:%s/%s/", name, what) }
