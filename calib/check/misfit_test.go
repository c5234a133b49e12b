package check

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/conformity"
	"github.com/brinemark/brinemark/calib/line"
)

// bench invents bottles of one stock (0.1 % own, 0.8 % shared) read by a pen with a gain, to 1 unit.
func bench(rng *rand.Rand, refs []float64, gain, zero float64) []Row {
	var rows []Row
	stock := 1 + 0.008*rng.NormFloat64()
	for i, ref := range refs {
		truth := ref * stock * (1 + 0.001*rng.NormFloat64())
		rows = append(rows, Row{Bottle: string(rune('A' + i)), Ref: ref, Reading: zero + gain*truth + rng.NormFloat64(),
			URef: pointer(0.001 * ref), RefSource: "stock", URefShared: pointer(0.008 * ref), UReading: pointer(1)})
	}
	return rows
}

var strengths = []float64{618.6, 1215.1, 1991.3, 2767, 3560}

// said is all that advice and warnings say.
func (r *Result) saidAll() string { return strings.Join(append(r.Advice, r.Warnings...), "\n") }

// A perfect pen and one bottle that is not what its label says: the bottle is named, nothing is
// trimmed in it, and the line through it is not recommended.
func TestNamesTheBadBottle(t *testing.T) {
	rows := stated(plain(618.6, 619, 1215.1, 1313, 1991.3, 1992), 0, 1)
	for i := range rows {
		rows[i].Bottle, rows[i].URef = string(rune('A'+i)), pointer(0.001*rows[i].Ref)
		rows[i].RefSource, rows[i].URefShared = "stock", pointer(0.008*rows[i].Ref)
	}
	r := must(t, rows, Options{Tolerance: relative(0.02)})
	require.Equal(t, line.MethodErrorsInBoth, r.Fit.Method)
	require.NotNil(t, r.Misfit)
	require.Equal(t, []int{1}, r.Misfit.Rows)
	require.Contains(t, r.Advice[0], "bottle B does not fit the others: without it the line is 1.000 × reading")
	require.Contains(t, r.saidAll(), "do not use or save the line")
	require.NotContains(t, r.saidAll(), number(r.Fit.Slope), "the line must not be recommended")
	require.NotContains(t, r.saidAll(), "set it in bottle")
	require.Equal(t, conformity.Fail, r.Verdict)
	require.Contains(t, r.saidAll(), "the verdict (fail) rests on that bottle: without bottle B the meter would pass")
	require.Equal(t, conformity.Pass, r.Misfit.Without.Verdict)
	require.Equal(t, []bool{false, true, false}, []bool{r.Points[0].Flagged, r.Points[1].Flagged, r.Points[2].Flagged})
}

func TestNamesBottlesOffByAnything(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	for n := 3; n <= 5; n++ {
		for _, off := range []float64{0.02, 0.04, 0.08, 0.2, -0.02, -0.04, -0.08, -0.2} {
			trials := 100
			if testing.Short() {
				trials = 50
			}
			named, wrong := 0, 0
			for range trials {
				gain, zero, bad := 1+0.03*rng.NormFloat64(), 0.0, rng.IntN(n)
				if n > 3 {
					zero = 5 * rng.NormFloat64()
				}
				rows := bench(rng, strengths[:n], gain, zero)
				rows[bad].Reading *= 1 + off
				r := must(t, rows, Options{Tolerance: relative(0.05)})
				if r.Misfit == nil {
					continue
				}
				require.NotContains(t, r.saidAll(), "adjust:")
				require.NotContains(t, r.saidAll(), "corrected =", "a recommendation has the whole line")
				switch {
				case len(r.Misfit.Rows) == 1 && r.Misfit.Rows[0] == bad:
					named++
				case r.Misfit.Rows != nil || r.Misfit.Swapped != nil:
					wrong++
				}
			}
			t.Logf("%d bottles, one off by %+.0f %%: named %.1f %%, another %.1f %%", n, 100*off, 100*float64(named)/float64(trials), 100*float64(wrong)/float64(trials))
			least := 95
			if math.Abs(off) < 0.03 {
				least = 80 // 2 % of the weakest of three is 3.6 standard uncertainties of what the others foretell
			}
			require.GreaterOrEqual(t, named, trials*least/100, "%d bottles, off by %g", n, off)
			require.LessOrEqual(t, wrong, max(1, trials/100), "%d bottles, off by %g", n, off)
		}
	}
}

func TestNamesNoSoundBottle(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for n := 3; n <= 5; n++ {
		const trials = 300
		named := map[string]int{}
		for range trials {
			rows := bench(rng, strengths[:n], 1+0.1*rng.NormFloat64(), 20*rng.NormFloat64())
			count := func(what string, rows []Row) {
				if must(t, rows, Options{}).Misfit != nil {
					named[what]++
				}
			}
			count("all stated", rows)
			for i := range rows {
				rows[i].UReading = nil
			}
			count("readings unknown", rows)
			for i := range rows {
				rows[i].URef, rows[i].URefShared = nil, nil
			}
			count("nothing stated", rows)
		}
		for what, count := range named {
			require.LessOrEqual(t, count, trials/100, "%d bottles, %s", n, what)
		}
	}
}

// Points on no line at all: nobody is named, and no line recommended.
func TestNamesNobodyWhereSeveralAreOff(t *testing.T) {
	rows := bench(rand.New(rand.NewPCG(1, 2)), strengths, 1, 0)
	rows[0].Reading *= 1.1
	rows[2].Reading *= 0.9
	rows[3].Reading *= 1.2
	r := must(t, rows, Options{Tolerance: relative(0.02)})
	require.NotNil(t, r.Misfit)
	require.Nil(t, r.Misfit.Rows)
	require.Nil(t, r.Misfit.Without)
	require.Contains(t, r.Advice[0], "no single bottle explains it")
	require.NotContains(t, r.saidAll(), "adjust:")
	require.NotContains(t, r.saidAll(), number(r.Fit.Slope)+" × reading")
}

// Three buffers on no line: an electrode has a slope and a zero of its own, so that none is named.
func TestNamesNoneOfThreeBuffers(t *testing.T) {
	rows := stated(plain(4.00, 4.02, 7.00, 7.3, 10.01, 10.0), 0.01, 0.02)
	for i := range rows {
		rows[i].TempC = pointer(25)
	}
	r := must(t, rows, Options{Kind: PH, Tolerance: absolute(0.1)})
	require.NotNil(t, r.Misfit)
	require.Nil(t, r.Misfit.Rows)
	require.NotContains(t, r.saidAll(), "corrected =")
	require.NotContains(t, r.saidAll(), "adjust:")
}

// A raw signal that falls is no misfit.
func TestFallingSignalIsNoMisfit(t *testing.T) {
	rows := stated(plain(100, 903, 200, 799, 300, 701, 400, 600), 1, 2)
	require.Nil(t, must(t, rows, Options{Kind: Other}).Misfit)
	rows[1].Reading = 850
	r := must(t, rows, Options{Kind: Other})
	require.NotNil(t, r.Misfit)
	require.Equal(t, []int{1}, r.Misfit.Rows)
}

// The verdict is told apart from what it would be without the bottle, whatever it is.
func TestVerdictNeverRestsOnTheBadBottleUnsaid(t *testing.T) {
	for tolerance, says := range map[float64]string{0.02: "the verdict (fail) rests on that bottle", 0.2: "the verdict (pass) counts that bottle in"} {
		r := must(t, stated(plain(618.6, 619, 1215.1, 1313, 1991.3, 1992), 1, 1), Options{Tolerance: relative(tolerance)})
		require.Contains(t, r.saidAll(), says)
		require.Contains(t, r.VerdictBasis, "which does not fit the others")
	}
	r := must(t, plain(618.6, 619, 1215.1, 1313, 1991.3, 1992), Options{Tolerance: relative(0.02)})
	require.Contains(t, r.saidAll(), "there is no basis for one")
}

// A bottle that reads wrong without any stated uncertainty.
func TestNamesTheBadBottleWhereNothingIsStated(t *testing.T) {
	r := must(t, plain(618.6, 619, 1215.1, 1313, 1991.3, 1992, 2767, 2769), Options{Tolerance: relative(0.02)})
	require.NotNil(t, r.Misfit)
	require.Equal(t, []int{1}, r.Misfit.Rows)
	require.Contains(t, r.Advice[0], "the reference of 1215.1 does not fit the others")
}

func TestNamesSwappedBottles(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 17))
	for n := 2; n <= 5; n++ {
		const trials = 100
		for _, known := range []bool{true, false} {
			named := 0
			for range trials {
				rows := bench(rng, strengths[:n], 1+0.02*rng.NormFloat64(), 0)
				a := rng.IntN(n)
				b := (a + 1 + rng.IntN(n-1)) % n
				rows[a].Reading, rows[b].Reading = rows[b].Reading, rows[a].Reading
				for i := range rows {
					if !known {
						rows[i].URef, rows[i].URefShared, rows[i].UReading = nil, nil, nil
					}
				}
				r := must(t, rows, Options{Tolerance: relative(0.02)})
				if r.Misfit == nil || r.Misfit.Swapped == nil {
					continue
				}
				s := *r.Misfit.Swapped
				require.ElementsMatch(t, []int{a, b}, []int{s[0][0], s[1][0]})
				first, second := rows[min(a, b)].Bottle, rows[max(a, b)].Bottle
				require.Contains(t, r.Advice[0], fmt.Sprintf("bottle %s and bottle %s seem to have changed places", first, second))
				named++
			}
			require.GreaterOrEqual(t, named, 93*trials/100, "%d bottles, uncertainties known %v", n, known)
		}
	}
}
