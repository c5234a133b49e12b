package tempcomp

import (
	"fmt"
	"math"
	"slices"

	"github.com/brinemark/brinemark/calib/uncert"
)

// StopC is how far apart two temperatures are that count as different ones, in
// C (common practice, no source). Nearer ones are repeats of one stop of the
// bath.
const StopC = 1.0

// stops numbers the stop that each temperature belongs to, in rising order: a
// stop begins StopC or more above the first temperature of the one before.
func stops(tempC []float64) (of []int, n int) {
	order := make([]int, len(tempC))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case tempC[a] < tempC[b]:
			return -1
		case tempC[a] > tempC[b]:
			return 1
		}
		return 0
	})
	of = make([]int, len(tempC))
	begin := math.Inf(-1)
	for _, i := range order {
		if tempC[i]-begin >= StopC {
			begin, n = tempC[i], n+1
		}
		of[i] = n - 1
	}
	return of, n
}

// withRounding adds what a display in steps leaves open to each reading,
// step/√12 (JCGM 100:2008 F.2.2.1). Readings of one stop that show the same
// number have been rounded the same way: they share it.
func withRounding(readings []Reading, resolution float64) ([]Reading, error) {
	if resolution == 0 {
		return readings, nil
	}
	var temps []float64
	for _, r := range readings {
		temps = append(temps, r.TempC.Nominal())
	}
	of, _ := stops(temps)
	out := slices.Clone(readings)
	for i, r := range readings {
		shown, err := r.Shown.With(resolution/math.Sqrt(12), uncert.Source{
			ID: fmt.Sprintf("display step:%d:%g", of[i], r.Shown.Nominal()), Label: "step of the display",
		})
		if err != nil {
			return nil, err
		}
		out[i].Shown = shown
	}
	return out, nil
}

// checkResolution refuses a step that no display of these readings has.
func checkResolution(readings []Reading, resolution float64, unit string) error {
	if math.IsNaN(resolution) || math.IsInf(resolution, 0) || resolution < 0 {
		return fmt.Errorf("step of the display is %g; want a finite number above 0: %w", resolution, ErrOutOfRange)
	}
	for _, r := range readings {
		if resolution > r.Shown.Nominal() {
			return fmt.Errorf("step of the display is %g %s, more than a reading of %g; want the step in the unit of the readings: %w", resolution, unit, r.Shown.Nominal(), ErrOutOfRange)
		}
	}
	return nil
}

// allTheSame tells that every reading is the same number.
func allTheSame(readings []Reading) bool {
	for _, r := range readings {
		if r.Shown.Nominal() != readings[0].Shown.Nominal() {
			return false
		}
	}
	return true
}
