package check

import (
	"fmt"
	"math"

	"github.com/brinemark/brinemark/calib/line"
)

// What an error looks like that is more than a meter out of adjustment. Common practice, no source.
const (
	// thermometerReach is the largest error, as a fraction, that a thermometer explains: three degrees.
	thermometerReach = 0.06
	// thermometerReachPH is the same in pH.
	thermometerReachPH = 0.2
	// nearScale is how near a slope is to the ratio of two display scales, as a fraction, and how small its
	// zero error is beside the largest reference.
	nearScale = 0.03
	// alikeShare is how much of a zero error may differ from reference to reference, and apart how far the
	// references must lie apart for that to tell it from a gain error.
	alikeShare, apart = 0.25, 1.5
)

// scaleSlope is a slope that two display scales give: readings in one, references in the other.
type scaleSlope struct {
	slope          float64
	shows, expects string
}

// scaleSlopes are the ratios met. Factors of ppm: common practice, no single source.
var scaleSlopes = []scaleSlope{
	{0.5, "uS/cm", "ppm (x 0.5)"}, {2, "ppm (x 0.5)", "uS/cm"},
	{0.7, "uS/cm", "ppm (x 0.7), or ppm (x 0.7) beside ppm (x 0.5)"}, {1 / 0.7, "ppm (x 0.7)", "uS/cm, or ppm (x 0.5) beside ppm (x 0.7)"},
	{0.64, "uS/cm", "ppm (x 0.64)"}, {1 / 0.64, "ppm (x 0.64)", "uS/cm"},
}

// mixedScale is the pair of scales that the slope of a conductivity meter looks like.
func (r *Result) mixedScale() (scaleSlope, bool) {
	f := r.Fit
	if r.Kind != EC || r.Misfit != nil || f.Method == line.MethodOffset {
		return scaleSlope{}, false
	}
	var size float64
	for _, row := range r.Rows {
		size = math.Max(size, math.Abs(row.Ref))
	}
	if math.Abs(f.Intercept) > nearScale*size {
		return scaleSlope{}, false
	}
	for _, s := range scaleSlopes {
		if math.Abs(f.Slope/s.slope-1) <= nearScale {
			return s, true
		}
	}
	return scaleSlope{}, false
}

func (r *Result) slopeOfScale() bool {
	_, ok := r.mixedScale()
	return ok
}

// sayScale comes before all else where unit or scale may be mixed up.
func (r *Result) sayScale() bool {
	s, ok := r.mixedScale()
	if ok {
		r.say(fmt.Sprintf("first the unit and the scale: a slope of %.3g is that of readings in %s beside references in %s; see what the display is set to, and what was typed, before anything else", r.Fit.Slope, s.shows, s.expects))
	}
	return ok
}

// zeroError is an error that is alike at every reference, though the references are not: of a zero, and
// no gain. ok is false for a meter without one, and where the two cannot be told apart.
func (r *Result) zeroError() (size float64, ok bool) {
	if r.Kind == PH || r.Misfit != nil || r.Fit.Parameters < 2 {
		return 0, false // of pH the electrode's zero point speaks
	}
	gs := groups(r.Rows)
	rows, _ := pooled(r.Rows, gs, doubt{})
	low, high, least, most := math.Inf(1), math.Inf(-1), math.Inf(1), 0.0
	for _, row := range rows {
		e := row.Reading - row.Ref
		size += e / float64(len(rows))
		low, high = math.Min(low, e), math.Max(high, e)
		least, most = math.Min(least, math.Abs(row.Ref)), math.Max(most, math.Abs(row.Ref))
	}
	if len(gs) < 2 || most < apart*least || math.Max(high-size, size-low) > alikeShare*math.Abs(size) {
		return 0, false
	}
	return size, math.Abs(r.Fit.Slope-1) <= nearScale
}

// sayZero names a zero error, as compare does.
func (r *Result) sayZero() bool {
	size, ok := r.zeroError()
	if !ok {
		return false
	}
	do := "see what it shows where the true value is 0, and set its zero"
	switch r.Kind {
	case EC:
		do = "rinse its probe, see what it shows dry, in air, where 0 is right, and set its zero"
	case Temperature:
		do = "hold it in ice and water, and shift what it shows by what is wrong there"
	}
	r.say(fmt.Sprintf("a zero error: it shows about %.2g too %s at every reference, whatever the strength; %s", math.Abs(size), muchOrLittle(size), do))
	return true
}

func muchOrLittle(size float64) string {
	if size < 0 {
		return "little"
	}
	return "much"
}

// thermometerExplains tells that the worst error is of a size that a thermometer explains.
func (r *Result) thermometerExplains() bool {
	if r.WorstRow < 0 {
		return true
	}
	row := r.Rows[r.WorstRow]
	e := math.Abs(row.Reading - row.Ref)
	if r.Kind == PH {
		return e <= thermometerReachPH
	}
	return e <= thermometerReach*math.Abs(row.Ref)
}
