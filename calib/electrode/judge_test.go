package electrode_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/uncert"
)

// electrodeWith reads buffers 4 and 7 with an electrode of this slope and
// offset, at 25 C.
func electrodeWith(t *testing.T, percent, offset float64) electrode.Result {
	t.Helper()
	s, err := electrode.IdealSlope(25)
	require.NoError(t, err)
	r, err := electrode.FromMV(stated(25, 4, 3*s*percent/100+offset, 7, offset))
	require.NoError(t, err)
	return r
}

func check(t *testing.T, r electrode.Result, id string) electrode.Check {
	t.Helper()
	for _, c := range r.Checks {
		if c.Criterion.ID == id {
			return c
		}
	}
	require.Failf(t, "no such check", "%s among %d", id, len(r.Checks))
	return electrode.Check{}
}

// USP <791> (USP 39, 1st supplement, 2016): slope 90.0 to 105.0 %, offset
// 0 ± 30 mV.
func TestVerdictByUSP791(t *testing.T) {
	for _, c := range []struct {
		percent, offset float64
		want            conformity.Verdict
	}{
		{98, 5, conformity.Pass},
		{92, -20, conformity.Pass},
		{87, 0, conformity.Fail},
		{107, 0, conformity.Fail},
		{98, 35, conformity.Fail},
		{98, -35, conformity.Fail},
		{90.1, 0, conformity.Undecided},
		{89.9, 0, conformity.Undecided},
		{98, 30.1, conformity.Undecided},
	} {
		r := electrodeWith(t, c.percent, c.offset)
		assert.Equal(t, c.want, r.Verdict, "slope %g %%, offset %g mV", c.percent, c.offset)
		slope, offset := check(t, r, "slope"), check(t, r, "offset")
		assert.Equal(t, c.percent >= 90 && c.percent <= 105, slope.Met)
		assert.Equal(t, math.Abs(c.offset) <= 30, offset.Met)
		assert.Contains(t, slope.Criterion.Source, "USP <791>")
		assert.Equal(t, electrode.Published, slope.Criterion.Standing)
		if c.want == conformity.Undecided {
			assert.Contains(t, strings.Join(r.Advice, "\n"), "undecided:", "what would decide it is said")
		}
	}
}

func TestEverySlopeHasItsPicture(t *testing.T) {
	for _, c := range []struct {
		percent float64
		fault   string
		remedy  string
	}{
		{12, "dead", "replace it if the slope stays"},
		{70, "weak", "replace it if the slope stays below 85 %"},
		{87, "tired", "dilute acid"},
		{93, "ageing", "clean it soon"},
		{95.5, "", "healthy"},
		{101.5, "", "healthy"},
		{103, "steep", "fresh buffers"},
		{120, "steep", "temperature of the buffers"},
	} {
		r := electrodeWith(t, c.percent, 0)
		advice := strings.Join(r.Advice, "\n")
		assert.Contains(t, advice, c.remedy, "at %g %%", c.percent)
		if c.fault == "" {
			assert.Empty(t, r.Faults)
			continue
		}
		require.Len(t, r.Faults, 1)
		assert.Equal(t, c.fault, r.Faults[0].ID)
	}
	r := electrodeWith(t, 98, 40)
	require.Len(t, r.Faults, 1)
	assert.Equal(t, "offset", r.Faults[0].ID)
	assert.Contains(t, strings.Join(r.Advice, "\n"), "junction")
}

// A third buffer must lie within 0.1 pH (operators' guide to waste-water
// laboratory practice).
func TestThirdBuffer(t *testing.T) {
	s, err := electrode.IdealSlope(25)
	require.NoError(t, err)
	for dev, want := range map[float64]conformity.Verdict{
		0.02: conformity.Pass, -0.05: conformity.Pass, 0.2: conformity.Fail, -0.2: conformity.Fail, 0.1: conformity.Undecided,
	} {
		// The buffer 7 reads dev too high between 4 and 10.
		r, err := electrode.FromMV(stated(25, 4, 3*s, 7, -dev*s, 10, -3*s))
		require.NoError(t, err)
		c := check(t, r, "third-buffer")
		assert.InDelta(t, dev, c.Found, 1e-9)
		assert.Equal(t, want, c.Verdict, "deviation %g", dev)
		assert.Equal(t, want, r.Verdict)
		// u of the deviation: the buffer and half of each neighbour.
		one := math.Hypot(0.3/s, 0.01)
		p, err := conformity.Probability(dev, one*math.Sqrt(1.5), math.Inf(1), conformity.Around(0.1))
		require.NoError(t, err)
		assert.InDelta(t, p, *c.P, 1e-9)
		assert.Equal(t, math.Abs(dev) > 0.1, len(r.Faults) == 1 && r.Faults[0].ID == "bad-buffer")
	}
}

func TestBufferDistance(t *testing.T) {
	s, err := electrode.IdealSlope(25)
	require.NoError(t, err)
	text := func(ph ...float64) string {
		var in []float64
		for _, x := range ph {
			in = append(in, x, -s*(x-7))
		}
		r, err := electrode.FromMV(stated(25, in...))
		require.NoError(t, err)
		return strings.Join(r.Warnings, "\n")
	}
	assert.NotContains(t, text(4.005, 6.865), "apart", "the primary buffers 4 and 7 count as 3 pH apart")
	assert.Contains(t, text(6.865, 7.413), "at least 3")
	assert.Contains(t, text(4.01, 10.01), "not more than 4")
	assert.NotContains(t, text(4.01, 7, 10.01), "apart")
}

func TestBadFitIsSaid(t *testing.T) {
	s, err := electrode.IdealSlope(25)
	require.NoError(t, err)
	r, err := electrode.FromMV(stated(25, 4, 3*s, 7, -0.08*s, 10, -3*s))
	require.NoError(t, err)
	require.NotNil(t, r.Chi2)
	assert.Contains(t, strings.Join(r.Warnings, "\n"), "further from the line than their stated uncertainties allow")
}

func TestSharedErrorWithoutOwnIsRefused(t *testing.T) {
	var p []electrode.Point
	for _, ph := range []float64{4, 7, 10} {
		p = append(p, electrode.Point{PH: known(ph, 0.02, "one kit"), MV: uncert.Exact(-59 * (ph - 7)), TempC: celsius(25)})
	}
	_, err := electrode.FromMV(p)
	require.ErrorIs(t, err, electrode.ErrNoOwnErrors)
	assert.Contains(t, err.Error(), "repeatability")
}

func TestCriteriaAreComplete(t *testing.T) {
	seen := map[string]bool{}
	for _, c := range electrode.Criteria() {
		assert.False(t, seen[c.ID], c.ID)
		seen[c.ID] = true
		assert.Less(t, c.Low, c.High)
		assert.NotEmpty(t, c.Source)
		assert.Contains(t, c.String(), c.Source)
		if c.Binding {
			assert.Equal(t, electrode.Published, c.Standing, "only published criteria bind")
		}
	}
	for _, f := range electrode.Faults() {
		assert.NotEmpty(t, f.Looks)
		assert.NotEmpty(t, f.Causes)
		assert.NotEmpty(t, f.Remedy)
	}
}
