package uncert

import (
	"bytes"
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
)

func value(x, u float64, id string) Value { return Must(New(x, u, Source{ID: id, Label: id})) }

func TestValueKeepsUnknownExactAndZeroApart(t *testing.T) {
	exact := Exact(3)
	assert.Zero(t, exact.U())
	assert.Empty(t, exact.Unstated())
	assert.Empty(t, exact.Budget())

	zero := value(3, 0, "scale")
	assert.Equal(t, exact, zero, "a stated uncertainty of 0 is exact")

	unknown := Unstated(3, Source{ID: "thermometer"})
	assert.Zero(t, unknown.U())
	require.Len(t, unknown.Unstated(), 1)
	assert.Equal(t, "thermometer", unknown.Unstated()[0].ID)

	sum := unknown.Mul(value(2, 0.1, "scale"))
	require.Len(t, sum.Unstated(), 1, "an unstated source follows the value through arithmetic")
	assert.InDelta(t, 0.3, sum.U(), 1e-15)

	// The same source stated on one side only: its size in the sum is unknown.
	mixed := unknown.Add(value(1, 0.5, "thermometer"))
	require.Len(t, mixed.Unstated(), 1)
	assert.Zero(t, mixed.U())
}

func TestValueMinusItselfIsExactlyZero(t *testing.T) {
	v := value(7.3, 0.2, "a").Mul(value(1.1, 0.03, "b"))
	d := v.Sub(v)
	assert.Zero(t, d.Nominal())
	assert.Zero(t, d.U())
	assert.Empty(t, d.Parts())
}

func TestEqualNumbersAreNotEqualSources(t *testing.T) {
	a, b := value(1, 0.3, "bottle A"), value(1, 0.3, "bottle B")
	assert.InDelta(t, 0.3*math.Sqrt2, a.Sub(b).U(), 1e-15)
	assert.Zero(t, Cov(a, b))
}

// Three bottles of one stock: the mean keeps the stock's error whole and
// shrinks only the weighings'.
func TestAveragingDoesNotShrinkASharedSource(t *testing.T) {
	stock := Source{ID: "purity"}
	mean := Exact(0)
	for _, id := range []string{"w1", "w2", "w3"} {
		b := Must(value(100, 0.6, id).With(0.4, stock))
		mean = mean.Add(b.Scale(1. / 3))
	}
	assert.InDelta(t, 0.4, mean.Part("purity"), 1e-14)
	assert.InDelta(t, math.Sqrt(0.4*0.4+0.36/3), mean.U(), 1e-14)
	assert.InDelta(t, 1, mean.Budget()[0].Fraction+mean.Budget()[1].Fraction+mean.Budget()[2].Fraction+mean.Budget()[3].Fraction, 1e-14)
	assert.Equal(t, "purity", mean.Budget()[0].Source.ID)
}

func TestRefusals(t *testing.T) {
	s := Source{ID: "s", Label: "scale"}
	for name, err := range map[string]error{
		"NaN value":   second(New(math.NaN(), 1, s)),
		"Inf value":   second(New(math.Inf(1), 1, s)),
		"NaN u":       second(New(1, math.NaN(), s)),
		"Inf u":       second(New(1, math.Inf(1), s)),
		"Inf combine": second(Combine(1, Term{Exact(1), math.Inf(1)})),
		"part NaN":    second(FromParts(1, []Contribution{{Source: s, Size: math.NaN(), Stated: true}})),
		"parts value": second(FromParts(math.NaN(), nil)),
	} {
		assert.ErrorIs(t, err, ErrNotFinite, name)
	}
	assert.ErrorIs(t, second(New(1, -0.1, s)), ErrNegative)
	assert.ErrorIs(t, second(Exact(1).Div(Exact(0))), ErrUndefined)
	assert.ErrorIs(t, second(value(0, 0.1, "x").Pow(-1)), ErrUndefined)
	assert.ErrorIs(t, second(value(-1, 0.1, "x").Pow(0.5)), ErrUndefined)
	assert.ErrorContains(t, second(New(1, 1, Source{})), "identifier")
	assert.ErrorContains(t, second(New(1, 1, Source{ID: "s", DoF: -1})), "degrees of freedom")
	assert.ErrorContains(t, second(FromParts(1, []Contribution{{Source: s, Size: 1, Stated: true}, {Source: s, Size: 2, Stated: true}})), "twice")
	assert.Panics(t, func() { Must(New(1, -1, s)) })
}

func second(_ Value, err error) error { return err }

func TestStorageRoundTripKeepsCovariance(t *testing.T) {
	a := Must(value(2, 0.1, "x").Add(Unstated(0, Source{ID: "t"})).With(0.2, Source{ID: "y", DoF: 4}))
	b := value(5, 0.3, "y").Sub(value(1, 0.2, "x"))
	a2, b2 := Must(FromParts(a.Nominal(), a.Parts())), Must(FromParts(b.Nominal(), b.Parts()))
	assert.Equal(t, a, a2)
	assert.Equal(t, b, b2)
	assert.Equal(t, Cov(a, b), Cov(a2, b2))
}

// Arithmetic against numerical propagation of the same expression, for random
// values that share sources.
func TestArithmeticAgreesWithNumericalDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		x := Must(value(1+rng.Float64(), 1e-6*rng.Float64(), "p").With(1e-6*rng.Float64(), Source{ID: "shared"}))
		y := Must(value(1+rng.Float64(), 1e-6*rng.Float64(), "q").With(1e-6*rng.Float64(), Source{ID: "shared"}))
		q := Must(x.Div(y))
		p := Must(q.Pow(2.5))
		got := p.Add(x.Mul(y)).Sub(y.Scale(3)).Shift(2).Neg()
		want, err := Apply(func(v ...float64) (float64, error) {
			return -(math.Pow(v[0]/v[1], 2.5) + v[0]*v[1] - 3*v[1] + 2), nil
		}, x, y)
		require.NoError(t, err)
		assert.InEpsilon(t, want.Nominal(), got.Nominal(), 1e-12)
		for _, id := range []string{"p", "q", "shared"} {
			assert.InDelta(t, want.Part(id), got.Part(id), 1e-12)
		}
	}
}

func TestApplyAtTheEdgeOfAFunctionsRange(t *testing.T) {
	root := func(x ...float64) (float64, error) {
		if x[0] < 0 || x[0] > 4 {
			return 0, ErrUndefined
		}
		return x[0] * x[0], nil
	}
	up, err := Apply(root, value(0, 0.01, "x"))
	require.NoError(t, err)
	assert.InDelta(t, 1e-4, up.U(), 1e-12, "one-sided difference above the lower edge")
	down, err := Apply(root, value(4, 0.01, "x"))
	require.NoError(t, err)
	assert.InDelta(t, 0.0799, down.U(), 1e-10, "one-sided difference below the upper edge")
	wide, err := Apply(root, value(2, 9, "x"))
	require.NoError(t, err, "both sides refused: a smaller step")
	assert.InDelta(t, 36, wide.U(), 1e-9, "the slope 2x times u")
	narrow := func(x ...float64) (float64, error) {
		if math.Abs(x[0]-2) > 0.1 {
			return 0, ErrUndefined
		}
		return x[0], nil
	}
	_, err = Apply(narrow, value(2, 9, "thermometer"))
	assert.ErrorIs(t, err, ErrTooWide)
	assert.ErrorContains(t, err, "thermometer: standard uncertainty 9 of 2: the uncertainty reaches outside the range")
	_, err = Apply(root, Exact(-1))
	assert.ErrorIs(t, err, ErrUndefined)
	onlyUnstated, err := Apply(root, Unstated(2, Source{ID: "t"}))
	require.NoError(t, err)
	assert.Len(t, onlyUnstated.Unstated(), 1)
}

// JCGM 100:2008 (GUM) annex H.1, end-gauge calibration; input figures and
// printed results from memory. First-order result: l = 50 000 838 nm,
// u_c = 32 nm (31.7 in H.1.4), and nu_eff = 16.7 → 16 with U_99 = 93 nm.
func TestGUMH1EndGauge(t *testing.T) {
	src := func(id string, dof float64) Source { return Source{ID: id, DoF: dof} }
	ls := Must(New(50.000623e6, 25, src("standard", 18)))
	d := Must(Exact(215).With(5.8, src("d repeatability", 24)))
	d = Must(d.With(3.9, src("comparator random", 5)))
	d = Must(d.With(6.7, src("comparator systematic", 8)))
	deltaAlpha := Must(New(0, 0.58e-6, src("delta alpha", 50)))
	theta := Must(Exact(-0.1).With(0.41, src("theta", 0)))
	alphaS := Must(New(11.5e-6, 1.2e-6, src("alpha", 0)))
	deltaTheta := Must(New(0, 0.029, src("delta theta", 2)))
	// l = lS + d − lS (δα·θ + αS·δθ)
	l := ls.Add(d).Sub(ls.Mul(deltaAlpha.Mul(theta).Add(alphaS.Mul(deltaTheta))))
	assert.InDelta(t, 50000838, l.Nominal(), 0.5)
	assert.InDelta(t, 32, l.U(), 0.5)
	assert.InDelta(t, 2.9, math.Abs(l.Part("delta alpha")), 0.05)
	assert.InDelta(t, 16.6, math.Abs(l.Part("delta theta")), 0.1)
	assert.InDelta(t, 16.7, l.DoF(), 0.5)
	// The Guide truncates nu_eff to 16 and finds t_99 = 2.92, U_99 = 93 nm.
	assert.InDelta(t, 2.92, CoverageFactor(0.99, math.Floor(l.DoF())), 0.005)
	assert.InDelta(t, 93, l.Expanded(0.99).Half, 1)
}

// JCGM 100:2008 annex H.2: resistance, reactance and impedance measured
// together; observations of table H.2 and results of tables H.2 to H.4, from
// memory.
func TestGUMH2ResistanceAndReactance(t *testing.T) {
	obs := mat.NewDense(5, 3, []float64{ // V in V, I in A, phi in rad
		5.007, 19.663e-3, 1.0456,
		4.994, 19.639e-3, 1.0438,
		5.005, 19.640e-3, 1.0468,
		4.990, 19.685e-3, 1.0428,
		4.999, 19.678e-3, 1.0433,
	})
	cov := mat.NewSymDense(3, nil)
	stat.CovarianceMatrix(cov, obs, nil)
	cov.ScaleSym(1./5, cov) // of the means
	x := make([]float64, 3)
	for i := range x {
		x[i] = stat.Mean(mat.Col(nil, i, obs), nil)
	}
	u, r := []float64{0.0032, 0.0095e-3, 0.00075}, [3][3]float64{{1, -0.36, 0.86}, {-0.36, 1, -0.65}, {0.86, -0.65, 1}}
	in, err := FromCovariance(x, cov, "bridge", "bridge readings")
	require.NoError(t, err)
	for i := range 3 {
		assert.InEpsilon(t, u[i], in[i].U(), 0.01)
		for j := range 3 {
			assert.InDelta(t, r[i][j], Corr(in[i], in[j]), 0.005)
			assert.InEpsilon(t, cov.At(i, j), Cov(in[i], in[j]), 1e-9)
		}
	}
	z, err := in[0].Div(in[1])
	require.NoError(t, err)
	cos, err := in[2].Map(math.Cos(x[2]), -math.Sin(x[2]))
	require.NoError(t, err)
	sin, err := in[2].Map(math.Sin(x[2]), math.Cos(x[2]))
	require.NoError(t, err)
	res, rea := z.Mul(cos), z.Mul(sin)
	assert.InDelta(t, 127.732, res.Nominal(), 0.0005)
	assert.InDelta(t, 0.071, res.U(), 0.0005)
	assert.InDelta(t, 219.847, rea.Nominal(), 0.0005)
	assert.InDelta(t, 0.295, rea.U(), 0.001)
	assert.InDelta(t, 254.260, z.Nominal(), 0.0005)
	assert.InDelta(t, 0.236, z.U(), 0.001)
	assert.InDelta(t, -0.588, Corr(res, rea), 0.005)
	assert.InDelta(t, -0.485, Corr(res, z), 0.005)
	assert.InDelta(t, 0.993, Corr(rea, z), 0.001)
}

// JCGM 100:2008 G.4.1 (from memory): Y = b·X1·X2·X3 with relative standard
// uncertainties 0.25, 0.57 and 0.82 percent on 10, 5 and 15 observations gives
// u_c = 1.03 percent, nu_eff = 19.0, k_95 = 2.09, U_95 = 2.2 percent.
func TestGUMG41WelchSatterthwaite(t *testing.T) {
	x := func(id string, u, dof float64) Value {
		return Must(New(1, u/100, Source{ID: id, DoF: dof}))
	}
	y := x("x1", 0.25, 9).Mul(x("x2", 0.57, 4)).Mul(x("x3", 0.82, 14))
	assert.InDelta(t, 1.03, 100*y.U(), 0.005)
	assert.InDelta(t, 19.0, y.DoF(), 0.05)
	iv := y.Expanded(0.95)
	assert.InDelta(t, 2.09, iv.K, 0.005)
	assert.InDelta(t, 2.2, 100*iv.Half, 0.05)
	assert.InDelta(t, 2*iv.Half, iv.High-iv.Low, 1e-15)
}

// Table G.2 of JCGM 100:2008; see the header of the file.
func TestCoverageFactorsAgainstGUMTableG2(t *testing.T) {
	text, err := os.ReadFile("../../testdata/published/gum_g2_coverage_factors.csv")
	require.NoError(t, err)
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+168)
	for _, row := range rows[1:] {
		p, err := strconv.ParseFloat(row[0], 64)
		require.NoError(t, err)
		dof, err := strconv.ParseFloat(row[1], 64)
		require.NoError(t, err)
		want, err := strconv.ParseFloat(row[3], 64)
		require.NoError(t, err)
		assert.InEpsilon(t, want, CoverageFactor(p/100, dof), 1e-8, "p = %v, nu = %v", p, dof)
	}
}

func TestCoverageFactorRefusesNonsense(t *testing.T) {
	for _, c := range [][2]float64{{0, 5}, {1, 5}, {-1, 5}, {math.NaN(), 5}, {0.95, 0}, {0.95, -2}, {0.95, math.NaN()}} {
		assert.True(t, math.IsNaN(CoverageFactor(c[0], c[1])), "%v", c)
	}
	assert.InDelta(t, 1.959963985, CoverageFactor(0.95, math.Inf(1)), 1e-9)
}

func TestFromCovarianceRefusesBadMatrices(t *testing.T) {
	sym := func(d ...float64) *mat.SymDense { return mat.NewSymDense(2, d) }
	for name, c := range map[string]*mat.SymDense{
		"definite": sym(1, 2, 2, 1), "variance": sym(-1, 0, 0, 1), "finite": sym(1, math.NaN(), math.NaN(), 1), "no variance": sym(0, 1, 1, 1),
	} {
		_, err := FromCovariance([]float64{1, 2}, c, "id", "label")
		assert.ErrorContains(t, err, name)
	}
	_, err := FromCovariance([]float64{1}, sym(1, 0, 0, 1), "id", "label")
	assert.Error(t, err)
	vs, err := FromCovariance([]float64{1, 2}, sym(4, 2, 2, 1), "id", "label")
	require.NoError(t, err, "fully correlated inputs are allowed")
	assert.InDelta(t, 0, vs[0].Sub(vs[1].Scale(2)).U(), 1e-7)
}

// A nominal 95 % interval of a product and quotient with a shared source
// covers the truth in 95 % of simulated cases; acceptance band three standard
// deviations of the count.
func TestExpandedCoversAsClaimed(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	const n = 20000
	hit := 0
	for range n {
		shared, e1, e2 := rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()
		// truth: x = 10, y = 4, result x²/y = 25
		x := Must(value(10+0.05*e1+0.04*shared, 0.05, "x").With(0.04, Source{ID: "shared"}))
		y := Must(value(4+0.02*e2+0.03*shared, 0.02, "y").With(0.03, Source{ID: "shared"}))
		q := Must(Must(x.Pow(2)).Div(y))
		iv := q.Expanded(0.95)
		if iv.Low <= 25 && 25 <= iv.High {
			hit++
		}
	}
	assert.InDelta(t, 0.95, float64(hit)/n, 3*math.Sqrt(0.95*0.05/n))
}

func TestCorrelationAndRelativeUncertainty(t *testing.T) {
	assert.True(t, math.IsNaN(Corr(Exact(1), value(1, 1, "a"))))
	assert.InDelta(t, -1, Corr(value(1, 1, "a"), value(1, 1, "a").Neg()), 1e-15)
	assert.InDelta(t, 0.02, value(-5, 0.1, "a").RelU(), 1e-15)
	assert.True(t, math.IsNaN(value(0, 0.1, "a").RelU()))
	assert.True(t, math.IsInf(value(1, 1, "a").DoF(), 1))
	p0 := Must(value(0, 1, "a").Pow(0))
	assert.Equal(t, 1.0, p0.Nominal())
	assert.Zero(t, p0.U())
}
