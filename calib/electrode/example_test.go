package electrode_test

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// A pen that shows millivolts, read in two buffers at 20 C.
func ExampleFromMV() {
	temp := uncert.Exact(20)
	var points []electrode.Point
	for _, read := range []struct {
		buffer string
		mv     float64
	}{{"phthalate", 171}, {"phosphate", 11}} {
		buffer, err := solutions.BufferByName(read.buffer)
		if err != nil {
			fmt.Println(err)
			return
		}
		ref, err := buffer.At(temp)
		if err != nil {
			fmt.Println(err)
			return
		}
		mv, err := uncert.New(read.mv, 0.5, uncert.Source{ID: "reading of " + read.buffer, Label: "mV reading"})
		if err != nil {
			fmt.Println(err)
			return
		}
		points = append(points, electrode.Point{PH: ref.Value, MV: mv, TempC: &temp})
	}
	r, err := electrode.FromMV(points)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("slope %.1f %% of ideal, 95 %% interval %.1f to %.1f\n", r.SlopePercent.Value, *r.SlopePercent.Low, *r.SlopePercent.High)
	fmt.Printf("zero point pH %.2f, verdict %s\n", r.ZeroPointPH.Value, r.Verdict)
	for _, line := range r.Advice {
		fmt.Println(line)
	}
	sample, err := r.FromMV(uncert.Exact(-90), temp)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(sample.Warnings[0])
	// Output:
	// slope 95.5 % of ideal, 95 % interval 94.6 to 96.4
	// zero point pH 7.08, verdict pass
	// slope 95.5 % of ideal, 4.4 mV at pH 7: healthy, leave it as it is
	// pH 8.70 lies outside the buffers' bracket, 4.00 to 6.88: the interval is wider there, and the electrode has not been tried
}
