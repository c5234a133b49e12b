package electrode

import "fmt"

// FromDisplay judges an electrode by the pH that its meter shows in buffers,
// where no millivolts can be seen:
//
//	shown = 7 + a + b · (pH − 7)
//
// A meter turns E into pH with the slope and zero point of the calibration that
// it has stored. So b is the electrode's slope as a fraction of the stored
// one, and a is how far its zero has moved since. Where the meter has been
// reset to the ideal slope, b is the fraction of the ideal slope itself;
// otherwise it tells only the change since that calibration, and the
// criteria, which speak of the ideal slope, cannot be decided. Points,
// temperatures and errors are as for [FromMV]; a meter with automatic
// temperature compensation needs no normalisation.
func FromDisplay(points []DisplayPoint) (Result, error) {
	r := Result{Basis: ByDisplay, N: len(points)}
	rows := make([]row, 0, len(points))
	for i, p := range points {
		row, err := newRow(i, p.PH, p.Reading, p.TempC)
		if err != nil {
			return Result{}, err
		}
		if err := DisplayRange().Check(fmt.Sprintf("point %d", i+1), p.Reading.Nominal()); err != nil {
			return Result{}, err
		}
		row.perPH = 1
		row.x, row.y = p.PH.Shift(-IsopotentialPH), p.Reading.Shift(-IsopotentialPH)
		rows = append(rows, row)
	}
	err := r.calibrate(rows)
	return r, err
}
