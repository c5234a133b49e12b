package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

func pen(t *testing.T, rule tempcomp.Rule, ppm float64) tempcomp.Display {
	t.Helper()
	scale := tempcomp.MicroSiemens()
	if ppm != 0 {
		var err error
		scale, err = tempcomp.PPM(ppm)
		require.NoError(t, err)
	}
	return tempcomp.Display{Rule: rule, Scale: scale}
}

func tempInput(tempC float64, u Number) ReferenceInput {
	return ReferenceInput{
		Value: tempC, U: u, Source: uncert.Source{ID: solutions.TemperatureID, Label: "temperature"},
		Flag: "--u-temp", Trial: 0.5, TrialText: "0.5 C",
	}
}

func bottleOf(t *testing.T, salt solutions.Salt, strength string, uStrength Number, temp ReferenceInput, display tempcomp.Display) SaltBottle {
	t.Helper()
	q, err := quantity.Parse(strength, quantity.Strengths()...)
	require.NoError(t, err)
	return SaltBottle{
		Salt: salt, Strength: q, Temp: temp, Display: display,
		Input: ReferenceInput{
			U: uStrength, Source: uncert.Source{ID: solutions.StrengthID, Label: "strength"},
			Flag: "--u-strength", TrialShare: 0.01, TrialText: "1 %",
		},
	}
}

func makeReference(t *testing.T, m ReferenceMaker) *Reference {
	t.Helper()
	r, err := NewReference(m)
	require.NoError(t, err)
	return r
}

func get(t *testing.T, n Number) float64 {
	t.Helper()
	x, known := n.Get()
	require.True(t, known)
	return x
}

// KCl 0.01 mol/kg, IUPAC 2001: 1273.03 uS/cm at 20 C and 1408.23 at 25 C. A
// pen with 2 %/C to 25 C divides by 0.9, one with the natural-water table of
// ISO 7888 multiplies by 1.116.
func TestReferenceShowsWhatTheMeterShows(t *testing.T) {
	linear := makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "0.01mol/kg", Known(0), tempInput(20, Known(0)), pen(t, tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, 0.5))))
	assert.InEpsilon(t, 1273.03, get(t, linear.Value), 0.0006)
	assert.InEpsilon(t, 1408.23, get(t, linear.EC25), 0.0006)
	assert.InEpsilon(t, 0.5*1273.03/0.9, get(t, linear.Display), 0.0006)
	require.NotNil(t, linear.DisplayUnit)
	assert.Equal(t, "ppm", *linear.DisplayUnit)

	natural := makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "0.01mol/kg", Known(0), tempInput(20, Known(0)), pen(t, tempcomp.NaturalWater{}, 0))))
	assert.InEpsilon(t, 1273.03*1.116, get(t, natural.Display), 0.001)
	none := makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "0.01mol/kg", Known(0), tempInput(20, Known(0)), pen(t, tempcomp.None{}, 0))))
	assert.Equal(t, get(t, none.Value), get(t, none.Display))
	at25 := makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "0.01mol/kg", Known(0), tempInput(25, Known(0)), pen(t, tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, 0.5))))
	assert.InDelta(t, 0.5*get(t, at25.EC25), get(t, at25.Display), 1e-9)
}

// Sodium chloride on a 1.9 %/C pen is off by up to 1.2 % between 12 and 32 C
// with nothing wrong with the pen (handbook temperature behaviour of NaCl).
func TestReferenceTableOfNaClOnAStraightPen(t *testing.T) {
	m := ForSalt(bottleOf(t, solutions.NaCl, "600mg/L", Known(0), tempInput(25, Known(0)), pen(t, tempcomp.Linear{Alpha: 0.019, RefTempC: 25}, 0)))
	table, err := NewReferenceTable(m, Grid{From: Known(12), To: Known(32), Step: Known(0.5)})
	require.NoError(t, err)
	require.Len(t, table.Rows, 41)
	worst, ec25 := 0.0, get(t, table.EC25)
	for _, row := range table.Rows {
		worst = math.Max(worst, math.Abs(get(t, row.Display)/ec25-1))
	}
	assert.InDelta(t, 0.012, worst, 0.002)
}

// The thermometer's error moves the true value and the compensation together:
// on a pen whose coefficient is the salt's own slope the display hardly moves.
func TestTemperatureErrorIsSharedByValueAndCompensation(t *testing.T) {
	own, err := solutions.Alpha(solutions.NaCl, 0.0103, 25, 25)
	require.NoError(t, err)
	b := bottleOf(t, solutions.NaCl, "0.0103mol/kg", Known(0), tempInput(25, Known(0.5)), pen(t, tempcomp.Linear{Alpha: own, RefTempC: 25}, 0))
	r := makeReference(t, ForSalt(b))
	partOf := func(parts []SharePart, source string) float64 {
		for _, p := range parts {
			if p.Source == source {
				return p.U
			}
		}
		return 0
	}
	value, display := partOf(r.Budget, "temperature"), partOf(r.DisplayBudget, "temperature")
	assert.InDelta(t, 0.0105*get(t, r.Value), value, 0.001*get(t, r.Value))
	assert.Less(t, display, 1e-4*value)
	for _, parts := range [][]SharePart{r.Budget, r.DisplayBudget} {
		sum := 0.0
		for _, p := range parts {
			sum += p.Fraction
		}
		assert.InDelta(t, 1, sum, 1e-12)
	}
}

func TestUnstatedUncertaintiesAreNamedWithTheirCost(t *testing.T) {
	b := bottleOf(t, solutions.NaCl, "600mg/L", Unknown(), tempInput(18, Unknown()), pen(t, tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, 0))
	b.Water = &ReferenceInput{Value: 8, U: Unknown(), Source: uncert.Source{ID: "water-ec", Label: "water's conductivity"}, Flag: "--u-water-ec", Trial: 1, TrialText: "1 uS/cm"}
	r := makeReference(t, ForSalt(b))
	require.Len(t, r.LeftOut, 3)
	require.Len(t, r.Warnings, 3)
	assert.Contains(t, r.Warnings[1], "the uncertainty of the temperature is not given (--u-temp)")
	assert.Contains(t, r.Warnings[1], "if it were 0.5 C, that alone would be a u of 1.1 % in the value and 0.033 % in the display")
	// Half a degree is one percent: NaCl near 2.2 %/C of its value at 18 C.
	assert.InDelta(t, 0.011, get(t, r.LeftOut[1].ValueShare)/get(t, r.Value), 0.0005)

	b.Input.U, b.Temp.U, b.Water.U = Known(0), Known(0), Known(0)
	exact := makeReference(t, ForSalt(b))
	assert.Empty(t, exact.Warnings)
	assert.Empty(t, exact.LeftOut)
	for _, p := range exact.Budget {
		assert.NotEqual(t, "temperature", p.Source)
	}
	assert.Equal(t, get(t, r.Value), get(t, exact.Value))
	assert.InDelta(t, get(t, exact.UValue), get(t, r.UValue), 1e-12, "what is unknown is left out")
}

func TestStrengthUncertaintyIsAFractionOrHasItsUnit(t *testing.T) {
	b := bottleOf(t, solutions.NaCl, "600mg/L", Unknown(), tempInput(18, Known(0)), pen(t, tempcomp.None{}, 0))
	for text, want := range map[string]float64{"1%": 6, "3mg/L": 3, "0.3g/L": 300, "50%": 300, "0%": 0, "0uS/cm": 0} {
		u, err := quantity.Parse(text)
		require.NoError(t, err)
		require.NoError(t, b.StateStrength(u), text)
		assert.InDelta(t, want, get(t, b.Input.U), 1e-12, text)
	}
	for _, text := range []string{"3mg/kg", "1uS/cm", "3ppm@0.5"} {
		u, err := quantity.Parse(text)
		require.NoError(t, err)
		assert.ErrorContains(t, b.StateStrength(u), "another unit", text)
	}
	for _, text := range []string{"51%", "301mg/L", "1e9mg/L"} {
		u, err := quantity.Parse(text)
		require.NoError(t, err)
		assert.ErrorContains(t, b.StateStrength(u), "more than half of the strength 600mg/L", text)
	}
}

// allMakers is every kind of reference once.
func allMakers(t *testing.T) map[string]ReferenceMaker {
	t.Helper()
	buffer, err := solutions.BufferByName("tetroxalate")
	require.NoError(t, err)
	lithium, err := solutions.SaturatedSaltByFormula("LiCl")
	require.NoError(t, err)
	gradient := ReferenceInput{U: Known(0.1), Source: uncert.Source{ID: solutions.GradientID, Label: "gradient"}}
	pressure := ReferenceInput{Value: 95, U: Unknown(), Source: uncert.Source{ID: solutions.PressureID, Label: "air pressure"}, Flag: "--u-pressure", Trial: 1, TrialText: "1 kPa"}
	sample := ReferenceInput{U: Known(0), Source: uncert.Source{ID: "sample-ec", Label: "sample"}}
	return map[string]ReferenceMaker{
		"conductivity": ForSalt(bottleOf(t, solutions.KCl, "1413uS/cm", Unknown(), tempInput(18, Unknown()), pen(t, tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, 0))),
		"ph":           ForBuffer(buffer, tempInput(18, Unknown())),
		"humidity":     ForSaturated(lithium, tempInput(18, Unknown()), gradient),
		"ice":          ForIce(),
		"temperature":  ForBoiling(pressure),
		"oxygen":       ForOxygen(tempInput(18, Unknown()), pressure, sample, true),
		"co2":          ForFreshAir(2026, solutions.Sites()[1]),
	}
}

func TestReferenceJSONHasTheKeysOfTheContract(t *testing.T) {
	for name, m := range allMakers(t) {
		r := makeReference(t, m)
		var b bytes.Buffer
		require.NoError(t, WriteJSON(&b, r), name)
		var keys map[string]any
		require.NoError(t, json.Unmarshal(b.Bytes(), &keys), name)
		for _, key := range []string{"quantity", "temp_C", "value", "u_value", "unit", "ec25_uS_cm", "u_ec25_uS_cm", "display", "u_display", "display_unit", "source", "steps", "warnings"} {
			assert.Contains(t, keys, key, name)
		}
		assert.IsType(t, []any{}, keys["warnings"], name)
		assert.IsType(t, []any{}, keys["steps"], name)
		assert.NotEmpty(t, keys["source"], name)
		if name == "conductivity" {
			assert.Equal(t, "uS/cm", keys["display_unit"])
			assert.IsType(t, 0.0, keys["ec25_uS_cm"])
		} else {
			assert.Nil(t, keys["display"], name)
			assert.Nil(t, keys["display_unit"], name)
			assert.Nil(t, keys["ec25_uS_cm"], name)
		}
	}
}

// No steps where a thing is not for a home, and the reason instead.
func TestReferenceStepsOrTheReason(t *testing.T) {
	for name, m := range allMakers(t) {
		r := makeReference(t, m)
		var text bytes.Buffer
		require.NoError(t, r.Table(&text, Style{}), name)
		if name == "ph" || name == "humidity" { // tetroxalate and lithium chloride
			assert.Empty(t, r.Steps, name)
			assert.NotEmpty(t, r.NotAtHome, name)
			assert.Contains(t, text.String(), "Not for making at home", name)
		} else {
			assert.NotEmpty(t, r.Steps, name)
			assert.NotEmpty(t, r.Cautions, name)
			assert.Contains(t, text.String(), "\n1. ", name)
		}
	}
}

func TestReferencePassesErrorsOn(t *testing.T) {
	for name, temp := range map[string]ReferenceInput{
		"too hot":      tempInput(77, Known(0)),
		"negative u":   tempInput(18, Known(-1)),
		"not a number": tempInput(math.NaN(), Known(0)),
	} {
		_, err := NewReference(ForSalt(bottleOf(t, solutions.NaCl, "600mg/L", Known(0), temp, pen(t, tempcomp.None{}, 0))))
		assert.Error(t, err, name)
	}
	_, err := NewReferenceTable(ForSalt(bottleOf(t, solutions.NaCl, "200g/L", Known(0), tempInput(18, Known(0)), pen(t, tempcomp.None{}, 0))), Grid{})
	assert.ErrorIs(t, err, solutions.ErrOutOfRange, "no row is possible")
}
