package reports_test

import (
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drifting is a meter with what its urgency goes by; no verdict for "".
func drifting(name, verdict, next string, pWithin reports.Number) *reports.Drift {
	d := &reports.Drift{Meter: &name, NextCheck: next, PWithin: pWithin}
	if verdict != "" {
		d.Verdict = &verdict
	}
	return d
}

func TestDriftAllOrder(t *testing.T) {
	known := reports.Known
	list := []*reports.Drift{
		drifting("no tolerance", "", "2026-03-01", reports.Unknown()),
		drifting("later", "pass", "2026-04-01", known(0.9999)),
		drifting("much later, doubtful", "pass", "2026-05-01", known(0.96)),
		drifting("today, sound", "pass", "2026-03-01", known(0.99)),
		drifting("perhaps the bottle's", "undecided", "2026-03-01", known(0.001)),
		drifting("today, doubtful", "undecided", "2026-03-01", known(0.6)),
		drifting("outside", "fail", "2026-03-01", known(0.04)),
		drifting("far outside", "fail", "2026-03-01", known(0.0001)),
	}
	all := reports.NewDriftAll(time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), list, []reports.DriftWithout{{Meter: "never", Why: "there is no check"}})
	var names []string
	for _, d := range all.Meters {
		names = append(names, *d.Meter)
	}
	assert.Equal(t, []string{"far outside", "outside", "perhaps the bottle's", "today, doubtful", "today, sound", "no tolerance", "later", "much later, doubtful"}, names)
	assert.Equal(t, "no tolerance", *list[0].Meter, "the caller's list stays as it is")
	assert.Equal(t, []string{"fail (far outside)", "fail (outside)", "undecided (perhaps the bottle's)", "undecided (today, doubtful)", "pass",
		"none (no tolerance has no tolerance)", "pass", "pass", "none (never: there is no check)"}, all.Verdicts())
}

// Of meters that are overdue the one that has waited longest comes first, whatever
// its probability; the day that was missed is shown, within the width of a screen.
func TestTheLongestOverdueFirst(t *testing.T) {
	late := func(name, verdict, since string, p float64) *reports.Drift {
		d := drifting(name, verdict, "2026-03-20", reports.Known(p))
		d.OverdueSince, d.Now = &since, "2026-03-20T12:00:00Z"
		return d
	}
	all := reports.NewDriftAll(time.Date(2026, 3, 20, 12, 0, 0, 0, time.UTC), []*reports.Drift{
		drifting("today", "undecided", "2026-03-20", reports.Known(0.01)), drifting("in time", "pass", "2026-03-21", reports.Known(0.97)),
		late("some days", "undecided", "2026-03-17", 0.1), late("longest, sound", "pass", "2026-01-02", 0.999), late("long", "undecided", "2026-03-03", 0.5),
		late("outside", "fail", "2026-03-19", 0.01),
	}, []reports.DriftWithout{{Meter: "never", Why: "there is no check"}})
	var names []string
	for _, d := range all.Meters {
		names = append(names, *d.Meter)
	}
	assert.Equal(t, []string{"outside", "longest, sound", "long", "some days", "today", "in time"}, names)
	var b strings.Builder
	require.NoError(t, all.Table(&b, reports.Style{}))
	text := b.String()
	assert.Contains(t, text, "Overdue: check today\n- outside since 19 March 2026 (1 day)\n- longest, sound since 2 January 2026 (77 days)\n- long since 3 March 2026 (17 days)\n")
	assert.Equal(t, 4, strings.Count(text, "overdue\n"), "in the row of each")
	assert.Less(t, strings.Index(text, "never"), strings.Index(text, "in time"), "a meter never checked is more urgent than one that has time")
}
