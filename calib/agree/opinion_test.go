package agree

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
)

// stocked are two meters in three samples of one stock.
func stocked() []Reading {
	rows := two([]float64{1004, 1415, 2005}, []float64{1003, 1410, 2003})
	for i := range rows {
		rows[i].Ref, rows[i].RefSource = ptr([]float64{1000, 1413, 2000}[i/2]), "jar 1"
		rows[i].URef, rows[i].URefShared = ptr(6), ptr(8)
	}
	return rows
}

// again is a row that repeats a reading to add a reference.
func again(r Reading, ref, u float64, source string) Reading {
	r.Row += 100
	r.Ref, r.URef, r.URefShared, r.RefSource = ptr(ref), ptr(u), nil, source
	return r
}

// A rough second reference adds its weight and no reading, for every meter that
// read the sample. Weighted mean of 1413 (u 10) and 1500 (u 100): weights 100 to
// 1, so 1413 + 87/101, with u = 1/√(1/10² + 1/100²) (M.G. Cox, Metrologia 39
// (2002) 589, equations 3 and 4).
func TestSecondReferenceWeighsWhatItMay(t *testing.T) {
	rows := stocked()
	rows = append(rows, again(rows[2], 1500, 100, "label"))
	s := newSet(t, rows)
	for _, meter := range []string{"A", "B"} {
		c := s.cell(meter, "S2")
		assert.Len(t, c.rows, 1, "the reading counts once")
		ref, _ := c.ref()
		assert.InDelta(t, 1413+87.0/101, ref, 1e-9, meter)
		own, _ := c.uRef()
		shared, _ := c.uShared()
		assert.InDelta(t, 1/math.Sqrt(1/100.0+1/1e4), math.Hypot(own, shared), 1e-9)
		assert.InDelta(t, 8*100.0/101, shared, 1e-9)
		assert.Equal(t, "jar 1", c.source(), "the stock stays the stock")
	}
	c := compared(t, rows, check.EC, fivePercent)
	assert.Contains(t, c.Warnings[0], "sample S2 has 2 references, 1413 (u 10, jar 1) and 1500 (u 100, label), which are combined by their uncertainties: 1413.86 (u 10)")
	assert.NotContains(t, strings.Join(c.Warnings, "\n"), "each is taken as that meter's own display")

	// A new reading beside the second reference is a repetition.
	rows[len(rows)-1].Value = 1416
	assert.Len(t, newSet(t, rows).cell("A", "S2").rows, 2)
}

func TestSecondReferenceOfOneQuality(t *testing.T) {
	rows := stocked()
	for i := range rows {
		rows[i].URefShared = nil
	}
	other := again(rows[0], 1010, 6, "jar 2")
	s := newSet(t, append(rows, other))
	ref, _ := s.cell("A", "S1").ref()
	own, _ := s.cell("A", "S1").uRef()
	assert.InDelta(t, 1005, ref, 1e-9)
	assert.InDelta(t, 6/math.Sqrt2, own, 1e-9, "10 apart is 1.2 standard uncertainties of the difference")

	// Ten standard uncertainties apart they contradict each other, and the
	// uncertainty grows to what is seen: half the distance.
	other = again(rows[0], 1060, 6, "jar 2")
	s = newSet(t, append(rows, other))
	own, _ = s.cell("A", "S1").uRef()
	assert.InDelta(t, 30, own, 1e-9)
	c, err := Compare(s, check.EC, fivePercent)
	require.NoError(t, err)
	assert.Contains(t, c.Warnings[0], "they contradict each other")

	// An exact one needs no second opinion.
	for i := range rows {
		rows[i].URef = ptr(0)
	}
	ref, _ = newSet(t, append(rows, again(rows[0], 1060, 6, "jar 2"))).cell("A", "S1").ref()
	assert.Equal(t, 1000.0, ref)
}

// Without u_ref there is no weight, and one source does not say two things.
func TestSecondReferenceNeedsItsUncertaintyAndItsSource(t *testing.T) {
	rows := stocked()
	other := again(rows[2], 1500, 100, "label")
	other.URef = nil
	_, err := NewSet(append(rows, other))
	assert.ErrorContains(t, err, "row 104, column ref: 1500 for meter A in sample S2, but 1413 in row 4; one liquid at one temperature has one reference (or one of each ref_source, with u_ref for each)")
	_, err = NewSet(append(rows, again(rows[2], 1431, 6, "jar 1")))
	assert.ErrorContains(t, err, "column ref: 1431")
	for i := range rows {
		rows[i].URef, rows[i].URefShared = ptr(0), nil
	}
	_, err = NewSet(append(rows, again(rows[2], 1431, 0, "label")))
	assert.ErrorContains(t, err, "column ref: 1431", "two exact values that differ")
}
