package drift

import (
	"strings"
	"testing"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A meter that is hardly within tolerance, checked some days ago by a check that
// fits those before it, is not sent to another check: that would hardly tell
// more. Long after a check, where it does not fit, and where the meter is as
// likely within, a check is what helps.
func TestAnotherCheckIsNotTheAdviceRightAfterOne(t *testing.T) {
	const mend, again = "adjust the meter in a bottle, or correct what it shows, and then check it", "check today"
	outside := monthly(5.1, 5.3, 5.2, 5.2)
	for name, c := range map[string]struct {
		list  []Entry
		later int // days, of the last check 10 days ago
		mend  bool
	}{
		"three days after":         {outside, -7, true},
		"on the day":               {outside, -10, true},
		"long after":               {outside, 60, false},
		"as likely within":         {monthly(4.9, 5.1, 5.0, 5.0), -7, false},
		"one that does not fit":    {monthly(0.1, -0.1, 0.1, 6), -7, false},
		"two probes of a tub":      {outside, -7, false},
		"within, and not to check": {monthly(0, 0.1, 0, 0), -7, false},
	} {
		o := laterAsked(asked(), c.later)
		o.Logged = strings.HasPrefix(name, "two probes")
		r := mustRun(t, c.list, o)
		if c.mend {
			require.Equal(t, conformity.Undecided, r.Verdict, name)
			require.Less(t, r.PWithin, 0.3, name)
			assert.Equal(t, day(r.NextCheck), day(r.Now), name)
			assert.Contains(t, r.Why, mend, name)
			assert.NotContains(t, r.Why, again, name)
			assert.Contains(t, r.Why, "the check of 2026-", name)
		} else {
			assert.NotContains(t, r.Why, mend, name)
		}
	}
}

// A tolerance is written as the figures beside it are.
func TestWhyWritesToleranceAndRiskAlike(t *testing.T) {
	for _, list := range [][]Entry{monthly(0, 0.1, 0, 0), monthly(1, 2, 3, 4), monthly(8, 8.1, 7.9, 8.2)} {
		assert.Contains(t, mustRun(t, list, asked()).Why, "tolerance of 5 %")
	}
}

// What is missing is named, and nothing that is there.
func TestWarningNamesWhatIsNotStated(t *testing.T) {
	for name, c := range map[string]struct {
		change func(e *Entry)
		want   string
	}{
		"both":     {func(e *Entry) { e.URef, e.UReading = nil, nil }, "no row states both u_ref and u_reading:"},
		"u_ref":    {func(e *Entry) { e.URef = nil }, "no row states u_ref in full:"},
		"reading":  {func(e *Entry) { e.UReading = nil }, "no row states u_reading:"},
		"a part":   {func(e *Entry) { e.URef, e.Shared = nil, []Part{{ID: "stock", Size: 3}} }, "every row states u_reading, but only a part of its reference's uncertainty"},
		"and both": {func(e *Entry) { e.URef, e.UReading, e.Shared = nil, nil, []Part{{ID: "stock", Size: 3}} }, "no row states both u_ref and u_reading:"},
	} {
		list := monthly(0, 0.1, 0.2, 0.1)
		for i := range list {
			c.change(&list[i])
		}
		assert.Contains(t, strings.Join(mustRun(t, list, asked()).Warnings, "\n"), c.want, name)
	}
}
