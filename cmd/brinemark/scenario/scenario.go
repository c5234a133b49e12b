// Package scenario is an invented bench day for the demonstration: a shelf of
// lettuce over a washing machine, one jar of table salt, a pocket scale, two
// conductivity pens that disagree and a pH pen that has grown slow.
//
// Nothing in it was measured. The bottles are worth what the planner says of
// the masses "weighed"; the meters are given faults that stand in this file;
// and what they show follows from both, with scatter from a fixed seed, so
// that every run of the demonstration is the same.
package scenario

import (
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/brinemark/brinemark/calib/electrode"
	"github.com/brinemark/brinemark/calib/quantity"
	"github.com/brinemark/brinemark/calib/tempcomp"
	"github.com/brinemark/brinemark/calib/uncert"
	"github.com/brinemark/brinemark/solutions"
	"github.com/brinemark/brinemark/solutions/plan"
)

// What the person owns. The percentages of the salt are what a good table salt
// promises (common practice, no source).
const (
	PurityPercent, UPurityPercent = 99.5, 0.3
	ScaleStepG, ScaleMaxG         = 0.01, 200.0
	WaterEC, UWaterEC             = 8.0, 2.0 // uS/cm at 25 C
	BenchTempC                    = 19.5
	PPMFactor                     = 0.5
	Tolerance                     = "5%"
	readingStepPPM                = 1.0
	uReadingPPM                   = 1.5 // step and scatter of a pen held still
)

// Stock is the stock as weighed, in g on the scale. The person overshot the
// salt by a little and kept it.
var Stock = plan.Weighed{SaltG: []float64{4.98}, WaterG: []float64{95.12}}

// Bottle is one bottle as weighed from the stock, in g on the scale.
type Bottle struct {
	Name    string
	Target  string
	StockG  float64
	WaterG  []float64 // in portions that the scale can carry
	AgainIn int       // number of readings taken in it
}

// Bottles are the three references.
var Bottles = []Bottle{
	{Name: "A", Target: "300mg/L", StockG: 3.05, WaterG: []float64{148.6, 148.7, 148.3, 50.1}, AgainIn: 2},
	{Name: "B", Target: "600mg/L", StockG: 6.02, WaterG: []float64{147.9, 148.2, 148.4, 49.6}, AgainIn: 2},
	{Name: "C", Target: "900mg/L", StockG: 9.07, WaterG: []float64{147.2, 147.4, 147.0, 49.5}, AgainIn: 2},
}

// Pen is an invented conductivity pen with its true fault.
type Pen struct {
	Name string
	Gain float64 // reading over truth; 1 is right
	Zero float64 // ppm shown in air
}

// The two pens. The old one has a film on its electrodes.
var (
	OldPen = Pen{Name: "old-pen", Gain: 0.915, Zero: 0}
	NewPen = Pen{Name: "new-pen", Gain: 1.004, Zero: 0}
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

// Made says what the bottles are worth from the masses weighed.
func Made() ([]plan.Made, error) {
	purity, uPurity := PurityPercent/100, UPurityPercent/100
	jar, err := plan.NewJar(solutions.NaCl, plan.JarSpec{Grade: plan.GradeFood, Purity: &purity, UPurity: &uPurity})
	if err != nil {
		return nil, err
	}
	step, most := ScaleStepG, ScaleMaxG
	scale, err := plan.NewScale(plan.ScaleSpec{StepG: &step, CapacityG: &most})
	if err != nil {
		return nil, err
	}
	ec, uEC, temp := WaterEC, UWaterEC, BenchTempC
	water, err := plan.NewWater(plan.WaterSpec{EC25: &ec, UEC25: &uEC, TempC: &temp})
	if err != nil {
		return nil, err
	}
	var out []plan.Made
	for _, b := range Bottles {
		made, err := plan.AsMade(plan.MadeRequest{
			Bench:  plan.Bench{Jar: jar, Scale: scale, Water: water},
			Name:   "bottle " + b.Name,
			Stocks: []plan.Weighed{Stock},
			Bottle: plan.Weighed{StockG: []float64{b.StockG}, WaterG: b.WaterG},
		})
		if err != nil {
			return nil, fmt.Errorf("bottle %s: %w", b.Name, err)
		}
		out = append(out, made)
	}
	return out, nil
}

// Readings returns what the two pens show in the bottles, the old one first.
func Readings() (old, fresh []Row, err error) {
	made, err := Made()
	if err != nil {
		return nil, nil, err
	}
	scale, err := tempcomp.PPM(PPMFactor)
	if err != nil {
		return nil, nil, err
	}
	rule, err := tempcomp.NewLinear(0.02, 25)
	if err != nil {
		return nil, nil, err
	}
	display := tempcomp.Display{Rule: rule, Scale: scale}
	scatter := rand.New(rand.NewPCG(20, 26))
	for i, b := range Bottles {
		ref, err := shown(display, made[i])
		if err != nil {
			return nil, nil, fmt.Errorf("bottle %s: %w", b.Name, err)
		}
		own, shared := made[i].Split()
		share := ref / made[i].Now.EC25.Nominal()
		for range b.AgainIn {
			for _, p := range []Pen{OldPen, NewPen} {
				r := Row{
					Meter: p.Name, Bottle: b.Name, Ref: round(ref, 0.01), URef: round(own*share, 0.01), UShared: round(shared*share, 0.01),
					Source: "stock 1", UReading: uReadingPPM, TempC: BenchTempC,
					Reading: round(p.Zero+p.Gain*ref+0.8*scatter.NormFloat64(), readingStepPPM),
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

// shown is what a perfect pen shows in a bottle at the bench's temperature.
func shown(display tempcomp.Display, m plan.Made) (float64, error) {
	water := uncert.Exact(WaterEC)
	molality := m.Now.Molality
	ref, err := solutions.NewSaltReference(solutions.NaCl,
		quantity.Quantity{Value: molality.Nominal(), Kind: quantity.Molality}, molality, &water)
	if err != nil {
		return 0, err
	}
	kappa, err := ref.Conductivity(uncert.Exact(BenchTempC))
	if err != nil {
		return 0, err
	}
	v, err := display.Show(kappa, uncert.Exact(BenchTempC))
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
				Meter: "ph-pen", Buffer: name, Ref: round(v.Nominal(), 0.001), URef: round(v.U(), 0.001), TempC: BenchTempC,
				MV: round(mv, 0.1), Reading: round(7-mv/ideal, 0.01), UReading: 0.01,
			})
		}
	}
	return out, nil
}

func round(x, step float64) float64 { return math.Round(x/step) * step }
