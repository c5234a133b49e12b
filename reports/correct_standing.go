package reports

import (
	"fmt"

	"github.com/brinemark/brinemark/calib/series"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/reports/typeset"
)

// standing is at which temperature readings stand, and the corrected values, of
// a column whose compensation is changed; both "" where it is not. Without it
// two lines on one axis would seem to differ by what is wrong with the meter.
type standing struct{ reading, corrected string }

func newStanding(c series.Conversion) standing {
	if !c.NeedsTemperature() {
		return standing{}
	}
	s := standing{standsAt(c.Does), standsAt(c.Wanted)}
	if s.reading == s.corrected {
		s.reading += " by " + c.Does.Name() + " compensation"
		s.corrected += " by " + c.Wanted.Name() + " compensation"
	}
	return s
}

func standsAt(r tempcomp.Rule) string {
	switch r := r.(type) {
	case tempcomp.None:
		return "not compensated"
	case tempcomp.Linear:
		return fmt.Sprintf("at %g C", r.RefTempC)
	}
	return fmt.Sprintf("at %g C", float64(tempcomp.NaturalWaterRefTempC))
}

// named is the name of a line in the legend, which all columns of a chart share.
func (v columnView) named(line, stands string) string {
	if stands == "" {
		return line
	}
	line += ", " + stands
	if v.among {
		line += " (" + typeset.Name(v.Column) + ")"
	}
	return line
}
