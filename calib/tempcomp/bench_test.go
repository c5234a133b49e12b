package tempcomp_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// The most readings that are taken, none of them with a stated uncertainty.
func BenchmarkExamineMostReadings(b *testing.B) {
	bottle, err := tempcomp.SaltBottle(solutions.KCl, 0.01, 0)
	require.NoError(b, err)
	var readings []tempcomp.Reading
	temps := []float64{10, 15, 20, 30}
	for i := range tempcomp.MaxReadings {
		temp := temps[i%len(temps)]
		readings = append(readings, tempcomp.Reading{Shown: unknown(read(0.02, 25, 1, temp) + float64(i%3)), TempC: uncert.Exact(temp)})
	}
	o := tempcomp.ExamineOptions{RefTempC: 25, Scale: tempcomp.MicroSiemens(), Resolution: 1}
	for b.Loop() {
		if _, err := tempcomp.Examine(bottle, readings, o); err != nil {
			b.Fatal(err)
		}
	}
}
