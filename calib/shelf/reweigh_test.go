package shelf

import (
	"fmt"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chain gives versions the identities that a record would.
func chain(versions ...logbook.Bottle) []logbook.Bottle {
	for i := range versions {
		if versions[i].ID = versions[i].Name; i > 0 {
			versions[i].ID = fmt.Sprintf("%s/%d", versions[i].Name, i+1)
		}
	}
	return versions
}

// A slip of the pen, corrected, leaves the bottle as if it had not been: also
// the second time, and where the time was the slip.
func TestAWrongWeighingIsCorrected(t *testing.T) {
	day := func(n int) time.Time { return noon.AddDate(0, 0, n) }
	b := weighed(saltBottle("A", "NaCl", "mol/kg", 0.01, 0.0001), 552.3, 52.3, 0.05)
	first, _, _, err := Weigh(b, Weighing{At: day(1), MassG: 550.3})
	require.NoError(t, err)
	right, _, _, err := Weigh(first, Weighing{At: day(8), MassG: 547.3})
	require.NoError(t, err)
	for name, wrong := range map[string]Weighing{
		"mass": {At: day(8), MassG: 507.3, NothingPoured: true},
		"time": {At: day(800), MassG: 547.3},
		"left": {At: day(8), MassG: 547.3, LeftG: known(400)},
	} {
		slip, _, _, err := Weigh(first, wrong)
		require.NoError(t, err)
		versions := chain(b, first, slip)
		w := Weighing{MassG: 547.3}
		if name == "time" {
			w.At = day(8)
		}
		for n := 4; n <= 5; n++ {
			before, next, loss, _, err := CorrectWeighing(versions, w)
			require.NoError(t, err, name)
			assert.Equal(t, "A/2", before.ID)
			assert.Equal(t, versions[len(versions)-1].ID, next.Supersedes)
			assert.InDelta(t, 3, loss.MassG.Nominal(), 0.01)
			assert.Equal(t, right.Strength, next.Strength, name)
			assert.Equal(t, *right.FullG, *next.FullG)
			versions = chain(append(versions, next)...)
			for _, at := range []time.Time{day(9), day(900), {}} {
				assert.Equal(t, fmt.Sprintf("A/%d", n), logbook.Holding(versions, at).ID, "the slip never holds")
			}
			assert.Equal(t, "A/2", logbook.Holding(versions, day(7)).ID)
		}
	}
}

func TestWeighingsThatCannotBeCorrected(t *testing.T) {
	b := weighed(saltBottle("A", "NaCl", "mol/kg", 0.01, 0.0001), 552.3, 52.3, 0.05)
	slip, _, _, err := Weigh(b, Weighing{At: noon, MassG: 507.3, NothingPoured: true})
	require.NoError(t, err)
	anew := weighed(b, 552.3, 52.3, 0.05)
	anew.Since = noon.AddDate(0, 1, 0)
	for text, c := range map[string]struct {
		versions []logbook.Bottle
		w        Weighing
	}{
		"there is no bottle":      {nil, Weighing{MassG: 547.3}},
		"A was not weighed again": {chain(b), Weighing{MassG: 547.3}},
		"not weighed again, so":   {chain(b, slip, anew), Weighing{MassG: 547.3}},
		"or an earlier one":       {chain(b, slip), Weighing{At: noon.Add(time.Second), MassG: 547.3}},
		"heavier by":              {chain(b, slip), Weighing{MassG: 574.3}},
	} {
		_, _, _, _, err := CorrectWeighing(c.versions, c.w)
		require.ErrorIs(t, err, ErrWeighing, text)
		assert.ErrorContains(t, err, text)
	}
}
