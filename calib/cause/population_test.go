package cause

import (
	"github.com/brinemark/brinemark/calib/check"
	"github.com/brinemark/brinemark/calib/quantity"
)

// span is a size drawn evenly between two ends.
type span struct{ low, high float64 }

// setup says how invented bench days are done: the population from which the
// simulation draws. Relative sizes are fractions.
type setup struct {
	name    string
	kind    check.Kind
	bottles [2]int // fewest and most
	repeats int
	meters  int // one of them faulty, whichever it is
	top     float64
	digit   float64
	tempC   span

	anywhere   bool    // bottles anywhere in the range, not spread over it
	ofRange    bool    // noise is a fraction of the range, not of the reading
	noise      float64 // relative; absolute for pH
	bottle     float64 // relative standard deviation of a bottle's own error; absolute for pH
	honestGain float64 // standard deviation of the gain of every meter
	honestZero float64 // of its zero, as a fraction of the range; absolute for pH

	// What is written down.
	refs, uRef, uReading, temps bool
	tolerance                   float64 // 0: none

	// Sizes of the faults.
	gain, zero, badBottle, unstable, saturation span

	// Harder truths.
	flattery    float64 // bottles are worse than stated by this factor
	stock       float64 // relative error that all bottles share
	stockStated bool    // and whether u_ref_shared says so
	sensor      float64 // C by which the meters' own thermometers are off
	salt        bool    // the liquid's temperature behaviour is not the straight one of the reference
	alpha       float64 // 1/C, of the liquid and the right coefficient
}

// usual is the day that the aims are set for: 5 to 8 bottles between 15 and
// 100 % of the range, three readings each, 0.4 % noise, bottles good to 0.6 %,
// 12 to 32 C.
func usual() setup {
	return setup{
		name: "5-8 bottles, 3 readings", kind: check.EC, bottles: [2]int{5, 8}, repeats: 3, meters: 2, top: 2000, digit: 1, tempC: span{12, 32},
		noise: 0.004, bottle: 0.006, honestGain: 0.005, honestZero: 0.001, refs: true, uRef: true, temps: true, tolerance: 0.05,
		gain: span{0.06, 0.3}, zero: span{0.03, 0.1}, badBottle: span{0.05, 0.25}, unstable: span{0.03, 0.1}, saturation: span{0.5, 0.85},
		flattery: 1, alpha: 0.02,
	}
}

// few is the other day: three bottles, one reading each.
func few() setup {
	return usual().but("3 bottles, 1 reading", func(s *setup) { s.bottles, s.repeats = [2]int{3, 3}, 1 })
}

// electrodes is a day with three buffers.
func electrodes() setup {
	return usual().but("pH, 3 buffers, 3 readings", func(s *setup) {
		s.kind, s.bottles, s.digit, s.tolerance = check.PH, [2]int{3, 3}, 0.01, 0.1
		s.noise, s.bottle, s.honestGain, s.honestZero = 0.012, 0.01, 0.01, 0.02
		s.gain, s.zero, s.badBottle, s.unstable = span{0.08, 0.3}, span{0.2, 0.8}, span{0.15, 0.6}, span{0.1, 0.4}
	})
}

// variations are other ways to do the day, for which the aims hold as well.
func variations() []setup {
	u := usual()
	return []setup{
		u.but("1 reading", func(s *setup) { s.repeats = 1 }),
		u.but("three meters", func(s *setup) { s.meters = 3 }),
		u.but("noise 1 %", func(s *setup) { s.noise = 0.01 }),
		u.but("ppm, steps of 10", func(s *setup) { s.top, s.digit = 1000, 10 }),
		u.but("mS/cm", func(s *setup) { s.top, s.digit = 4, 0.01 }),
		u.but("bottles anywhere", func(s *setup) { s.anywhere = true }),
		u.but("noise 0.4 % of the range", func(s *setup) { s.ofRange = true }),
		u.but("u_reading stated", func(s *setup) { s.uReading = true }),
		u.but("no u_ref, temperature or tolerance", func(s *setup) { s.uRef, s.temps, s.tolerance = false, false, 0 }),
		u.but("no references", func(s *setup) { s.refs = false }),
		u.but("no references, three meters", func(s *setup) { s.refs, s.meters = false, 3 }),
		electrodes(),
		electrodes().but("pH, 3 buffers, 1 reading", func(s *setup) { s.repeats = 1 }),
	}
}

// harder are truths outside what the models know: shown, not aimed at.
func harder() []setup {
	u := usual()
	return []setup{
		u.but("stock off by 2 %, not stated", func(s *setup) { s.stock = 0.02 }),
		u.but("stock off by 2 %, stated", func(s *setup) { s.stock, s.stockStated = 0.02, true }),
		u.but("thermometers 0.5 C off", func(s *setup) { s.sensor = 0.5 }),
		u.but("salt off the straight coefficient", func(s *setup) { s.salt = true }),
		u.but("coefficient 1.9 %/C", func(s *setup) { s.alpha = 0.019 }),
		u.but("bottles twice as bad as stated", func(s *setup) { s.flattery = 2 }),
		u.but("sound meters within 1.5 %", func(s *setup) { s.honestGain, s.honestZero = 0.015, 0.003 }),
		// No bottle may lie where a meter no longer follows, and nothing is to be seen.
		few().but("3 bottles anywhere, 1 reading", func(s *setup) { s.anywhere = true }),
		u.but("all at 20 C", func(s *setup) { s.tempC = span{20, 20} }),
		u.but("faults near the tolerance", func(s *setup) {
			s.gain, s.zero, s.badBottle = span{0.04, 0.06}, span{0.012, 0.03}, span{0.025, 0.05}
			s.unstable, s.saturation = span{0.015, 0.03}, span{0.8, 0.95}
		}),
	}
}

// but changes a copy of a setup.
func (s setup) but(name string, change func(s *setup)) setup {
	s.name = name
	change(&s)
	return s
}

// causes are those drawn for a setup, equally often. Without references nothing
// shows that a liquid is not what its label says.
func (s setup) causes() []ID {
	if !s.refs {
		return []ID{None, DisplayScale, Gain, Zero, Compensation, Saturation, Unstable}
	}
	if s.kind == check.PH {
		return []ID{None, WeakSlope, ZeroPoint, DeadElectrode, BadBuffer, Swapped, Unstable}
	}
	return []ID{None, DisplayScale, Gain, Zero, Compensation, BadBottle, Swapped, Saturation, Unstable}
}

func (s setup) allowed() quantity.Tolerance {
	return quantity.Tolerance{Value: s.tolerance, Relative: s.kind != check.PH}
}

var fivePercent = quantity.Tolerance{Value: 0.05, Relative: true}
