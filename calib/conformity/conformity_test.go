package conformity

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../../testdata/published/" + name + ".csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, cells := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = cells[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return v
}

// JCGM 106:2012, clause 7: the Zener diode (0.92) and the container (0.99), printed figures from
// memory, and further cases at full precision.
func TestProbabilityOnJCGM106(t *testing.T) {
	want := map[string]map[string]string{}
	for _, r := range rows(t, "conformity_jcgm106_results") {
		want[r["quantity"]] = r
	}
	cases := rows(t, "conformity_jcgm106")
	require.NotEmpty(t, cases)
	for _, c := range cases {
		p, err := Probability(number(t, c["y"]), number(t, c["u"]), math.Inf(1), Limits{number(t, c["T_L"]), number(t, c["T_U"])})
		require.NoError(t, err)
		w := want[c["case"]+":p_c"]
		require.InDelta(t, number(t, w["exact"]), p, 1e-12, c["case"])
		if w["printed"] != "" {
			require.InDelta(t, number(t, w["printed"]), p, 0.005, c["case"])
		}
	}
	// Guard bands: at the acceptance limit r*U inside the upper limit, U = 2u.
	for _, r := range []string{"0", "0.5", "0.825", "1", "1.5"} {
		p, err := Probability(-2*number(t, r), 1, math.Inf(1), Limits{math.Inf(-1), 0})
		require.NoError(t, err)
		require.InDelta(t, number(t, want["guard_r="+r+":p_c_at_limit"]["exact"]), p, 1e-12)
	}
}

// Student's t: GUM table G.2, t_95(4) = 2.78 and t_95(1) = 12.71 (12.706).
func TestProbabilityStudent(t *testing.T) {
	for _, c := range []struct{ dof, k float64 }{{4, 2.776445}, {1, 12.706205}, {9, 2.262157}} {
		p, err := Probability(0, 1, c.dof, Around(c.k))
		require.NoError(t, err)
		require.InDelta(t, 0.95, p, 1e-7)
		same, err := Joint{Value: []float64{0}, Limits: []Limits{Around(c.k)}, Scatter: []float64{1}, DoF: c.dof}.Probability()
		require.NoError(t, err)
		require.InDelta(t, 0.95, same, 1e-7)
	}
}

func TestDecide(t *testing.T) {
	for _, c := range []struct {
		p    float64
		want Verdict
	}{
		{1, Pass}, {0.95, Pass}, {math.Nextafter(0.95, 0), Undecided}, {0.5, Undecided},
		{math.Nextafter(0.05, 1), Undecided}, {0.05, Fail}, {0, Fail}, {math.NaN(), Undecided},
	} {
		require.Equal(t, c.want, Default.Decide(c.p), "%v", c.p)
	}
}

// Without a common error the values are independent and the probability is the product; with one
// that is all there is, the worst value decides alone.
func TestJointLimits(t *testing.T) {
	limits := []Limits{Around(2), Around(2), Around(3)}
	value := []float64{0.5, -1, 1}
	p, err := Joint{Value: value, Limits: limits, Own: []float64{1, 1, 1}}.Probability()
	require.NoError(t, err)
	product := 1.0
	for i := range value {
		q, err := Probability(value[i], 1, math.Inf(1), limits[i])
		require.NoError(t, err)
		product *= q
	}
	require.InDelta(t, product, p, 1e-12)

	p, err = Joint{Value: []float64{1, 1}, Limits: []Limits{Around(2), Around(3)}, Shared: [][]float64{{1, 1}}}.Probability()
	require.NoError(t, err)
	q, err := Probability(1, 1, math.Inf(1), Limits{-2, 2})
	require.NoError(t, err)
	require.InDelta(t, q, p, 1e-8)
}

// Two values, correlation 1/2, both below 0: 1/4 + asin(1/2)/(2 pi) = 1/3, a closed form (Sheppard
// 1899). Correlation from one common error, and from two.
func TestJointOrthant(t *testing.T) {
	below := []Limits{{math.Inf(-1), 0}, {math.Inf(-1), 0}}
	h := math.Sqrt(0.5)
	p, err := Joint{Value: []float64{0, 0}, Limits: below, Own: []float64{h, h}, Shared: [][]float64{{h, h}}}.Probability()
	require.NoError(t, err)
	require.InDelta(t, 1.0/3, p, 1e-8)
	p, err = Joint{Value: []float64{0, 0}, Limits: below, Own: []float64{h, h}, Shared: [][]float64{{0.5, 0.5}, {0.5, 0.5}}}.Probability()
	require.NoError(t, err)
	require.InDelta(t, 1.0/3, p, 2e-4)
	// The orthant does not depend on a common scale: Student's gives the same.
	p, err = Joint{Value: []float64{0, 0}, Limits: below, Scatter: []float64{h, h}, DoF: 3}.Probability()
	require.NoError(t, err)
	require.InDelta(t, 0.25, p, 1e-7)
}

// Against plain simulation, all parts at once.
func TestJointAgainstSimulation(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for trial := range 12 {
		n, k := 2+trial%4, trial%4
		j := Joint{DoF: float64(1 + trial%5)}
		j.Shared = make([][]float64, k)
		for s := range k {
			j.Shared[s] = make([]float64, n)
		}
		for i := range n {
			j.Value = append(j.Value, rng.NormFloat64())
			j.Limits = append(j.Limits, Limits{-2 - rng.Float64(), 1 + 2*rng.Float64()})
			j.Own = append(j.Own, 0.2+rng.Float64())
			if trial%2 == 0 {
				j.Scatter = append(j.Scatter, 0.2+rng.Float64())
			}
			for s := range k {
				j.Shared[s][i] = rng.NormFloat64()
			}
		}
		p, err := j.Probability()
		require.NoError(t, err)
		const draws = 100000
		in := 0
		for range draws {
			w, chi := 0.0, 0.0
			if j.Scatter != nil {
				for range int(j.DoF) {
					z := rng.NormFloat64()
					chi += z * z
				}
				w = math.Sqrt(j.DoF / chi)
			}
			f := make([]float64, k)
			for s := range f {
				f[s] = rng.NormFloat64()
			}
			ok := true
			for i := range n {
				y := j.Value[i] + j.Own[i]*rng.NormFloat64()
				if j.Scatter != nil {
					y += w * j.Scatter[i] * rng.NormFloat64()
				}
				for s := range f {
					y += j.Shared[s][i] * f[s]
				}
				ok = ok && y >= j.Limits[i].Low && y <= j.Limits[i].High
			}
			if ok {
				in++
			}
		}
		got := float64(in) / draws
		require.InDelta(t, got, p, 4*math.Sqrt(0.25/draws)+3e-4, "trial %d", trial)
	}
}

// A fitted line's parameters are common errors of estimated size: two values with correlation 1/2
// by one such error keep the orthant 1/3 whatever the common scale; one value is Student's.
func TestJointSharedScatter(t *testing.T) {
	below := []Limits{{math.Inf(-1), 0}, {math.Inf(-1), 0}}
	h := math.Sqrt(0.5)
	p, err := Joint{Value: []float64{0, 0}, Limits: below, Scatter: []float64{h, h}, SharedScatter: [][]float64{{h, h}}, DoF: 3}.Probability()
	require.NoError(t, err)
	require.InDelta(t, 1.0/3, p, 1e-6)
	// t_95(2) = 4.303 (GUM, table G.2).
	p, err = Joint{Value: []float64{0}, Limits: []Limits{Around(4.302652729911275)}, SharedScatter: [][]float64{{1}}, DoF: 2}.Probability()
	require.NoError(t, err)
	require.InDelta(t, 0.95, p, 1e-6)
}

func TestRefuse(t *testing.T) {
	_, err := Probability(1, -1, math.Inf(1), Around(1))
	require.Error(t, err)
	_, err = Probability(1, 1, 0, Around(1))
	require.Error(t, err)
	_, err = Probability(1, 1, math.Inf(1), Limits{1, -1})
	require.ErrorIs(t, err, ErrLimits)
	_, err = Joint{}.Probability()
	require.Error(t, err)
	_, err = Joint{Value: []float64{1}, Limits: []Limits{Around(1)}, Own: []float64{math.NaN()}}.Probability()
	require.Error(t, err)
	_, err = Joint{Value: []float64{1}, Limits: []Limits{Around(1)}, Scatter: []float64{1}}.Probability()
	require.Error(t, err)
	_, err = Joint{Value: []float64{1}, Limits: []Limits{Around(1)}, Shared: [][]float64{{1, 2}}}.Probability()
	require.Error(t, err)
}
