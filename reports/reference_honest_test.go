package reports

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

func waterInput(ec float64, u Number) *ReferenceInput {
	return &ReferenceInput{
		Value: ec, U: u, Source: uncert.Source{ID: "water-ec", Label: "water's conductivity"},
		Flag: "--u-water-ec", Trial: 1, TrialText: "1 uS/cm",
	}
}

// covered simulates a bottle of 600 mg/L at 18 C, made with a water of ec ± u
// (uS/cm), and returns how often u_value, u_ec25 and u_display cover the truth
// at two standard uncertainties. Strength, temperature, water, the model and the
// water's behaviour with temperature are drawn from what is claimed of them;
// the ions of water and salt get in one another's way by anything between
// nothing and what they would if they were alike.
func covered(t *testing.T, trials int, ec, u float64) map[string]float64 {
	t.Helper()
	display := pen(t, tempcomp.Linear{Alpha: 0.019, RefTempC: 25}, 0.64)
	bottle := func(mgL, uStrength, tempC, uTemp, ec, u float64) evaluation {
		strength := quantity.Quantity{Value: mgL, Kind: quantity.MassConcentration}.String()
		b := bottleOf(t, solutions.NaCl, strength, Known(uStrength), tempInput(tempC, Known(uTemp)), display)
		b.Water = waterInput(ec, Known(u))
		e, err := ForSalt(b).evaluate(ReferenceInput.uncertain)
		require.NoError(t, err)
		return e
	}
	said := bottle(600, 2, 18, 0.1, ec, u)
	rng := rand.New(rand.NewPCG(7, 11))
	hits := make(map[string]float64)
	for range trials {
		e := bottle(600+2*rng.NormFloat64(), 0, 18+0.1*rng.NormFloat64(), 0, math.Max(0, ec+u*rng.NormFloat64()), 0)
		model, behaviour, ions := rng.NormFloat64(), rng.NormFloat64(), rng.Float64()
		truth := func(v uncert.Value) float64 {
			return v.Nominal() + model*v.Part("model:NaCl") + behaviour*v.Part("water:temperature") - ions*v.Part(solutions.WaterIonsID)
		}
		for name, pair := range map[string][2]uncert.Value{
			"value": {said.point.Value, e.point.Value}, "ec25": {*said.ec25, *e.ec25}, "display": {*said.display, *e.display},
		} {
			if math.Abs(pair[0].Nominal()-truth(pair[1])) <= 2*pair[0].U() {
				hits[name] += 1 / float64(trials)
			}
		}
	}
	return hits
}

// Two standard uncertainties cover the truth in 95.45 % of bench days; the band
// is 3 standard deviations of the estimate.
func TestReferenceUncertaintiesCoverAsClaimed(t *testing.T) {
	const trials = 4000
	want := math.Erf(math.Sqrt2)
	for name, share := range covered(t, trials, 8, 2) {
		assert.InDelta(t, want, share, 3*math.Sqrt(want*(1-want)/trials), name)
	}
}

// In hard water what the ions do is the largest part. It has one sign, so the
// interval covers at least as often as claimed.
func TestReferenceUncertaintiesCoverHardWater(t *testing.T) {
	const trials = 2000
	want := math.Erf(math.Sqrt2)
	for name, share := range covered(t, trials, 400, 4) {
		assert.GreaterOrEqual(t, share, want-3*math.Sqrt(want*(1-want)/trials), name)
	}
}

func textOf(t *testing.T, r Result) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, r.Table(&b, Style{}))
	return b.String()
}

// Unknown is not exact: where nothing is stated but a value, its u is null and
// "unknown"; where a part is known, the figure says on its own line that there
// is more.
func TestReferenceNeverShowsUnknownAsExact(t *testing.T) {
	linear := tempcomp.Linear{Alpha: 0.02, RefTempC: 25}
	// At 25 C a bottle stated by its conductivity needs no model.
	all := makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "1413uS/cm", Unknown(), tempInput(25, Unknown()), pen(t, linear, 0))))
	for name, u := range map[string]Number{"u_value": all.UValue, "u_ec25": all.UEC25, "u_display": all.UDisplay} {
		assert.False(t, u.IsKnown(), name)
	}
	assert.Equal(t, 1413.0, get(t, all.EC25), "as stated, to the last bit")
	text := textOf(t, all)
	assert.NotContains(t, text, "exact")
	assert.Contains(t, text, "True value     1413.0 uS/cm, not compensated; u unknown: strength and")
	assert.Contains(t, text, "At 25 C        1413.0 uS/cm; u unknown: strength not stated")
	var b bytes.Buffer
	require.NoError(t, WriteJSON(&b, all))
	var keys map[string]any
	require.NoError(t, json.Unmarshal(b.Bytes(), &keys))
	assert.Nil(t, keys["u_value"])
	assert.Nil(t, keys["u_ec25_uS_cm"])
	assert.Len(t, keys["left_out"], 2)

	assert.Contains(t, text, "Water          conductivity not given: left out of every value\n")
	with := bottleOf(t, solutions.KCl, "1413uS/cm", Known(0), tempInput(25, Known(0)), pen(t, linear, 0))
	for ec, want := range map[*ReferenceInput]string{
		waterInput(8, Known(2)): "8.0 ± 2.0 uS/cm at 25 C, added", waterInput(8, Unknown()): "8 uS/cm at 25 C, added", waterInput(0, Known(0)): "0 uS/cm at 25 C, added",
	} {
		with.Water = ec
		assert.Contains(t, textOf(t, makeReference(t, ForSalt(with))), "Water          "+want+"\n")
	}

	// Elsewhere the model's part is known, and is not all.
	part := makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "1413uS/cm", Unknown(), tempInput(20, Unknown()), pen(t, linear, 0))))
	assert.InDelta(t, 0.0003*get(t, part.Value), get(t, part.UValue), 0.1)
	assert.False(t, part.UEC25.IsKnown())
	assert.Contains(t, textOf(t, part), "1277.4 uS/cm, not compensated; ± 0.38 and more: strength and")

	// With all stated as exact it is exact.
	exact := makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "1413uS/cm", Known(0), tempInput(25, Known(0)), pen(t, linear, 0))))
	assert.Zero(t, get(t, exact.UEC25))
	assert.Contains(t, textOf(t, exact), "At 25 C        1413 uS/cm (exact)")

	// One of the two: each value names its own.
	one := textOf(t, makeReference(t, ForSalt(bottleOf(t, solutions.KCl, "1413uS/cm", Known(7), tempInput(20, Unknown()), pen(t, linear, 0)))))
	assert.Contains(t, one, "± 6.3 and more: temperature not")
	assert.Contains(t, one, "At 25 C        1413.0 ± 7.0 uS/cm\n")
}

// A table says in its body what its u leaves out.
func TestReferenceTableSaysWhatIsUnknown(t *testing.T) {
	linear := tempcomp.Linear{Alpha: 0.02, RefTempC: 25}
	b := bottleOf(t, solutions.KCl, "1413uS/cm", Unknown(), tempInput(0, Unknown()), pen(t, linear, 0))
	table, err := NewReferenceTable(ForSalt(b), Grid{From: Known(20), To: Known(30), Step: Known(5)})
	require.NoError(t, err)
	assert.Len(t, table.LeftOut, 2)
	text := textOf(t, table)
	assert.Contains(t, text, "u is larger than shown, by how much is unknown: strength and temperature not\nstated.")
	assert.Regexp(t, `\n +25 +1413\.0 +unknown +1413\.0 +unknown\n`, text)
	assert.False(t, table.Rows[1].UValue.IsKnown())
	assert.True(t, table.Rows[0].UValue.IsKnown())
	require.Len(t, table.Warnings, 3)
	assert.Contains(t, table.Warnings[1], "if it were 1 %, that alone would be a u of about 1.0 % in the value and about 1.0 % in the display (mid-table)")

	only, err := NewReferenceTable(ForSalt(b), Grid{From: Known(25), To: Known(25)})
	require.NoError(t, err)
	assert.Contains(t, textOf(t, only), "\nu unknown: strength and temperature not stated.")

	b.Input.U, b.Temp.U = Known(0), Known(0)
	stated, err := NewReferenceTable(ForSalt(b), Grid{})
	require.NoError(t, err)
	assert.Empty(t, stated.LeftOut)
	assert.NotContains(t, textOf(t, stated), "not stated")
}

// Digits: those that the uncertainty supports, no more than the published table
// has, and few where some of the uncertainty is unknown.
func TestRoundReference(t *testing.T) {
	for _, c := range []struct {
		value      float64
		u          Number
		decimals   int
		incomplete bool
		v, size    string
	}{
		{1052.4872, Known(7.13), 0, false, "1052.5", "7.1"},
		{1277.409, Known(0.0153), 0, true, "1277.4", "0.015"},
		{108620.3, Known(31), 0, true, "108620", "31"},
		{12880, Unknown(), 0, true, "12880", "unknown"},
		{9.9673, Known(0.014142), 2, false, "9.97", "0.014"},
		{9.2310, Known(0.003), 3, false, "9.231", "0.0030"},
		{9.2310, Known(0.031), 3, false, "9.231", "0.031"},
		{9.2310, Known(0.31), 3, false, "9.23", "0.31"},
		{1413, Known(0), 0, false, "1413", "0"},
		{0, Known(0.05), 0, false, "0.000", "0.050"},
	} {
		v, size := roundReference(c.value, c.u, c.decimals, c.incomplete)
		assert.Equal(t, [2]string{c.v, c.size}, [2]string{v, size}, "%v %v", c.value, c.u)
	}
}

// The bottle buffers' table has two decimals, and so has the text; at its own
// temperatures it is the table (instrument manual, rounded to 0.01): 4.00, 7.00
// and 10.01 at 25 C, 4.00, 7.04 and 10.12 at 15 C.
func TestBottleBuffersArePrintedAsTheirTableIs(t *testing.T) {
	for name, want := range map[string][2]string{"4.00": {"4.00", "4.00"}, "7.00": {"7.00", "7.04"}, "10.01": {"10.01", "10.12"}} {
		buffer, err := solutions.BufferByName(name)
		require.NoError(t, err)
		for i, temp := range []float64{25, 15} {
			r := makeReference(t, ForBuffer(buffer, tempInput(temp, Known(0.2))))
			assert.Regexp(t, `\nValue        `+want[i]+` ± 0\.01\d pH\n`, textOf(t, r), "%s at %v C", name, temp)
		}
		table, err := NewReferenceTable(ForBuffer(buffer, tempInput(0, Known(0))), Grid{})
		require.NoError(t, err)
		assert.Regexp(t, `\n +25 +`+want[0]+` +0\.010\n`, textOf(t, table), name)
	}
}

// Measured, interpolated or extrapolated stands with every value.
func TestFreshAirSaysHowItsValueIsKnown(t *testing.T) {
	r := makeReference(t, ForFreshAir(2026, solutions.Sites()[0]))
	assert.Contains(t, r.Source, "extrapolated from 2025, 2.6 ppm a year: annual means")
	table, err := NewReferenceTable(ForFreshAir(2026, solutions.Sites()[0]), Grid{})
	require.NoError(t, err)
	text := textOf(t, table)
	for _, line := range []string{`2016 +403\.1 +5\.0  annual mean of 2016\n`, `2017 +405\.3 +5\.0  interpolated, 2016 to 2018\n`, `2030 +438\.6 +5\.6  extrapolated from 2025`} {
		assert.Regexp(t, line, text)
	}
	assert.NotContains(t, table.Source, "polated", "the source of all rows")
	assert.Contains(t, text, "year 2015 to 2035\n")
}

// Half a degree is a percent of an uncompensated reading, and little of a
// compensated one.
func TestStepsFollowTheCompensation(t *testing.T) {
	steps := func(rule tempcomp.Rule) string {
		return makeReference(t, ForSalt(bottleOf(t, solutions.NaCl, "600mg/L", Known(0), tempInput(25, Known(0)), pen(t, rule, 0)))).Steps[3]
	}
	assert.Contains(t, steps(tempcomp.None{}), "half a degree is one percent of the reading")
	for _, rule := range []tempcomp.Rule{tempcomp.Linear{Alpha: 0.02, RefTempC: 25}, tempcomp.NaturalWater{}} {
		assert.Contains(t, steps(rule), "little of what a meter shows that corrects for temperature")
	}
}
