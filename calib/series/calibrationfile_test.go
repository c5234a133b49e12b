package series_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/series"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// byHand has the keys of the contract alone, as somebody types them.
const byHand = `{"meter": null, "quantity": "ec", "time": "2026-03-01T08:30:00+01:00", "state": "as-left",
 "fit": {"method": "errors-in-both", "n": 3, "intercept": 4.0, "slope": 1.11, "u_intercept": 3.0, "u_slope": 0.01,
         "cov": -0.024, "residual_sd": null, "dof": 1, "chi2": 0.7},
 "points": [{"ref": 600, "reading": 537, "corrected": 600.07, "residual": -0.07},
            {"ref": 300, "reading": 268, "corrected": 301.48, "residual": -1.48}],
 "warnings": []}`

func TestReadCalibrationByHand(t *testing.T) {
	list, err := series.ReadCalibration([]byte("\uFEFF"+byHand), "may.json", time.UTC)
	require.NoError(t, err)
	require.Len(t, list, 1)
	c := list[0]
	assert.True(t, c.Time.Equal(time.Date(2026, 3, 1, 7, 30, 0, 0, time.UTC)))
	assert.Equal(t, series.AsLeft, c.State)
	assert.Equal(t, check.EC, c.Kind)
	assert.Equal(t, "may.json", c.Name)
	assert.Empty(t, c.Unit)
	assert.Equal(t, series.Line{Intercept: 4, Slope: 1.11, VarIntercept: 9, VarSlope: 0.0001, Cov: -0.024, Low: 268, High: 537}, c.Line)
	assert.Len(t, c.Points, 2)
	assert.Zero(t, c.DoF, "stated uncertainties")
}

// with changes the calibration by hand.
func with(t *testing.T, pairs ...string) string {
	t.Helper()
	text := byHand
	for i := 0; i < len(pairs); i += 2 {
		require.Contains(t, text, pairs[i])
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

func TestReadCalibrationVariants(t *testing.T) {
	vienna, err := time.LoadLocation("Europe/Vienna")
	require.NoError(t, err)
	read := func(text string) series.Filed {
		list, err := series.ReadCalibration([]byte(text), "may.json", vienna)
		require.NoError(t, err)
		return list[0]
	}
	assert.True(t, read(with(t, "2026-03-01T08:30:00+01:00", "2026-07-01 08:30")).Time.Equal(time.Date(2026, 7, 1, 6, 30, 0, 0, time.UTC)), "summer time of the zone")
	assert.Equal(t, series.AsFound, read(with(t, `"state": "as-left",`, ``)).State, "nobody adjusted it")
	assert.Equal(t, check.PH, read(with(t, `"ec"`, `"ph"`)).Kind)

	gain := read(with(t, "errors-in-both", "gain", `"intercept": 4.0`, `"intercept": 0`, `"u_intercept": 3.0`, `"u_intercept": null`, `"cov": -0.024`, `"cov": null`))
	assert.Equal(t, series.Line{Slope: 1.11, VarSlope: 0.0001, Low: 0, High: 537}, gain.Line, "a line through zero covers all below its points")
	assert.Equal(t, 1, gain.DoF, "its method rests on scatter")

	unknown := read(with(t, `"u_slope": 0.01`, `"u_slope": null`)).Line
	assert.True(t, math.IsNaN(unknown.VarSlope) && math.IsNaN(unknown.VarIntercept))

	wide := read(with(t, `"chi2": 0.7`, `"reading_low": 100, "reading_high": 2000`)).Line
	assert.Equal(t, [2]float64{100, 2000}, [2]float64{wide.Low, wide.High})
	without := read(with(t, `"points": [`, `"others": [`)).Line
	assert.True(t, math.IsInf(without.Low, -1) && math.IsInf(without.High, 1), "nothing says how far it reaches")

	list, err := series.ReadCalibration([]byte(with(t, `"warnings": []`, `"as_left": {"fit": {"intercept": 1, "slope": 1}, "state": "as-left"}`, `"state": "as-left",`, `"state": "as-found",`)), "may.json", vienna)
	require.NoError(t, err)
	require.Len(t, list, 2)
	assert.Equal(t, []series.State{series.AsFound, series.AsLeft}, []series.State{list[0].State, list[1].State})
	assert.True(t, list[0].Time.Equal(list[1].Time), "of the same bench day")
	assert.Equal(t, 1.0, list[1].Line.Slope)
}

func TestReadCalibrationRefuses(t *testing.T) {
	for want, text := range map[string]string{
		"want what calibrate --json prints": `time,ec`,
		"key fit: found nothing":            `{"time": "2026-03-01"}`,
		"key fit.intercept: found nothing":  with(t, `"intercept": 4.0, `, ``),
		"key fit.slope: found nothing":      with(t, `"slope": 1.11, `, ``),
		"give calibrate --time":             with(t, `"2026-03-01T08:30:00+01:00"`, `null`),
		"key time":                          with(t, `2026-03-01T08:30:00+01:00`, `yesterday`),
		"a year from 1700 to 2200":          with(t, `2026-03-01`, `2926-03-01`),
		`"left"; want as-found or as-left`:  with(t, `as-left`, `left`),
		`"ppm"; want one of ec, ph`:         with(t, `"ec"`, `"ppm"`),
		"slope is 0":                        with(t, `1.11`, `0`),
		"fit.u_slope: found -0.01":          with(t, `"u_slope": 0.01`, `"u_slope": -0.01`),
		"larger than their uncertainties":   with(t, `-0.024`, `-0.24`),
		"want the lower end first":          with(t, `"chi2": 0.7`, `"reading_low": 2000, "reading_high": 100`),
		"may.json":                          ``,
	} {
		list, err := series.ReadCalibration([]byte(text), "may.json", time.UTC)
		require.ErrorContains(t, err, want, text)
		assert.ErrorContains(t, err, "may.json")
		assert.Nil(t, list)
	}
}

// Whatever a file holds, it is refused or makes a timeline that corrects.
func FuzzReadCalibration(f *testing.F) {
	f.Add([]byte(byHand))
	f.Add([]byte(`{"fit":{"intercept":0,"slope":1},"time":"2026-03-01","as_left":{"fit":{"intercept":1,"slope":1e300},"state":"as-left"}}`))
	f.Add([]byte(`{"fit":{"intercept":0,"slope":-1,"u_slope":1e200,"u_intercept":1},"time":"1700000000","points":[{"reading":3}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		list, err := series.ReadCalibration(data, "may.json", time.UTC)
		if err != nil {
			require.ErrorContains(t, err, "may.json")
			return
		}
		var cals []series.Calibration
		for _, c := range list {
			cals = append(cals, c.Calibration)
		}
		line, err := series.NewTimeline(cals, nil, series.Growth{Rate: 0.01})
		if err != nil {
			return
		}
		c, err := series.NewCorrector(&series.Probe{Timeline: line, Low: math.NaN(), High: math.NaN()})
		require.NoError(t, err)
		_, u, flag := c.At(list[0].Time.UnixNano(), 1, math.NaN())
		require.NotEqual(t, series.BeforeCalibration, flag)
		require.False(t, u < 0)
	})
}
