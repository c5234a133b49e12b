package check

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// An electrode of 95 % of the ideal slope and 6 mV at pH 7, in two buffers at 25 C where the ideal
// slope is 59.159 mV (R T ln 10 / F): the figures come back.
func TestElectrodeByPotential(t *testing.T) {
	slope := 0.95 * 59.159
	rows := plain(4.005, 4.05, 7.00, 7.02, 10.01, 9.9)
	for i := range rows {
		rows[i].TempC, rows[i].MV = pointer(25), pointer(6-slope*(rows[i].Ref-7))
	}
	r := must(t, rows, Options{Kind: PH, Tolerance: absolute(0.1)})
	require.NotNil(t, r.Electrode)
	require.InDelta(t, 95, r.Electrode.SlopePercent.Value, 0.01)
	require.InDelta(t, 7+6/slope, r.Electrode.ZeroPointPH.Value, 0.001)
	require.InDelta(t, 6, r.Electrode.OffsetMV.Value, 0.01)

	// With u stated for all of it, two buffers have an interval, too.
	two := stated(rows[:2], 0.01, 0.01)
	r = must(t, two, Options{Kind: PH, UMV: pointer(0.5)})
	require.NotNil(t, r.Electrode.SlopePercent.U)
	require.Greater(t, *r.Electrode.SlopePercent.U, 0.1)
}

func TestElectrodeByDisplay(t *testing.T) {
	r := must(t, plain(4.005, 4.30, 7.00, 7.00), Options{Kind: PH})
	require.Equal(t, "display", string(r.Electrode.Basis))
	require.InDelta(t, 100*2.7/2.995, r.Electrode.SlopePercent.Value, 1e-9)
	ec := must(t, plain(706, 690), Options{})
	require.Nil(t, ec.Electrode)
}

// Potentials that rise with pH are refused; displays that do are only warned of.
func TestElectrodeOfWrongSign(t *testing.T) {
	rows := plain(4.005, 4.0, 7.00, 7.0)
	rows[0].MV, rows[1].MV = pointer(-170), pointer(0)
	_, err := Run(rows, Options{Kind: PH})
	require.ErrorContains(t, err, "rises with pH")
	r := must(t, plain(4.005, 7.0, 7.00, 4.0), Options{Kind: PH})
	require.Nil(t, r.Electrode)
	require.Contains(t, strings.Join(r.Warnings, "\n"), "the display falls while pH rises")
	require.Contains(t, strings.Join(r.Warnings, "\n"), "readings fall while the references rise")
	rows = plain(706, 690)
	rows[0].MV = pointer(3)
	r = must(t, rows, Options{})
	require.Contains(t, strings.Join(r.Warnings, "\n"), "about pH electrodes")
}

// IUPAC 2002 (Pure Appl. Chem. 74, 2169): phthalate at 25 C is pH 4.005, phosphate 1:1 6.865.
func TestBufferByName(t *testing.T) {
	row := Row{TempC: pointer(25)}
	require.NoError(t, row.SetBuffer("phthalate"))
	require.InDelta(t, 4.005, row.Ref, 0.001)
	require.InDelta(t, 0.003, *row.URef, 1e-9)
	require.Equal(t, "phthalate", row.Bottle)
	row = Row{TempC: pointer(25), URef: pointer(0.02), Bottle: "B2"}
	require.NoError(t, row.SetBuffer("Phosphate"))
	require.InDelta(t, 6.865, row.Ref, 0.001)
	require.Equal(t, 0.02, *row.URef)
	require.Equal(t, "B2", row.Bottle)

	err := row.SetBuffer("phtalate")
	require.ErrorIs(t, err, ErrBuffer)
	for _, name := range []string{"phthalate", "phosphate", "borax", "7.00", "10.01"} {
		require.ErrorContains(t, err, name)
	}
	row = Row{}
	err = row.SetBuffer("7.00")
	require.ErrorContains(t, err, "temp_C")
	row = Row{TempC: pointer(80)}
	require.ErrorIs(t, row.SetBuffer("7.00"), ErrOutOfRange)
	require.False(t, math.IsNaN(row.Ref))
}

// A humidity sensor against saturated salts, a thermometer against ice and steam: the same code.
// 75.3 and 33.1 %RH are sodium and magnesium chloride at 25 C (L. Greenspan, J. Res. NBS 81A (1977)
// 89).
func TestAnyQuantity(t *testing.T) {
	r := must(t, stated(plain(33.1, 36.0, 75.3, 77.1), 0.2, 0.5), Options{Kind: Humidity, Tolerance: absolute(3), At: []float64{50}})
	require.InDelta(t, 33.1+(75.3-33.1)*(50-36)/(77.1-36), r.At[0].Corrected, 1e-9)
	require.False(t, math.IsNaN(r.At[0].Low))
	r = must(t, stated(plain(0, 0.3, 99.6, 99.4), 0.01, 0.05), Options{Kind: Temperature, Tolerance: absolute(0.5)})
	require.Equal(t, "pass", string(r.Verdict))
}
