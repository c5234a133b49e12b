package shelf

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"

	"github.com/brinemark/brinemark/calib/logbook"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// published reads a table under testdata/published.
func published(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../../testdata/published/" + name)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	return rows[1:]
}

func float(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return x
}

// A meter without compensation shows the true conductivity: K.W. Pratt et al.
// (IUPAC), Pure Appl. Chem. 73 (2001) 1783. The table has the water subtracted,
// and so has a bottle whose water is not on record.
func TestABottleHasThePublishedConductivity(t *testing.T) {
	meter := pen("uS/cm", nil)
	meter.Compensation, meter.Alpha, meter.RefTempC = "none", nil, nil
	n := 0
	for _, row := range published(t, "kcl_primary.csv") {
		b := stored(t, saltBottle("K", "KCl", "mol/kg", float(t, row[0]), 0))
		v, err := On(b, meter, uncert.Exact(float(t, row[1])))
		require.NoError(t, err)
		want := float(t, row[2])
		assert.InEpsilon(t, want, v.Nominal(), 0.001, "%v", row)
		assert.InDelta(t, want, v.Nominal(), 3*v.U(), "%v: within three of its own standard uncertainties", row)
		n++
	}
	assert.Greater(t, n, 20)
}

// Buffers have the pH of the published table (the source stands in the file).
func TestABottleHasThePublishedPH(t *testing.T) {
	meter := logbook.Meter{Name: "pH pen", Quantity: "ph", Unit: "pH"}
	n := 0
	for _, row := range published(t, "ph_buffers.csv") {
		b := logbook.Bottle{Name: "B", Buffer: row[0], Deviation: logbook.Keep(uncert.Must(uncert.New(0, 0.01, uncert.Source{ID: "home-mixed:B", Label: "mixing at home"})))}
		v, err := On(stored(t, b), meter, uncert.Exact(float(t, row[1])))
		require.NoError(t, err, row)
		assert.InDelta(t, float(t, row[2]), v.Nominal(), 0.0051, "%v", row)
		assert.Greater(t, v.U(), 0.01, "mixing is in it")
		n++
	}
	assert.Greater(t, n, 50)
}

// A bottle that was kept is worth what it was worth when it was made, with the
// same sources; and two bottles of one stock are related as they were.
func TestAKeptBottleIsWorthTheSame(t *testing.T) {
	weak, strong := fromStock(t, "A", 4.53), fromStock(t, "B", 13.6)
	a, err := Made(weak, "A", nil)
	require.NoError(t, err)
	b, err := Made(strong, "B", nil)
	require.NoError(t, err)
	a, b = stored(t, a), stored(t, b)
	va, err := True(a, uncert.Exact(25))
	require.NoError(t, err)
	vb, err := True(b, uncert.Exact(25))
	require.NoError(t, err)
	assert.InEpsilon(t, weak.Now.EC25.Nominal(), va.Nominal(), 1e-12)
	assert.InEpsilon(t, weak.Now.EC25.U(), va.U(), 1e-9)
	assert.InEpsilon(t, strong.Now.EC25.U(), vb.U(), 1e-9)
	assert.InEpsilon(t, uncert.Cov(weak.Now.EC25, strong.Now.EC25), uncert.Cov(va, vb), 1e-9)
	assert.Greater(t, uncert.Corr(va, vb), 0.5, "the jar is the same")
	assert.Less(t, uncert.Corr(va, vb), 0.999, "the weighings are not")
	assert.True(t, Stated(a))

	parts := Split([]string{"A", "B"}, []uncert.Value{va, vb})
	for i, v := range []uncert.Value{va, vb} {
		assert.InEpsilon(t, v.U()*v.U(), parts[i].Own*parts[i].Own+parts[i].Shared*parts[i].Shared, 1e-9)
	}
	own, shared := weak.Split()
	assert.InEpsilon(t, own, parts[0].Own, 1e-9)
	assert.InEpsilon(t, shared, parts[0].Shared, 1e-9)

	alone := Split([]string{"A", "A"}, []uncert.Value{va, va})
	assert.InEpsilon(t, va.U(), alone[0].Own, 1e-12, "with itself alone a bottle shares nothing")
	assert.Zero(t, alone[1].Shared)
}

// The display decides what is shown; the thermometer's error meets itself in
// the truth and in the compensation.
func TestWhatIsShownIsOfTheMeter(t *testing.T) {
	b := saltBottle("A", "NaCl", "uS/cm", 1413, 0)
	temp := uncert.Must(uncert.New(18, 0.5, uncert.Source{ID: solutions.TemperatureID, Label: "temperature"}))
	truth, err := True(b, temp)
	require.NoError(t, err)
	us, err := On(b, pen("uS/cm", nil), temp)
	require.NoError(t, err)
	ms, err := On(b, pen("mS/cm", nil), temp)
	require.NoError(t, err)
	ppm, err := On(b, pen("ppm", known(0.5)), temp)
	require.NoError(t, err)
	assert.InEpsilon(t, truth.Nominal()/(1-7*0.02), us.Nominal(), 1e-12)
	assert.InEpsilon(t, us.Nominal()/1000, ms.Nominal(), 1e-12)
	assert.InEpsilon(t, us.Nominal()/2, ppm.Nominal(), 1e-12)
	assert.Less(t, us.RelU(), 0.3*truth.RelU(), "most of the thermometer's error cancels")
}

func TestRefusals(t *testing.T) {
	ec, ph := pen("uS/cm", nil), logbook.Meter{Name: "pH pen", Quantity: "ph", Unit: "pH"}
	salt, buffer := saltBottle("A", "NaCl", "mg/L", 600, 6), logbook.Bottle{Name: "B", Buffer: "7.00"}
	unknown := ec
	unknown.Compensation = ""
	for _, c := range []struct {
		b     logbook.Bottle
		m     logbook.Meter
		tempC float64
		cause error
		text  string
	}{
		{salt, ph, 20, ErrQuantity, "bottle A is a reference of ec and meter pH pen measures ph"},
		{buffer, ec, 20, ErrQuantity, "bottle B is a reference of ph and meter P1 measures ec"},
		{salt, ec, 80, solutions.ErrOutOfRange, "bottle A: "},
		{buffer, ph, 99, solutions.ErrOutOfRange, "bottle B: "},
		{salt, unknown, 20, nil, "the compensation of meter P1 is not on record"},
		{logbook.Bottle{Name: "C", Salt: "CaCl2"}, ec, 20, nil, "CaCl2"},
		{logbook.Bottle{Name: "C", Salt: "NaCl"}, ec, 20, nil, "no strength on record"},
		{logbook.Bottle{Name: "C", Buffer: "8.00"}, ph, 20, nil, "8.00"},
	} {
		_, err := On(c.b, c.m, uncert.Exact(c.tempC))
		require.ErrorContains(t, err, c.text)
		if c.cause != nil {
			assert.ErrorIs(t, err, c.cause)
		}
	}
	_, err := Display(ph)
	assert.ErrorContains(t, err, "measures ph and shows no conductivity")
	unstated := salt
	unstated.Strength = logbook.Keep(uncert.Unstated(600, uncert.Source{ID: "strength:A", Label: "strength"}))
	assert.False(t, Stated(unstated))
	assert.True(t, Stated(buffer))
}

func TestFiguresAreInTheMetersUnit(t *testing.T) {
	humid := logbook.Meter{Name: "H", Quantity: "humidity", Unit: "%RH"}
	warm := logbook.Meter{Name: "T", Quantity: "temperature", Unit: "C"}
	for _, c := range []struct {
		m    logbook.Meter
		text string
		want float64
	}{
		{pen("uS/cm", nil), "20mS/cm", 20000}, {pen("mS/cm", nil), "10uS/cm", 0.01}, {pen("ppm", known(0.5)), "20mS/cm", 10000},
		{pen("ppm", known(0.5)), "2000ppm@0.5", 2000}, {humid, "2%", 2}, {warm, "0.5C", 0.5},
		{logbook.Meter{Quantity: "oxygen", Unit: "mg/L"}, "0.1mg/L", 0.1},
	} {
		q, err := quantity.Parse(c.text, FigureKinds()...)
		require.NoError(t, err)
		got, err := Figure(c.m, q)
		require.NoError(t, err)
		assert.InEpsilon(t, c.want, got, 1e-12, c.text)
	}
	for text, m := range map[string]logbook.Meter{"2000ppm@0.7": pen("ppm", known(0.5)), "10ppm@0.5": pen("uS/cm", nil), "1C": pen("uS/cm", nil), "2%": warm, "1mg/L": humid} {
		q, err := quantity.Parse(text, FigureKinds()...)
		require.NoError(t, err)
		_, err = Figure(m, q)
		assert.ErrorIs(t, err, ErrUnit, text)
	}
}
