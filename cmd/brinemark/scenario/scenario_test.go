package scenario

import (
	"bytes"
	"encoding/csv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFilesAreTheSameEveryTimeAndWellFormed(t *testing.T) {
	first, err := Files()
	require.NoError(t, err)
	second, err := Files()
	require.NoError(t, err)
	assert.Equal(t, first, second, "the demonstration does not change from run to run")
	require.Len(t, first, 4)
	for _, f := range first {
		rows, err := csv.NewReader(bytes.NewReader(f.Content)).ReadAll()
		require.NoError(t, err, f.Name)
		assert.Greater(t, len(rows), 3, f.Name)
	}
}

// The invented bottles are what the story says: near their targets and known
// to 1 %.
func TestBottlesAreNearTheirTargets(t *testing.T) {
	bottles, err := Bottles()
	require.NoError(t, err)
	require.Len(t, bottles, len(TargetsMgL))
	for i, want := range TargetsMgL {
		assert.InEpsilon(t, want, bottles[i].Made.Now.MgL.Nominal(), 0.03)
		assert.NotEqual(t, want, bottles[i].Made.Now.MgL.Nominal(), "nobody hits the target")
		assert.Less(t, bottles[i].Made.Now.EC25.RelU(), 0.012)
	}
}

// The readings carry the faults that the story gives the pens.
func TestPensShowTheirFaults(t *testing.T) {
	bottles, err := Bottles()
	require.NoError(t, err)
	old, fresh, err := Readings(bottles)
	require.NoError(t, err)
	for _, r := range old {
		assert.InDelta(t, OldPen.Gain, r.Reading/r.Ref, 0.01)
	}
	for _, r := range fresh {
		assert.InDelta(t, NewPen.Gain, r.Reading/r.Ref, 0.01)
	}
	buffers, err := BufferReadings()
	require.NoError(t, err)
	require.Len(t, buffers, 4)
	slope := (buffers[2].MV - buffers[0].MV) / (buffers[0].Ref - buffers[2].Ref)
	assert.InDelta(t, slopeFraction*58.07, slope, 0.5, "Nernst slope at 19.5 C is 58.07 mV")
}
