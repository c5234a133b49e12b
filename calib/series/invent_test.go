package series

import (
	"bytes"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/brinemark/brinemark/calib/series/watch"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/stretchr/testify/require"
)

// Invented meters and logs for the tests: an EC pen without compensation and a
// pH pen, calibrated twice in 2026 and a third time as left.

var firstDay = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

func inventedProbes(t testing.TB) []*Probe {
	line := func(intercept, slope float64) Line {
		return Line{Intercept: intercept, Slope: slope, VarIntercept: 4e-4, VarSlope: 1e-6, Cov: -1e-5, Low: 0, High: 5000}
	}
	calibrations := func(scale float64) []Calibration {
		return []Calibration{
			{Time: firstDay.AddDate(0, 0, 1), State: AsFound, Line: line(3*scale, 1.02), Name: "first"},
			{Time: firstDay.AddDate(0, 0, 11), State: AsFound, Line: line(5*scale, 1.03), Name: "second"},
			{Time: firstDay.AddDate(0, 0, 11), State: AsLeft, Line: line(0.5*scale, 1.001), Name: "third"},
		}
	}
	ec, err := NewTimeline(calibrations(1), nil, Growth{Rate: 0.01, Relative: true})
	require.NoError(t, err)
	ph, err := NewTimeline(calibrations(0.01), nil, Growth{Rate: 0.05})
	require.NoError(t, err)
	wanted, err := tempcomp.NewLinear(0.02, 25)
	require.NoError(t, err)
	dry := watch.UsualDryLimits(20)
	return []*Probe{
		{Column: "ec", Timeline: ec, Low: 0, High: 3999, URead: 1, UTemp: 0.5, Conversion: Conversion{Does: tempcomp.None{}, Wanted: wanted},
			StaleAfter: 20 * 24 * time.Hour, Dry: &dry},
		{Column: "ph", Timeline: ph, Low: math.NaN(), High: 14, URead: 0.01, StaleAfter: 20 * 24 * time.Hour},
	}
}

func inventedPlan(t testing.TB) Plan {
	return Plan{TempColumn: "temp", Probes: inventedProbes(t)}
}

// inventedLog is a log of one row a minute, from 3 March on.
func inventedLog(rows int) []byte {
	var b bytes.Buffer
	b.WriteString("time,ec,temp,ph\n")
	for i := range rows {
		at := firstDay.AddDate(0, 0, 2).Add(time.Duration(i) * time.Minute)
		fmt.Fprintf(&b, "%s,%.1f,%.2f,%.2f\n", at.Format(time.RFC3339), 1200+150*math.Sin(float64(i)/1440), 20+3*math.Sin(float64(i)/700), 6+0.3*math.Sin(float64(i)/900))
	}
	return b.Bytes()
}
