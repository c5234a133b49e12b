package plan

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The bottle with the least salt is the one that stops a plan, not the first
// below a step.
func TestNoPlanNamesTheWeakestBottle(t *testing.T) {
	step, most, u := 1.0, 5000.0, 1.0
	bench := kitchen(t)
	var err error
	bench.Scale, err = NewScale(ScaleSpec{StepG: &step, CapacityG: &most, UG: &u})
	require.NoError(t, err)
	_, err = Make(request(t, bench, "250mL", "3000mg/L", "120mg/L", "1500mg/L"))
	require.ErrorIs(t, err, ErrNoPlan)
	assert.Contains(t, err.Error(), "in bottle 2")
	assert.Contains(t, err.Error(), "50 steps of the scale", "the rule that stops it is named")
}

func TestHouseholdSaltsAreToldApart(t *testing.T) {
	for word, reason := range map[string]string{"fleur de sel": "sea salt", "pool salt": "additives", "dishwasher salt": "additives", "Epsom salt": "magnesium sulfate"} {
		assert.ErrorContains(t, Refused(word), reason, word)
	}
}
