package check

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Where the verdict says 80 %, four meters in five are within tolerance. True errors are drawn
// wide and flat (JCGM 106's prior), readings from them with the errors stated; the calibrations are
// sorted by the probability given and counted.
func TestProbabilityIsHonest(t *testing.T) {
	if testing.Short() {
		t.Skip("a simulation of thousands of calibrations")
	}
	const ref, tolerance = 1000.0, 20.0
	for _, c := range []struct {
		name                string
		n, repeats          int
		own, shared, read   float64
		statesRef, statesUR bool
		trials              int
	}{
		{"one reference", 1, 1, 4, 0, 6, true, true, 20000},
		{"two", 2, 1, 4, 0, 6, true, true, 4000},
		{"three of one stock", 3, 1, 3, 6, 4, true, true, 5000},
		{"eight of one stock", 8, 1, 6, 6, 8, true, true, 3000},
		{"three, each read three times", 3, 3, 5, 0, 4, true, false, 2000},
		// Nobody knows the scatter beforehand: it is drawn flat in its logarithm, from 0.3 to 9.
		{"four, scatter alone", 4, 1, 0, 0, 0, false, false, 3000},
		{"four bottles read three times, scatter alone", 4, 3, 5, 0, 4, false, false, 2500},
	} {
		rng := rand.New(rand.NewPCG(106, 2012))
		const bins = 5
		var sum, in, count [bins]float64
		for range c.trials {
			var rows []Row
			within := true
			stock, read := rng.NormFloat64(), c.read
			if read == 0 {
				read = 0.3 * math.Pow(30, rng.Float64())
			}
			// A meter's error: a straight line of its own, wide beside the tolerance.
			first, last := 120*(rng.Float64()-0.5), 120*(rng.Float64()-0.5)
			for i := range c.n {
				label := ref * float64(i+1)
				// The truth scatters about the label as much as is stated.
				truth := label - c.own*rng.NormFloat64() - c.shared*stock
				e := first + (last-first)*float64(i)/math.Max(1, float64(c.n-1))
				within = within && math.Abs(e) <= tolerance
				for range c.repeats {
					row := Row{Ref: label, Reading: truth + e + read*rng.NormFloat64(), Bottle: string(rune('A' + i))}
					if c.statesRef {
						row.URef = pointer(c.own)
					}
					if c.statesUR {
						row.UReading = pointer(read)
					}
					if c.shared > 0 {
						row.RefSource, row.URefShared = "stock", pointer(c.shared)
					}
					rows = append(rows, row)
				}
			}
			r, err := Run(rows, Options{Tolerance: absolute(tolerance)})
			require.NoError(t, err)
			b := min(int(r.PWithin*bins), bins-1)
			sum[b] += r.PWithin
			count[b]++
			if within {
				in[b]++
			}
		}
		for b := range bins {
			if count[b] < 150 {
				continue
			}
			claimed, found := sum[b]/count[b], in[b]/count[b]
			t.Logf("%s: claimed %.3f, found %.3f of %.0f", c.name, claimed, found, count[b])
			// Four standard errors, and 1 % because the flat prior has an end.
			band := 4*math.Sqrt(claimed*(1-claimed)/count[b]) + 0.01
			require.InDelta(t, claimed, found, band, c.name)
		}
	}
}

// A verdict of pass is wrong at most once in twenty, and so is one of fail.
func TestVerdictsAreSeldomWrong(t *testing.T) {
	if testing.Short() {
		t.Skip("a simulation of thousands of calibrations")
	}
	rng := rand.New(rand.NewPCG(95, 5))
	var pass, passWrong, fail, failWrong float64
	for range 8000 {
		rows := make([]Row, 2)
		within := true
		stock := rng.NormFloat64()
		for i := range rows {
			label := 1000 * float64(i+1)
			truth := label - 3*rng.NormFloat64() - 5*stock
			e := 80 * (rng.Float64() - 0.5)
			within = within && math.Abs(e) <= 20
			rows[i] = Row{Ref: label, Reading: truth + e + 4*rng.NormFloat64(), URef: pointer(3), UReading: pointer(4), RefSource: "s", URefShared: pointer(5)}
		}
		r, err := Run(rows, Options{Tolerance: absolute(20)})
		require.NoError(t, err)
		switch r.Verdict {
		case "pass":
			pass++
			if !within {
				passWrong++
			}
		case "fail":
			fail++
			if within {
				failWrong++
			}
		}
	}
	require.Greater(t, pass, 200.0)
	require.Greater(t, fail, 300.0)
	require.Less(t, passWrong/pass, 0.05)
	require.Less(t, failWrong/fail, 0.05)
}
