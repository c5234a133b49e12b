package cause

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/agree"
	"github.com/brinemark/brinemark/calib/check"
)

func benchOf(t *testing.T, rows []agree.Reading) *bench {
	t.Helper()
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	return newBench(set, check.EC, fivePercent)
}

func TestRepetitionsMakeABatch(t *testing.T) {
	cold, warm := 15.0, 20.0
	b := benchOf(t, []agree.Reading{
		{Meter: "A", Sample: "s", Value: 100, TempC: &cold}, {Meter: "A", Sample: "s", Value: 104, TempC: &cold}, {Meter: "A", Sample: "s", Value: 99, TempC: &cold},
		{Meter: "A", Sample: "s", Value: 110, TempC: &warm}, {Meter: "B", Sample: "s", Value: 101, TempC: &cold},
	})
	require.Len(t, b.batches, 3)
	assert.Equal(t, 3, b.batches[0].n)
	assert.InDelta(t, 101, b.batches[0].mean, 1e-12)
	assert.InDelta(t, 1+9+4, b.batches[0].squares, 1e-12)
	assert.True(t, b.hasTemp)
	assert.False(t, b.hasRefs)
}

// A reference in one row holds for the same liquid in the others.
func TestReferencesAreLentWithinASample(t *testing.T) {
	ref, u := 100.0, 2.0
	b := benchOf(t, []agree.Reading{{Meter: "A", Sample: "s", Value: 100, Ref: &ref, URef: &u}, {Meter: "B", Sample: "s", Value: 103}, {Meter: "B", Sample: "t", Value: 50}})
	assert.InDelta(t, 100, b.batches[1].ref, 0)
	assert.InDelta(t, 2, b.batches[1].uRef, 0)
	assert.True(t, math.IsNaN(b.batches[2].ref))
}

func TestStepOfADisplay(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   float64
	}{
		{[]float64{1410, 1420, 600, 990}, 10}, {[]float64{1410, 1421, 600, 990}, 1}, {[]float64{1.41, 0.6, 2, 1.99}, 0.01},
		{[]float64{1400, 600}, 1}, // two may be chance
	} {
		var rows []agree.Reading
		for i, v := range c.values {
			rows = append(rows, agree.Reading{Meter: "A", Sample: fmt.Sprint(i), Value: v}, agree.Reading{Meter: "B", Sample: fmt.Sprint(i), Value: v + 0.001})
		}
		b := benchOf(t, rows)
		assert.InDelta(t, c.want*c.want/12, b.batches[0].digit, 1e-12, "%v", c.values)
	}
}

// Very many readings are thinned, with a word about it, and answered in time.
func TestManyReadings(t *testing.T) {
	var rows []agree.Reading
	for i := range 1500 {
		ref := 200 + float64(i)
		tempC := 12 + float64(i%977)/50
		rows = append(rows, agree.Reading{Meter: "A", Sample: fmt.Sprint(i), Value: math.Round(ref * (1 + wobble[i%11])), Ref: &ref, TempC: &tempC},
			agree.Reading{Meter: "B", Sample: fmt.Sprint(i), Value: math.Round(0.83 * ref * (1 + wobble[i%7])), Ref: &ref, TempC: &tempC})
	}
	set, err := agree.NewSet(rows)
	require.NoError(t, err)
	start := time.Now()
	x := Explain(set, &agree.Comparison{Kind: check.EC, Tolerance: fivePercent, Meters: []agree.Meter{{Meter: "A"}, {Meter: "B"}}}, Options{})
	assert.Less(t, time.Since(start), 10*time.Second, "a bound for slow machines; one second is usual")
	assert.Equal(t, Gain, x.Causes[0].Cause, x.Causes[0].Text)
	assert.Equal(t, "A", x.Trust)
	require.Len(t, x.Warnings, 1)
	assert.Contains(t, x.Warnings[0], "60 of the 1500 samples")
}
