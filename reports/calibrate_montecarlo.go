package reports

import (
	"io"

	"github.com/brinemark/brinemark/calib/check"
)

// CalibrateMonteCarlo is the independent check by simulation.
type CalibrateMonteCarlo struct{}

func newCalibrateMonteCarlo(m *check.MonteCarlo) *CalibrateMonteCarlo { return nil }

func (r *Calibrate) writeMonteCarlo(w io.Writer, s Style) error { return nil }
