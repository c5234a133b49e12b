package shelf

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const aDay = 24 * time.Hour

// What was poured out is not evaporation: a loss that no closed bottle has is
// warned of, unless somebody says that nothing was poured.
func TestWhatWasPouredIsNoEvaporation(t *testing.T) {
	b := weighed(saltBottle("A", "NaCl", "mol/kg", 0.01, 0.0001), 452.3, 52.3, 0.05)
	b.Since, b.MadeOn = noon, ""
	for name, c := range map[string]struct {
		after  time.Duration
		lossG  float64 // of 400 g
		warned bool
	}{
		"67 g in ten days":                  {10 * aDay, 67, true},
		"just above 1 % a week":             {14 * aDay, 8.4, true},
		"1 % a week":                        {14 * aDay, 8, false},
		"5 % in all, after a year":          {365 * aDay, 20, false},
		"above 5 % in all, after a year":    {365 * aDay, 20.5, true},
		"what weighing explains, at once":   {time.Minute, 0.15, false},
		"a portion of 25 g within the hour": {time.Hour, 25, true},
	} {
		w := Weighing{At: noon.Add(c.after), MassG: 452.3 - c.lossG}
		_, _, warnings, err := Weigh(b, w)
		require.NoError(t, err, name)
		assert.Equal(t, c.warned, strings.Contains(fmt.Sprint(warnings), "--nothing-poured"), name)
		w.NothingPoured = true
		_, _, warnings, err = Weigh(b, w)
		require.NoError(t, err, name)
		assert.NotContains(t, fmt.Sprint(warnings), "poured", name)
	}
	_, _, warnings, err := Weigh(b, Weighing{At: noon.Add(10 * aDay), MassG: 385.3})
	require.NoError(t, err)
	text := fmt.Sprint(warnings)
	assert.Contains(t, text, "bottle A is lighter by 67.1 g, 17 % of its content, after 10 days; a closed bottle loses no more than 1 % a week and 5 % in all")
	assert.Contains(t, text, "--mass 452.3g --left-mass 385.3g --correct takes nothing for evaporated")
	next, loss, _, err := Weigh(b, Weighing{At: noon.Add(10 * aDay), MassG: 452.3, LeftG: known(385.3)})
	require.NoError(t, err, "what the message says works")
	assert.Zero(t, loss.MassG.Nominal())
	assert.Equal(t, 385.3, *next.FullG)
	assert.InEpsilon(t, b.Strength.Value, next.Strength.Value, 1e-12)
	// Weighed before pouring or not, what is missing before it is not evaporation.
	_, _, warnings, err = Weigh(b, Weighing{At: noon.Add(10 * aDay), MassG: 385.3, LeftG: known(300)})
	require.NoError(t, err)
	assert.Contains(t, fmt.Sprint(warnings), "--nothing-poured")
}

// Without a weighing before, the loss counts from the day it was made; where that
// is not known, only what a bottle loses in all can be told.
func TestTheLossCountsFromTheDayItWasMade(t *testing.T) {
	b := weighed(saltBottle("A", "NaCl", "mol/kg", 0.01, 0.0001), 452.3, 52.3, 0.05)
	at := time.Date(2026, 3, 8, 12, 0, 0, 0, time.UTC)
	weigh := func(lossG float64) string {
		_, _, warnings, err := Weigh(b, Weighing{At: at, MassG: 452.3 - lossG})
		require.NoError(t, err)
		return fmt.Sprint(warnings)
	}
	b.MadeOn = "2026-03-01"
	assert.NotContains(t, weigh(4), "poured")
	assert.Contains(t, weigh(6), "after 7 days; a closed bottle")
	b.MadeOn = ""
	assert.NotContains(t, weigh(19), "poured")
	assert.Contains(t, weigh(21), "poured")
	b.MadeOn = "2026-03-08"
	assert.NotContains(t, weigh(0.2), "poured")
	b.MadeOn = "2026-03-09"
	_, _, _, err := Weigh(b, Weighing{At: at, MassG: 452.1})
	assert.ErrorContains(t, err, "it was made on 2026-03-09, and the weighing is of 2026-03-08; want a day from then on")
}
