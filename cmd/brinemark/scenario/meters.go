package scenario

import (
	"time"

	"github.com/brinemark/brinemark/calib/tempcomp"
)

// How the meters show conductivity, and what is asked of them.
const (
	PPMFactor    = 0.5
	AlphaPercent = 2.0 // per C, to 25 C
	Tolerance    = "5%"
	PHTolerance  = "0.1"
)

// Meter is an invented conductivity meter with its true fault.
type Meter struct {
	Name    string
	Step    float64 // of the display, in its unit
	Scatter float64 // of a reading, standard deviation
	UStated float64 // what the person takes the scatter for
	display func() (tempcomp.Display, error)
	gain    func(time.Time) float64 // reading over truth; 1 is right
}

// The meters. The old pen has a film on its electrodes until it is cleaned; the
// probe grows one in the tub.
var (
	OldPen = Meter{Name: "old-pen", Step: 1, Scatter: 0.8, UStated: 1.5, display: pen, gain: func(t time.Time) float64 {
		if t.Before(Cleaned) {
			return oldPenGain
		}
		return 0.998
	}}
	NewPen = Meter{Name: "new-pen", Step: 1, Scatter: 0.8, UStated: 1.5, display: pen, gain: func(time.Time) float64 { return newPenGain }}
	Probe  = Meter{Name: "tub-probe", Step: 1, Scatter: 1.5, UStated: 2, display: bare, gain: func(t time.Time) float64 {
		if t.Before(Adjusted) {
			return 1.002 - probeLossPerDay*days(Made, t)
		}
		return 0.999 - probeLossPerDay*days(Adjusted, t)
	}}
)

const (
	oldPenGain      = 0.87
	newPenGain      = 1.004
	probeLossPerDay = 0.00075
)

// pen is the display of both pens: ppm, corrected by a straight line.
func pen() (tempcomp.Display, error) {
	scale, err := tempcomp.PPM(PPMFactor)
	if err != nil {
		return tempcomp.Display{}, err
	}
	rule, err := tempcomp.NewLinear(AlphaPercent/100, 25)
	return tempcomp.Display{Rule: rule, Scale: scale}, err
}

// bare is the display of the probe: uS/cm as they are, not compensated.
func bare() (tempcomp.Display, error) {
	rule, err := tempcomp.ParseRule("none", 0, 0)
	return tempcomp.Display{Rule: rule, Scale: tempcomp.MicroSiemens()}, err
}

// Gain is what the meter truly shows over what it should, at a time.
func (m Meter) Gain(at time.Time) float64 { return m.gain(at) }
