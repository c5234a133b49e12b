package drift

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/check"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// published reads a table of testdata/published: columns by name.
func published(t *testing.T, name string) map[string][]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "published", name+".csv"))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1, name)
	columns := map[string][]string{}
	for _, row := range rows[1:] {
		for i, head := range rows[0] {
			columns[head] = append(columns[head], row[i])
		}
	}
	return columns
}

func numbers(t *testing.T, cells []string) []float64 {
	t.Helper()
	require.NotEmpty(t, cells)
	out := make([]float64, len(cells))
	for i, cell := range cells {
		x, err := strconv.ParseFloat(cell, 64)
		require.NoError(t, err)
		out[i] = x
	}
	return out
}

// results maps the quantities of a results table to their exact figures, and
// to the printed ones with half a unit of their last digit.
func results(t *testing.T, name string) (exact, printed, half map[string]float64) {
	t.Helper()
	table := published(t, name+"_results")
	exact, printed, half = map[string]float64{}, map[string]float64{}, map[string]float64{}
	for i, x := range numbers(t, table["exact"]) {
		quantity := table["quantity"][i]
		exact[quantity] = x
		if text := table["printed"][i]; text != "" {
			printed[quantity] = numbers(t, []string{text})[0]
			_, fraction, _ := strings.Cut(text, ".")
			half[quantity] = 0.5*math.Pow10(-len(fraction)) + 1e-9
		}
	}
	return exact, printed, half
}

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4.
func TestEWMAHandbook(t *testing.T) {
	exact, printed, half := results(t, "ewma_nist")
	x := numbers(t, published(t, "ewma_nist")["x"])
	chart := EWMA(x, 50, 2.0539, 0.3, 3, true)
	signals := 0.0
	for i, p := range chart {
		name := "ewma[" + strconv.Itoa(i+1) + "]"
		require.Contains(t, printed, name)
		assert.InDelta(t, printed[name], p.Value, half[name], name)
		assert.InEpsilon(t, exact[name], p.Value, 1e-9, name)
		if p.Out {
			signals++
		}
	}
	assert.InDelta(t, printed["ucl"], chart[0].High, half["ucl"])
	assert.InEpsilon(t, exact["lcl"], chart[0].Low, 1e-9, "the Handbook's comes from a rounded factor")
	assert.Equal(t, printed["signals"], signals)
	for _, i := range []int{1, 2, 5, 20} {
		p := EWMA(x, 0, 1, 0.3, 1, false)[i-1]
		assert.InEpsilon(t, exact["ewma_sd_factor["+strconv.Itoa(i)+"]"], p.High, 1e-9)
	}
}

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3.
func TestCUSUMHandbook(t *testing.T) {
	exact, printed, half := results(t, "cusum_nist")
	x := numbers(t, published(t, "cusum_nist")["x"])
	first := 0
	for i, p := range CUSUM(x, 325, 0.3175, 4.1959) {
		for name, got := range map[string]float64{"s_hi": p.High, "s_lo": p.Low, "cusum": p.Sum} {
			name += "[" + strconv.Itoa(i+1) + "]"
			require.Contains(t, printed, name)
			assert.InDelta(t, printed[name], got, half[name], name)
			assert.InDelta(t, exact[name], got, 1e-9, name)
		}
		if p.Out && first == 0 {
			first = i + 1
		}
	}
	assert.Equal(t, int(printed["first_signal_group"]), first)
}

// The step in the Handbook's CUSUM data lies where its chart turns: the last
// eight groups run high.
func TestShiftInHandbookData(t *testing.T) {
	x := numbers(t, published(t, "cusum_nist")["x"])
	s, ok := FindShift(x, nil)
	require.True(t, ok)
	assert.Equal(t, 12, s.At)
	known := make([]float64, len(x))
	for i := range known {
		known[i] = 0.635 * 0.635 // sigma = 1.27/sqrt(4), as the example has it
	}
	s, ok = FindShift(x, known)
	require.True(t, ok)
	assert.Equal(t, 12, s.At)
	assert.InDelta(t, mean(x[12:])-mean(x[:12]), s.Size, 1e-9)
	assert.InEpsilon(t, s.Size/(0.635*math.Sqrt(1.0/12+1.0/8)), s.Z, 1e-9)
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// Teaching note of the College of the Holy Cross.
func TestMannKendallByHand(t *testing.T) {
	exact, printed, half := results(t, "mann_kendall_hand")
	data := published(t, "mann_kendall_hand")
	times, y := numbers(t, data["t"]), numbers(t, data["y"])
	k := MannKendall(times, y, nil)
	assert.Equal(t, int(printed["S"]), k.S)
	assert.InEpsilon(t, exact["var_S"], k.VarS, 1e-9)
	assert.InDelta(t, printed["Z"], k.Z, half["Z"])
	assert.InEpsilon(t, exact["Z"], k.Z, 1e-9)
	assert.InDelta(t, printed["p_one_sided"], k.PTwoSided/2, half["p_one_sided"])
	assert.InEpsilon(t, exact["p_two_sided"], k.PTwoSided, 1e-9)
	slope, low, high, ok := TheilSen(times, y, nil, 0.95)
	require.True(t, ok)
	assert.InEpsilon(t, exact["theil_sen_slope"], slope, 1e-9)
	assert.InEpsilon(t, exact["slope_ci95_lo"], low, 1e-9)
	assert.InEpsilon(t, exact["slope_ci95_hi"], high, 1e-9)
}

// P.K. Sen, J. Am. Stat. Assoc. 63 (1968) 1379.
func TestTheilSen1968(t *testing.T) {
	exact, printed, _ := results(t, "theil_sen_1968")
	data := published(t, "theil_sen_1968")
	times, y := numbers(t, data["t"]), numbers(t, data["y"])
	slope, low, high, ok := TheilSen(times, y, nil, 0.93)
	require.True(t, ok)
	assert.Equal(t, printed["theil_sen_slope"], slope)
	assert.Equal(t, 26.0/7, low)
	assert.Equal(t, 35.0/8, high)
	assert.Equal(t, int(exact["S"]), MannKendall(times, y, nil).S)
}

// A probe's slope over half a year: rank statistics, and the state-space model
// without walk, with a rate nobody knows anything of, against the weighted
// straight line of R.
func TestWeightedDrift(t *testing.T) {
	exact, _, _ := results(t, "drift_weighted")
	data := published(t, "drift_weighted")
	days, y, u := numbers(t, data["day"]), numbers(t, data["slope_pct"]), numbers(t, data["u"])
	k := MannKendall(days, y, nil)
	assert.Equal(t, int(exact["S"]), k.S)
	assert.InEpsilon(t, exact["Z"], k.Z, 1e-9)
	assert.InEpsilon(t, exact["p_two_sided"], k.PTwoSided, 1e-9)
	slope, _, _, ok := TheilSen(days, y, nil, 0.95)
	require.True(t, ok)
	assert.InEpsilon(t, exact["theil_sen_slope"], slope, 1e-9)

	var entries []Entry
	start := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range days {
		entries = append(entries, Entry{Time: start.AddDate(0, 0, int(days[i])), Ref: ptr(100), Reading: ptr(y[i]), URef: ptr(0), UReading: ptr(u[i])})
	}
	o, err := Options{Kind: check.Other, Now: start.AddDate(0, 0, 180)}.complete()
	require.NoError(t, err)
	line, err := newTimeline(entries, o)
	require.NoError(t, err)
	r := newRun(line, hyper{rate: 1e4, factor: 1}, 1)
	r.start()
	// The widest start, in place of the likeliest: the level is as unknown.
	b := r.beam[len(r.beam)-1]
	b.p[level*line.dim+level] = 1e8
	r.beam = []*branch{b}
	r.advance(0, len(line.steps))
	b = r.beam[0]
	scale := line.scale
	at180 := exact["a"] + exact["b"]*180
	assert.InEpsilon(t, at180, 100+b.m[level]*scale, 1e-6)
	assert.InEpsilon(t, exact["b"], b.m[rate]*scale/daysPerMonth, 1e-5)
	assert.InEpsilon(t, exact["u_b_known_u"], math.Sqrt(b.p[rate*line.dim+rate])*scale/daysPerMonth, 1e-5)
	variance := exact["u_a_known_u"]*exact["u_a_known_u"] + 2*180*exact["cov_ab_known_u"] + 180*180*exact["u_b_known_u"]*exact["u_b_known_u"]
	assert.InEpsilon(t, math.Sqrt(variance), math.Sqrt(b.p[level*line.dim+level])*scale, 1e-5)
}

// The slopes of all pairs are kept once: growing the list would take three
// times the memory, which for ten thousand checks is more than a gigabyte.
func TestTheilSenKeepsSlopesOnce(t *testing.T) {
	const n = 1500
	var x, y []float64
	for i := range n {
		x, y = append(x, float64(i)), append(y, float64(i*i%17))
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	_, _, _, ok := TheilSen(x, y, nil, 0.95)
	runtime.ReadMemStats(&after)
	require.True(t, ok)
	assert.Less(t, float64(after.TotalAlloc-before.TotalAlloc), 1.3*8*n*(n-1)/2)
}
