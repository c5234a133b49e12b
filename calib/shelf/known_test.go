package shelf

import (
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/stretchr/testify/assert"
)

func TestWhatIsKnownOfADisplay(t *testing.T) {
	for _, c := range []struct {
		m      logbook.Meter
		factor float64
		text   string
	}{
		{pen("uS/cm", nil), 1, "uS/cm"},
		{pen("mS/cm", nil), 0.001, "mS/cm"},
		{pen("ppm", known(0.64)), 0.64, "ppm with factor 0.64"},
	} {
		factor, ok := Factor(c.m)
		assert.True(t, ok)
		assert.Equal(t, c.factor, factor)
		assert.Equal(t, c.text, UnitText(c.m))
		again := WithFactor(pen("ppm", known(0.5)), factor)
		assert.Equal(t, c.text, UnitText(again), "and back")
	}
	_, ok := Factor(logbook.Meter{Name: "P", Quantity: "ph", Unit: "pH"})
	assert.False(t, ok)

	m := pen("ppm", known(0.5))
	m.Resolution, m.RangeHigh, m.Tolerance = known(10), known(2000), known(20)
	m = WithFactor(m, 1)
	assert.Nil(t, m.Resolution, "10 ppm are not 10 uS/cm")
	assert.Nil(t, m.RangeHigh)
	assert.Nil(t, m.Tolerance)
	m.Tolerance, m.ToleranceRelative = known(0.02), true
	assert.Equal(t, 0.02, *WithFactor(m, 0.5).Tolerance, "a share is one on every display")
}

func TestCommonTolerance(t *testing.T) {
	meter := func(name, unit string, tolerance float64, relative bool) logbook.Meter {
		m := pen(unit, nil)
		m.Name, m.ToleranceRelative = name, relative
		if tolerance > 0 {
			m.Tolerance = &tolerance
		}
		return m
	}
	for _, c := range []struct {
		meters []logbook.Meter
		want   quantity.Tolerance
		ok     bool
		differ string
	}{
		{nil, quantity.Tolerance{}, false, ""},
		{[]logbook.Meter{meter("A", "uS/cm", 0, false)}, quantity.Tolerance{}, false, ""},
		{[]logbook.Meter{meter("A", "uS/cm", 0, false), meter("B", "mS/cm", 0.02, true)}, quantity.Tolerance{Value: 0.02, Relative: true}, true, ""},
		{[]logbook.Meter{meter("A", "uS/cm", 0.02, true), meter("B", "mS/cm", 0.02, true)}, quantity.Tolerance{Value: 0.02, Relative: true}, true, ""},
		{[]logbook.Meter{meter("A", "uS/cm", 0.02, true), meter("B", "uS/cm", 0.05, true)}, quantity.Tolerance{}, false, "A 2%, B 5%"},
		{[]logbook.Meter{meter("A", "uS/cm", 20, false), meter("B", "uS/cm", 20, false)}, quantity.Tolerance{Value: 20}, true, ""},
		{[]logbook.Meter{meter("A", "uS/cm", 20, false), meter("B", "mS/cm", 20, false)}, quantity.Tolerance{}, false, "A 20 uS/cm, B 20 mS/cm"},
		{[]logbook.Meter{meter("A", "uS/cm", 0.02, true), meter("B", "uS/cm", 0.02, false)}, quantity.Tolerance{}, false, "A 2%, B 0.02 uS/cm"},
	} {
		got, ok, differ := CommonTolerance(c.meters)
		assert.Equal(t, c.want, got)
		assert.Equal(t, c.ok, ok)
		assert.Equal(t, c.differ, differ)
	}
}

func TestStepAndRangeOfADisplay(t *testing.T) {
	m := pen("uS/cm", nil)
	step, fits := Step(m, 1413, 1)
	assert.Equal(t, 1.0, step, "nothing is on record")
	assert.True(t, fits)
	assert.Empty(t, OutOfRange(m, 1e9))

	m.Resolution, m.RangeLow, m.RangeHigh = known(10), known(0), known(1990)
	for _, c := range []struct {
		reading, written, step float64
		fits                   bool
	}{
		{1410, 1, 10, true}, {0, 1, 10, true}, {1413, 1, 1, false}, {1400, 100, 100, true}, {1413.3, 0.1, 0.1, false},
	} {
		step, fits := Step(m, c.reading, c.written)
		assert.Equal(t, c.step, step, "%v", c)
		assert.Equal(t, c.fits, fits, "%v", c)
	}
	m.Resolution = known(0.01)
	step, fits = Step(m, 1.41, 0.001)
	assert.Equal(t, 0.01, step)
	assert.True(t, fits, "1.41 is 141 steps, whatever the binary digits")

	assert.Empty(t, OutOfRange(m, 0))
	assert.Empty(t, OutOfRange(m, 1989))
	assert.Contains(t, OutOfRange(m, 1990), "the true value may be higher")
	assert.Contains(t, OutOfRange(m, 1991), "ends at 1990")
	assert.Contains(t, OutOfRange(m, -1), "begins at 0")
}
