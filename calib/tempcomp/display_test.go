package tempcomp_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
)

func ppm(t *testing.T, factor float64) tempcomp.Scale {
	t.Helper()
	s, err := tempcomp.PPM(factor)
	require.NoError(t, err)
	return s
}

// The conductivity of KCl 0.01 mol/kg at 18 C and 25 C is 1219.93 and 1408.23
// uS/cm (Pratt, Koch, Wu, Berezansky, Pure Appl. Chem. 73 (2001) 1783). A pen
// of 1.9 %/C has the divisor 0.867 at 18 C and shows 1219.93/0.867 = 1407.07
// uS/cm, half that on a 0.5 scale.
func TestShowPublishedKCl(t *testing.T) {
	kappa, temp := uncert.Exact(1219.93), uncert.Exact(18)
	for _, c := range []struct {
		d    tempcomp.Display
		want float64
	}{
		{tempcomp.Display{Rule: linear(t, 0.019, 25), Scale: tempcomp.MicroSiemens()}, 1407.07},
		{tempcomp.Display{Rule: linear(t, 0.019, 25), Scale: tempcomp.MilliSiemens()}, 1.40707},
		{tempcomp.Display{Rule: linear(t, 0.019, 25), Scale: ppm(t, 0.5)}, 703.535},
		{tempcomp.Display{Rule: tempcomp.None{}, Scale: tempcomp.MicroSiemens()}, 1219.93},
		// f25(18) is 1.168 in ISO 7888:1985 (from memory).
		{tempcomp.Display{Rule: tempcomp.NaturalWater{}, Scale: tempcomp.MicroSiemens()}, 1219.93 * 1.168},
	} {
		shown, err := c.d.Show(kappa, temp)
		require.NoError(t, err)
		assert.InEpsilon(t, c.want, shown.Nominal(), 6e-4, c.d.String())
		if c.d.Rule.Name() != tempcomp.NaturalWaterName {
			assert.InEpsilon(t, c.want, shown.Nominal(), 5e-6, c.d.String())
		}
	}
}

func displays(t *testing.T) []tempcomp.Display {
	var out []tempcomp.Display
	for _, r := range []tempcomp.Rule{linear(t, 0.019, 25), linear(t, 0.021, 20), linear(t, 0, 25), tempcomp.None{}, tempcomp.NaturalWater{}} {
		for _, s := range []tempcomp.Scale{tempcomp.MicroSiemens(), tempcomp.MilliSiemens(), ppm(t, 0.5), ppm(t, 0.7)} {
			out = append(out, tempcomp.Display{Rule: r, Scale: s})
		}
	}
	return out
}

func TestShowAndRecoverAreInverse(t *testing.T) {
	bottle := uncert.Source{ID: "bottle", Label: "bottle"}
	thermometer := uncert.Source{ID: "thermometer", Label: "thermometer"}
	for _, d := range displays(t) {
		for _, k := range []float64{0, 8, 1413, 110000} {
			for _, tc := range []float64{0, 7.3, 18, 25, 35} {
				kappa := uncert.Must(uncert.New(k, 0.01*k, bottle))
				temp := uncert.Must(uncert.New(tc, 0.5, thermometer))
				shown, err := d.Show(kappa, temp)
				require.NoError(t, err)
				back, err := d.Recover(shown, temp)
				require.NoError(t, err)
				// The same thermometer both ways: its error cancels.
				diff := back.Sub(kappa)
				assert.InDelta(t, 0, diff.Nominal(), 1e-9*(1+k))
				assert.InDelta(t, 0, diff.U(), 1e-9*(1+k))
			}
		}
	}
}

func TestScaleChange(t *testing.T) {
	temp := uncert.Exact(18)
	rule := linear(t, 0.02, 25)
	micro := tempcomp.Display{Rule: rule, Scale: tempcomp.MicroSiemens()}
	reading := uncert.Must(uncert.New(1400, 14, uncert.Source{ID: "r", Label: "reading"}))
	for _, c := range []struct {
		s tempcomp.Scale
		k float64
	}{{tempcomp.MilliSiemens(), 0.001}, {ppm(t, 0.5), 0.5}, {ppm(t, 0.64), 0.64}} {
		got, err := micro.Convert(tempcomp.Display{Rule: rule, Scale: c.s}, reading, temp)
		require.NoError(t, err)
		assert.InEpsilon(t, 1400*c.k, got.Nominal(), 1e-12)
		assert.InEpsilon(t, 0.01, got.RelU(), 1e-9, "a scale does not change a relative uncertainty")
	}
}

// Moving the reference temperature of the same straight line multiplies its
// readings by a constant: 1 + α (20 − 25) with α at 25 C.
func TestReferenceTemperatureIsAGain(t *testing.T) {
	to25 := linear(t, 0.02, 25)
	to20 := linear(t, 0.02/(1+0.02*(20-25)), 20)
	for temp := 5.0; temp <= 45; temp += 5 {
		a, err := to25.Factor(temp)
		require.NoError(t, err)
		b, err := to20.Factor(temp)
		require.NoError(t, err)
		assert.InEpsilon(t, 0.9, a/b, 1e-12)
	}
}

func TestShowSharesTheThermometer(t *testing.T) {
	th := uncert.Source{ID: "thermometer", Label: "thermometer"}
	temp := uncert.Must(uncert.New(20, 0.5, th))
	// A liquid whose conductivity follows the pen's own line.
	kappa, err := uncert.Apply(func(x ...float64) (float64, error) { return 1000 * (1 + 0.02*(x[0]-25)), nil }, temp)
	require.NoError(t, err)
	require.InDelta(t, 10, kappa.U(), 1e-9)
	d := tempcomp.Display{Rule: linear(t, 0.02, 25), Scale: tempcomp.MicroSiemens()}
	shown, err := d.Show(kappa, temp)
	require.NoError(t, err)
	assert.InDelta(t, 1000, shown.Nominal(), 1e-9)
	assert.InDelta(t, 0, shown.U(), 1e-9, "compensation removes the thermometer's error")
	// With another thermometer the two add: 1.11 % each of 1000.
	other := uncert.Must(uncert.New(20, 0.5, uncert.Source{ID: "other", Label: "other"}))
	shown, err = d.Show(kappa, other)
	require.NoError(t, err)
	assert.InDelta(t, math.Sqrt2*1000*0.02*0.5/0.9, shown.U(), 1e-6)
}

func TestDisplayRefuses(t *testing.T) {
	ok := tempcomp.Display{Rule: linear(t, 0.02, 25), Scale: tempcomp.MicroSiemens()}
	for _, c := range []struct {
		name     string
		d        tempcomp.Display
		kappa, t float64
		text     string
	}{
		{"no rule", tempcomp.Display{Scale: tempcomp.MicroSiemens()}, 1, 25, "needs a compensation rule"},
		{"no scale", tempcomp.Display{Rule: tempcomp.None{}}, 1, 25, "want uS/cm, mS/cm or ppm"},
		{"wrong factor", tempcomp.Display{Rule: tempcomp.None{}, Scale: tempcomp.Scale{Unit: "mS/cm", Factor: 1}}, 1, 25, "factor 1"},
		{"ppm without factor", tempcomp.Display{Rule: tempcomp.None{}, Scale: tempcomp.Scale{Unit: "ppm"}}, 1, 25, "0.1 to 2"},
		{"negative", ok, -1, 25, "0 or more"},
		{"not a number", ok, math.NaN(), 25, "NaN"},
		{"infinite", ok, math.Inf(1), 25, "+Inf"},
		{"hot", ok, 1, 51, "0 to 50 C"},
		{"no temperature", ok, 1, math.NaN(), "NaN"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := c.d.Show(uncert.Exact(c.kappa), uncert.Exact(c.t))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.text)
			_, err = c.d.Recover(uncert.Exact(c.kappa), uncert.Exact(c.t))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.text)
			_, err = c.d.Convert(ok, uncert.Exact(c.kappa), uncert.Exact(c.t))
			assert.Error(t, err)
		})
	}
}

func TestParseScale(t *testing.T) {
	for unit, want := range map[string]tempcomp.Scale{
		"uS/cm": tempcomp.MicroSiemens(), "µS/cm": tempcomp.MicroSiemens(), "μS/cm": tempcomp.MicroSiemens(),
		"mS/cm": tempcomp.MilliSiemens(), "ppm": {Unit: "ppm", Factor: 0.5},
	} {
		got, err := tempcomp.ParseScale(unit, 0.5)
		require.NoError(t, err)
		assert.Equal(t, want, got)
	}
	_, err := tempcomp.ParseScale("ms/cm", 0)
	require.Error(t, err)
	assert.Contains(t, err.Error(), `"ms/cm"`)
	_, err = tempcomp.ParseScale("ppm", 500)
	require.ErrorIs(t, err, tempcomp.ErrOutOfRange)
	assert.Contains(t, err.Error(), "has the factor 0.5")
	_, err = tempcomp.ParseScale("ppm", 0)
	assert.ErrorIs(t, err, tempcomp.ErrOutOfRange)
	_, err = tempcomp.ParseScale("ppm", math.NaN())
	assert.ErrorIs(t, err, tempcomp.ErrOutOfRange)
}

func FuzzParse(f *testing.F) {
	f.Add("linear", 0.02, 25.0)
	f.Add("natural-water", 0.0, 20.0)
	f.Add("ppm", 0.5, 0.0)
	f.Add("", math.Inf(1), math.NaN())
	f.Fuzz(func(t *testing.T, text string, a, b float64) {
		if r, err := tempcomp.ParseRule(text, a, b); err == nil {
			factor, err := r.Factor(25)
			if err == nil && !(factor > 0) {
				t.Fatalf("%v gives %v at 25 C", r, factor)
			}
		}
		if s, err := tempcomp.ParseScale(text, a); err == nil && !(s.Factor > 0 && s.Factor <= 2) {
			t.Fatalf("scale %q has the factor %v", text, s.Factor)
		}
	})
}
