package solutions

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/uncert"
)

// CRC Handbook (IUPAC 2001) and Light et al. 2005. The 18 C entry is not in the
// package's table: interpolation meets it.
func TestWaterAgainstPublishedTables(t *testing.T) {
	rows := publishedRows(t, "water_conductivity.csv")
	require.Len(t, rows, 12)
	for _, row := range rows {
		temp := row.float("t_C")
		air, err := AirEquilibratedWater(temp)
		require.NoError(t, err)
		assert.InDelta(t, row.float("air_uS_cm"), air, 0.0051, "%v C", temp)
		if row.text("theoretical_uS_cm") == "" {
			continue
		}
		pure, err := TheoreticalWater(temp)
		require.NoError(t, err)
		assert.InEpsilon(t, row.float("theoretical_uS_cm"), pure, 1e-9, "%v C", temp)
	}
	// 18.18 Mohm cm at 25 C.
	pure, err := TheoreticalWater(25)
	require.NoError(t, err)
	assert.InDelta(t, 18.18, 1/pure, 0.01)
}

func TestWaterConductivityAt25IsTheMeasuredOne(t *testing.T) {
	ec := uncert.Must(uncert.New(8, 2, uncert.Source{ID: "water", Label: "water"}))
	v, err := WaterConductivity(ec, uncert.Exact(25))
	require.NoError(t, err)
	assert.Equal(t, 8.0, v.Nominal())
	assert.Equal(t, 2.0, v.U())
}

// Three waters whose behaviour is published: carbon dioxide alone (CRC Handbook
// / IUPAC 2001), surface and ground waters (ISO 7888), potassium chloride
// (IUPAC 2001, 0.01 mol/kg). All lie within twice the stated uncertainty of the
// one factor.
func TestWaterTemperatureFactorCoversKnownWaters(t *testing.T) {
	check := func(name string, temp, factor float64) {
		v, err := WaterConductivity(uncert.Exact(1), uncert.Exact(temp))
		require.NoError(t, err)
		assert.LessOrEqual(t, math.Abs(v.Nominal()-factor), 2*v.U()+1e-12, "%s %v C", name, temp)
	}
	for _, row := range publishedRows(t, "water_conductivity.csv") {
		if row.float("t_C") != 18 {
			check("air", row.float("t_C"), row.float("air_uS_cm")/1.10)
		}
	}
	for _, row := range publishedRows(t, "natural_water_factors.csv") {
		check("ISO 7888", row.float("t_C"), 1/row.float("f25"))
	}
	for _, row := range publishedRows(t, "kcl_primary.csv") {
		if row.float("molality_mol_kg") == 0.01 {
			check("KCl", row.float("t_C"), row.float("kappa_uS_cm")/1408.23)
		}
	}
}

func TestWaterConductivityCarriesItsSources(t *testing.T) {
	ec := uncert.Must(uncert.New(8, 2, uncert.Source{ID: "water", Label: "water"}))
	temp := uncert.Must(uncert.New(15, 0.5, uncert.Source{ID: "thermometer", Label: "thermometer"}))
	v, err := WaterConductivity(ec, temp)
	require.NoError(t, err)
	assert.InDelta(t, 8*0.80, v.Nominal(), 0.08)
	assert.InDelta(t, 2*0.80, v.Part("water"), 0.02)
	assert.InDelta(t, 8*0.02*0.5, v.Part("thermometer"), 0.01)
	assert.InEpsilon(t, v.Nominal()*0.0015*10, v.Part("water:temperature"), 1e-9)

	unknown := uncert.Unstated(8, uncert.Source{ID: "water", Label: "water"})
	v, err = WaterConductivity(unknown, uncert.Exact(25))
	require.NoError(t, err)
	assert.Len(t, v.Unstated(), 1, "an uncertainty that nobody stated stays unknown")

	v, err = WaterConductivity(uncert.Exact(0), uncert.Exact(40))
	require.NoError(t, err)
	assert.Zero(t, v.Nominal())
	assert.Zero(t, v.U())
}

func TestWaterRefusals(t *testing.T) {
	for _, ec := range []float64{-0.1, 2000.1, math.NaN(), math.Inf(1), math.Inf(-1)} {
		_, err := WaterConductivity(uncert.Exact(ec), uncert.Exact(25))
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", ec)
	}
	for _, temp := range []float64{-0.1, 50.1, math.NaN(), math.Inf(1)} {
		_, err := WaterConductivity(uncert.Exact(1), uncert.Exact(temp))
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", temp)
		_, err = AirEquilibratedWater(temp)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", temp)
		_, err = TheoreticalWater(temp)
		assert.ErrorIs(t, err, ErrOutOfRange, "%v", temp)
	}
}
