package montecarlo

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// jcgm101 reads the cases of JCGM 101:2008, 9.2: standard deviations and the printed and exact
// results.
func jcgm101(t *testing.T) (rect map[string][]bool, sd map[string][]float64, printed, exact map[string]float64) {
	t.Helper()
	read := func(name string) [][]string {
		f, err := os.Open("../../testdata/published/" + name + ".csv")
		require.NoError(t, err)
		defer f.Close()
		r := csv.NewReader(f)
		r.Comment = '#'
		rows, err := r.ReadAll()
		require.NoError(t, err)
		return rows[1:]
	}
	rect, sd = map[string][]bool{}, map[string][]float64{}
	for _, r := range read("jcgm101_additive") {
		v, err := strconv.ParseFloat(r[4], 64)
		require.NoError(t, err)
		rect[r[0]] = append(rect[r[0]], r[2] == "rectangular")
		sd[r[0]] = append(sd[r[0]], v)
	}
	printed, exact = map[string]float64{}, map[string]float64{}
	for _, r := range read("jcgm101_additive_results") {
		if v, err := strconv.ParseFloat(r[1], 64); err == nil {
			printed[r[0]] = v
		}
		v, err := strconv.ParseFloat(r[2], 64)
		require.NoError(t, err)
		exact[r[0]] = v
	}
	return rect, sd, printed, exact
}

// JCGM 101:2008, 9.2: the sum of four inputs. The figures must reach the digits that the adaptive
// rule promises: two significant digits of u.
func TestRunOnJCGM101Additive(t *testing.T) {
	rect, sds, printed, exact := jcgm101(t)
	for _, name := range []string{"normal4", "rect4", "rect_dominant"} {
		draw := func(rng *rand.Rand, out []float64) bool {
			out[0] = 0
			for i, sd := range sds[name] {
				if rect[name][i] {
					out[0] += sd * math.Sqrt(12) * (rng.Float64() - 0.5)
				} else {
					out[0] += sd * rng.NormFloat64()
				}
			}
			return true
		}
		r, err := Run(Plan{Outputs: []Kind{Quantity}, Seed: 1, Digits: 2}, draw)
		require.NoError(t, err)
		require.True(t, r.Settled, name)
		o := r.Outputs[0]
		tolerance := o.Tolerance
		require.InDelta(t, map[string]float64{"normal4": 0.05, "rect4": 0.05, "rect_dominant": 0.5}[name], tolerance, 1e-12)
		require.InDelta(t, exact[name+":u"], o.U, tolerance, name)
		require.InDelta(t, exact[name+":hi95"], o.High, tolerance, name)
		require.InDelta(t, -exact[name+":hi95"], o.Low, tolerance, name)
		require.InDelta(t, 0, o.Mean, tolerance, name)
		require.InDelta(t, printed[name+":u"], o.U, tolerance, name)

		// A million draws, as the Supplement uses: three standard errors of a quantile.
		if name == "rect_dominant" {
			require.Greater(t, exact[name+":hi95_gaussian"]-o.High, 2.0, "the linear interval is far too wide here")
		}
	}
}

// A million draws reproduce the printed limits (JCGM 101:2008, tables 3 to 5) to their digits.
func TestRunReachesPrintedDigits(t *testing.T) {
	_, _, printed, exact := jcgm101(t)
	draw := func(rng *rand.Rand, out []float64) bool {
		out[0] = 0
		for range 4 {
			out[0] += math.Sqrt(12) * (rng.Float64() - 0.5)
		}
		return true
	}
	r, err := Run(Plan{Outputs: []Kind{Quantity}, Seed: 7, Digits: 4, Most: 1000000}, draw)
	require.NoError(t, err)
	require.Equal(t, 1000000, r.Draws)
	require.InDelta(t, exact["rect4:hi95_closed_form"], r.Outputs[0].High, 0.01)
	require.InDelta(t, printed["rect4:hi95"], r.Outputs[0].High, 0.01)
}

func TestRunIsReproducible(t *testing.T) {
	draw := func(rng *rand.Rand, out []float64) bool {
		out[0], out[1] = rng.NormFloat64(), 0
		if out[0] > 1.644853626951 {
			out[1] = 1
		}
		return true
	}
	plan := Plan{Outputs: []Kind{Quantity, Event}, Seed: 42}
	a, err := Run(plan, draw)
	require.NoError(t, err)
	b, err := Run(plan, draw)
	require.NoError(t, err)
	require.Equal(t, a.Outputs[0], b.Outputs[0])
	require.Equal(t, a.Outputs[1].Mean, b.Outputs[1].Mean)
	require.InDelta(t, 0.05, a.Outputs[1].Mean, 0.005)
	plan.Seed++
	c, err := Run(plan, draw)
	require.NoError(t, err)
	require.NotEqual(t, a.Outputs[0], c.Outputs[0])
}

// Student's t with one degree of freedom has no mean; its median and limits are 0 and +-12.706.
func TestRunHeavyTailed(t *testing.T) {
	draw := func(rng *rand.Rand, out []float64) bool {
		out[0] = rng.NormFloat64() / math.Abs(rng.NormFloat64())
		return true
	}
	r, err := Run(Plan{Outputs: []Kind{HeavyTailed}, Seed: 3}, draw)
	require.NoError(t, err)
	require.True(t, r.Settled)
	require.InDelta(t, 12.706, r.Outputs[0].High, r.Outputs[0].Tolerance)
	require.True(t, math.IsNaN(r.Outputs[0].U))
}

func TestTolerance(t *testing.T) {
	// JCGM 101:2008, 7.9.2, examples: u = 0.00035 g with two digits, and u = 2 K with one.
	require.InDelta(t, 0.000005, Tolerance(0.00035, 2), 1e-15)
	require.InDelta(t, 0.5, Tolerance(2, 1), 1e-15)
	require.InDelta(t, 0.5, Tolerance(0.97, 1), 1e-15)
	require.Zero(t, Tolerance(0, 1))
}

func TestRunRefuses(t *testing.T) {
	never := func(*rand.Rand, []float64) bool { return false }
	_, err := Run(Plan{Outputs: []Kind{Quantity}}, never)
	require.ErrorContains(t, err, "no result")
	for _, p := range []Plan{{}, {Outputs: []Kind{Quantity}, Level: 1}, {Outputs: []Kind{Quantity}, Most: 10}, {Outputs: []Kind{Quantity}, Digits: 9}} {
		_, err := Run(p, never)
		require.Error(t, err)
	}
}
