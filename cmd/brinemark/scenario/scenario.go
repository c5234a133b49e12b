// Package scenario is an invented bench day for the demonstration: a shelf of
// lettuce over a washing machine, one jar of table salt, a pocket scale, two
// conductivity pens that disagree and a pH pen that has grown slow.
//
// Nothing in it was measured. The bottles are worth what the planner says of
// the masses "weighed", which are its plan with the misses of a human hand; the meters are given faults that stand in this file;
// and what they show follows from both, with scatter from a fixed seed, so
// that every run of the demonstration is the same.
package scenario

import (
	"fmt"
	"math/rand/v2"

	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
)

// The pens show ppm with this factor. Reading them costs a step and the scatter
// of a pen held still.
const (
	PPMFactor      = 0.5
	AlphaPercent   = 2.0 // per C, to 25 C
	Tolerance      = "5%"
	readingStepPPM = 1.0
	uReadingPPM    = 1.5
	timesRead      = 2
)

// Pen is an invented conductivity pen with its true fault.
type Pen struct {
	Name string
	Gain float64 // reading over truth; 1 is right
}

// The two pens. The old one has a film on its electrodes.
var (
	OldPen = Pen{Name: "old-pen", Gain: 0.87}
	NewPen = Pen{Name: "new-pen", Gain: 1.004}
)

// Row is one reading in one bottle, with the reference it is to be held
// against: what a perfect pen with the same display shows.
type Row struct {
	Meter, Bottle            string
	Ref, URef, UShared       float64
	Source                   string
	Reading, UReading, TempC float64
	MV                       float64 // pH only
	Buffer                   string  // pH only
}

// Readings returns what the two pens show in the bottles, the old one first.
func Readings(bottles []Bottle) (old, fresh []Row, err error) {
	scatter := rand.New(rand.NewPCG(20, 26))
	for _, b := range bottles {
		ref, err := Shown(b)
		if err != nil {
			return nil, nil, fmt.Errorf("bottle %s: %w", b.Name, err)
		}
		own, shared := b.Made.Split()
		share := ref / b.Made.Now.EC25.Nominal()
		for range timesRead {
			for _, p := range []Pen{OldPen, NewPen} {
				r := Row{
					Meter: p.Name, Bottle: b.Name, Ref: ref, URef: own * share, UShared: shared * share,
					Source: "stock 1", UReading: uReadingPPM, TempC: BenchTempC,
					Reading: round(p.Gain*ref+0.8*scatter.NormFloat64(), readingStepPPM),
				}
				if p == OldPen {
					old = append(old, r)
				} else {
					fresh = append(fresh, r)
				}
			}
		}
	}
	return old, fresh, nil
}

// StrengthMgL is a bottle's strength as recipe made prints it.
func StrengthMgL(b Bottle) float64 { return round(b.Made.Now.MgL.Nominal(), 0.1) }

// Shown is what a perfect pen with the pens' display shows in a bottle at the
// bench's temperature: what reference prints for the bottle's strength.
func Shown(b Bottle) (float64, error) {
	scale, err := tempcomp.PPM(PPMFactor)
	if err != nil {
		return 0, err
	}
	rule, err := tempcomp.NewLinear(AlphaPercent/100, 25)
	if err != nil {
		return 0, err
	}
	water := uncert.Exact(WaterEC)
	strength := quantity.Quantity{Value: StrengthMgL(b), Kind: quantity.MassConcentration}
	ref, err := solutions.NewSaltReference(solutions.NaCl, strength, uncert.Exact(strength.Value), &water)
	if err != nil {
		return 0, err
	}
	temp := uncert.Exact(BenchTempC)
	kappa, err := ref.Conductivity(temp)
	if err != nil {
		return 0, err
	}
	v, err := tempcomp.Display{Rule: rule, Scale: scale}.Show(kappa, temp)
	return v.Nominal(), err
}

// The pH pen: an aged electrode whose slope is 88 % of the ideal one and whose
// zero lies at pH 6.8, and a display that was last adjusted when it was new.
const (
	slopeFraction = 0.88
	zeroPH        = 6.80
)

// BufferReadings returns what the pH pen shows in two bought buffers.
func BufferReadings() ([]Row, error) {
	var out []Row
	scatter := rand.New(rand.NewPCG(7, 4))
	ideal, err := electrode.IdealSlope(BenchTempC)
	if err != nil {
		return nil, err
	}
	for _, name := range []string{"7.00", "4.00"} {
		buffer, err := solutions.BufferByName(name)
		if err != nil {
			return nil, err
		}
		at, err := buffer.At(uncert.Exact(BenchTempC))
		if err != nil {
			return nil, err
		}
		v := at.Value
		for range 2 {
			mv := -slopeFraction*ideal*(v.Nominal()-zeroPH) + 0.4*scatter.NormFloat64()
			out = append(out, Row{
				Meter: "ph-pen", Buffer: name, Ref: v.Nominal(), URef: v.U(), TempC: BenchTempC,
				MV: round(mv, 0.1), Reading: round(7-mv/ideal, 0.01), UReading: 0.01,
			})
		}
	}
	return out, nil
}
