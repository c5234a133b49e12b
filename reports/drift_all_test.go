package reports_test

import (
	"testing"
	"time"

	"github.com/brinemark/brinemark/reports"
	"github.com/stretchr/testify/assert"
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
