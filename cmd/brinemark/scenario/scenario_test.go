package scenario

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFilesAreTheSameEveryTimeAndWellFormed(t *testing.T) {
	first, err := Files()
	require.NoError(t, err)
	second, err := Files()
	require.NoError(t, err)
	assert.Equal(t, first, second, "the demonstration does not change from run to run")
	require.Len(t, first, 7+len(Checks)+2)
	names := map[string]bool{}
	for _, f := range first {
		rows, err := csv.NewReader(bytes.NewReader(f.Content)).ReadAll()
		require.NoError(t, err, f.Name)
		assert.Greater(t, len(rows), 3, f.Name)
		assert.NotEmpty(t, f.About, f.Name)
		assert.False(t, names[f.Name], f.Name)
		names[f.Name] = true
	}
}

// The invented bottles are what the story says: near their targets, known to
// 1 %, and lighter when they are weighed again by what has evaporated.
func TestBottlesAreNearTheirTargets(t *testing.T) {
	bottles, err := Bottles()
	require.NoError(t, err)
	require.Len(t, bottles, len(TargetsMgL))
	for i, want := range TargetsMgL {
		b := bottles[i]
		assert.InEpsilon(t, want, b.Made.Now.MgL.Nominal(), 0.03)
		assert.NotEqual(t, want, b.Made.Now.MgL.Nominal(), "nobody hits the target")
		assert.Less(t, b.Made.Now.EC25.RelU(), 0.012)
		assert.InDelta(t, b.contentG()*evaporated(WeighedAgain), b.FullG-b.AgainG, 0.3, "two weighings to 0.1 g")
	}
}

// The readings carry the faults that the story gives the meters.
func TestMetersShowTheirFaults(t *testing.T) {
	bottles, err := Bottles()
	require.NoError(t, err)
	display, err := pen()
	require.NoError(t, err)
	perfect := map[string]float64{}
	for _, b := range bottles {
		perfect[b.Name], err = b.shows(display, Made, BenchTempC)
		require.NoError(t, err)
	}
	for _, m := range []Meter{OldPen, NewPen} {
		rows, err := FirstDay(m, bottles)
		require.NoError(t, err)
		require.Len(t, rows, 2*len(bottles))
		for _, r := range rows {
			assert.InDelta(t, m.Gain(Made), r.Reading/perfect[r.Bottle], 0.01, m.Name)
		}
	}
	assert.InDelta(t, 0.87, OldPen.Gain(Made), 1e-9)
	assert.InDelta(t, 1, OldPen.Gain(Cleaned), 0.005)
	assert.InDelta(t, 0.96, Probe.Gain(Adjusted.Add(-time.Minute)), 0.005, "near its tolerance before it is adjusted")
	assert.InDelta(t, 1, Probe.Gain(Adjusted), 0.005)

	buffers, err := OldElectrode()
	require.NoError(t, err)
	require.Len(t, buffers, 4)
	// 7.02 and 4.00 are the usual bottle table's values at 20 C.
	slope := (buffers[2].MV - buffers[0].MV) / (7.02 - 4.00)
	assert.InDelta(t, 0.88*58.07, slope, 0.5, "Nernst slope at 19.5 C is 58.07 mV")
}

// Before the stretch without liquid, in it and after it, the log shows what it
// must, and the probe is off by its fault.
func TestTubLogFollowsTheTruth(t *testing.T) {
	log, err := TubLog()
	require.NoError(t, err)
	dry := 0
	for i, r := range log {
		if i > 0 {
			require.True(t, r.Time.After(log[i-1].Time))
		}
		if r.Dry {
			dry++
			assert.Less(t, r.EC, 15.0)
			assert.True(t, !r.Time.Before(Emptied) && r.Time.Before(Refilled))
			continue
		}
		assert.InEpsilon(t, Probe.Gain(r.Time)*r.TrueEC*(1+tubAlpha*(r.WaterC-tubTempOffC-25)), r.EC, 0.01)
	}
	assert.Equal(t, 21, dry, "three and a half hours, a row every ten minutes")
	assert.InEpsilon(t, toppedUp, strength(ToppedUp.Add(toppingUp))/strength(ToppedUp), 0.001)
}

// HowNear counts what is believed, and nothing else.
func TestHowNear(t *testing.T) {
	log, err := TubLog()
	require.NoError(t, err)
	write := func(off float64, flag func(LogRow) string) []byte {
		var b strings.Builder
		b.WriteString("time,ec,water_C,ec_corrected,ec_u,ec_flag\n")
		for _, r := range log {
			temp := r.WaterC
			b.WriteString(strings.Join([]string{
				r.Time.Format(time.RFC3339), strconv.FormatFloat(0.9*r.TrueEC*(1+AlphaPercent/100*(temp-25)), 'g', -1, 64),
				strconv.FormatFloat(temp, 'g', -1, 64), strconv.FormatFloat(r.TrueEC*(1+off), 'g', -1, 64),
				strconv.FormatFloat(0.01*r.TrueEC, 'g', -1, 64), flag(r),
			}, ",") + "\n")
		}
		return []byte(b.String())
	}
	believed := func(r LogRow) string {
		if r.Dry {
			return "dry"
		}
		return ""
	}
	near, err := HowNear(write(-0.015, believed))
	require.NoError(t, err)
	assert.Equal(t, len(log)-21, near.Rows)
	assert.InDelta(t, 0.1, near.Raw, 1e-9)
	assert.InDelta(t, 0.015, near.Corrected, 1e-9)
	assert.InDelta(t, 0.1/0.015, near.Factor(), 1e-6)
	assert.InDelta(t, 1, near.Covered, 1e-12, "within two standard uncertainties of 1 %")
	near, err = HowNear(write(0.025, believed))
	require.NoError(t, err)
	assert.Zero(t, near.Covered)

	_, err = HowNear(write(0, func(LogRow) string { return "stale" }))
	assert.ErrorContains(t, err, "no row")
	_, err = HowNear([]byte("time,ec\n"))
	assert.ErrorContains(t, err, "rows")
	_, err = HowNear(bytes.Replace(write(0, believed), []byte("ec_flag"), []byte("flag"), 1))
	assert.ErrorContains(t, err, "no column ec_flag")
	_, err = HowNear(bytes.Replace(write(0, believed), []byte("2026-01-17"), []byte("2026-01-16"), 1))
	assert.ErrorContains(t, err, "row 1")
}
