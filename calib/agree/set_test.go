package agree

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

func TestBadReadingsAreRefusedWithTheirPlace(t *testing.T) {
	at := func(minute int) *time.Time {
		m := time.Date(2026, 3, 1, 9, minute, 0, 0, time.UTC)
		return &m
	}
	ok := Reading{Row: 2, Meter: "A", Sample: "S1", Value: 1413, Ref: ptr(1413), Replicate: "1"}
	change := func(f func(*Reading)) Reading { r := ok; r.Row = 7; f(&r); return r }
	for want, rows := range map[string][]Reading{
		"there are no readings":                                  nil,
		"only one meter":                                         {ok},
		"row 7, column meter: is empty":                          {ok, change(func(r *Reading) { r.Meter = " " })},
		"row 7, column sample: is empty":                         {ok, change(func(r *Reading) { r.Sample = "" })},
		"row 7, column reading: NaN":                             {ok, change(func(r *Reading) { r.Value = math.NaN() })},
		"row 7, column ref: +Inf":                                {ok, change(func(r *Reading) { r.Ref = ptr(math.Inf(1)) })},
		"row 7, column u_ref: -1 is below 0":                     {ok, change(func(r *Reading) { r.URef = ptr(-1) })},
		"row 7, column u_reading: -0.5":                          {ok, change(func(r *Reading) { r.UValue = ptr(-0.5) })},
		"row 7, column u_ref_shared: NaN":                        {ok, change(func(r *Reading) { r.URefShared = ptr(math.NaN()) })},
		"row 7, column temp_C: NaN":                              {ok, change(func(r *Reading) { r.TempC = ptr(math.NaN()) })},
		"row 7, column ref: 1431 for meter A in sample S1":       {ok, change(func(r *Reading) { r.Ref = ptr(1431); r.Replicate = "2" })},
		"row 7, column replicate: replicate 1 of meter A in sam": {ok, change(func(r *Reading) { r.Value = 1500 })},
		"no two meters read the same sample (S1, S2)":            {ok, change(func(r *Reading) { r.Meter, r.Sample = "B", "S2" })},
	} {
		_, err := NewSet(rows)
		assert.ErrorContains(t, err, want)
		var input *InputError
		assert.ErrorAs(t, err, &input, want)
	}
	// A different time, or a different temperature, explains what differs.
	second := change(func(r *Reading) {
		r.Ref, r.TempC, r.Time = ptr(1431), ptr(26), at(5)
		r.Value = 1430
	})
	first := ok
	first.TempC, first.Time = ptr(25), at(0)
	b := change(func(r *Reading) { r.Meter = "B" })
	s, err := NewSet([]Reading{first, second, b})
	require.NoError(t, err)
	c := s.cell("A", "S1")
	assert.InDelta(t, (0-1)/2.0, c.meanError(), 1e-12, "each reading against the reference of its moment")
}

func TestTwoUnitsInOneColumnAreRefused(t *testing.T) {
	rows := two([]float64{610, 1.42, 2770}, []float64{600, 1410, 2750})
	_, err := Compare(newSet(t, rows), check.EC, quantity.Tolerance{})
	assert.ErrorContains(t, err, "row 4, column reading: found 1.42 for meter A in sample S2")
	assert.ErrorContains(t, err, "one unit")

	// A meter that shows mS/cm throughout is a finding, not an error.
	rows = two([]float64{610, 1420, 2770}, []float64{0.6, 1.41, 2.75})
	c := compared(t, rows, check.EC, fivePercent)
	assert.Contains(t, c.Warnings, "B shows 0.00099 times A, near 0.001: are these two displays (mS/cm against uS/cm)?")
	assert.Equal(t, Disagree, c.Pairs[0].Verdict)
}

func TestDisplayFactorsAreHintedAt(t *testing.T) {
	for factor, want := range map[float64]string{0.5: "near 0.5:", 0.64: "near 0.64:", 0.7: "near 0.7:", 2: "near 2:", 500: "near 500:"} {
		a := []float64{600, 1413, 2760}
		c := compared(t, two(a, divided(a, 1/factor)), check.EC, fivePercent)
		found := false
		for _, w := range c.Warnings {
			found = found || strings.Contains(w, want)
		}
		assert.True(t, found, "factor %v: %q", factor, c.Warnings)
	}
	c := compared(t, two([]float64{600, 1413, 2760}, []float64{552, 1300, 2539}), check.EC, fivePercent)
	for _, w := range c.Warnings {
		assert.NotContains(t, w, "displays", "a gain of 0.92 is no display factor")
	}
}

func TestDoubtfulReadingsAreWarnedOf(t *testing.T) {
	rows := two([]float64{600, 1413, 2760}, []float64{603, 1410, 2770})
	rows = append(rows, Reading{Row: 8, Meter: "B", Sample: "S2", Value: 1530})
	for i := range rows {
		if rows[i].Sample == "S3" && rows[i].Meter == "A" {
			rows[i].Ref, rows[i].URefShared = ptr(2760), ptr(10)
		}
	}
	c := compared(t, rows, check.EC, quantity.Tolerance{})
	assert.Contains(t, c.Warnings, "the readings of meter B in sample S2 contradict each other (1410 to 1530); read it again")
	assert.Contains(t, c.Warnings, "meter B read no sample with a reference and is not judged")
	all := strings.Join(c.Warnings, "\n")
	assert.Contains(t, all, "sample S3 has a reference in the rows of meter A and none in those of meter B")
	assert.Contains(t, all, "u_ref_shared without ref_source")

	rows = two([]float64{600, 1413, 2760}, []float64{603, 1410, 2770})
	rows[0].Ref, rows[1].Ref = ptr(600), ptr(612)
	c = compared(t, rows, check.EC, quantity.Tolerance{})
	assert.Contains(t, c.Warnings[0], "sample S1 has the reference 600 for meter A and 612 for meter B")
}

func TestRelativeTolerancesNeedReferencesOfOneSign(t *testing.T) {
	rows := two([]float64{-1, 10.1, 20}, []float64{-1.2, 10, 20})
	for i := range rows {
		rows[i].Ref = ptr([]float64{-1, 10, 20}[i/2])
	}
	_, err := Compare(newSet(t, rows), check.Temperature, fivePercent)
	assert.ErrorContains(t, err, "row 4, column ref: found 10 beside references of the other sign")
	c := compared(t, rows, check.Temperature, quantity.Tolerance{Value: 0.5})
	assert.Equal(t, Agree, c.Pairs[0].Verdict)
	_, err = Compare(newSet(t, rows), check.Temperature, quantity.Tolerance{Value: -1})
	assert.ErrorContains(t, err, "above 0")

	// Of a reference of 0 a fraction allows nothing.
	rows = two([]float64{0, 1001, 2010, 2995}, []float64{3, 1010, 1995, 3010})
	for i := range rows {
		rows[i].Ref = ptr(1000 * float64(i/2))
	}
	c = compared(t, rows, check.EC, fivePercent)
	assert.Contains(t, c.Warnings, "sample S1 has no part in the verdicts: of a reference of 0 a relative tolerance allows nothing")
	assert.Equal(t, 4, c.Pairs[0].Bias.N)
	assert.Equal(t, 3, c.Pairs[0].InTolerance.N)
	assert.InDelta(t, 0.01, c.Meters[1].WorstError, 1e-9)
	assert.Len(t, c.Meters[1].Errors, 4)
}

// The last digit written is a lower bound of what a display resolves.
func TestStepIsTheLastDigitWritten(t *testing.T) {
	for want, values := range map[float64][]float64{1: {1413, 1000}, 0.1: {1413, 999.5}, 0.01: {7, 4.01}, 0: {1.0 / 3, 2}} {
		var rows []Reading
		for i, v := range values {
			rows = append(rows, two([]float64{v}, []float64{1})...)
			rows[2*i].Sample, rows[2*i+1].Sample = string(rune('a'+i)), string(rune('a'+i))
		}
		assert.InDelta(t, want, newSet(t, rows).step("A"), 1e-12, "%v", values)
	}
}

// A meter whose readings jump about is a finding. Repetitions with a standard
// deviation of up to 6 %, growing with the value or the same everywhere, are
// hardly ever refused, however few there are.
func TestJumpingReadingsAreData(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 7))
	trials := 600 // in short runs too: fewer do not show one percent
	for _, shape := range []string{"growing", "even"} {
		for _, bottles := range []int{3, 8} {
			refused := 0
			for range trials {
				var rows []Reading
				for i := range bottles {
					ref := 400 + 2600*float64(i)/float64(bottles)
					for k := range 3 {
						off := 0.06 * rng.NormFloat64() * ref
						if shape == "even" {
							off = 0.06 * rng.NormFloat64() * 1500
						}
						rows = append(rows, Reading{Row: len(rows), Meter: "A", Sample: fmt.Sprint(i), Value: ref + off},
							Reading{Row: len(rows), Meter: "B", Sample: fmt.Sprint(i), Value: ref + float64(k)})
					}
				}
				if newSet(t, rows).checkRepetitions(check.EC) != nil {
					refused++
				}
			}
			assert.LessOrEqual(t, float64(refused)/float64(trials), 0.01, "%s, %d bottles", shape, bottles)
		}
	}
}

// Readings of one sample, cold and warm, differ where a display does not
// compensate, and are no repetitions.
func TestColdAndWarmAreNoRepetitions(t *testing.T) {
	rows := two([]float64{1000, 2000}, []float64{1000, 2000})
	for i := range rows {
		rows[i].TempC = ptr(12)
	}
	rows = append(rows, Reading{Row: 9, Meter: "A", Sample: "S1", Value: 1500, TempC: ptr(35)})
	c := compared(t, rows, check.EC, quantity.Tolerance{})
	assert.NotContains(t, strings.Join(c.Warnings, "\n"), "contradict")
	rows[len(rows)-1].TempC = ptr(12.5)
	_, err := Compare(newSet(t, rows), check.EC, quantity.Tolerance{})
	assert.ErrorContains(t, err, "row 9, column reading: found 1500 for meter A in sample S1, but 1000 in row 2")
}
