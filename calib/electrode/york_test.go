package electrode_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/line"
)

// The slope's uncertainty is that of the adjusted points (D. York et al., Am. J. Phys. 72 (2004) 367),
// which package line is held to by Pearson's data: points off the line tell the two kinds apart.
func TestUncertaintyIsOfTheAdjustedPoints(t *testing.T) {
	const perPH = 59.159 // mV at 25 C
	var p line.Points
	var points []electrode.Point
	var ux, uy []float64
	for i, v := range []struct{ ph, mv, uPH, uMV float64 }{
		{4, 176, 0.05, 2}, {6, 69, 0.10, 1}, {7, -9, 0.02, 4}, {9, -110, 0.10, 1}, {10, -184, 0.05, 3},
	} {
		id := string(rune('a' + i))
		points = append(points, electrode.Point{PH: known(v.ph, v.uPH, "ph"+id), MV: known(v.mv, v.uMV, "mv"+id), TempC: celsius(25)})
		p.X, p.Y = append(p.X, perPH*(v.ph-7)), append(p.Y, v.mv)
		ux, uy = append(ux, perPH*v.uPH), append(uy, v.uMV)
	}
	var err error
	p.CovX, err = line.Covariance(ux)
	require.NoError(t, err)
	p.CovY, err = line.Covariance(uy)
	require.NoError(t, err)
	f, err := line.ErrorsInBoth(p)
	require.NoError(t, err)
	require.Greater(t, f.Chi2, 1.0, "the points must be off the line for the test to tell")
	r, err := electrode.FromMV(points)
	require.NoError(t, err)
	require.InEpsilon(t, 100*f.USlope, *r.SlopePercent.U, 1e-4)
	require.InEpsilon(t, f.UIntercept, *r.OffsetMV.U, 1e-4)
}
