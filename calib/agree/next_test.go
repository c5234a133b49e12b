package agree

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// against gives both meters the same references.
func against(refs, a, b []float64, u float64) []Reading {
	rows := two(a, b)
	for i := range rows {
		rows[i].Ref = ptr(refs[i/2])
		if u > 0 {
			rows[i].URef, rows[i].UValue = ptr(u*refs[i/2]), ptr(u*refs[i/2])
		}
	}
	return rows
}

func TestNextWithoutAReference(t *testing.T) {
	for want, c := range map[string]struct {
		kind check.Kind
		a, b []float64
	}{
		"--target 1300uS/cm --batch 500mL`, if the readings are in uS/cm": {check.EC, []float64{611, 1250, 1803}, []float64{622, 1288, 1840}},
		"--target 1.3mS/cm":     {check.EC, []float64{0.61, 1.25, 1.8}, []float64{0.62, 1.29, 1.84}},
		"--target 1400uS/cm":    {check.EC, []float64{-3, -2, -1}, []float64{-3, -2, -2}},
		"pH 7.00 and 4.00":      {check.PH, []float64{4, 7}, []float64{4.1, 7.1}},
		"crushed ice":           {check.Temperature, []float64{20, 25}, []float64{20.4, 25.5}},
		"wet table salt":        {check.Humidity, []float64{40, 75}, []float64{42, 77}},
		"stirred in open air":   {check.Oxygen, []float64{8, 6}, []float64{8.1, 6.2}},
		"outdoor air":           {check.CO2, []float64{420, 800}, []float64{430, 822}},
		"whose value is known.": {check.Other, []float64{420, 800}, []float64{430, 822}},
	} {
		next := compared(t, two(c.a, c.b), c.kind, quantity.Tolerance{}).Next
		assert.Contains(t, next, "Two meters alone cannot tell which of them is right")
		assert.Contains(t, next, want)
	}
}

func TestNextWithReferences(t *testing.T) {
	refs := []float64{500, 1000, 1413, 2000}
	good := []float64{501, 998, 1415, 2003}
	low := []float64{452, 899, 1270, 1798}
	worse := []float64{441, 880, 1244, 1760}
	bottles := []float64{500, 1000, 1413, 2000}
	for want, c := range map[string]struct {
		rows      []Reading
		tolerance quantity.Tolerance
	}{
		"Nothing to do now":       {against(refs, good, bottles, 0.004), fivePercent},
		"Give a tolerance":        {against(refs, good, bottles, 0.004), quantity.Tolerance{}},
		"Clean and calibrate B":   {against(refs, good, low, 0.004), fivePercent},
		"suspect the references":  {against(refs, low, worse, 0.004), fivePercent},
		"three or more":           {against(refs[:2], good[:2], low[:2], 0), fivePercent},
		"would decide B":          {against(refs, good, []float64{481, 962, 1359, 1924}, 0.01), fivePercent},
		"so near the edge":        {against(refs, good, []float64{475, 950, 1342, 1900}, 0.01), fivePercent},
		"would decide whether":    {two(refs, []float64{505, 1040, 1419, 2090}), quantity.Tolerance{Value: 50}},
		"at the edge of the tole": {two(refs, []float64{549, 1051, 1462, 2051}), quantity.Tolerance{Value: 50.04}},
	} {
		assert.Contains(t, compared(t, c.rows, check.EC, c.tolerance).Next, want)
	}
}
